"""Which process runs a job, and whether it still lives."""

from __future__ import annotations

import os
import socket
from pathlib import Path

__all__ = ["is_gone", "this_worker"]


def this_worker() -> str:
    """A name of this process that no later process gets, even under its number.

    >>> this_worker() == this_worker()
    True
    """
    return f"{socket.gethostname()} {os.getpid()} {_birth(os.getpid())}"


def is_gone(worker: str) -> bool | None:
    """Whether a process is known to have ended; None where that cannot be known from here.

    >>> is_gone(this_worker()), is_gone("another-machine 17 x")
    (False, None)
    """
    host, _, rest = worker.rpartition(" ")[0].rpartition(" ")
    birth = worker.rpartition(" ")[2]
    # only there does a signal of 0 ask and not kill
    if host != socket.gethostname() or os.name != "posix" or not rest.isdigit():
        return None
    try:
        os.kill(int(rest), 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        pass  # it is there and belongs to somebody else
    return birth != _birth(int(rest)) if birth != "unknown" else None


def _birth(process: int) -> str:
    """When a process began, on this start of the machine."""
    try:
        start = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[19]
        return f"{Path('/proc/sys/kernel/random/boot_id').read_text().strip()}:{start}"
    except (OSError, IndexError):
        return "unknown"
