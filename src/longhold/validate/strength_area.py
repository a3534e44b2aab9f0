"""Area strength: printed values of connections, against the same yield limit equations."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from longhold.validate.area import Area, Judged, Row, UnansweredError, number_in
from longhold.validate.statuses import by_status, status_tag

__all__ = ["STRENGTH"]

_GIVEN = (
    "standard",
    "table",
    "fastener",
    "designation",
    "D_in",
    "side_member",
    "ls_in",
    "main_in",
    "G",
    "theta_main",
    "theta_side",
    "shear",
    "quantity",
)
_MISMATCH = "documented mismatch"


class _Printed(NamedTuple):
    value: float
    rounding: float
    documented_mismatch: bool
    status: str

    def __str__(self) -> str:
        return f"{self.value:g}"


def _expect(row: Row) -> _Printed:
    rounding = number_in(row, "rounding")
    if rounding <= 0:
        raise ValueError(f"rounding is {rounding:g}, must be more than zero")
    return _Printed(
        number_in(row, "tabulated"),
        rounding,
        row.get("agrees", "").strip().upper() == "NO",
        row.get("status", ""),
    )


def _answer(given: Mapping[str, str]) -> float:
    from longhold.strength.nds_tables import answer_row

    value = answer_row(given)
    if value is None:
        asked = " ".join(given.get(name, "") for name in ("standard", "table", "fastener", "quantity"))
        raise UnansweredError(f"not covered: {' '.join(asked.split())}")
    return value


def _judge(expected: _Printed, answer: float) -> Judged:
    error = (answer - expected.value) / expected.value if expected.value else None
    agrees = abs(answer - expected.value) <= expected.rounding / 2
    got = f"{answer:.6g}"
    if expected.documented_mismatch:
        why = f"{_MISMATCH}: the file marks it as not agreeing; never counted as right"
        return Judged(str(expected), got, False, why, error, (_MISMATCH, status_tag(expected.status)))
    why = "" if agrees else f"differs by more than half the printed step of {expected.rounding:g}"
    return Judged(str(expected), got, agrees, why, error, (status_tag(expected.status),))


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    errors = [abs(one.error) for one in judged if one.error is not None and _MISMATCH not in one.tags]
    figures: dict[str, float] = {"documented_mismatches": sum(_MISMATCH in one.tags for one in judged)}
    if errors:
        figures["max_abs_relative_error"] = round(max(errors), 6)
        figures["mean_abs_relative_error"] = round(sum(errors) / len(errors), 6)
    return figures


STRENGTH = Area(
    name="strength",
    words="printed and hand-computed values of connections: right within half the last figure",
    columns=(*_GIVEN, "tabulated", "rounding"),
    given=_GIVEN,
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=_figures,
    tags=lambda expected: (status_tag(expected.status),),
    tables=by_status,
)
