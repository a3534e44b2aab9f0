"""Where decay, which no strength of ours counts, would end a joint before its metal does."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.facings import rain_from
from longhold.base.marks import Mark
from longhold.forecast.wood_rate import WoodContact, kind_of
from longhold.model.facing import RainFrom
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import places
from longhold.wood.decay import daily_dose, decay_record, dose_to_rating
from longhold.wood.moisture import steady_moisture
from longhold.wood.simulation import MoistureNotConverged

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding
    from longhold.assessment.shared import Setting

__all__ = ["DecayFlag", "decay_flag", "told_once"]

Array = NDArray[np.float64]
_DAYS = 365.0
_UNTREATED = ("none", "untreated")


@dataclass(frozen=True)
class DecayFlag:
    """The dose of decay that a timber's simulated moisture brings at its joint line.

    Attributes
    ----------
    timber : its name
    at : id of the joint where it is wettest, of those that share its place; a timber is one piece
    treated : whether it holds a preservative, whose delay is not computed
    dose_days_a_year : sum of the daily doses of one year where it is largest [days]
    depth_mm : there, from the joint line [mm]; None where the moisture is steady
    wet_share : share of the days above the moisture from which decay is counted
    slight_years, moderate_years : until untreated softwood would show slight and moderate decay [years]
    governs : whether moderate decay would come before the design life and before the metal's strength ends
    words : the same for people
    mark : of the model
    told_at : id of an earlier joint of the report that tells the same of the same timber; empty at the first
    """

    timber: str
    at: str
    treated: bool
    dose_days_a_year: float
    depth_mm: float | None
    wet_share: float
    slight_years: float
    moderate_years: float
    governs: bool
    words: str
    mark: Mark
    told_at: str = ""


def decay_flag(joint: Joint, strength_years: Array | None, setting: Setting) -> DecayFlag | None:
    """What the moisture at the joint line would do to untreated softwood: a flag, taken off no strength.

    One simulated year, everything that is not known at its middle; daily moisture and the day's mean air
    temperature. None indoors, and where the moisture is not computed.
    """
    place = places()[joint.place]
    if not place.computed or place.air_face.startswith("inside"):
        return None
    doses = list(_doses(joint, setting))
    if not doses:
        return None
    # untreated timber first: there nothing delays it
    name, at, treated, dose, depth, wet = max(doses, key=lambda one: (not one[2] and one[3] > 0.0, one[3]))
    flag = decay_record("flag")
    slight, moderate = (
        dose_to_rating(flag[level]) / dose if dose > 0.0 else inf for level in ("slight", "moderate")
    )
    ends = inf if strength_years is None else float(np.median(strength_years))
    governs = moderate < min(setting.structure.design_life, ends)
    words = _words(name, at, treated, dose, moderate, governs)
    return DecayFlag(
        name,
        at,
        treated,
        dose,
        depth,
        wet,
        slight,
        moderate,
        governs,
        words,
        Mark(decay_record("rating")["mark"]),
    )


def told_once(findings: Iterable[JointFinding]) -> Iterator[JointFinding]:
    """The findings, with what decay does to a timber told at the first of its joints in a place only."""
    first: dict[tuple[str, str], str] = {}
    for found in findings:
        flag = found.decay
        if flag is None:
            yield found
            continue
        told = first.setdefault((flag.timber, found.joint.place), found.joint.id)
        yield found if told == found.joint.id else replace(found, decay=replace(flag, told_at=told))


def _doses(joint: Joint, setting: Setting) -> Iterator[tuple[str, str, bool, float, float | None, float]]:
    """For each timber of a joint, the dose at the wettest of its joints in the same place.

    Metal that enters a level face lets rain stand at the joint line, an upright face does not: the same
    timber would else have a dose at each, though it rots as one piece.
    """
    structure = setting.structure
    for name in dict.fromkeys([joint.main, *([joint.side] if joint.side else [])]):
        treated = structure.timbers[name].preservative.lower() not in _UNTREATED
        told = [
            (at, treated, *dose)
            for rain, at in _ways_to_rain(name, joint, structure).items()
            if (dose := _dose_under(rain, name, joint, setting)) is not None
        ]
        if told:
            yield name, *max(told, key=lambda one: one[2])


def _ways_to_rain(name: str, joint: Joint, structure: Structure) -> dict[RainFrom, str]:
    """How rain meets a timber at its joints in one place, each with the first such joint; its own first."""
    found: dict[RainFrom, str] = {rain_from(joint): joint.id}
    for other in structure.joints:
        if other.place == joint.place and name in (other.main, other.side):
            found.setdefault(rain_from(other), other.id)
    return found


def _dose_under(
    rain: RainFrom, name: str, joint: Joint, setting: Setting
) -> tuple[float, float | None, float] | None:
    contact = WoodContact(places()[joint.place], setting.prepared.timbers[name], True, rain, "shank")
    try:
        return _dose(contact, setting)
    except MoistureNotConverged:
        return None


def _dose(contact: WoodContact, setting: Setting) -> tuple[float, float | None, float]:
    """Dose of a year where it is largest, its depth, and the share of wet days there."""
    wet_from = decay_record("moisture")["from_pct"]
    kind = kind_of(contact)
    if kind is None:
        states = steady_moisture(setting.exposure.climate, contact.place)
        daily = daily_dose(states.moisture_pct, states.temperature_c)
        wet = float((states.share_of_year * (states.moisture_pct >= wet_from)).sum())
        return float(_DAYS * (states.share_of_year * daily).sum()), None, wet
    depth_mm, moisture_pct, warm_c = setting.exposure.wood_runs.decay_year(kind)
    by_depth = daily_dose(moisture_pct, warm_c[:, None]).sum(axis=0)
    at = int(by_depth.argmax())
    return float(by_depth[at]), float(depth_mm[at]), float(np.mean(moisture_pct[:, at] >= wet_from))


def _words(name: str, at: str, treated: bool, dose: float, moderate: float, governs: bool) -> str:
    flag = decay_record("flag")
    if dose < flag["dry_below_days"]:
        return f"Decay: the {name} stays too dry for it at the joint line."
    told = f"{dose:.0f} days of decay dose a year at its wettest joint line ({at})"
    soon = moderate < flag["hardly_from_years"]
    when = f"moderate decay after about {moderate:.0f} years" if soon else "hardly any decay"
    if treated:
        said = f"Decay is not counted: the {name} would take {told}; untreated softwood would show {when}"
        last = ", so its treatment must hold" if governs else ""
        return f"{said}{last}. How long its treatment delays that is not computed."
    said = f"Decay is not counted: the {name} takes {told}; softwood that is not durable shows {when}"
    return f"{said}: decay would end this joint before its metal does." if governs else f"{said}."
