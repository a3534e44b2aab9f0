"""When joints that stand come to their end, draw by draw: what decisions on them rest on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.capacity import demand_of, load_unchecked
from longhold.assessment.joint import deciding_years
from longhold.assessment.parts import PartRun, run_parts
from longhold.assessment.prepare import protections
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import leaves_pits_out
from longhold.base.tables import Row
from longhold.forecast.causes import Causes
from longhold.forecast.coats import paint_ranges
from longhold.inspect.thresholds import threshold
from longhold.model.structure import Joint

__all__ = ["JointLife", "joint_life", "joint_lives", "site_paint"]

Array = NDArray[np.float64]
_SITE_PAINT = "L"


@dataclass(frozen=True)
class JointLife:
    """One joint, or joints alike that none has read apart.

    Attributes
    ----------
    joint : the first of them
    ids : of all
    quantity : joints in all
    years : age at which the end that decides comes, by draw [years]; None where none is computed
    refer : why something of it is not computed
    by_strength : whether strength decides, and not protection
    load_years : age at which what carries the stated load falls below it, by draw [years]; None where no load
        is stated, or none is held against what carries it
    bare_years : age at which the first face in the air loses base metal, by draw; None where it has none
    hidden_years : the same of the first face that no paint reaches; None where it has none
    leaves_pits_out : whether no chance has the pits of accepted stainless below the class asked for
    paint_years : how long paint that is put on it on site lasts, by draw [years]; None where it has no face
        in the air
    """

    joint: Joint
    ids: tuple[str, ...]
    quantity: int
    years: Array | None
    refer: tuple[str, ...]
    by_strength: bool
    load_years: Array | None
    bare_years: Array | None
    hidden_years: Array | None = None
    leaves_pits_out: bool = False
    paint_years: Array | None = None

    @property
    def loaded(self) -> bool:
        """Whether a stated load is held against what carries it."""
        return self.load_years is not None

    @property
    def paint_helps(self) -> bool:
        """Whether a face that paint reaches is the first to lose metal, in most of the draws."""
        if self.years is None or self.bare_years is None or self.by_strength:
            return False
        return float(np.mean(self.bare_years <= self.years)) > threshold("treatable")


def joint_lives(setting: Setting) -> tuple[JointLife, ...]:
    """The lives of a structure's joints; those alike and not read apart are computed once."""
    alike: dict[str, list[Joint]] = {}
    for joint in setting.structure.joints:
        key = joint.model_dump_json(exclude={"id", "name", "quantity"}, exclude_unset=True)
        alike.setdefault(key + setting.own_keys.get(joint.id, ""), []).append(joint)
    return tuple(joint_life(joints, setting) for joints in alike.values())


def joint_life(joints: Sequence[Joint], setting: Setting, own_key: str = "") -> JointLife:
    """The life of joints that are alike.

    Parameters
    ----------
    own_key : key of the draws that are their own; blank takes that of the setting
    """
    joint = joints[0]
    if own_key:
        setting = replace(setting, own_keys={**setting.own_keys, joint.id: own_key})
    readings = setting.prepared.readings
    chosen = [protections(part, readings[joint.id, part.id])[0] for part in joint.parts]
    runs = run_parts(joint, setting, chosen)
    strong = [run for run in runs if run.strength_years is not None]
    bare_years = _first_years(runs, in_air=True)
    return JointLife(
        joint,
        tuple(one.id for one in joints),
        sum(one.quantity for one in joints),
        deciding_years(joint, runs, setting.structure.design_life),
        tuple(dict.fromkeys(said for run in runs for said in run.refer)),
        joint.role == "structural" and bool(strong),
        _load_years(joint, strong, setting),
        bare_years,
        _first_years(runs, in_air=False),
        leaves_pits_out(joint, ((run.part, run.protection) for run in runs), setting),
        None if bare_years is None else _paint_years(setting.exposure.causes),
    )


def site_paint() -> Row:
    """Life of paint put on by hand on site: the low durability of ISO 12944 [years]."""
    return paint_ranges()[_SITE_PAINT]


def _paint_years(causes: Causes) -> Array:
    row = site_paint()
    return causes.lognormal("film_life", "repaint", row["median_years"], row["sd_ln"])


def _load_years(joint: Joint, strong: Sequence[PartRun], setting: Setting) -> Array | None:
    """A part whose stated load is not checked ends at a share of new, which is no sign that it gives way."""
    if demand_of(joint) is None:
        return None
    ends = [
        run.strength_years
        for run in strong
        if run.strength_years is not None and not load_unchecked(joint, run.part, run.as_is, setting)
    ]
    return np.asarray(np.min(ends, axis=0)) if ends else None


def _first_years(runs: Sequence[PartRun], *, in_air: bool) -> Array | None:
    ends = [
        face.protection_years
        for run in runs
        for face in run.faces
        if face.case.in_air is in_air and face.protection_years is not None
    ]
    return np.asarray(np.min(ends, axis=0)) if ends else None
