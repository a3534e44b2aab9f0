"""Whether a written figure agrees with the class beside it, and which row it picks where there is none."""

from __future__ import annotations

from dataclasses import replace

from longhold.labels.amounts import as_typed
from longhold.labels.catalogue import printed_name
from longhold.labels.claims import Claim
from longhold.labels.limits import limit
from longhold.labels.loose import explicit, one_each
from longhold.labels.options import Found, Option
from longhold.labels.said import Said
from longhold.labels.spelling import refuse

__all__ = ["settle_figures"]

_FITS, _MISSES = 2.0, 9.0
_WORDS = {"dip_after_making": "zinc dipped after making", "spun_dip": "zinc dipped and spun"}


def settle_figures(said: Said, found: Found) -> Found:
    """Keep the candidates that the written figures fit.

    Raises
    ------
    LabelError : where they fit none, and are no more than the standard asks for
    """
    told, basis = said.faced_figures
    figures = [figure for figure in told if figure.extra != "most"]
    if not figures:
        return found
    errors = {option: _error(figures, option, basis) for option in found.options}
    fitting = [option for option, error in errors.items() if error <= _FITS]
    if not fitting:
        return _beyond(said, found, figures, basis)
    if fitting[0].group == "dip":
        best = min(errors[option] for option in fitting)
        fitting = [option for option in fitting if errors[option] == best]
    return replace(found, options=tuple(fitting), question=found.question if len(fitting) > 1 else "")


def _error(figures: list[Claim], option: Option, basis: str) -> float:
    """How far the worst figure is from the row: up to 1 from its mean, up to 2 from its least, else more."""
    return max(_one_error(figure, option, basis) for figure in figures)


def _one_error(figure: Claim, option: Option, basis: str) -> float:
    coat, value = option.coat, figure.number
    if coat is None or value is None:
        return 0.0
    if figure.name == "mass":
        counted = basis or option.counted
        value *= 0.5 if counted == "both" else 1.0
        rows = {"mean": coat.nominal_g_m2, "least": coat.least_g_m2}
        slack = limit("figures", "tolerance") * value
    else:
        value *= 0.5 if basis == "both" else 1.0
        rows = {"mean": coat.nominal_um, "least": coat.least_um}
        slack = max(limit("figures", "rounding_um"), limit("figures", "tolerance") * value)
    senses = [figure.extra] if figure.extra in rows else ["mean", "least"]
    if all(row is None for row in rows.values()):
        return 0.0
    if figure.extra == "least":  # a least mean is a least too: "min 1.00 oz/ft2" of A153 class D
        senses.append("mean")
    for worse, sense in enumerate(senses):
        row = rows[sense]
        if row is not None and abs(value - row) <= slack:
            return worse + abs(value - row) / slack
    return _MISSES


def _beyond(said: Said, found: Found, figures: list[Claim], basis: str) -> Found:
    """A dipped part may be asked to carry more than the standard's least; anything else is at odds."""
    first = found.options[0]
    coat = first.coat
    by_class = bool(said.of("class_of", "grade_of", "hdg_mass"))
    if first.group == "dip" and not by_class and coat is not None and coat.density_g_cm3 is not None:
        option = explicit(
            one_each(said, figures),
            basis or "one",
            coat.process,
            f"{_short(first.protection.standard)}, {_WORDS.get(coat.process, 'zinc')}",
            g_m2_per_um=coat.density_g_cm3,
            standard=first.protection.standard,
        )
        written = option.coat.nominal_um if option.coat else None
        tops = [o.coat.nominal_um for o in found.options if o.coat and o.coat.nominal_um is not None]
        if written is not None and tops and written > min(tops):
            return Found((replace(option, group="dip"),))
    name = (
        first.protection.designation
        if len(found.options) == 1
        else (first.protection.standard or printed_name(""))
    )
    odd = [f for f in figures if all(_one_error(f, o, basis) > _FITS for o in found.options)] or figures
    given = " and ".join(map(as_typed, odd))
    fit = "does not fit" if len(odd) == 1 else "do not fit"
    um = f" ({_shown(first)})" if len(found.options) == 1 else ""
    raise refuse(said, f"is at odds with itself: {given} {fit} {name}{um}.")


def _short(standard: str) -> str:
    """ASTM A123/A123M is ASTM A123."""
    return standard.split("/")[0] if standard.startswith("ASTM") else standard


def _shown(option: Option) -> str:
    coat = option.coat
    if coat is None or coat.nominal_um is None:
        return "amount not stated"
    least = "" if coat.least_um is None else f", at least {coat.least_um:g} um"
    return f"{coat.nominal_um:g} um on one face{least}"
