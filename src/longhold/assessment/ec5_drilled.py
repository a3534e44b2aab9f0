"""Whether EN 1995-1-1 asks for a drilled hole: dense timber, a thick nail, timber that a nail would split."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from longhold.assessment.findings import Assumption
from longhold.base.errors import InputError, Problem
from longhold.base.quantities import System, show_quantity
from longhold.base.tables import load_toml
from longhold.model.parts import Part
from longhold.strength.ec5_connection import Ec5Member, Ec5Plate

__all__ = ["drilled", "least_undrilled_mm", "splits_easily"]


def drilled(
    part: Part,
    side: Ec5Member | Ec5Plate,
    main: Ec5Member,
    where: str,
    units: System,
    assumptions: list[Assumption],
) -> bool:
    """Whether the hole counts as drilled: as stated, else where EN 1995-1-1 asks for it, which is listed.

    In timber that is only thin the wood is then credited with no more than under a driven nail, so that
    thinner timber never carries more.

    Raises
    ------
    InputError : stated not to be, where it has to be
    """
    if part.kind not in ("nail", "wood_screw", "lag_screw"):
        return False
    timbers = [one for one in (side, main) if isinstance(one, Ec5Member)]
    dense, thin = _dense_or_thick(part, timbers), _thin(part, timbers, units)
    why = dense or thin
    if not why or part.predrilled:
        return bool(part.predrilled)
    if part.predrilled is False:
        said = f"EN 1995-1-1 asks for drilled holes for {why}."
        do = "Drill the holes, or take a value from a test."
        raise InputError(Problem(f"{where}.predrilled", False, said, do))
    credit = "where the wood bears more" if dense else "but no more is credited than for driven nails"
    because = f"not stated; EN 1995-1-1 asks for drilled holes for {why}, {credit}"
    assumptions.append(Assumption(f"{where}.predrilled", "yes", because))
    return bool(dense)


def least_undrilled_mm(diameter_mm: float, density_kg_m3: float, *, splits_easily: bool = False) -> float:
    """Least thickness of timber for nails without drilled holes, max(7 d ; (13 d - 30) rho/400) (8.18) [mm].

    Twice that for species that split easily, max(14 d ; (13 d - 30) rho/200) (8.19). That wide edge distances
    may relieve them of it is recalled, and no credit is given for it.

    Parameters
    ----------
    diameter_mm : of the nail [mm]
    density_kg_m3 : characteristic density [kg/m3]

    Source: ec5-thin-timber (verified).

    >>> least_undrilled_mm(4.0, 350.0), least_undrilled_mm(6.0, 450.0)
    (28.0, 54.0)
    >>> least_undrilled_mm(6.0, 450.0, splits_easily=True)
    108.0
    """
    rule = _table()["predrill_split" if splits_easily else "predrill_thin"]
    by_density = (rule["slope"] * diameter_mm - rule["less_mm"]) * density_kg_m3 / rule["per_kg_m3"]
    return float(max(rule["least_d"] * diameter_mm, by_density))


def splits_easily(latin: str) -> bool:
    """Whether a species counts as one that nails split (8.3.1.2(7)).

    >>> splits_easily("Pseudotsuga menziesii"), splits_easily("Picea abies")
    (True, False)
    """
    return latin in _table()["predrill_split"]["latin"]


def _dense_or_thick(part: Part, timbers: Sequence[Ec5Member]) -> str:
    rule, screw = _table()["predrill"], part.kind != "nail"
    dense = any(
        one.density_kg_m3 >= rule["from_density_kg_m3"] or (screw and one.material == "hardwood")
        for one in timbers
    )
    if dense:
        return "such dense timber"
    thick = (part.measures.diameter_mm or 0.0) > rule["over_mm"]
    return f"a {part.kind_words} thicker than {rule['over_mm']:g} mm" if thick else ""


def _thin(part: Part, timbers: Sequence[Ec5Member], units: System) -> str:
    if part.kind != "nail":
        return ""
    diameter = part.measures.diameter_mm or 0.0
    for one in timbers:
        least = least_undrilled_mm(diameter, one.density_kg_m3, splits_easily=one.splits_easily)
        if one.thickness_mm < least:
            shown, asked = (show_quantity(mm, "length_mm", units) for mm in (one.thickness_mm, least))
            species = " of a species that splits easily" if one.splits_easily else ""
            return f"nails in timber of {shown}{species}, thinner than {asked}, which they split (8.3.1.2)"
    return ""


def _table() -> Any:
    return load_toml("assessment/ec5.toml")
