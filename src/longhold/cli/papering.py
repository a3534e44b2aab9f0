"""Papers from a choice as files, for ``choose --papers``."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from longhold.base.errors import InputError, Problem
from longhold.base.extras import Extra, lacking
from longhold.cli.output import check_folder, check_target, refuse_overwriting, write_whole

if TYPE_CHECKING:
    from longhold.choose.choice import Choice, Market
    from longhold.documents.papers.model import Papers

__all__ = ["check_papers", "write_papers"]

_OPTION = "--papers"
_NEEDS: dict[str, tuple[str, Extra]] = {".pdf": ("typst", "pdf"), ".xlsx": ("openpyxl", "xlsx")}
_ENDINGS = (".pdf", ".xlsx", ".html")
_NAMES = ("schedule.pdf", "order.pdf", "submittal.pdf", "site_card.pdf", "papers.xlsx", "papers.html")


def check_papers(target: Path, inputs: Iterable[Path]) -> None:
    """Refuse, before any work is done, a target that cannot be written or is an input.

    Raises
    ------
    InputError : no such folder, a file that is read here, or a library that is not installed
    """
    ending = target.suffix.casefold()
    alone = ending in _ENDINGS and not target.is_dir()
    if alone:
        check_target(target, _OPTION)
    elif ending and not target.exists():
        do = "Name a folder that is there, or one file that ends in .pdf, .xlsx or .html."
        raise InputError(Problem(_OPTION, str(target), "is no folder, and no paper ends so.", do))
    else:
        check_folder(target, _OPTION)
    for one in [target] if alone else [target / name for name in _NAMES]:
        refuse_overwriting(one, _OPTION, inputs)
        if not alone:
            check_target(one, _OPTION)
    for needs in [ending] if alone else [".pdf", ".xlsx"]:
        _check_library(target, needs)


def write_papers(target: Path, market: Market, choice: Choice, *, draws: int, seed: int) -> None:
    """Write all papers, each file whole or not at all, and say where they are."""
    from longhold.cli.show import console, plain, progress_bar
    from longhold.documents.papers.made import papers_of

    with progress_bar("Writing papers"):
        papers = papers_of(market, choice, as_of=date.today(), draws=draws, seed=seed)
    ending = target.suffix.casefold()
    if ending in _ENDINGS and not target.is_dir():
        made = {target: _whole(papers)[ending]()}
    else:
        made = {target / name: make() for name, make in _parts(papers).items()}
    for path, content in made.items():
        write_whole(path, content)
    to = console()
    to.print(plain(f"Papers: {', '.join(str(path) for path in made)}"))
    if any(path.suffix.casefold() == ".pdf" for path in made):
        from longhold.documents.papers.pdf import unprintable

        if told := unprintable(papers):
            to.print(plain(f"In the PDF {told}"))


def _whole(papers: Papers) -> Mapping[str, Callable[[], str | bytes]]:
    from longhold.documents.papers.html import papers_html
    from longhold.documents.papers.pdf import papers_pdf
    from longhold.documents.papers.sheet import papers_xlsx

    return {
        ".pdf": lambda: papers_pdf(papers),
        ".xlsx": lambda: papers_xlsx(papers),
        ".html": lambda: papers_html(papers),
    }


def _parts(papers: Papers) -> Mapping[str, Callable[[], str | bytes]]:
    from longhold.documents.papers.pdf import card_pdf, paper_pdf

    whole = _whole(papers)
    return {
        "schedule.pdf": lambda: paper_pdf(papers, papers.schedule),
        "order.pdf": lambda: paper_pdf(papers, papers.order),
        "submittal.pdf": lambda: paper_pdf(papers, papers.submittal),
        "site_card.pdf": lambda: card_pdf(papers),
        "papers.xlsx": whole[".xlsx"],
        "papers.html": whole[".html"],
    }


def _check_library(target: Path, ending: str) -> None:
    if ending not in _NEEDS:
        return
    module, extra = _NEEDS[ending]
    if find_spec(module) is None:
        do = "Or name one file that ends in .html."
        raise InputError(lacking(_OPTION, extra, value=str(target), otherwise=do))
