"""The figures that a plan, a decision, a reading or a choice turns on, each with its mark."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from markupsafe import Markup

from longhold.base.marks import Mark, weakest
from longhold.base.tables import figures
from longhold.documents.page import fragment

__all__ = ["Answers", "TurnsOn", "figure_words", "turns_on", "turns_on_part"]

Answers = Literal["plan", "decisions", "readings", "choice"]
_INSPECT, _CHOOSE, _SCATTER = "inspect/thresholds.csv", "choose/thresholds.csv", "inspect/spreads.csv"
_OF: Mapping[Answers, tuple[str, Sequence[str]]] = {
    "plan": (
        _INSPECT,
        (
            *("least_turned", "least_unsafe", "sure_sds", "turned_step", "most_taken", "most_tried"),
            *("most_kinds", "treatable", "shortest_life"),
        ),
    ),
    "decisions": (_INSPECT, ("treatable", "shortest_life")),
    "readings": (_INSPECT, ("far_off", "likely_wild", "moved_least", "most_over_new")),
    "choice": (_CHOOSE, ("most_renewals", "most_ages", "fewest_draws", "most_errors")),
}
_COUNTED = frozenset({"-", "sd", "errors"})
"""Units that the meaning names already."""


@dataclass(frozen=True)
class TurnsOn:
    """Figures that an answer turns on.

    Attributes
    ----------
    rows : meaning, what is taken, and mark of each
    mark : weakest of all that the answer rests on. A forecast rests on no weaker one than our own choices,
        which these are; prices and costs may be invented
    """

    rows: tuple[tuple[str, str, str], ...]
    mark: Mark


def turns_on(answers: Answers, *, invented: bool = False) -> TurnsOn:
    """What a kind of answer turns on.

    Parameters
    ----------
    invented : whether prices and costs that it rests on are

    >>> turns_on("choice").rows[1][1:], turns_on("choice").mark.value
    (('12 ages', 'own'), 'own')
    """
    path, names = _OF[answers]
    rows = [figures(path)[name] for name in names]
    scatter = figures(_SCATTER).values() if path == _INSPECT else ()
    return TurnsOn(
        tuple((row["meaning"], figure_words(row["value"], row["unit"]), row["mark"].value) for row in rows),
        weakest([*(row["mark"] for row in (*rows, *scatter)), *([Mark.INVENTED] if invented else [])]),
    )


def turns_on_part(answers: Answers, *, invented: bool = False) -> Markup:
    """The same as a table for a page that has a head and a style of its own."""
    return fragment("turns_on.html.j2", [], "us", turns_on=turns_on(answers, invented=invented))


def figure_words(value: float, unit: str) -> str:
    """A figure of a table as people read it.

    >>> figure_words(0.05, "share"), figure_words(20.0, "um"), figure_words(3.3, "sd")
    ('5 %', '20 µm', '3.3')
    """
    if unit == "share":
        return f"{100.0 * value:g} %"
    return f"{value:g}" if unit in _COUNTED else f"{value:g} {unit}".replace(" um", " µm")
