"""Only so many answers are kept, and those asked for last."""

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from longhold.base.recent import Recent, once


def test_what_was_not_asked_for_longest_is_made_anew():
    made = []
    kept = Recent(2)

    def ask(key):
        return kept.get(key, lambda: made.append(key) or key)

    for key in ("a", "b", "a", "c", "a", "b"):
        assert ask(key) == key
    assert made == ["a", "b", "c", "b"]


def test_what_is_kept_is_no_larger_than_is_granted():
    made = []
    kept = Recent(5, len)

    def ask(text):
        return kept.get(text, lambda: made.append(text) or text)

    for text in ("abc", "de", "abc", "fgh", "de", "longer", "longer", "fgh"):
        assert ask(text) == text
    # fgh drives out both, as abc was asked for before it; what is larger than five is made each time
    assert made == ["abc", "de", "fgh", "de", "longer", "longer"]


def test_two_that_ask_at_once_wait_for_one_making():
    made, going, may_end = [], threading.Event(), threading.Event()
    kept = Recent(2)

    def slow():
        made.append("slow")
        going.set()
        assert may_end.wait(10)
        return "slow"

    with ThreadPoolExecutor(3) as pool:
        first = pool.submit(kept.get, "a", slow)
        assert going.wait(10)
        second = pool.submit(kept.get, "a", slow)
        # another key is not held up
        assert pool.submit(kept.get, "b", lambda: "quick").result(10) == "quick"
        assert not second.done()
        may_end.set()
        assert first.result(10) == second.result(10) == "slow"
    assert made == ["slow"]


def test_what_could_not_be_made_is_tried_again():
    kept = Recent(1)
    with pytest.raises(ZeroDivisionError):
        kept.get("a", lambda: 1 / 0)
    assert kept.get("a", lambda: 2) == 2


def test_after_a_failed_making_one_of_those_who_waited_makes_for_all():
    fails, may_fail, made = threading.Event(), threading.Event(), []
    kept = Recent(1)

    def failing():
        fails.set()
        assert may_fail.wait(10)
        raise ZeroDivisionError

    def slow():
        made.append("slow")
        time.sleep(0.1)
        return len(made)

    with ThreadPoolExecutor(9) as pool:
        first = pool.submit(kept.get, "a", failing)
        assert fails.wait(10)
        others = [pool.submit(kept.get, "a", slow) for _ in range(8)]
        may_fail.set()
        with pytest.raises(ZeroDivisionError):
            first.result(10)
        assert {one.result(10) for one in others} == {1}


def all_at_once(number, ask):
    together = threading.Barrier(number)

    def one(_):
        together.wait(10)
        return ask()

    with ThreadPoolExecutor(number) as pool:
        return list(pool.map(one, range(number)))


def test_what_is_made_once_is_made_by_one_of_many_that_ask_at_once():
    made = []

    @once
    def table(name):
        made.append(name)
        time.sleep(0.05)
        return [name, inner(name)]

    @once
    def inner(name):
        made.append(f"inner {name}")
        time.sleep(0.05)
        return name

    found = all_at_once(16, lambda: table("a"))
    assert made == ["a", "inner a"]
    assert all(one is found[0] for one in found)
    assert table(name="b") == ["b", "b"]


def test_what_asks_for_another_of_its_own_is_not_held_up_by_itself():
    @once
    def steps(number):
        return 0 if number == 0 else 1 + steps(number - 1)

    assert all_at_once(8, lambda: steps(20)) == [20] * 8


def test_what_asks_for_itself_is_told_and_waits_for_nobody():
    @once
    def round_and_round(name):
        return round_and_round(name)

    with pytest.raises(RecursionError, match="asks for what it makes"):
        round_and_round("a")
    kept = Recent(2)
    with pytest.raises(RecursionError):
        kept.get("a", lambda: kept.get("a", lambda: 1))
    assert kept.get("a", lambda: 2) == 2


def test_what_could_not_be_made_once_is_tried_by_the_next():
    tried = []

    @once
    def table():
        tried.append(len(tried))
        time.sleep(0.02)
        if len(tried) == 1:
            raise OSError
        return tried[-1]

    def ask():
        try:
            return table()
        except OSError:
            return "failed"

    assert sorted(map(str, all_at_once(4, ask))) == ["1", "1", "1", "failed"]
    assert tried == [0, 1]
