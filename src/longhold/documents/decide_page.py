"""The page on what to do with each joint that stands: one HTML file that stands alone."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import TYPE_CHECKING

from longhold.documents.decide_view import (
    assumed_rows,
    decide_lede,
    decision_rows,
    next_words,
    turned_lines,
)
from longhold.documents.page import page
from longhold.documents.thresholds_view import turns_on

if TYPE_CHECKING:
    from longhold.inspect.decide import Decisions, Turned

__all__ = ["decide_html", "foot_words"]

_FOOT_LETTERS = 90


def decide_html(
    found: Decisions, turns: Sequence[Turned] | None, *, stated_next: bool, file: str, as_of: datetime.date
) -> str:
    """The page as a self-contained HTML file.

    Parameters
    ----------
    turns : what readings turn; None where there are none
    stated_next : whether the time to the next visit was stated
    file : name of the table of readings; blank without
    as_of : date that the page carries
    """
    return page(
        "decide.html.j2",
        foot_words(found.structure.name, as_of, found.version, found.seed),
        [],
        found.structure.units,
        found=found,
        structure=found.structure,
        file=file,
        as_of=as_of,
        lede=decide_lede(found, turns),
        rows=decision_rows(found, turns or ()),
        turns=turned_lines(turns or ()),
        next=next_words(found.asked),
        assumed=assumed_rows(found, stated_next=stated_next),
        turns_on=turns_on("decisions", invented=found.costs.invented),
    )


def foot_words(name: str, as_of: datetime.date, version: str, seed: int) -> str:
    """Words at the foot of each printed page."""
    short = name if len(name) <= _FOOT_LETTERS else f"{name[:_FOOT_LETTERS]}…"
    return f"{short} · {as_of.isoformat()} · Longhold {version} · seed {seed}"
