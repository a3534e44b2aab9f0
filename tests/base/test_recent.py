"""Only so many answers are kept, and those asked for last."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from longhold.base.recent import Recent


def test_what_was_not_asked_for_longest_is_made_anew():
    made = []
    kept = Recent(2)

    def ask(key):
        return kept.get(key, lambda: made.append(key) or key)

    for key in ("a", "b", "a", "c", "a", "b"):
        assert ask(key) == key
    assert made == ["a", "b", "c", "b"]


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


def test_who_comes_after_a_failed_making_waits_for_the_one_who_waited_before():
    fails, tries, may_fail, may_end = (
        threading.Event(),
        threading.Event(),
        threading.Event(),
        threading.Event(),
    )
    kept, made = Recent(1), []

    def failing():
        fails.set()
        assert may_fail.wait(10)
        raise ZeroDivisionError

    def slow():
        made.append("slow")
        tries.set()
        assert may_end.wait(10)
        return len(made)

    with ThreadPoolExecutor(3) as pool:
        first = pool.submit(kept.get, "a", failing)
        assert fails.wait(10)
        second = pool.submit(kept.get, "a", slow)
        while kept._making["a"].asking < 2:
            pass
        may_fail.set()
        assert tries.wait(10)
        third = pool.submit(kept.get, "a", slow)
        while kept._making["a"].asking < 2 and len(made) == 1:
            pass
        may_end.set()
        with pytest.raises(ZeroDivisionError):
            first.result(10)
        assert second.result(10) == third.result(10) == 1
    assert not kept._making
