"""Records of checks as files: PDF or a page."""

from __future__ import annotations

from collections.abc import Iterable
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking

if TYPE_CHECKING:
    from longhold.documents.papers.model import Record

__all__ = ["check_record", "write_record"]

_OPTION = "--report"


def check_record(target: Path, inputs: Iterable[Path]) -> None:
    """Refuse, before any work is done, a target that cannot be written.

    Raises
    ------
    InputError : no folder, another ending, an input, or a library that is not installed
    """
    from longhold.cli.output import check_target, refuse_overwriting

    if target.suffix.casefold() not in {".pdf", ".html"}:
        raise InputError(Problem(_OPTION, str(target), "must end in .pdf or .html.", "Choose another name."))
    refuse_overwriting(target, _OPTION, inputs)
    check_target(target, _OPTION)
    if target.suffix.casefold() == ".pdf" and find_spec("typst") is None:
        do = "Or name a file that ends in .html."
        raise InputError(lacking(_OPTION, "pdf", value=str(target), otherwise=do))


def write_record(target: Path, record: Record) -> None:
    """Write a record whole, and say what its fonts could not print."""
    from longhold.cli.output import write_whole
    from longhold.cli.show import console, plain

    if target.suffix.casefold() == ".html":
        from longhold.documents.papers.html import record_html

        write_whole(target, record_html(record))
        return
    from longhold.documents.papers.pdf import record_pdf, unprintable_in

    write_whole(target, record_pdf(record))
    if told := unprintable_in(record):
        console().print(plain(f"In the PDF {told}"))
