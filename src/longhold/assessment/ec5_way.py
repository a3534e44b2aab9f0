"""A connection of EN 1995-1-1 as the structure tells it, and what was taken for the rest."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, cast

from longhold.assessment.adjustments import made_dry
from longhold.assessment.ec5_drilled import drilled, splits_easily
from longhold.assessment.findings import Assumption
from longhold.assessment.ways import Passed
from longhold.base.errors import InputError, Problem
from longhold.base.quantities import show_quantity
from longhold.base.tables import load_toml
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.connection import FastenerKind
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, Ec5Plate, Ec5Prepared
from longhold.strength.ec5_data import Material, density_ungraded, dowel_record, strength_class

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["ec5_connection", "ec5_taken"]

_NO_ROPE = (
    "what holds the fastener along its axis is not stated: the rope effect is left out, on the safe side"
)
_UNDER_SHEET = (
    "how its head holds in the sheet is not computed: the rope effect is left out, on the safe side"
)
_HEADLESS = "no head diameter is given: the head's hold is left out of the rope effect, on the safe side"
_RINGS = (
    "EN 1995-1-1 has the strengths of a threaded nail declared: it is taken to hold, bend and reach like a "
    "smooth one, on the safe side"
)
_CLOSE_HOLE = (
    "not stated: a wider hole leaves the plate a thin one by EN 1995-1-1 (8.2.3), with which less is carried"
)
_STAINLESS = (
    "not stated: the least of austenitic stainless, as the wire that EN 1995-1-1 means is carbon steel"
)


def ec5_connection(
    joint: Joint,
    part: Part,
    passed: Passed,
    setting: Setting,
    base_metal: str,
    assumptions: list[Assumption],
) -> Ec5Connection:
    """One way of a fastener through a joint; what was taken is added to the assumptions.

    Raises
    ------
    InputError : what of the connection is outside the equations
    """
    size, where = part.measures, f"joints.{joint.id}.{part.id}"
    sheet, held_by = passed
    angle = joint.main_angle_deg if held_by == joint.main else joint.load_to_grain_side_deg
    main = _member(held_by, angle, setting, assumptions)
    side: Ec5Member | Ec5Plate
    if sheet is not None:
        side = _plate(joint, part, sheet[0], setting, assumptions)
    elif joint.side is None:
        said = "a side timber or a sheet part is needed for strength."
        raise InputError(Problem(f"joints.{joint.id}.side", None, said))
    else:
        side = _member(joint.side, joint.load_to_grain_side_deg, setting, assumptions)
    stainless = base_metal == "stainless" and part.kind in ("nail", "staple")
    return Ec5Connection(
        cast(FastenerKind, part.kind),
        size.diameter_mm or 0.0,
        side,
        main,
        length_mm=size.length_mm,
        root_diameter_mm=part.root_diameter,
        fu_mpa=float(dowel_record("stainless_wire")["fu_mpa"]) if stainless else None,
        shear="double" if joint.double_shear else "single",
        predrilled=drilled(part, side, main, where, setting.structure.units, assumptions),
        head_diameter_mm=size.head_diameter_mm,
        drying=bool(joint.layout and joint.layout.wet_when_made),
        rope=part.kind == "nail" and isinstance(side, Ec5Member) and joint.demand_withdrawal is None,
    )


def _plate(
    joint: Joint, part: Part, sheet: Part, setting: Setting, assumptions: list[Assumption]
) -> Ec5Plate:
    """A sheet as the plate under the head; a hole that is not stated is listed where it would count."""
    thickness, d = sheet.measures.thickness_mm or 0.0, part.measures.diameter_mm or 0.0
    if sheet.hole_diameter is None and thickness > float(dowel_record("wood_to_steel")["thin_d"]) * d:
        most = (1.0 + float(dowel_record("hole_of_thick_plate")["below_d"])) * d
        shown = show_quantity(most, "length_mm", setting.structure.units)
        said = f"below {shown} for {part.id}"
        assumptions.append(Assumption(f"joints.{joint.id}.{sheet.id}.hole_diameter", said, _CLOSE_HOLE))
    return Ec5Plate(thickness, sheet.hole_diameter)


def ec5_taken(
    joint: Joint, part: Part, connection: Ec5Connection, prepared: Ec5Prepared, setting: Setting
) -> list[Assumption]:
    """What was taken of a fastener's steel and of what holds it along its axis."""
    where = f"joints.{joint.id}.{part.id}"
    return [
        *_of_steel(part, connection, prepared, where, setting),
        *_of_hold(joint, part, connection, where),
    ]


def _of_steel(
    part: Part, connection: Ec5Connection, prepared: Ec5Prepared, where: str, setting: Setting
) -> Iterator[Assumption]:
    units, wire = setting.structure.units, part.kind in ("nail", "staple")
    steel = (
        "not stated: the least that EN 1995-1-1 asks of nail wire" if wire else "not stated: as a 4.6 bolt"
    )
    if part.kind == "staple":
        moment = dowel_record("moment")
        asked = show_quantity(moment["staple_factor"] / moment["round_factor"], "stress_mpa", units)
        steel += f"; EN 1995-1-1 has staples bend as wire of {asked} does, with this less"
    because = steel if connection.fu_mpa is None else _STAINLESS
    strength = show_quantity(prepared.fu_mpa, "stress_mpa", units)
    yield Assumption(f"{where}, tensile strength", strength, because)
    if connection.is_screw and part.root_diameter is None:
        shown = show_quantity(prepared.effective_mm, "length_mm", units)
        because = "no root diameter is given: the smallest that screws have, times 1.1, bends and bears"
        yield Assumption(f"{where}.root_diameter", shown, because)
    if part.kind == "staple":
        crown = _table()["staple_crown"]
        less = f"leaves {crown['less']:g} of the strength and asks for wider spacing"
        because = f"not asked; a crown that lies closer to the grain {less}"
        yield Assumption(f"{where}, crown", f"{crown['least_deg']:g} degrees or more to the grain", because)
    if part.shank == "ring":
        yield Assumption(f"{where}.shank", "as smooth", _RINGS)


def _of_hold(joint: Joint, part: Part, connection: Ec5Connection, where: str) -> Iterator[Assumption]:
    pulled = joint.demand_withdrawal is not None
    if pulled:
        because = "the load pulls it as well: the rope effect is left out, on the safe side"
        yield Assumption(f"{where}, rope effect", "none", because)
    elif not connection.rope:
        because = _UNDER_SHEET if part.kind == "nail" else _NO_ROPE
        yield Assumption(f"{where}, rope effect", "none", because)
    if part.kind != "nail" or not (pulled or connection.rope):
        return
    if connection.head_diameter_mm is None:
        yield Assumption(f"{where}.head_diameter", "none", _HEADLESS)
    if joint.layout is None or joint.layout.wet_when_made is None:
        yield made_dry(joint, "in wood that dries under load a nail holds two thirds")


def _member(name: str, angle: float, setting: Setting, assumptions: list[Assumption]) -> Ec5Member:
    timber = setting.structure.timbers[name]
    where = f"timbers.{name}.strength_class"
    species = setting.prepared.timbers[name].treatment.species
    splits = splits_easily(species.latin)
    if timber.strength_class is not None:
        row = strength_class(timber.strength_class, where=where)
        wood = cast(Material, row["wood"])
        return Ec5Member(timber.thickness_mm, row["density_k_kg_m3"], angle, wood, splits)
    if species.gravity is None:
        said = "has no density in the tables."
        raise InputError(Problem(f"timbers.{name}.species", timber.species, said, "Give a strength class."))
    on_wood = species.gravity_12_pct or species.gravity_green
    density = density_ungraded(on_wood or species.gravity, species.wood, dry_volume=on_wood is None)
    because = (
        f"no strength class is given: 5 % fractile from specific gravity {species.gravity:g}, at most that "
        f"of the least class of {species.wood}; our own choice, on the safe side"
    )
    taken = Assumption(where, f"characteristic density {density:.0f} kg/m3", because)
    if taken not in assumptions:
        assumptions.append(taken)
    return Ec5Member(timber.thickness_mm, density, angle, cast(Material, species.wood), splits)


def _table() -> Any:
    return load_toml("assessment/ec5.toml")
