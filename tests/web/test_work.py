"""Computations beside the page."""

from __future__ import annotations

import threading
from collections.abc import Callable

import pytest

from longhold.base.errors import InputError, Problem
from longhold.web.work import Progress, Work


def test_the_same_question_is_computed_once() -> None:
    work, count = Work(), []
    tasks = [work.ask("k", "t", lambda step: count.append(1) or 7) for _ in range(5)]
    assert tasks[-1].wait(5)
    assert (tasks[-1].result, len(count), len({id(task) for task in tasks})) == (7, 1, 1)
    work.close()


def held_back() -> tuple[threading.Event, threading.Event, Callable[[Progress], str]]:
    """Whether a computation has begun, what lets it go on, and the computation."""
    begun, go = threading.Event(), threading.Event()

    def long(step: Progress) -> str:
        begun.set()
        go.wait(5)
        step(1, 2)
        return "whole"

    return begun, go, long


def test_a_stopped_computation_stops_at_its_next_step_and_can_be_begun_anew() -> None:
    work, (begun, go, long) = Work(1), held_back()
    task = work.ask("k", "t", long)
    assert begun.wait(5)
    task.stop()
    go.set()
    assert task.wait(5)
    assert (task.state, task.result) == ("stopped", None)
    again = work.ask("k", "t", long)
    assert again.wait(5)
    assert again.result == "whole"
    work.close()


def test_what_was_stopped_goes_on_for_who_asks_again_and_stays_stopped_for_who_only_looks() -> None:
    work, (begun, go, long) = Work(1), held_back()
    task = work.ask("k", "t", long)
    assert begun.wait(5)
    task.stop()
    assert work.ask("k", "t", long, after_stop=False) is task
    assert task.is_stopped
    assert work.ask("k", "t", long) is task, "it has not ended yet"
    go.set()
    assert task.wait(5)
    assert (task.state, task.result) == ("done", "whole")
    go.clear()
    begun.clear()
    other = work.ask("l", "t", long)
    assert begun.wait(5)
    other.stop()
    go.set()
    assert other.wait(5)
    assert work.ask("l", "t", long, after_stop=False).state == "stopped"
    assert work.ask("l", "t", long) is not other
    work.close()


@pytest.mark.parametrize(
    ("error", "again"), [(InputError(Problem("x", 1, "is wrong.")), False), (OSError(), True)]
)
def test_only_faults_of_the_input_stand(error: Exception, again: bool) -> None:
    work = Work()

    def failing(_: object) -> None:
        raise error

    task = work.ask("k", "t", failing)
    assert task.wait(5)
    assert (task.state, task.error) == ("failed", error)
    assert (work.ask("k", "t", failing) is not task) == again
    work.close()


def test_no_more_wait_than_a_server_can_bear() -> None:
    work, go = Work(1, most_waiting=3), threading.Event()
    for number in range(3):
        work.ask(str(number), "t", lambda _: go.wait(5))
    with pytest.raises(InputError, match="too many"):
        work.ask("4", "t", lambda _: None)
    go.set()
    work.close()


def test_old_results_make_room_but_what_runs_is_never_forgotten() -> None:
    work, go = Work(1, kept=2), threading.Event()
    running = work.ask("running", "t", lambda _: go.wait(5))
    for number in range(6):
        work.ask(str(number), "t", lambda _: None)
    assert work.find("running") is running
    go.set()
    assert work.ask("5", "t", lambda _: None).wait(5)
    work.ask("last", "t", lambda _: None).wait(5)
    assert work.find("0") is None
    work.close()
