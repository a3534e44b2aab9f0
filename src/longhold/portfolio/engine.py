"""Where the work is done: in this process, on the cores of this machine, or on a cluster."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

from longhold.base.errors import InputError
from longhold.base.extras import lacking

__all__ = ["Engine", "OnDask", "OnThisProcess", "cores", "dask_engine"]

Task = TypeVar("Task")
Result = TypeVar("Result")
_DEATHS_BORNE = 10
_WAIT = "20s"
_ONE_THREAD = {"NUMBA_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}


class Engine(Protocol):
    """Runs a function on many inputs and yields the results as they come."""

    dashboard: str

    def each(self, do: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        """Position of each task with its result, in the order in which they are done."""
        ...


class OnThisProcess:
    """One task after the other, here."""

    dashboard = ""

    def each(self, do: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        """Position of each task with its result, in order."""
        yield from ((place, do(task)) for place, task in enumerate(tasks))


@dataclass
class OnDask:
    """On the workers of a Dask scheduler; what a worker had in hand when it died is done by another.

    Attributes
    ----------
    client : of ``distributed``
    dashboard : address of its page; empty where there is none
    """

    client: Any
    dashboard: str

    def each(self, do: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        """Position of each task with its result, in the order in which they are done."""
        import distributed

        as_completed: Any = distributed.as_completed

        ahead = 4 * max(len(self.client.scheduler_info(n_workers=-1)["workers"]), 1)
        waiting = list(enumerate(tasks))[::-1]
        places: dict[str, int] = {}
        pool = as_completed()

        def submit() -> None:
            place, task = waiting.pop()
            future = self.client.submit(do, task, pure=False, retries=1)
            places[future.key] = place
            pool.add(future)

        for _ in range(min(ahead, len(waiting))):
            submit()
        for future in pool:
            if waiting:
                submit()
            place = places.pop(future.key)
            yield place, future.result()
            future.release()


def cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def dask_engine(
    workers: int | None = None, scheduler: str | None = None, *, dashboard: bool = False
) -> Iterator[OnDask]:
    """Workers on this machine, one process a core, or those of a scheduler elsewhere.

    Parameters
    ----------
    workers : processes here; None takes as many as there are cores
    scheduler : address such as tcp://10.0.0.1:8786; then no workers are started here
    dashboard : serve the page on which one sees the workers, on this machine's own address only

    Raises
    ------
    InputError : the extra is not installed, or no scheduler answers
    """
    try:
        import dask
        import distributed
    except ModuleNotFoundError:
        raise InputError(lacking("longhold portfolio", "portfolio")) from None
    make: Any = distributed
    quiet = {
        "distributed.nanny.pre-spawn-environ": _ONE_THREAD,
        "distributed.scheduler.allowed-failures": _DEATHS_BORNE,
        "logging.distributed": "error",
        "distributed.worker.memory.spill": False,
        "distributed.worker.profile.enabled": False,
    }
    with dask.config.set(quiet):
        if scheduler is not None:
            with _client(make.Client, scheduler) as client:
                yield OnDask(client, client.dashboard_link if dashboard else "")
            return
        with (
            make.LocalCluster(
                n_workers=workers or cores(),
                threads_per_worker=1,
                processes=True,
                host="127.0.0.1",
                dashboard_address="127.0.0.1:0",
                silence_logs=logging.CRITICAL,
            ) as cluster,
            make.Client(cluster) as client,
        ):
            yield OnDask(client, _page(client) if dashboard else "")


def _client(make: Any, scheduler: str) -> Any:
    from longhold.base.errors import Problem

    try:
        return make(scheduler, timeout=_WAIT)
    except (OSError, ValueError, TimeoutError) as error:
        said = "no scheduler answers at this address."
        do = "Give the address that the scheduler printed, such as tcp://10.0.0.1:8786."
        raise InputError(Problem("--scheduler", scheduler, said, do)) from error


def _page(client: Any) -> str:
    """The scheduler's page; without bokeh it has no charts, and the plain page of workers stands for it."""
    from importlib.util import find_spec

    link = str(client.dashboard_link)
    return link if find_spec("bokeh") else link.replace("/status", "/info/main/workers.html")
