"""Tables and progress for a terminal of any width, and for a pipe."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

__all__ = ["STYLES", "console", "counted", "plain", "progress_bar", "show_rows"]

STYLES = {"fails": "bold red", "refer": "yellow", "holds": "green"}
_NARROW = 100


def console() -> Console:
    """Where answers go: colours only on a terminal that wants them, user's words taken as they are."""
    from rich.console import Console

    return Console(markup=False, emoji=False, highlight=False)


def plain(text: str) -> str:
    """Text without control characters, which a file could smuggle into a terminal.

    >>> plain("a\\x1b[31mb")
    'a�[31mb'
    """
    return "".join(char if char.isprintable() or char == "\n" else "�" for char in text)


def counted(count: int, one: str, many: str) -> str:
    """A count with its word.

    >>> counted(1, "joint", "joints"), counted(2000, "joint", "joints")
    ('1 joint', '2,000 joints')
    """
    return f"{count:,} {one if count == 1 else many}"


def show_rows(
    to: Console, heads: Sequence[str], rows: Sequence[Sequence[str]], styles: Sequence[str] | None = None
) -> None:
    """Rows as a table where the terminal is wide enough, else one below the other; nothing is cut.

    Parameters
    ----------
    to : the console
    heads : column heads
    rows : cells; the first column stays unbroken where it can
    styles : one style for each row's first two cells
    """
    given = styles or [""] * len(rows)
    if to.width < _NARROW:
        _stacked(to, heads, rows, given)
    else:
        _table(to, heads, rows, given)


def _table(to: Console, heads: Sequence[str], rows: Sequence[Sequence[str]], styles: Sequence[str]) -> None:
    from rich.box import HORIZONTALS
    from rich.table import Table

    table = Table(box=HORIZONTALS, pad_edge=False, show_edge=True, expand=False, header_style="bold")
    for i, head in enumerate(heads):
        table.add_column(head, overflow="fold", ratio=None, max_width=None if i == len(heads) - 1 else 28)
    for row, style in zip(rows, styles, strict=True):
        table.add_row(*_cells(row, style), end_section=False)
    to.print(table)


def _cells(row: Sequence[str], style: str) -> list[Text]:
    from rich.text import Text

    return [Text(plain(cell), style=style if i < 2 else "") for i, cell in enumerate(row)]


def _stacked(to: Console, heads: Sequence[str], rows: Sequence[Sequence[str]], styles: Sequence[str]) -> None:
    from rich.padding import Padding
    from rich.text import Text

    for row, style in zip(rows, styles, strict=True):
        first, second, *rest = _cells(row, style)
        to.print(Text("  ").join([first, second]))
        for head, cell in zip(heads[2:], rest, strict=True):
            if cell.plain:
                to.print(Padding(Text(f"{head}: ", style="dim").append_text(cell), (0, 0, 0, 3)))


@contextmanager
def progress_bar(words: str) -> Iterator[Callable[[int, int], None] | None]:
    """A bar on standard error while something long runs; None where nobody would see it."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(words, total=None)

        def done(count: int, total: int) -> None:
            bar.update(task, completed=count, total=total)

        yield done
