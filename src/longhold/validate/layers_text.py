"""Answers to questions about layers that are asked in a line of text."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from longhold.base.errors import InputError
from longhold.validate.area import UnansweredError

__all__ = ["ANSWERS"]

_NUMBER = r"[-+]?\d+(?:\.\d+)?"
_THICKNESS = re.compile(rf"({_NUMBER})\s*(um|µm|μm|microns?|mils?)(?![\w/])", re.IGNORECASE)
_CATEGORY = re.compile(r"\b(C[1-5X])\b")
_MASS = re.compile(rf"({_NUMBER})\s*g\s*/\s*m(?:2|²)")
_ELEMENT = re.compile(rf"\b(Cr|Mo|N|W)\s*[:=]?\s*({_NUMBER})(?:\s*%)?", re.IGNORECASE)
_UM_PER_MIL = 25.4
_METALS = {"iron": "steel", "steel": "steel", "zinc": "zinc", "copper": "copper", "aluminum": "aluminium"}


def _zinc_life(text: str) -> tuple[float, float]:
    """Least and most years to zero zinc: thickness over the bounds of a category's first-year loss."""
    low, high = _bounds(text)
    thickness = _thickness_um(text)
    return thickness / high, (thickness / low if low > 0.0 else float("inf"))


def _bounds(text: str) -> tuple[float, float]:
    from longhold.air.categories import bounds_um

    found = _CATEGORY.findall(text)
    if len(set(found)) != 1:
        raise UnansweredError("must name one category, C1 to C5 or CX")
    return bounds_um("zinc")[found[0]]


def _thickness_um(text: str) -> float:
    found = _THICKNESS.findall(text)
    if found:
        value, unit = found[-1]
        return float(value) * (_UM_PER_MIL if unit.lower().startswith("mil") else 1.0)
    return _promised_um(_CATEGORY.split(text)[0])


def _promised_um(text: str) -> float:
    """Thickness that a label in the text promises: the least where it asks for that, else the nominal."""
    from longhold.labels.read import read_label
    from longhold.labels.reading import LabelError

    least = re.search(r"\b(minimum|least|local)\b", text, re.IGNORECASE) is not None
    label = re.sub(
        r"\b(minimum|least|local|nominal|average|mean|face|in|one)\b", " ", text, flags=re.IGNORECASE
    )
    try:
        coats = [one.coat for one in read_label(" ".join(label.split())).readings]
    except LabelError as error:
        raise UnansweredError(f"gives no thickness, and {error}") from None
    values = {None if coat is None else (coat.least_um if least else coat.nominal_um) for coat in coats}
    if len(values) != 1 or None in values:
        raise UnansweredError("gives no thickness in um, and its label does not settle one")
    return float(next(iter(values)) or 0.0)


def _mass_bound(density_metal: str) -> Callable[[str], float]:
    def answer(text: str) -> float:
        from longhold.air.metals import densities_g_cm3

        found = _MASS.search(text)
        if found is None:
            raise UnansweredError("holds no mass in g/m2")
        return float(found[1]) / float(densities_g_cm3()[density_metal])  # type: ignore[index]

    return answer


def _pitting(text: str) -> float:
    from longhold.labels.alloys import alloy_named, pitting_number

    told = text.rpartition(":")[2] if ":" in text else text
    found = {name.capitalize(): float(value) for name, value in _ELEMENT.findall(told)}
    if "Cr" in found:
        return pitting_number(*(found.get(name, 0.0) for name in ("Cr", "Mo", "N", "W")))
    alloy = alloy_named(text.strip())
    if alloy is None or alloy.pren is None:
        raise UnansweredError("gives no chromium, and no number is held for that name")
    return alloy.pren


def _duplex(text: str) -> float:
    from longhold.metal.film import duplex_years

    zinc, paint = _named(text, "zinc"), _named(text, "paint|film|topcoat|coating")
    if zinc is None or paint is None:
        raise UnansweredError("must give years of zinc and of paint")
    factor = _named(text, "factor")
    return float(duplex_years(zinc, paint, 1.0 if factor is None else factor))


def _breakdown(text: str) -> float:
    from longhold.metal.film import breakdown_mean

    a, b, life = _named(text, "a"), _named(text, "b"), _named(text, "life|t|years")
    if a is None or b is None or life is None:
        raise UnansweredError("must give a, b and life")
    return float(breakdown_mean(a, b, life))


def _rust(scale: str) -> Callable[[str], float]:
    def answer(text: str) -> float:
        from longhold.metal.rust_grades import rust_grade

        found = re.search(rf"({_NUMBER})\s*%", text)
        if found is None:
            raise UnansweredError("holds no rusted share in %")
        return float(rust_grade(float(found[1]), scale))

    return answer


def _gap(text: str) -> str:
    from longhold.metal.anodic_index import anodic_index_v, gap_verdicts

    sides = [side.strip() for side in re.split(r"\s+/\s+|\s+(?:and|with|to|vs\.?)\s+", text) if side.strip()]
    if len(sides) != 2:
        raise UnansweredError("must name two metals with / between them")
    volts = []
    for side in sides:
        given = re.search(r"(?<![\w.])(\d\.\d+)\s*V?$", side)
        volts.append(float(given[1]) if given else anodic_index_v(side))
    gap, allowed = gap_verdicts(*volts)
    words = ", ".join(f"{name} {'ok' if well else 'no'}" for name, well in allowed.items())
    return f"{gap:g} V: {words}"


def _faraday(text: str) -> float:
    from longhold.metal.polarization import faraday_um_yr

    found = re.search(rf"({_NUMBER})\s*([uµμm]?)A\s*/\s*(cm2|cm²|m2|m²)", text)
    metal = next((name for word, name in _METALS.items() if word in text.lower()), None)
    metal = metal or next((m for m in ("aluminium", "brass", "stainless") if m in text.lower()), None)
    if found is None or metal is None:
        raise UnansweredError("must give a current density and a metal")
    scale = {"": 1.0, "m": 1e-3}.get(found[2], 1e-6) * (1e4 if found[3].startswith("cm") else 1.0)
    return float(faraday_um_yr(float(found[1]) * scale, metal))


def _oxygen(text: str) -> float:
    from longhold.metal.film import iron_through_film_um_yr

    return float(iron_through_film_um_yr(_thickness_um(text)))


def _one_side(text: str) -> float:
    from longhold.labels.conversions import one_side_least

    found = re.search(rf"single[- ]spot(?:\s+of)?\s+({_NUMBER})", text)
    if found is None:
        raise UnansweredError("must give a single-spot figure")
    return float(one_side_least(float(found[1])))


def _annuity(text: str) -> float:
    from longhold.choose.money import DiscountRate, uniform_present_value

    rate = re.search(rf"({_NUMBER})\s*%", text)
    years = re.search(r"(\d+)\s*(?:y|years?)\b", text)
    if rate is None or years is None:
        raise UnansweredError("must give a rate in % and years")
    return float(uniform_present_value(DiscountRate.flat(float(rate[1]) / 100.0), int(years[1])))


def _named(text: str, names: str) -> float | None:
    found = re.search(rf"\b(?:{names})\b\s*(?:life|is|of|=|:)?\s*({_NUMBER})", text, re.IGNORECASE)
    return None if found is None else float(found[1])


def _plain(answer: Callable[[str], float | str | tuple[float, float]]) -> Callable[[str], object]:
    """The same, with what Longhold refuses told as no answer."""

    def asked(text: str) -> object:
        try:
            return answer(text)
        except InputError as error:
            raise UnansweredError(str(error)) from None

    return asked


ANSWERS: Mapping[str, Callable[[str], object]] = {
    "zinc_life": _plain(_zinc_life),
    "iso14713_table": _plain(_zinc_life),
    "iso9223_bound": _plain(_mass_bound("zinc")),
    "iso9223_bound_steel": _plain(_mass_bound("carbon_steel")),
    "PREN": _plain(_pitting),
    "duplex": _plain(_duplex),
    "coating_breakdown_mean": _plain(_breakdown),
    "D610_grade": _plain(_rust("D610")),
    "Ri_grade": _plain(_rust("Ri")),
    "anodic_index_gap": _plain(_gap),
    "faraday": _plain(_faraday),
    "oxygen": _plain(_oxygen),
    "one_side_min": _plain(_one_side),
    "annuity": _plain(_annuity),
}
"""Kind of row -> answer to its text: a number, two numbers (least and most), or words."""
