"""Area wood: orders, ratios, rates and thresholds of metal in wood, against what is published."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.errors import InputError
from longhold.validate.area import Area, Judged, Row, Table, UnansweredError

if TYPE_CHECKING:
    from longhold.validate.wood_answers import Answer

__all__ = ["WOOD"]

_GIVEN = (
    "kind",
    "metal",
    "coating",
    "wood_treatment",
    "retention",
    "condition",
    "duration_yr",
    "quantity",
    "compared_with",
)
# a simulated depth is met within this factor, a threshold within this moisture (own)
_WITHIN_FACTOR, _WITHIN_PCT_MOISTURE = 1.3, 1.0
_ROUNDING = 1e-9
_TO_UM_YR = {
    "um/yr": 1.0,
    "um/y": 1.0,
    "um/a": 1.0,
    "mm/yr": 1000.0,
    "nm/yr": 0.001,
    "mpy": 25.4,
    "mil/yr": 25.4,
}


@dataclass(frozen=True)
class _Published:
    """Least and most that a row allows; None where it leaves the side open."""

    low: float | None
    high: float | None
    unit: str
    unreadable: str

    def __str__(self) -> str:
        if self.unreadable:
            return self.unreadable
        if self.low is not None and self.low == self.high:
            return f"{self.low:g} {self.unit}"
        if self.low is None or self.high is None:
            told = f"below {self.high:g}" if self.low is None else f"above {self.low:g}"
        else:
            told = f"{self.low:g} to {self.high:g}"
        return f"{told} {self.unit.rstrip(' <>=')}"


@dataclass(frozen=True)
class _Said:
    """An answer, or why there is none, with the row's words."""

    kind: str
    about: str
    answer: Answer | None
    why: str


@dataclass(frozen=True)
class _WoodJudged(Judged):
    """Judged, with what the tables show."""

    kind: str = ""
    about: str = ""
    answer: Answer | None = None
    sets_right: tuple[str, ...] = ()


def _expect(row: Row) -> _Published:
    """What a row expects; a row that cannot be read is left unanswered, for it must not cost the others."""
    values: list[float | None] = []
    for name in ("value_low", "value_high"):
        text = row[name].strip()
        try:
            values.append(float(text) if text else None)
        except ValueError:
            return _Published(None, None, "", f"{name} is {text!r}, not a number")
    if all(value is None or not math.isfinite(value) for value in values):
        return _Published(None, None, "", "neither value_low nor value_high is given")
    return _Published(values[0], values[1], row["unit"].strip(), "")


def _answer(given: Mapping[str, str]) -> _Said:
    from longhold.validate.wood_answers import answer_question
    from longhold.validate.wood_rows import read_question

    kind = given["kind"].strip().lower() or "not stated"
    about = ", ".join(
        given[name] for name in ("metal", "coating", "wood_treatment") if given[name] not in ("", "none")
    )
    try:
        return _Said(kind, about, answer_question(read_question(given)), "")
    except (UnansweredError, InputError) as error:
        return _Said(kind, about, None, str(error))


def _judge(expected: _Published, said: _Said) -> Judged:
    right: bool | None = None
    sets: tuple[str, ...] = ()
    why = said.why
    if said.answer is not None and expected.unreadable:
        why = "what is expected cannot be read"
    elif said.answer is not None and said.kind == "envelope":
        why = _of_envelope(expected, said.answer)
    elif said.answer is not None:
        right, why, sets = _held(expected, said.answer)
        why = "; ".join(filter(None, (why, *said.answer.words)))
    got = "no answer" if said.answer is None else str(said.answer)
    return _WoodJudged(str(expected), got, right, why, None, (), said.kind, said.about, said.answer, sets)


def _of_envelope(expected: _Published, answer: Answer) -> str:
    place = "inside" if _inside(expected, answer, strict=False) else "outside"
    return f"printed, not asserted: {place} the recalled envelope"


def _held(expected: _Published, answer: Answer) -> tuple[bool | None, str, tuple[str, ...]]:
    """Whether an answer is right, why, and the parameter sets that meet it."""
    if answer.unit == "% MC":
        met = tuple(name for name, value in answer.by_set.items() if _near(value, expected))
        return bool(met), f"met by {' and '.join(met) or 'no parameter set'}", met
    if answer.unit == "um/yr":
        factor = _TO_UM_YR.get(expected.unit)
        if factor is None:
            return None, f"unit {expected.unit!r} is not one of {', '.join(_TO_UM_YR)}", ()
        expected = _Published(_times(expected.low, factor), _times(expected.high, factor), "um/yr", "")
    if answer.unit == "mm" and expected.unit != "mm":
        return None, f"unit {expected.unit!r} is not mm", ()
    if answer.unit == "um":
        wide = _Published(
            _times(expected.low, 1 / _WITHIN_FACTOR), _times(expected.high, _WITHIN_FACTOR), "um", ""
        )
        right = _inside(wide, answer, strict=False)
        return right, "" if right else f"off by more than a factor of {_WITHIN_FACTOR:g}", ()
    right = _inside(expected, answer, strict=answer.unit == "ratio" and "=" not in expected.unit)
    return right, "" if right else "does not hold for every alternative and parameter set", ()


def _inside(expected: _Published, answer: Answer, *, strict: bool) -> bool:
    """Whether the whole band lies inside; an order, with one side open, asks for more than equality."""
    one_sided = expected.low is None or expected.high is None
    slack = -_ROUNDING if strict and one_sided else _ROUNDING
    above = expected.low is None or answer.low > expected.low - slack * max(1.0, abs(expected.low))
    below = expected.high is None or answer.high < expected.high + slack * max(1.0, abs(expected.high))
    return above and below


def _near(value: float, expected: _Published) -> bool:
    low = -math.inf if expected.low is None else expected.low
    high = math.inf if expected.high is None else expected.high
    return low - _WITHIN_PCT_MOISTURE <= value <= high + _WITHIN_PCT_MOISTURE


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def _own(judged: Sequence[Judged]) -> list[_WoodJudged]:
    return [one for one in judged if isinstance(one, _WoodJudged)]


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    figures: dict[str, float] = {}
    for kind in dict.fromkeys(one.kind for one in _own(judged)):
        of_kind = [one for one in _own(judged) if one.kind == kind]
        name = kind.replace("-", "_").replace(" ", "_")
        figures[f"{name}_rows"] = len(of_kind)
        if kind == "envelope":
            figures["envelope_inside"] = sum("inside" in one.why for one in of_kind)
            continue
        figures[f"{name}_answered"] = sum(one.right is not None for one in of_kind)
        figures[f"{name}_right"] = sum(one.right is True for one in of_kind)
    return figures


def _tables(judged: Sequence[Judged]) -> Sequence[Table]:
    own = _own(judged)
    tables = []
    thresholds = [one for one in own if one.answer is not None and one.answer.unit == "% MC"]
    if thresholds:
        tables.append(_threshold_table(thresholds))
    envelopes = [one for one in own if one.kind == "envelope"]
    if envelopes:
        rows = tuple((one.about, one.got, one.expected, one.why.rpartition(": ")[2]) for one in envelopes)
        title = "Envelopes recalled, printed and not asserted"
        tables.append(Table(title, ("Metal and wood", "Longhold", "Recalled", ""), rows))
    return tables


def _threshold_table(judged: Sequence[_WoodJudged]) -> Table:
    names = tuple(judged[0].answer.by_set) if judged[0].answer else ()
    meets_all = [name for name in names if all(name in one.sets_right for one in judged)]
    if meets_all:
        title = f"Thresholds of moisture: {' and '.join(meets_all)} meets every row"
    else:
        title = "Thresholds of moisture: the rows conflict, no one parameter set meets them all"
    rows = []
    for one in judged:
        answer = one.answer
        assert answer is not None  # noqa: S101  rows without an answer are not in this table
        told = [
            f"{value:.1f}{'' if name in one.sets_right else ' (not met)'}"
            for name, value in answer.by_set.items()
        ]
        rows.append((one.about, one.expected, *told))
    return Table(title, ("Metal and wood", "Published", *names), tuple(rows))


WOOD = Area(
    name="wood",
    words="metal in wood: orders, ratios and zeros must hold for both parameter sets, a threshold for one",
    columns=(*_GIVEN, "value_low", "value_high", "unit"),
    given=_GIVEN,
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=_figures,
    tables=_tables,
)
