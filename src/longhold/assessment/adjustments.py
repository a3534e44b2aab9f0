"""Adjustment factors of a joint's fasteners: what is stated is used, what is not is taken and said."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod

from longhold.assessment.findings import Assumption
from longhold.assessment.load_durations import duration_by
from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml
from longhold.model.layout import Layout
from longhold.model.parts import Part
from longhold.model.sizes import read_lumber_size
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import places
from longhold.strength.axial import axial_record
from longhold.strength.nds_factors import (
    diaphragm_factor,
    end_grain_factor,
    group_action_factor,
    load_duration_factor,
    temperature_factor,
    toe_nail_factor,
    wet_service_factor_lateral,
    wet_service_factor_withdrawal,
)
from longhold.strength.nds_geometry import geometry_factor, is_thin
from longhold.strength.nds_withdrawal import WithdrawalFastener
from longhold.strength.prepared import MM_PER_IN

__all__ = ["Adjustments", "adjustments", "drilled_words", "made_dry", "pulled_as", "wet_made_words"]

_MM2_PER_IN2 = MM_PER_IN * MM_PER_IN
_F_PER_C, _F_AT_0_C = 1.8, 32.0


@dataclass(frozen=True)
class Adjustments:
    """Products of the factors that apply, and each by name.

    Attributes
    ----------
    lateral, withdrawal, head : products for load across, for withdrawal from wood, for a head in wood [-]
    words : each factor with its value
    taken : factors taken as 1 because nothing is stated
    """

    lateral: float
    withdrawal: float
    head: float
    words: str
    taken: str

    @property
    def design(self) -> tuple[float, str]:
        """Factor of lateral load, and what it is made of."""
        return self.lateral, f"{self.words}; not stated and taken: {self.taken}" if self.taken else self.words


def adjustments(joint: Joint, part: Part, structure: Structure) -> Adjustments:
    """Adjustment factors of one kind of fastener in a joint (NDS-2018 chapters 11 and 12).

    Z' = Z CD CM Ct Cg CDelta Ceg Cdi Ctn, W' = W CD CM Ct Ceg Ctn (CM not with toe-nails).

    Raises
    ------
    InputError : for distances below the least allowed, or withdrawal from end grain that is not allowed
    """
    layout, place = joint.layout, places()[joint.place]
    diameter = (part.measures.diameter_mm or 0.0) / MM_PER_IN
    wet = place.rain_wets_wood or place.always_wet
    made_wet = bool(layout and layout.wet_when_made)
    duration = duration_by(joint.load_duration or "ten_years", "nds")
    every = {f"load duration ({duration.replace('_', ' ')})": load_duration_factor(duration)}
    taken = [] if joint.load_duration else ["load duration of ten years"]
    if layout is not None and layout.warmest is not None:
        warm_f = layout.warmest * _F_PER_C + _F_AT_0_C
        every["temperature"] = temperature_factor(warm_f, wet=wet)
    else:
        taken.append("wood not above 100 °F for long")
    across = {
        "wet service": wet_service_factor_lateral(
            diameter_in=diameter,
            wet_when_made=made_wet,
            wet_in_service=wet,
            unrestrained=_one_row(joint, part),
        )
    }
    slanted = layout is not None and layout.toe_nailed and part.kind == "nail"
    if slanted:
        across["toe-nail"] = toe_nail_factor("lateral")
    if layout is not None and layout.diaphragm and part.kind == "nail":
        across["diaphragm"] = diaphragm_factor()
    if joint.main_end_grain:
        across["end grain"] = end_grain_factor(part.kind, "lateral")
    if not is_thin(diameter):
        across |= _of_layout(joint, structure, diameter, taken)
    lateral = prod([*every.values(), *across.values()])
    along = _withdrawal(joint, part, wet, made_wet, slanted=slanted)
    head = prod(every.values()) * (float(axial_record("wet_head")["wet"]) if wet else 1.0)
    words = ", ".join(f"{name} factor {value:.3g}" for name, value in (every | across).items())
    if joint.demand_withdrawal is not None and along:
        words += "; pulled out, " + ", ".join(f"{name} factor {value:.3g}" for name, value in along.items())
    return Adjustments(
        lateral, prod([*every.values(), *along.values()]), head, words, ", ".join(dict.fromkeys(taken))
    )


def wet_made_words(joint: Joint, part: Part, structure: Structure) -> tuple[Assumption, ...]:
    """That the wood was put together dry, where nobody said so and the NDS's factors turn on it."""
    layout = joint.layout or Layout()
    if layout.wet_when_made is not None:
        return ()
    dry, wet = (
        adjustments(
            joint.model_copy(update={"layout": layout.model_copy(update={"wet_when_made": made})}),
            part,
            structure,
        )
        for made in (False, True)
    )
    if (dry.lateral, dry.withdrawal) == (wet.lateral, wet.withdrawal):
        return ()
    changed = wet.lateral / dry.lateral if wet.lateral != dry.lateral else wet.withdrawal / dry.withdrawal
    return (made_dry(joint, f"made wet, the {part.kind_words} would carry {changed:.3g} times as much"),)


def made_dry(joint: Joint, because: str) -> Assumption:
    """The moisture of the wood when it was put together, as an assumption."""
    said = f"whether the wood held more than 19 % moisture when it was put together is not stated; {because}"
    return Assumption(f"joints.{joint.id}.layout.wet_when_made", "no", said)


def drilled_words(joint: Joint, part: Part) -> tuple[Assumption, ...]:
    """That holes of screws are drilled, on which the NDS's values rest.

    Raises
    ------
    InputError : where it is stated that they are not
    """
    if part.kind not in ("lag_screw", "wood_screw") or part.predrilled:
        return ()
    where = f"joints.{joint.id}.{part.id}.predrilled"
    if part.predrilled is None:
        because = f"not stated; values of the NDS for a {part.kind_words} rest on a hole drilled first"
        return (Assumption(where, "yes", because),)
    said = f"values of the NDS for a {part.kind_words} rest on a hole drilled first."
    raise InputError(Problem(where, False, said, "Drill the holes, or take a value from a test."))


def pulled_as(part: Part, base_metal: str) -> WithdrawalFastener | None:
    """Which withdrawal equation holds for a fastener; None for one that a nut holds, or that has none.

    A ring-shank nail is taken by its rings whatever its metal.
    """
    if part.kind == "nail":
        if part.shank == "ring":
            return "ring_shank_nail"
        return "stainless_nail" if base_metal == "stainless" else "nail"
    if part.kind == "lag_screw":
        return "lag_screw"
    return "wood_screw" if part.kind == "wood_screw" else None


def _withdrawal(joint: Joint, part: Part, wet: bool, made_wet: bool, *, slanted: bool) -> dict[str, float]:
    if joint.demand_withdrawal is None:
        return {}
    fastener = pulled_as(part, "carbon_steel")
    found: dict[str, float] = {}
    if slanted:
        found["toe-nail"] = toe_nail_factor("withdrawal")
    elif fastener is not None:
        # wood that rain reaches dries between: for a smooth nail that is the worst there is
        steady = places()[joint.place].always_wet or not wet
        begun = made_wet if steady else not wet
        found["wet service"] = wet_service_factor_withdrawal(
            fastener, wet_when_made=begun, wet_in_service=wet
        )
    if joint.main_end_grain:
        found["end grain"] = end_grain_factor(part.kind, "withdrawal")
    return found


def _one_row(joint: Joint, part: Part) -> bool:
    """One fastener, or one row along the grain of every timber, so that shrinking wood is not held apart."""
    if part.count == 1:
        return True
    if joint.layout is None:
        return False
    angles = set(_angles_deg(joint))
    along_load, across_load = joint.layout.in_row == part.count, joint.layout.in_row == 1
    return (along_load and angles == {0.0}) or (across_load and angles == {90.0})


def _angles_deg(joint: Joint) -> tuple[float, ...]:
    """Angle of load to grain of each timber of the joint [degrees]."""
    main = joint.main_angle_deg
    return (main,) if joint.side is None else (main, joint.load_to_grain_side_deg)


def _of_layout(joint: Joint, structure: Structure, diameter_in: float, taken: list[str]) -> dict[str, float]:
    layout = joint.layout
    angle = max(_angles_deg(joint))
    given = {
        "end_distance_in": layout.end_distance if layout else None,
        "spacing_in": layout.row_spacing if layout else None,
        "edge_distance_in": layout.edge_distance if layout else None,
    }
    if any(value is None for value in given.values()):
        taken.append("full distances to ends, edges and each other")
    inches = {name: None if value is None else value / MM_PER_IN for name, value in given.items()}
    found = {"geometry": geometry_factor(diameter_in=diameter_in, angle_deg=angle, **inches)}
    if layout is None or layout.in_row is None:
        taken.append("one fastener in a row along the load")
        return found
    if layout.in_row == 1:
        return found
    stiffness = _stiffness_lb(joint, structure)
    if layout.row_spacing is None or stiffness is None:
        taken.append("no group action, as spacing or the timbers' sizes are not stated")
        return found
    main, side, metal = stiffness
    found["group action"] = group_action_factor(
        count=layout.in_row,
        diameter_in=diameter_in,
        spacing_in=layout.row_spacing / MM_PER_IN,
        main_stiffness_lb=main,
        side_stiffness_lb=side,
        metal_side=metal,
    )
    taken.append("stiffness of the timbers as the tables of group action have it")
    return found


def _stiffness_lb(joint: Joint, structure: Structure) -> tuple[float, float, bool] | None:
    """E A of the main timber and of the side, and whether that is steel; None where a size is missing."""
    basis = load_toml("strength/nds_2018/group_action.toml")["table_basis"]
    areas = {}
    for name in (joint.main, joint.side):
        size = None if name is None else structure.timbers[name].size
        if name is not None:
            if size is None:
                return None
            lumber = read_lumber_size(size)
            areas[name] = lumber.thickness_mm * lumber.width_mm / _MM2_PER_IN2
    main = basis["wood_e_psi"] * areas[joint.main]
    if joint.side is not None:
        sides = 2.0 if joint.double_shear else 1.0
        return main, sides * basis["wood_e_psi"] * areas[joint.side], False
    sheet = next((part for part in joint.parts if part.measures.thickness_mm and part.width), None)
    if sheet is None or sheet.width is None:
        return None
    area = (sheet.measures.thickness_mm or 0.0) * sheet.width / _MM2_PER_IN2
    return main, basis["steel_e_psi"] * area, True
