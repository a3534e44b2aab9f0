"""What counts as a crash: anything but an answer, or a refusal in words for the person who handed it in."""

from __future__ import annotations

import re
import signal
import traceback
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from longhold.base.errors import LongholdError, TableError

LONGEST_S = 10
MOST_MORE_MB = 1_000
# how Python shows what is no text: a message that holds it was not written for a person
_FOR_PROGRAMMERS = re.compile(
    r"Traceback|<class |<function |<built-in|object at 0x|0x[0-9a-f]{8,}|Error\(|<longhold|\w+Field\(|"
    r"For further information visit|NoneType|array\(\[|np\.\w+\(|codec can't|positional argument|"
    r"(?:int|str|list|dict|float)'? object|unhashable|not subscriptable|max_str_digits|invalid literal"
)
_STATUS = Path("/proc/self/status")
_ROOT = str(Path(__file__).resolve().parents[2])


class Crash(NamedTuple):
    """One way of crashing: what tells it from others, and what is known of it."""

    key: str
    told: str


class _HangError(BaseException):
    """Not to be caught by what is tried."""


def judge(take: Callable[[bytes], object], data: bytes, longest_s: float = LONGEST_S) -> Crash | None:
    """The crash that an input leads to; None where it is read or refused as it should be."""
    before = _forget_peak_mb()
    # time of the processor: how busy the machine is otherwise is no fault of the reader
    signal.signal(signal.SIGPROF, _too_long)
    signal.setitimer(signal.ITIMER_PROF, longest_s)
    try:
        with warnings.catch_warnings(record=True) as warned:
            warnings.simplefilter("always")
            take(data)
    except TableError as error:
        return _of_error(error)
    except LongholdError as error:
        return _of_message(error, data)
    except _HangError:
        return _of_hang()
    except Exception as error:
        return _of_error(error)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    if warned:
        return Crash(f"warning: {warned[0].category.__name__} {warned[0].filename}", str(warned[0].message))
    if (more := _peak_mb() - before) > MOST_MORE_MB:
        return Crash("memory", f"took {more:.0f} MB more")
    return None


def _of_message(error: LongholdError, data: bytes) -> Crash | None:
    try:
        said = str(error)
    except Exception as fault:
        return _of_error(fault)
    if not said.strip():
        return Crash("empty message", _where(error))
    text = data.decode("utf-8", "replace")
    for found in _FOR_PROGRAMMERS.finditer(said):
        if found[0] not in text:
            return Crash(f"message: {found[0]} {_where(error)}", said[:600])
    return None


def _of_error(error: BaseException) -> Crash:
    told = "".join(traceback.format_exception(error))
    return Crash(f"{type(error).__name__} {_where(error)}", told[-3000:])


def _of_hang() -> Crash:
    told = traceback.format_exc()
    frames = [line.strip() for line in told.splitlines() if "/longhold/" in line]
    return Crash(f"hang {frames[-1] if frames else ''}", told[-3000:])


def _where(error: BaseException) -> str:
    """The last line of ours that an error came through."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [one for one in frames if "/longhold/" in one.filename.replace("\\", "/")]
    last = ours[-1] if ours else frames[-1]
    return f"{last.filename.removeprefix(_ROOT)}:{last.lineno}"


def _forget_peak_mb() -> float:
    """Memory in use now, from where on its peak is counted anew; only Linux can be asked for that."""
    if _STATUS.exists():
        Path("/proc/self/clear_refs").write_text("5", encoding="utf-8")
    return _memory_mb("VmRSS")


def _peak_mb() -> float:
    return _memory_mb("VmHWM")


def _memory_mb(name: str) -> float:
    if not _STATUS.exists():
        return 0.0
    rows = dict(line.split(":", 1) for line in _STATUS.read_text(encoding="utf-8").splitlines())
    return int(rows[name].split()[0]) / 1024


def _too_long(*_: object) -> None:
    raise _HangError
