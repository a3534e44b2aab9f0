"""The choice and its papers as work: computed once for all who ask the same, from what is kept."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from importlib.util import find_spec
from pathlib import PurePath
from typing import TYPE_CHECKING

from longhold.base.extras import Extra, get_extra, needs_extra
from longhold.choose.choice import market_for
from longhold.choose.deliberation import Deliberation, deliberate
from longhold.documents.choice_page import choice_html
from longhold.documents.papers.html import papers_html
from longhold.documents.papers.made import papers_of
from longhold.documents.papers.pdf import card_pdf, paper_pdf, papers_pdf, unprintable
from longhold.documents.papers.sheet import papers_xlsx
from longhold.intake.load import structure_of
from longhold.web.cost_form import CostForm
from longhold.web.purchase_view import ConflictRow, JointRow, conflict_rows, joint_rows
from longhold.web.supplier_lists import HeldList, held_list

if TYPE_CHECKING:
    from longhold.documents.papers.model import Papers
    from longhold.model.costs import Costs
    from longhold.model.structure import Structure
    from longhold.store import Store
    from longhold.web.purchase_question import Question
    from longhold.web.work import Progress

__all__ = ["FILES", "Made", "Purchase", "chosen", "made", "missing", "written"]

_NEEDS: Mapping[str, tuple[str, Extra]] = {".pdf": ("typst", "pdf"), ".xlsx": ("openpyxl", "xlsx")}
_DRAWS, _SEED = 1000, 1
_PDF, _HTML = "application/pdf", "text/html; charset=utf-8"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
FILES: Mapping[str, tuple[str, str, str]] = {
    "schedule.pdf": ("Schedule", "what goes where, joint by joint", _PDF),
    "order.pdf": ("Order", "what the supplier gets: packs and prices", _PDF),
    "submittal.pdf": (
        "Submittal",
        "for the official: each joint with its code, forecast and calculation",
        _PDF,
    ),
    "site_card.pdf": ("Site card", "for the pocket: what to use, and what never", _PDF),
    "papers.pdf": ("All papers", "in one file", _PDF),
    "papers.xlsx": ("All tables", "as a workbook", _XLSX),
    "papers.html": ("All papers", "as a page", _HTML),
    "choice.html": ("The whole choice", "with what else could have been bought", _HTML),
}
"""Files that come from a choice: title, what it is for, media type."""


@dataclass(frozen=True)
class Purchase:
    """A choice as the page shows it.

    Attributes
    ----------
    found : the choice and what stands beside it
    joints, conflicts : joint by joint
    listed : the list that it was chosen from
    as_of : the day
    """

    found: Deliberation
    joints: tuple[JointRow, ...]
    conflicts: tuple[ConflictRow, ...]
    listed: HeldList
    as_of: datetime.date


@dataclass(frozen=True)
class Made:
    """Papers from a choice.

    Attributes
    ----------
    papers : schedule, order, submittal and site card
    told : what the PDF cannot print; blank where it prints all
    beside : what was typed beside the structure and is in no result; blank for nothing
    """

    papers: Papers
    told: str
    beside: str


def chosen(store: Store, asked: Question, as_of: datetime.date) -> Callable[[Progress], Purchase]:
    """What computes a choice, once everything that it needs has been found sound.

    Raises
    ------
    InputError : what cannot be used in the structure or the costs
    NotInStore : a structure, version or list that is not kept
    """
    structure = structure_of(dict(store.at(asked.structure, asked.version).content))
    listed = held_list(store, asked.offers)
    costs = CostForm.of(asked.costs, listed.currencies).costs()
    return partial(_choose, structure, listed, costs, asked, as_of)


def _choose(
    structure: Structure,
    listed: HeldList,
    costs: Costs,
    asked: Question,
    as_of: datetime.date,
    step: Progress,
) -> Purchase:
    market = market_for(
        structure,
        listed.offers(),
        costs,
        locks={(joint, part): item for joint, part, item in asked.locks},
        bans=frozenset(asked.bans),
        draws=_DRAWS,
        seed=_SEED,
        progress=lambda done, total: step(done, total + 1),
    )
    groups = len(market.groups)
    found = deliberate(
        market,
        without=asked.without,
        turning=True,
        progress=lambda done, total: step(groups + done, groups + total + 1),
    )
    rows = joint_rows(market, found.chosen)
    return Purchase(found, rows, conflict_rows(market, found.chosen), listed, as_of)


def made(purchase: Purchase, left_out: str, step: Progress) -> Made:
    """The papers of a choice.

    Parameters
    ----------
    left_out : what was typed beside the structure and is in no result, for every paper; blank for nothing
    """
    step(0, 2)
    found = purchase.found
    papers = papers_of(found.market, found.chosen, as_of=purchase.as_of, draws=_DRAWS, seed=_SEED)
    if left_out:
        papers = replace(papers, head=replace(papers.head, notes=(left_out, *papers.head.notes)))
    step(1, 2)
    return Made(papers, unprintable(papers), left_out)


def missing(name: str) -> str:
    """What must be installed on this server before a file can be written; blank where nothing is missing."""
    ending = PurePath(name).suffix
    if ending not in _NEEDS:
        return ""
    module, extra = _NEEDS[ending]
    if find_spec(module) is not None:
        return ""
    return f"{needs_extra(extra)} {get_extra(extra)}"


def written(name: str, purchase: Purchase, done: Made) -> bytes:
    """One of the files."""
    papers = done.papers
    writers: Mapping[str, Callable[[], str | bytes]] = {
        "schedule.pdf": lambda: paper_pdf(papers, papers.schedule),
        "order.pdf": lambda: paper_pdf(papers, papers.order),
        "submittal.pdf": lambda: paper_pdf(papers, papers.submittal),
        "site_card.pdf": lambda: card_pdf(papers),
        "papers.pdf": lambda: papers_pdf(papers),
        "papers.xlsx": lambda: papers_xlsx(papers),
        "papers.html": lambda: papers_html(papers),
        "choice.html": lambda: choice_html(
            purchase.found, purchase.listed.refused, purchase.as_of, done.beside
        ),
    }
    content = writers[name]()
    return content.encode() if isinstance(content, str) else content
