"""Tables and progress for a terminal of any width, and for a pipe."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

__all__ = [
    "STYLES",
    "console",
    "counted",
    "plain",
    "print_caution",
    "progress_bar",
    "show_lines",
    "show_rows",
    "tell_macros",
]

STYLES = {"fails": "bold red", "refer": "yellow", "holds": "green"}
_NARROW = 130


def console() -> Console:
    """Where answers go: colors only on a terminal that wants them, user's words taken as they are."""
    from rich.console import Console

    return Console(markup=False, emoji=False, highlight=False)


def plain(text: str) -> str:
    """Text without control characters, which a file could smuggle into a terminal.

    >>> plain("a\\x1b[31mb")
    'a�[31mb'
    """
    return "".join(char if char.isprintable() or char == "\n" else "�" for char in text)


def print_caution(to: Console) -> None:
    """The sentence that closes every answer."""
    from longhold.documents.words import CAUTION

    to.print(CAUTION)


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

    table = Table(box=HORIZONTALS, pad_edge=False, show_lines=True, header_style="bold")
    for head in heads[:-1]:
        table.add_column(head, overflow="fold", max_width=28)
    table.add_column(heads[-1], overflow="fold")
    for row, style in zip(rows, styles, strict=True):
        table.add_row(*_cells(row, style))
    to.print(table)


def _cells(row: Sequence[str], style: str) -> list[Text]:
    from rich.text import Text

    return [Text(plain(cell), style=style if i < 2 else "") for i, cell in enumerate(row)]


def _stacked(to: Console, heads: Sequence[str], rows: Sequence[Sequence[str]], styles: Sequence[str]) -> None:
    from rich.rule import Rule
    from rich.text import Text

    for i, (row, style) in enumerate(zip(rows, styles, strict=True)):
        to.print(Text() if i else Rule(style="none"))
        first, second, *rest = _cells(row, style)
        to.print(Text(": ").join([first, second]))
        for head, cell in zip(heads[2:], rest, strict=True):
            if cell.plain:
                _indented(to, Text(f"{head}: " if head else "", style="dim").append_text(cell))
    to.print(Rule(style="none"))


def show_lines(to: Console, title: str, lines: Sequence[tuple[str, str]]) -> None:
    """A title, and below it what is said under each name; a blank name speaks for the title."""
    from rich.text import Text

    to.print(Text(plain(title), style="bold"))
    for name, said in (line for line in lines if line[1]):
        start = Text(f"{name}: " if name else "", style="dim")
        _indented(to, start.append_text(Text(plain(said))))


def _indented(to: Console, text: Text) -> None:
    from rich.text import Text

    for i, line in enumerate(text.wrap(to, to.width - 5)):
        line.rstrip()
        to.print(Text("     " if i else "   ").append_text(line))


def tell_macros(*files: Path) -> None:
    """Say on standard error which of some workbooks hold macros, and that none was run."""
    from longhold.intake.workbook import is_workbook_name, macro_words

    for file in files:
        if is_workbook_name(file) and (told := macro_words(file.name, file.read_bytes())):
            print(plain(told), file=sys.stderr)


@contextmanager
def progress_bar(words: str) -> Iterator[Callable[[int, int], None] | None]:
    """A bar on standard error while something long runs; None where nobody would see it."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(words, total=None)

        def done(count: int, total: int) -> None:
            bar.update(task, completed=count, total=total)

        yield done
