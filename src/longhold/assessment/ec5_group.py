"""Rows, distances and splitting of a joint's fasteners by EN 1995-1-1: stated is used, the rest is listed."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, radians, sin
from typing import TYPE_CHECKING

from longhold.assessment.findings import Assumption
from longhold.base.errors import InputError, Problem
from longhold.base.quantities import show_quantity
from longhold.base.tables import load_toml
from longhold.forecast.ec5_strength import Ec5Group
from longhold.model.layout import Layout
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, Ec5Plate, prepare_ec5
from longhold.strength.ec5_data import axial_record
from longhold.strength.ec5_distances import (
    Distance,
    acts_as_bolt,
    acts_as_nail,
    distance_groups,
    least_distance_mm,
)
from longhold.strength.ec5_factors import bolts_in_row, least_row_spacing_d, nails_in_row, splitting_n

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["ec5_group"]

_ACROSS_DEG = 90.0
_SLACK_MM = 1e-6


@dataclass(frozen=True)
class _Member:
    """A timber of the joint: fastener in it, how many share the load, whether its angle of load is stated."""

    name: str
    wood: Ec5Member
    within_mm: float
    planks: float
    angle_stated: bool


def ec5_group(
    joint: Joint,
    part: Part,
    connection: Ec5Connection,
    held_by: str,
    setting: Setting,
    assumptions: list[Assumption],
) -> Ec5Group:
    """What neighbors and timber leave of a fastener's capacity; what was taken is added to the assumptions.

    Parameters
    ----------
    held_by : the timber that holds the point

    Raises
    ------
    InputError : distances below the least, or what EN 1995-1-1 has no rule for
    """
    layout = joint.layout or Layout()
    members = _members(joint, connection, held_by)
    _refuse(joint, layout, part)
    _refuse_distances(joint, layout, connection, members)
    row_share = _row_share(joint, layout, connection, members, setting, assumptions)
    splits, unchecked = _splitting(joint, layout, members, setting)
    left_out = {}
    if part.count > 1 and layout.in_row is None and any(one.wood.angle_deg < _ACROSS_DEG for one in members):
        left_out["one row not reduced"] = "fasteners in a row along the grain carry less each (8.1.2)"
    if unchecked:
        left_out["no splitting check"] = f"load across the grain splits a timber (8.1.4){unchecked}"
    if left_out:
        first = "layout is not stated" if joint.layout is None else "layout does not tell it"
        because = f"{first}: {', and '.join(left_out.values())}"
        assumptions.append(Assumption(f"joints.{joint.id}.layout", ", ".join(left_out), because))
    assumptions += _distances_taken(joint, layout, part)
    assumptions += _not_checked(joint, part, connection, members)
    _say_unused(joint, layout, assumptions)
    fasteners = sum(one.count for one in joint.parts if one.is_fastener)
    return Ec5Group(row_share, None if splits == inf else splits / fasteners)


def _members(joint: Joint, connection: Ec5Connection, held_by: str) -> tuple[_Member, ...]:
    """The timbers that the fastener passes, with the length of it in each."""
    prepared = prepare_ec5(connection, accept_short=True)
    stated = {
        joint.side: "load_to_grain_side_deg" in joint.model_fields_set,
        joint.main: "load_to_grain_main_deg" in joint.model_fields_set,
    }
    found = []
    if isinstance(connection.main, Ec5Member):
        found.append(_Member(held_by, connection.main, prepared.t2_mm, 1.0, stated[held_by]))
    if isinstance(connection.side, Ec5Member) and joint.side is not None:
        planks = 2.0 if connection.shear == "double" else 1.0
        found.append(_Member(joint.side, connection.side, prepared.t1_mm, planks, stated[joint.side]))
    return tuple(found)


def _refuse(joint: Joint, layout: Layout, part: Part) -> None:
    where = f"joints.{joint.id}.layout"
    if layout.toe_nailed and part.kind not in ("bolt", "dowel"):
        said = f"a {part.kind_words} at a slant is not computed by EN 1995-1-1 here."
        raise InputError(
            Problem(f"{where}.toe_nailed", True, said, 'Ask for strength_standard = "nds", or a specialist.')
        )
    most = float(load_toml("assessment/ec5.toml")["warmest"]["most_c"])
    if layout.warmest is not None and layout.warmest > most:
        said = f"EN 1995-1-1 ends at {most:g} C held for long."
        raise InputError(Problem(f"{where}.warmest", f"{layout.warmest:g} C", said, "Ask a specialist."))


def _refuse_distances(
    joint: Joint, layout: Layout, connection: Ec5Connection, members: tuple[_Member, ...]
) -> None:
    stated: tuple[tuple[Distance, str, float | None], ...] = (
        ("spacing", "row_spacing", layout.row_spacing),
        ("end", "end_distance", layout.end_distance),
        ("edge", "edge_distance", layout.edge_distance),
    )
    problems = []
    for what, name, given in stated:
        least = max(_least_mm(what, joint, connection, one.wood.angle_deg) for one in members)
        if given is not None and given < least - _SLACK_MM:
            said = f"EN 1995-1-1 asks for at least {least:.3g} mm here."
            problems.append(Problem(f"joints.{joint.id}.layout.{name}", f"{given:.3g} mm", said))
    if problems:
        raise InputError(*problems)


def _least_mm(what: Distance, joint: Joint, connection: Ec5Connection, angle_deg: float) -> float:
    groups = distance_groups(connection, pulled=joint.demand_withdrawal is not None)
    least = max(least_distance_mm(what, group, connection.diameter_mm, angle_deg) for group in groups)
    driven = connection.kind != "staple" and not acts_as_bolt(connection)
    nailed_steel = isinstance(connection.side, Ec5Plate) and driven
    return least * (float(axial_record("row")["under_steel"]) if what == "spacing" and nailed_steel else 1.0)


def _row_share(
    joint: Joint,
    layout: Layout,
    connection: Ec5Connection,
    members: tuple[_Member, ...],
    setting: Setting,
    assumptions: list[Assumption],
) -> float:
    """Effective over actual number in a row along the load; only what runs along the grain is reduced."""
    angle = min(one.wood.angle_deg for one in members)
    count = layout.in_row or 1
    if count == 1 or angle >= _ACROSS_DEG:
        return 1.0
    where = f"joints.{joint.id}.layout.row_spacing"
    spacing = layout.row_spacing
    if spacing is None:
        spacing = _least_mm("spacing", joint, connection, angle)
        because = "not stated: the least that EN 1995-1-1 allows, with which a row carries least"
        from_mm = least_row_spacing_d(predrilled=connection.predrilled) * connection.diameter_mm
        if spacing < from_mm and not acts_as_bolt(connection):
            spacing = from_mm
            because = (
                "not stated: the least that EN 1995-1-1 has an effective number for in a row (Table 8.1)"
            )
        shown = show_quantity(spacing, "length_mm", setting.structure.units)
        assumptions.append(Assumption(where, shown, because))
    shares = []
    if acts_as_bolt(connection):
        along = bolts_in_row(count, spacing, connection.diameter_mm) / count
        shares.append(along + (1.0 - along) * angle / _ACROSS_DEG)
    if acts_as_nail(connection):
        drilled = connection.predrilled
        row = nails_in_row(count, spacing, connection.diameter_mm, predrilled=drilled, where=where)
        shares.append(row / count)
    return min(shares)


def _splitting(
    joint: Joint, layout: Layout, members: tuple[_Member, ...], setting: Setting
) -> tuple[float, str]:
    """Load of the whole joint that splits a timber, infinite where none can; and why it is not checked."""
    least, unchecked = inf, ""
    for one in members:
        across = sin(radians(one.wood.angle_deg))
        if across <= 0.0:
            if not one.angle_stated:
                unchecked = "; the angle of load to grain is not stated"
            continue
        depth = setting.structure.timbers[one.name].width_mm
        if depth is None or layout.edge_distance is None:
            unchecked = f"; that needs layout.edge_distance and timbers.{one.name}.width"
            continue
        if one.wood.material != "softwood":
            unchecked = f"; the equation is one of softwood, which {one.name} is not"
            continue
        farthest = layout.edge_distance + ((layout.in_row or 1) - 1) * (layout.row_spacing or 0.0) * across
        if farthest >= depth:
            said = f"the fasteners would lie beyond the depth of {one.name}, {depth:.4g} mm."
            raise InputError(
                Problem(f"joints.{joint.id}.layout.edge_distance", f"{layout.edge_distance:.4g} mm", said)
            )
        whole = one.planks * splitting_n(one.within_mm, depth, farthest)
        least = min(least, whole / across)
    return least, unchecked


def _distances_taken(joint: Joint, layout: Layout, part: Part) -> list[Assumption]:
    """Distances that are not stated, or that nobody is asked for, as between several rows."""
    rows_apart = (layout.in_row or 1) < part.count
    unstated = {
        "ends": layout.end_distance is None,
        "edges": layout.edge_distance is None,
        "each other": part.count > 1 and (layout.row_spacing is None or rows_apart),
    }
    taken = [words for words, missing in unstated.items() if missing]
    if not taken:
        return []
    because = "not stated or not asked: the least of EN 1995-1-1 is taken as kept; closer, this does not hold"
    shown = " and ".join(filter(None, (", ".join(taken[:-1]), taken[-1])))
    return [Assumption(f"joints.{joint.id}.layout, distances", f"full distances to {shown}", because)]


def _not_checked(
    joint: Joint, part: Part, connection: Ec5Connection, members: tuple[_Member, ...]
) -> list[Assumption]:
    """Rules of the standard that ask for more than a structure tells, or that a joint does not keep."""
    where, found = f"joints.{joint.id}.layout", []
    count = sum(one.count for one in joint.parts if one.kind == part.kind)
    along = any(one.wood.angle_deg < _ACROSS_DEG for one in members)
    if isinstance(connection.side, Ec5Plate) and count > 1 and along:
        because = (
            "fasteners under steel that pull towards an end can tear a block or plug of timber out between "
            "them (Annex A): the areas that this turns on are not asked"
        )
        found.append(Assumption(f"{where}, block shear", "not checked", because))
    if count == 1 and part.kind in ("nail", "staple"):
        because = f"EN 1995-1-1 asks for two at least in a connection: one {part.kind_words} is stated"
        found.append(Assumption(f"joints.{joint.id}.{part.id}.count", "others are taken as there", because))
    least = float(axial_record("pulled_timber")["least_d"]) * connection.diameter_mm
    thin = [one.name for one in members if one.wood.thickness_mm < least]
    if joint.demand_withdrawal is not None and connection.is_screw and thin:
        because = (
            f"{' and '.join(thin)} {'is' if len(thin) == 1 else 'are'} thinner than {least:.3g} mm: Table "
            "8.6 tells distances of pulled screws in thicker timber only"
        )
        found.append(Assumption(f"{where}, distances in thin timber", "taken as enough", because))
    return found


def _say_unused(joint: Joint, layout: Layout, assumptions: list[Assumption]) -> None:
    where = f"joints.{joint.id}.layout"
    if layout.diaphragm:
        because = "what EN 1995-1-1 adds at the edges of panels is not counted, on the safe side"
        assumptions.append(Assumption(f"{where}.diaphragm", "not counted", because))
    if layout.warmest is not None:
        because = "EN 1995-1-1 has no factor for wood that is warm"
        assumptions.append(Assumption(f"{where}.warmest", "not counted", because))
