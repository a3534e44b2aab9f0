"""Area strength, files on sheet steel: a case in words, a quantity, and its published or computed value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from longhold.validate.area import Area, Judged, Row, UnansweredError, number_in
from longhold.validate.statuses import by_status, status_tag

__all__ = ["STEEL"]

_GIVEN = ("case", "quantity", "unit")
_COMPUTED_RELATIVE = 2e-4
"""Cases write a thickness left with five decimals, a hundredth of a per cent of it."""


class _Expected(NamedTuple):
    value: float
    within: float
    published: bool
    status: str

    def __str__(self) -> str:
        return f"{self.value:g}"


def _expect(row: Row) -> _Expected:
    status = row.get("status", "").strip()
    if row.get("published", "").strip():
        decimals = len(row["published"].strip().partition(".")[2])
        return _Expected(number_in(row, "published"), 0.5 * 10.0**-decimals, True, status)
    value = number_in(row, "value")
    return _Expected(value, _COMPUTED_RELATIVE * abs(value), False, status)


def _answer(given: Mapping[str, str]) -> float:
    from longhold.strength.steel_rows import answer_steel_case
    from longhold.strength.steel_words import NotUnderstoodError

    try:
        return answer_steel_case(given["case"], given["quantity"], given["unit"])
    except NotUnderstoodError as fault:
        raise UnansweredError(f"not understood: {fault}") from None


def _judge(expected: _Expected, answer: float) -> Judged:
    error = (answer - expected.value) / expected.value if expected.value else None
    agrees = abs(answer - expected.value) <= expected.within
    why = ""
    if not agrees:
        why = (
            f"differs by more than half the last printed digit, {expected.within:g}"
            if expected.published
            else f"differs by more than {_COMPUTED_RELATIVE:.2%}"
        )
    return Judged(str(expected), f"{answer:.6g}", agrees, why, error, (status_tag(expected.status),))


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    errors = [abs(one.error) for one in judged if one.error is not None]
    return {"max_abs_relative_error": round(max(errors), 6)} if errors else {}


def _together(rows: list[dict[str, str]]) -> list[dict[str, str]]:
    from longhold.strength.steel_words import resolve_same

    cases = resolve_same([row.get("case", "") for row in rows])
    return [{**row, "case": case} for row, case in zip(rows, cases, strict=True)]


STEEL = Area(
    name="strength",
    words="sheet steel with screws, bolts or nails: right within half the last printed digit",
    columns=(*_GIVEN, "value", "published"),
    given=_GIVEN,
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=_figures,
    tags=lambda expected: (status_tag(expected.status),),
    tables=by_status,
    together=_together,
)
