"""How the metal of a joint lies to rain: as stated, or as is usual, which is then an assumption."""

from __future__ import annotations

from longhold.air.faces import salt_share
from longhold.assessment.findings import Assumption
from longhold.base.quantities import System, show_quantity
from longhold.model.facing import FaceKind, Facing, RainFrom, usual_facing
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.model.surroundings import places
from longhold.strength.nds_factors import end_grain_factor
from longhold.wood.timber_runs import end_grain_length_mm

__all__ = [
    "end_grain_assumptions",
    "facing_assumption",
    "facing_of",
    "rain_assumption",
    "rain_from",
    "usual_rain_from",
]

_HEAD_ON_SHEET = ("nail", "staple", "wood_screw", "lag_screw")


def rain_from(joint: Joint) -> RainFrom:
    """How the face lies that a joint's metal enters: as stated, or as is usual."""
    return joint.rain_from or usual_rain_from(joint)


def usual_rain_from(joint: Joint) -> RainFrom:
    """How the face usually lies that a joint's metal enters: upright under sheet, bolts and lag screws."""
    upright = {"bolt", "dowel", "lag_screw"}
    sideways = any(part.kind in upright or not part.is_fastener for part in joint.parts)
    return "side" if sideways else "above"


def rain_assumption(joint: Joint) -> tuple[Assumption, ...]:
    """The assumption about rain on the joint, where nothing is stated and it matters."""
    if joint.rain_from is not None or not places()[joint.place].rain_wets_wood:
        return ()
    side = usual_rain_from(joint) == "side"
    because = "the metal is taken to enter an upright face, which rain reaches in part"
    if not side:
        because = "the metal is taken to enter a level face, on which all rain falls"
    return (Assumption(f"joints.{joint.id}.rain_from", "side" if side else "above", because),)


def end_grain_assumptions(joint: Joint, units: System) -> tuple[Assumption, ...]:
    """What is taken of metal in the end grain of a joint's main timber; none where it enters a long face."""
    if not joint.main_end_grain:
        return ()
    where = f"joints.{joint.id}.main_end_grain"
    found = []
    if places()[joint.place].air_face in ("open", "sheltered"):
        length = show_quantity(end_grain_length_mm(), "length_mm", units)
        because = (
            "an end is taken to be cut, and bare even where the timber is coated; through its sides it "
            "neither dries nor takes up rain"
        )
        found.append(Assumption(where, f"{length} along the grain are simulated", because))
    if joint.demand_withdrawal is None and any(part.is_fastener for part in joint.parts):
        lag = end_grain_factor("lag_screw", "withdrawal")
        because = f"nails and wood screws may not be pulled from end grain; lag screws keep {100 * lag:.0f} %"
        found.append(Assumption(where, "load across the fastener only", because))
    return tuple(found)


def facing_of(joint: Joint, part: Part) -> Facing:
    """How the faces of a part in outdoor air lie: as stated, or as is usual for its kind there."""
    if part.faces is not None:
        return Facing((part.faces,), "as stated", given=True)
    if part.kind in _HEAD_ON_SHEET and (stated := _stated_under_head(joint)):
        return Facing(stated, "its head lies on the sheet that it holds, as stated", given=True)
    return usual_facing(part.kind, places()[joint.place], rain_from(joint))


def _stated_under_head(joint: Joint) -> tuple[FaceKind, ...]:
    """How the sheets of a joint lie, where all are stated: the heads of what holds them lie likewise."""
    sheets = [part.faces for part in joint.parts if not part.is_fastener and part.kind != "washer"]
    stated = [faces for faces in sheets if faces is not None]
    return tuple(dict.fromkeys(stated)) if stated and len(stated) == len(sheets) else ()


def facing_assumption(joint: Joint, part: Part, distance_to_salt_m: float | None) -> tuple[Assumption, ...]:
    """The assumption about how a part's faces lie, where nothing is stated and salt makes it matter."""
    matters = distance_to_salt_m is None or salt_share(distance_to_salt_m) > 0.0
    if part.faces is not None or places()[joint.place].air_face != "open" or not matters:
        return ()
    usual = facing_of(joint, part)
    if usual.given:
        return ()
    return (Assumption(f"joints.{joint.id}.{part.id}.faces", usual.words, usual.because),)
