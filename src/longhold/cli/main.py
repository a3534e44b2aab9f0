"""The command ``longhold``: its commands, its exit codes, and what is said when something is wrong.

Exit codes: 0 nothing fails, 1 a joint fails a code or its target, 2 the input cannot be used, 3 a fault of
Longhold's own, 130 stopped by the user.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from longhold.base.errors import Fault, InputError
from longhold.cli.accounts import account
from longhold.cli.air import air
from longhold.cli.allowed import across, allowed
from longhold.cli.assessing import assess
from longhold.cli.checking import validate
from longhold.cli.codes import codes
from longhold.cli.comparing import compare, meets
from longhold.cli.deciding import decide
from longhold.cli.drafting import draft
from longhold.cli.keeping import keep, kept
from longhold.cli.life import record
from longhold.cli.moving import moved
from longhold.cli.offers import offers
from longhold.cli.planning import plan
from longhold.cli.portfolio import portfolio
from longhold.cli.purchase import choose
from longhold.cli.reading import label, sources
from longhold.cli.readings import readings
from longhold.cli.receiving import receive
from longhold.cli.sampling import bare, sample
from longhold.cli.saving import backup, load, restore, save, saved, store_check
from longhold.cli.serving import serve
from longhold.cli.starting import convert, new, schema
from longhold.cli.tags import tag
from longhold.cli.verifying import verify
from longhold.cli.weather import weather
from longhold.cli.wood import wood

__all__ = ["app", "run"]

BAD_INPUT, OWN_FAULT, STOPPED, READER_LEFT = 2, 3, 130, 141
_PRINTERS = {"longhold", "rich", "typer", "click"}

app = typer.Typer(
    name="longhold",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
_COMMANDS = (
    *(across, air, allowed, assess, bare, choose, compare, convert, decide, draft, label, meets),
    *(moved, new, offers, plan, portfolio, readings, receive, record, keep, kept, sample, schema, serve),
    *(sources, tag, validate, verify, weather, wood),
    *(backup, load, restore, save, saved, store_check),
)
for command in _COMMANDS:
    # a longitude west of Greenwich, such as -77.9, must not be taken for an option
    takes_negatives = command in (air, weather)
    app.command(context_settings={"ignore_unknown_options": True} if takes_negatives else None)(command)

app.add_typer(codes, name="codes")
app.add_typer(account, name="account")


def _version(asked: bool) -> None:
    if asked:
        from longhold.base.version import VERSION

        print(f"longhold {VERSION}")
        raise typer.Exit


@app.callback(
    epilog="Exit codes: 0 nothing fails, 1 a joint fails a code or its target, 2 the input cannot be used, "
    "3 a fault of Longhold's own."
)
def longhold(
    version: Annotated[
        bool,
        typer.Option("--version", metavar="", callback=_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    """Forecast how long the metal in a timber structure lasts and whether the code allows it.

    Start with: longhold new, then: longhold assess structure.toml
    """


def run(args: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    Parameters
    ----------
    args : words after ``longhold``; those of the process unless given
    """
    # matrices are small here, and threads that share one wait for each other on a busy machine
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal without µ gets a ? in its place
    try:
        code = _guarded(args)
        sys.stdout.flush()
    except BrokenPipeError:
        _let_go_of_output()
        return READER_LEFT
    except OSError as error:
        return _unwritten(_what_is_full(error), error)
    return code


def _what_is_full(error: OSError) -> str:
    """What could not be written, where the system names no file: what is printed, or what a library wrote."""
    trace, room = error.__traceback__, ""
    while trace is not None:
        room = str(trace.tb_frame.f_globals.get("__name__", "")).partition(".")[0]
        trace = trace.tb_next
    if room in _PRINTERS:
        _let_go_of_output()
        return "what is printed"
    from tempfile import gettempdir

    return f"a temporary file in {gettempdir()}"


def _let_go_of_output() -> None:
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _unwritten(name: str, error: OSError) -> int:
    from longhold.base.whole_files import unwritten

    _say(str(unwritten(name, error)))
    return BAD_INPUT


def _guarded(args: Sequence[str] | None) -> int:
    usage_error = typer.BadParameter.__mro__[1]
    try:
        code = app(args=None if args is None else list(args), standalone_mode=False)
    except (Fault, InputError) as error:
        _say(str(error))
        return BAD_INPUT
    except (KeyboardInterrupt, typer.Abort):
        code = STOPPED
    except BrokenPipeError:
        raise
    except SystemExit as leaving:
        # both libraries that write to the terminal turn a reader that left into exit code 1
        if isinstance(leaving.__context__, BrokenPipeError):
            raise leaving.__context__ from None
        raise
    except Exception as error:
        if isinstance(error, usage_error):
            error.show()  # type: ignore[attr-defined]
            return BAD_INPUT
        if isinstance(error, OSError) and _is_of_the_disk(error):
            if error.filename is None:
                raise
            return _unwritten(str(error.filename), error)
        return _own_fault(error)
    if code == STOPPED:
        _say("Stopped.")
    return int(code or 0)


def _is_of_the_disk(error: OSError) -> bool:
    from longhold.base.whole_files import NO_ROOM

    return error.errno in NO_ROOM or error.errno == errno.EROFS


def _own_fault(error: Exception) -> int:
    asked = os.environ.get("LONGHOLD_TRACEBACK") == "1"
    if asked:
        import traceback

        traceback.print_exception(error)
    first = (str(error).splitlines() or [""])[0]
    _say(f"Longhold has a fault of its own: {type(error).__name__}{first and ': '}{first}")
    how = "the traceback above" if asked else "what LONGHOLD_TRACEBACK=1 prints"
    _say(f"Please report it to the project's issue tracker with the command, the file and {how}.")
    return OWN_FAULT


def _say(text: str) -> None:
    print(text, file=sys.stderr)
