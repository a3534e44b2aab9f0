"""Ways of a fastener through a joint: which sheet or timber it passes, which timber holds its point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from longhold.assessment.findings import Assumption
from longhold.assessment.sheet_metal import stood_in
from longhold.assessment.strength_run import Sheet
from longhold.base.errors import InputError, Problem
from longhold.base.quantities import System, show_quantity
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.connection import DowelConnection, FastenerKind, SteelSide, WoodMember
from longhold.strength.prepared import MM_PER_IN, below_minimum_penetration, prepare

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["Passed", "Way", "dropped_words", "fault_words", "passed_by", "several_words", "ways_through"]

Passed = tuple[Sheet | None, str]
"""The sheet part that a fastener passes, None through a timber, and the timber that holds its point."""

_DRIVEN_THROUGH_SHEET = ("nail", "wood_screw", "lag_screw", "staple")


@dataclass(frozen=True)
class Way:
    """One way through a joint.

    Attributes
    ----------
    connection : as new
    sheet : the sheet part that it passes, with the runs of its faces; None through a timber
    held_by : name of the timber that holds the point
    assumptions : taken for it
    """

    connection: DowelConnection
    sheet: Sheet | None
    held_by: str
    assumptions: tuple[Assumption, ...]

    @property
    def passed(self) -> Passed:
        """What it passes, and what holds its point."""
        return self.sheet, self.held_by


def ways_through(
    joint: Joint, part: Part, sheets: Sequence[Sheet], setting: Setting
) -> tuple[tuple[Way, ...], tuple[Assumption, ...]]:
    """Every way of a fastener that the yield equations can answer, and what does not count, with its reason.

    Through each sheet into the main timber; with a side timber beside sheets, a driven fastener also through
    each sheet into either timber, and through the side timber into the main one. Ways that are too short
    count only if there is no other.

    Raises
    ------
    InputError : where no way has an answer, with the first one's reasons
    """
    ways: list[Way] = []
    faults: list[tuple[Passed, InputError]] = []
    for passed in passed_by(joint, part, sheets):
        try:
            way = _way(joint, part, *passed, setting)
            prepare(way.connection, accept_short=True)
        except InputError as fault:
            faults.append((passed, fault))
            continue
        ways.append(way)
    if not ways:
        raise faults[0][1]
    reaching = [way for way in ways if not below_minimum_penetration(way.connection)] or ways
    dropped = [(passed, fault_words(fault)) for passed, fault in faults]
    units = setting.structure.units
    dropped += [
        (way.passed, _short_words(way, units)) for way in ways if not any(way is kept for kept in reaching)
    ]
    return tuple(reaching), dropped_words(joint, part, dropped)


def passed_by(joint: Joint, part: Part, sheets: Sequence[Sheet]) -> tuple[Passed, ...]:
    """What a fastener may pass, the side timber first, and which timber then holds its point."""
    driven = part.kind in _DRIVEN_THROUGH_SHEET
    found: list[Passed] = [(None, joint.main)] if joint.side is not None or not sheets else []
    found += [(sheet, joint.main) for sheet in sheets if joint.side is None or driven]
    if joint.side is not None and driven:
        found += [(sheet, joint.side) for sheet in sheets]
    return tuple(found)


def several_words(joint: Joint, part: Part, passed: Sequence[Passed]) -> tuple[Assumption, ...]:
    """What is taken where a fastener has several ways through a joint."""
    if len(passed) < 2:
        return ()
    pairs = dict.fromkeys(_way_words(joint, one) for one in passed)
    because = "it may pass any of them: the weakest way counts"
    return (Assumption(f"joints.{joint.id}.{part.id}", f"through {', '.join(pairs)}", because),)


def dropped_words(joint: Joint, part: Part, dropped: Sequence[tuple[Passed, str]]) -> tuple[Assumption, ...]:
    """Ways of a fastener that do not count, beside others that do, each with its reason."""
    return tuple(
        Assumption(
            f"joints.{joint.id}.{part.id}, {_way_words(joint, passed)}", "taken as no way of it", because
        )
        for passed, because in dropped
    )


def fault_words(fault: InputError) -> str:
    """Why the equations of a standard have no answer for a way, for people."""
    return " ".join(problem.allowed for problem in fault.problems)


def _short_words(way: Way, units: System) -> str:
    found = prepare(way.connection, accept_short=True)
    reach, least = (
        show_quantity((inches or 0.0) * MM_PER_IN, "length_mm", units)
        for inches in (found.penetration_in, found.least_penetration_in)
    )
    return (
        f"its point reaches {reach} there, the NDS asks for {least}: no capacity is known of it, "
        "while others have one"
    )


def _way_words(joint: Joint, passed: Passed) -> str:
    sheet, held_by = passed
    return f"{f'{sheet[0].kind_words} {sheet[0].id}' if sheet else joint.side} into {held_by}"


def _way(joint: Joint, part: Part, sheet: Sheet | None, held_by: str, setting: Setting) -> Way:
    size = part.measures
    assumptions: list[Assumption] = []
    angles = {joint.main: joint.main_angle_deg}
    if joint.side is not None and joint.side != joint.main:
        angles[joint.side] = joint.load_to_grain_side_deg
    main = _member(held_by, angles[held_by], setting, assumptions)
    side: WoodMember | SteelSide
    if sheet is not None:
        side = _steel_side(joint, sheet, setting, assumptions)
    elif joint.side is None:
        raise InputError(
            Problem(f"joints.{joint.id}.side", None, "a side timber or a sheet part is needed for strength.")
        )
    else:
        side = _member(joint.side, joint.load_to_grain_side_deg, setting, assumptions)
    connection = DowelConnection(
        cast(FastenerKind, part.kind),
        size.diameter_mm or 0.0,
        side,
        main,
        length_mm=size.length_mm,
        root_diameter_mm=part.root_diameter,
        shear="double" if joint.double_shear else "single",
    )
    return Way(connection, sheet, held_by, tuple(assumptions))


def _steel_side(joint: Joint, sheet: Sheet, setting: Setting, assumptions: list[Assumption]) -> SteelSide:
    part, faces = sheet
    thickness = part.measures.thickness_mm or 0.0
    steel = stood_in(part, faces, "nds")
    if part.tensile_strength is not None:
        return SteelSide(thickness, part.tensile_strength, steel["forming"])
    where = f"joints.{joint.id}.{part.id}, tensile strength"
    shown = show_quantity(steel["fu_mpa"], "stress_mpa", setting.structure.units)
    assumptions.append(Assumption(where, shown, steel["because"]))
    return SteelSide(thickness, steel["fu_mpa"], steel["forming"])


def _member(name: str, angle: float, setting: Setting, assumptions: list[Assumption]) -> WoodMember:
    timber = setting.structure.timbers[name]
    species = setting.prepared.timbers[name].treatment.species
    gravity = species.gravity_design or species.gravity_12_pct or species.gravity_green
    if gravity is None:
        allowed = "has no specific gravity in the tables."
        raise InputError(Problem(f"timbers.{name}.species", timber.species, allowed))
    if species.gravity_design is None:
        because = "no design gravity is listed: another basis stands in"
        assumptions.append(Assumption(f"timbers.{name}.species", f"specific gravity {gravity:g}", because))
    return WoodMember(timber.thickness_mm, gravity, angle)
