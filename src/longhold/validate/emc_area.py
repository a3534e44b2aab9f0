"""Area emc: moisture content of wood at rest, against a published table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from longhold.base.errors import InputError
from longhold.validate.area import Area, Judged, UnansweredError, number_in

__all__ = ["EMC"]

_WITHIN_PCT = 0.1


def _answer(given: Mapping[str, str]) -> float:
    from longhold.wood.sorption import equilibrium_moisture_pct

    try:
        temperature_c = (number_in(given, "temp_F") - 32.0) / 1.8
        return float(equilibrium_moisture_pct(temperature_c, number_in(given, "rh_pct")))
    except (ValueError, InputError) as error:
        raise UnansweredError(str(error)) from None


def _judge(expected: float, answer: float) -> Judged:
    error = answer - expected
    right = abs(error) <= _WITHIN_PCT
    why = "" if right else f"differs by {error:+.3f} % moisture, more than {_WITHIN_PCT}"
    return Judged(f"{expected:g}", f"{answer:.3f}", right, why, error)


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    errors = [one.error for one in judged if one.error is not None]
    if not errors:
        return {}
    return {
        "max_abs_error_pct_moisture": round(max(map(abs, errors)), 4),
        "mean_abs_error_pct_moisture": round(sum(map(abs, errors)) / len(errors), 4),
        "mean_error_pct_moisture": round(sum(errors) / len(errors), 4),
    }


EMC = Area(
    name="emc",
    words="moisture content of wood at rest in air: right within 0.1 % moisture",
    columns=("temp_F", "rh_pct", "emc_pct_published"),
    given=("temp_F", "rh_pct"),
    expect=lambda row: number_in(row, "emc_pct_published"),
    answer=_answer,
    judge=_judge,
    figures=_figures,
)
