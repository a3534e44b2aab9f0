"""Computations that run beside the page: asked for by key, seen while they run, stopped on demand."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from dataclasses import dataclass, field
from typing import Any, Literal

from longhold.base.errors import InputError, Problem

__all__ = ["Progress", "StoppedError", "Task", "Work"]

State = Literal["waiting", "running", "done", "failed", "stopped"]
Progress = Callable[[int, int], None]


class StoppedError(Exception):
    """Somebody stopped the computation."""


@dataclass
class Task:
    """One computation.

    Attributes
    ----------
    key : of everything that its result depends on
    title : what is computed, for people
    state : where it stands
    done, total : steps
    result : what it gave, where it is done
    error : why it failed; an InputError is meant for people
    """

    key: str
    title: str
    state: State = "waiting"
    done: int = 0
    total: int = 0
    result: Any = None
    error: Exception | None = None
    _ended: threading.Event = field(default_factory=threading.Event, repr=False)
    _stop: threading.Event = field(default_factory=threading.Event, repr=False)

    @property
    def ended(self) -> bool:
        """Whether nothing more happens to it."""
        return self._ended.is_set()

    def wait(self, seconds: float) -> bool:
        """Whether it ended within a time [s]."""
        return self._ended.wait(seconds)

    def stop(self) -> None:
        """Ask it to stop at its next step."""
        self._stop.set()

    @property
    def is_stopped(self) -> bool:
        """Whether somebody stopped it: it has ended so, or will at its next step."""
        return self.state == "stopped" or (not self.ended and self._stop.is_set())

    def go_on(self) -> None:
        """Take back that it was asked to stop, where it has not ended yet."""
        self._stop.clear()

    def step(self, done: int, total: int) -> None:
        """Note a step.

        Raises
        ------
        StoppedError : where it was asked to stop
        """
        self.done, self.total = done, total
        if self._stop.is_set():
            raise StoppedError

    def run(self, compute: Callable[[Progress], Any]) -> None:
        """Compute, and keep what comes of it."""
        try:
            self.state = "running"
            self.step(0, self.total)
            self.result = compute(self.step)
            self.state = "done"
        except StoppedError:
            self.state = "stopped"
        except Exception as error:
            self.error, self.state = error, "failed"
        finally:
            self._ended.set()


class Work:
    """The computations of one server.

    Parameters
    ----------
    workers : computations at a time
    kept : results kept; the one that was asked for longest ago goes first
    most_waiting : computations that may wait; more are refused
    """

    def __init__(self, workers: int = 2, kept: int = 64, most_waiting: int = 200) -> None:
        self._pool = ThreadPoolExecutor(workers, thread_name_prefix="longhold-work")
        self._tasks: OrderedDict[str, Task] = OrderedDict()
        self._kept, self._most_waiting = kept, most_waiting
        self._lock = threading.Lock()

    def ask(
        self, key: str, title: str, compute: Callable[[Progress], Any], *, after_stop: bool = True
    ) -> Task:
        """The computation of a key: begun now, or as it stands; one that was stopped or failed is begun anew.

        A failure that is the fault of the input stays, for the same input fails again.

        Parameters
        ----------
        key : of everything that its result depends on
        title : what is computed, for people
        compute : called with what notes its progress
        after_stop : whether one that somebody stopped is wanted all the same; else it is given as it stands

        Raises
        ------
        InputError : where too many wait already
        """
        with self._lock:
            task = self._tasks.get(key)
            if task is not None and task.is_stopped and not after_stop:
                return task
            if task is None or (task.ended and not _stands(task)):
                self._refuse_too_many()
                task = Task(key, title)
                self._tasks[key] = task
                self._pool.submit(copy_context().run, task.run, compute)
            task.go_on()
            self._tasks.move_to_end(key)
            self._forget()
        return task

    def find(self, key: str) -> Task | None:
        """The computation of a key, if it is known."""
        with self._lock:
            return self._tasks.get(key)

    def close(self) -> None:
        """Stop everything."""
        with self._lock:
            for task in self._tasks.values():
                task.stop()
        self._pool.shutdown(wait=False, cancel_futures=True)

    def _refuse_too_many(self) -> None:
        if sum(not task.ended for task in self._tasks.values()) >= self._most_waiting:
            said = "too many computations wait already."
            raise InputError(Problem("the server", None, said, "Try again in a minute."))

    def _forget(self) -> None:
        ended = [key for key, task in self._tasks.items() if task.ended]
        for key in ended[: max(0, len(self._tasks) - self._kept)]:
            del self._tasks[key]


def _stands(task: Task) -> bool:
    return task.state == "done" or isinstance(task.error, InputError)
