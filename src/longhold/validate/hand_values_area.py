"""Area strength, other layout: hand values of EN 1995-1-1 told in words, against the same equations."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor, log10
from typing import NamedTuple

from longhold.validate.area import Area, Judged, Row, Table, UnansweredError, number_in

__all__ = ["HAND_VALUES"]

_GIVEN = ("case", "quantity", "unit")
_ROUNDED_BY_HAND = 0.0005
_MIN_FIGURES = 3
_OUTSIDE = ("verified", "verified-secondary")
_KINDS = {
    "verified": "outside check, read in its source",
    "verified-secondary": "outside check, read second hand",
    "memory": "recalled, not read",
    "computed": "code check: computed with the same equations",
}
_UNSAID = "not stated"


class _Hand(NamedTuple):
    value: float
    status: str

    def __str__(self) -> str:
        return f"{self.value:g}"


class _Answer(NamedTuple):
    value: float


def _expect(row: Row) -> _Hand:
    return _Hand(number_in(row, "expected"), row.get("status", "").strip().lower() or _UNSAID)


def _answer(given: Mapping[str, str]) -> _Answer:
    from longhold.strength.ec5_answers import answer_ec5
    from longhold.strength.ec5_told import NotToldError

    try:
        return _Answer(answer_ec5(given))
    except NotToldError as error:
        raise UnansweredError(f"not understood: {error}") from None


def _allowed(value: float) -> float:
    """Half a step of the last figure that is not a zero, three figures at the least, or 0.05 %."""
    if value == 0.0:
        return 0.0
    digits = f"{abs(value):.10g}".replace(".", "").lstrip("0").rstrip("0").split("e")[0]
    figures = max(len(digits), _MIN_FIGURES)
    step = 10.0 ** (floor(log10(abs(value))) - figures + 1)
    return max(step / 2.0, _ROUNDED_BY_HAND * abs(value))


def _judge(expected: _Hand, answer: _Answer) -> Judged:
    error = (answer.value - expected.value) / expected.value if expected.value else None
    allowed = _allowed(expected.value)
    agrees = abs(answer.value - expected.value) <= allowed
    why = "" if agrees else f"differs by more than {allowed:.3g}"
    return Judged(str(expected), f"{answer.value:.6g}", agrees, why, error, (expected.status,))


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    answered = [one for one in judged if one.right is not None]
    outside = [one for one in answered if set(one.tags) & set(_OUTSIDE)]
    figures: dict[str, float] = {
        "outside_checks_answered": len(outside),
        "outside_checks_right": sum(one.right is True for one in outside),
    }
    errors = [abs(one.error) for one in outside if one.error is not None]
    if errors:
        figures["outside_max_abs_relative_error"] = round(max(errors), 6)
    return figures


def _tables(judged: Sequence[Judged]) -> Sequence[Table]:
    found = []
    for status in dict.fromkeys(tag for one in judged for tag in one.tags):
        own = [one for one in judged if status in one.tags]
        errors = [abs(one.error) for one in own if one.error is not None]
        right = sum(one.right is True for one in own)
        worst = f"{100 * max(errors):.2f} %" if errors else ""
        found.append(
            (status, _KINDS.get(status, "not counted as an outside check"), str(len(own)), str(right), worst)
        )
    if not found:
        return ()
    heads = ("status", "what it is", "answered", "right", "largest difference")
    return (Table("Answered rows by how their value is known", heads, tuple(found)),)


HAND_VALUES = Area(
    name="strength",
    words="hand values of EN 1995-1-1 section 8: right within half the last figure, or 0.05 %",
    columns=(*_GIVEN, "expected"),
    given=_GIVEN,
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=_figures,
    tables=_tables,
)
