"""A connection of one dowel-type fastener, as people measure it (SI)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from longhold.strength.nds_data import Forming
from longhold.strength.nds_dowel import Shear

__all__ = ["DowelConnection", "FastenerKind", "SteelSide", "WoodMember"]

FastenerKind = Literal["nail", "wood_screw", "lag_screw", "bolt", "dowel", "staple"]


@dataclass(frozen=True)
class WoodMember:
    """A member of sound wood.

    Attributes
    ----------
    thickness_mm : along the fastener [mm]
    g : specific gravity, oven dry [-]
    angle_deg : angle of load to grain [degrees]; 90 for end grain; no effect on thin fasteners
    """

    thickness_mm: float
    g: float
    angle_deg: float = 0.0


@dataclass(frozen=True)
class SteelSide:
    """A side plate of steel.

    Attributes
    ----------
    thickness_mm : bare steel as new [mm]
    fu_mpa : tensile strength [MPa]
    forming : cold_formed (sheet) or hot_rolled (plate of 1/4 in and more)
    """

    thickness_mm: float
    fu_mpa: float
    forming: Forming = "cold_formed"


@dataclass(frozen=True)
class DowelConnection:
    """One fastener through a side member into a main member, or through three members.

    Attributes
    ----------
    kind : a staple is two legs, each a nail; a dowel is a plain steel pin
    diameter_mm : nominal diameter as new, of base metal [mm]; of one leg for a staple
    side : side member; in double shear both are alike
    main : main member, the middle one in double shear
    length_mm : length under the head [mm]; needed by all but bolts and dowels unless penetration is given
    penetration_mm : depth in the member that holds the point, tip included [mm], instead of the length
    root_diameter_mm : root of the thread [mm]; None takes the table for screws and the full shank
        elsewhere; give it for a bolt whose thread bears
    tip_mm : length of the tapered tip [mm]; None takes the convention of the tables
    fyb_mpa : bending yield strength [MPa]; None takes the table; a staple needs it
    shear : single or double
    """

    kind: FastenerKind
    diameter_mm: float
    side: WoodMember | SteelSide
    main: WoodMember
    length_mm: float | None = None
    penetration_mm: float | None = None
    root_diameter_mm: float | None = None
    tip_mm: float | None = None
    fyb_mpa: float | None = None
    shear: Shear = "single"
