"""Withdrawal of a joint's fasteners: what holds each along its axis, when new and with its losses."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.adjustments import Adjustments, pulled_as
from longhold.assessment.findings import Assumption
from longhold.assessment.ways import Way
from longhold.base.errors import InputError, Problem
from longhold.forecast.along import Profile
from longhold.forecast.modes import Governed, least_of
from longhold.forecast.pull import AxialCase, axial_loads
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.axial import axial_record
from longhold.strength.connection import SteelSide, WoodMember
from longhold.strength.nds_sizes import lag_screw
from longhold.strength.prepared import MM_PER_IN, prepare

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun

__all__ = ["axial_through", "axial_words", "load_angle_deg"]

Array = NDArray[np.float64]


def load_angle_deg(joint: Joint) -> float:
    """Angle between a joint's load and the wood surface: 0 across its fasteners, 90 pulling them out."""
    return degrees(atan2(joint.demand_withdrawal or 0.0, joint.demand or 0.0))


def axial_through(
    joint: Joint,
    part: Part,
    ways: Sequence[Way],
    faces: Sequence[FaceRun],
    profile: Profile,
    factors: Adjustments,
    plate_um: Sequence[Array | float],
) -> tuple[Governed, Governed]:
    """Load along a fastener when new and by draw and age, of the weakest of its ways [N].

    Raises
    ------
    InputError : where nothing tells what holds it
    """
    _possible(joint, part)
    of_role = {run.case.face.role: run.thinnest_um for run in faces}
    joint_um, shank_um = of_role["hinge"], of_role["bearing"]
    head_um = np.max([run.thinnest_um for run in faces if run.case.face.role != "hinge"], axis=0)
    nothing = np.zeros((1, 1))
    new, aged = [], []
    for way, plate in zip(ways, plate_um, strict=True):
        case = _case(part, way, faces[0].case.protection.base_metal, factors)
        lost = np.broadcast_to(np.asarray(plate, dtype=np.float64), joint_um.shape)
        new.append(axial_loads(case, profile, nothing, nothing, nothing, nothing))
        aged.append(axial_loads(case, profile, joint_um, shank_um, head_um, lost))
    return _weakest(new), _weakest(aged)


def axial_words(joint: Joint, part: Part) -> tuple[Assumption, ...]:
    """What was taken of a fastener that is pulled out."""
    where = f"joints.{joint.id}.{part.id}"
    said = []
    if part.kind == "nail" and part.shank is None:
        said.append(Assumption(f"{where}.shank", "smooth", "the shank of the nail is not stated"))
    if part.measures.head_diameter_mm is None:
        because = "its size is not known, so that it may pull through is not computed"
        said.append(Assumption(f"{where}.head_diameter", "holds", because))
    if part.kind in ("lag_screw", "wood_screw") and part.thread_length is None:
        said.append(Assumption(f"{where}.thread_length", "as usual for its length", "it is not stated"))
    if part.kind == "bolt":
        because = "bearing of its washer on the wood is not computed; shear and pull share its use in a line"
        said.append(Assumption(f"{where}", "its shank alone along its axis", because))
    return tuple(said)


def _possible(joint: Joint, part: Part) -> None:
    where = f"joints.{joint.id}.demand_withdrawal"
    if part.kind in ("dowel", "staple"):
        said = f"no withdrawal value of a {part.kind_words} is held."
        raise InputError(Problem(where, part.kind, said, "Use a nail, screw or bolt."))
    if joint.double_shear:
        raise InputError(Problem(where, None, "is not computed for a fastener in double shear."))


def _case(part: Part, way: Way, metal: str, factors: Adjustments) -> AxialCase:
    found = prepare(way.connection, accept_short=True)
    side = way.connection.side
    start, end = _embedded_mm(part, found.penetration_in or 0.0)
    head = part.measures.head_diameter_mm
    wooden = side if isinstance(side, WoodMember) else None
    steel = side if isinstance(side, SteelSide) else None
    root = found.effective_in
    if part.kind == "bolt" and part.root_diameter is None:
        root *= float(axial_record("bolt_thread")["root_share"])
    return AxialCase(
        fastener=pulled_as(part, metal),
        gravity=way.connection.main.g,
        diameter_in=found.nominal_in,
        root_in=root,
        fyb_psi=found.fyb_psi,
        from_mm=start,
        to_mm=end,
        head_in=None if head is None else head / MM_PER_IN,
        side_gravity=None if wooden is None else wooden.g,
        side_in=None if wooden is None else wooden.thickness_mm / MM_PER_IN,
        sheet_mm=None if steel is None else steel.thickness_mm,
        sheet_fu_mpa=None if steel is None else steel.fu_mpa,
        wood_factor=factors.withdrawal,
        head_factor=factors.head,
    )


def _embedded_mm(part: Part, reach_in: float) -> tuple[float, float]:
    """From where to where in the timber that holds the point something holds, from its face [mm]."""
    reach = reach_in * MM_PER_IN
    if part.kind not in ("lag_screw", "wood_screw"):
        return 0.0, reach
    length_in = (part.measures.length_mm or reach) / MM_PER_IN
    rule = axial_record("lag_thread" if part.kind == "lag_screw" else "wood_screw_thread")
    usual = min(rule["share"] * length_in + rule["more_in"], rule["most_in"]) * MM_PER_IN
    thread = part.thread_length if part.thread_length is not None else usual
    tip = 0.0
    if part.kind == "lag_screw" and part.root_diameter is None:
        tip = (lag_screw((part.measures.diameter_mm or 0.0) / MM_PER_IN).tip_in or 0.0) * MM_PER_IN
    return max(reach - thread, 0.0), max(reach - tip, 0.0)


def _weakest(found: Sequence[Governed]) -> Governed:
    if len(found) == 1:
        return found[0]
    loads = {f"{i}": one.load_n for i, one in enumerate(found)}
    least = least_of(loads)
    words: list[str] = []
    index = np.zeros(least.index.shape, dtype=np.intp)
    for i, one in enumerate(found):
        here = least.index == i
        index = np.where(here, one.index + len(words), index)
        words += one.words
    return Governed(least.load_n, index, tuple(words))
