"""Timbers of one joint, each as rain reaches it: moisture by month and depth, loss of metal by depth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.facings import rain_from
from longhold.assessment.parts import PartRun, worse_timber
from longhold.assessment.shared import Setting
from longhold.assessment.wood_findings import DepthCurve, MetalLoss, ShownYear, WoodBlock
from longhold.base.trace import Section, Trace
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase, wood_contact
from longhold.forecast.faces import Face, faces_of
from longhold.forecast.scatter import scatter
from longhold.forecast.summary import band_of
from longhold.forecast.wood_rate import (
    TimberFacts,
    WoodContact,
    kind_of,
    loss_by_depth_um,
    wood_rate_um,
)
from longhold.model.structure import Joint
from longhold.model.surroundings import Climate, places
from longhold.model.timber import Timber
from longhold.wood.moisture import steady_moisture
from longhold.wood.simulation import MoistureNotConverged
from longhold.wood.taken import plate_mm, threshold_pct
from longhold.wood.timber_runs import SITUATION_WORDS, Situation

__all__ = ["wood_blocks"]

Array = NDArray[np.float64]

"""Moisture above which the simulation counts hours [%]."""
_COLUMN_DAYS = 5
_COAT_WORDS = {"paint": "painted", "stain": "stained", "water_repellent": "with a water repellent"}
_ALIKE = 0.001


@dataclass
class _Met:
    """One metal that meets one timber in one way, and whose."""

    metal: str
    contact: WoodContact
    parts: dict[str, None] = field(default_factory=dict)
    faces: dict[str, None] = field(default_factory=dict)


@dataclass
class _Group:
    """The contacts of one timber and situation."""

    contact: WoodContact
    counts: bool
    met: dict[tuple[object, ...], _Met] = field(default_factory=dict)


def wood_blocks(
    joint: Joint,
    runs: Sequence[PartRun],
    setting: Setting,
    *,
    every_timber: bool = False,
    picture: bool = False,
) -> tuple[tuple[WoodBlock, ...], tuple[str, ...]]:
    """What the timbers of a joint do to its metal, from parts that were drawn, and what is not computed.

    Parameters
    ----------
    every_timber : also for the timber of two that the assessment does not take
    picture : with a year for a picture
    """
    blocks: list[WoodBlock] = []
    refer: list[str] = []
    for group in _groups(joint, runs, setting, every_timber=every_timber):
        try:
            blocks.append(_block(group, joint, setting, picture))
        except MoistureNotConverged as fault:
            refer.append(f"{group.contact.timber.key}: {str(fault).rstrip('.')}")
    return tuple(sorted(blocks, key=_order)), tuple(refer)


def _order(block: WoodBlock) -> tuple[bool, float]:
    return not block.counts, -max((one.worst_um.p50 for one in block.losses), default=0.0)


def _groups(
    joint: Joint, runs: Sequence[PartRun], setting: Setting, *, every_timber: bool
) -> Iterator[_Group]:
    groups: dict[tuple[str, bool, Situation | None], _Group] = {}
    for run in runs:
        for face, timber, counts in _touched(joint, run, setting, every_timber=every_timber):
            case = next((one.case for one in run.faces if one.case.face == face), None)
            plain = WoodContact(places()[joint.place], timber, face.trapped, rain_from(joint), "shank")
            kind = kind_of(plain)
            key = (*_same(timber), None if kind is None else kind.situation)
            group = groups.setdefault(key, _Group(plain, counts=False))
            group.counts = group.counts or counts
            for metal, contact in () if case is None else _contacts(replace(case, timber=timber)):
                alike = (metal, contact.contact, contact.key[-1])
                met = group.met.setdefault(alike, _Met(metal, contact))
                met.parts[run.part.id] = None
                met.faces[face.words] = None
    yield from groups.values()


def _touched(
    joint: Joint, run: PartRun, setting: Setting, *, every_timber: bool
) -> Iterator[tuple[Face, TimberFacts, bool]]:
    """Faces of a part that touch timber, each timber, and whether the assessment takes it."""
    if not places()[joint.place].computed:
        return
    met = (
        setting.prepared.timbers_met(joint)
        if run.part.is_fastener
        else (setting.prepared.main_timber(joint),)
    )
    taken = worse_timber(joint, setting) if run.part.is_fastener else met[0]
    for face in faces_of(run.part.kind):
        if face.touches == "air":
            continue
        yield face, taken, True
        if every_timber:
            yield from ((face, one, False) for one in met if _same(one) != _same(taken))


def _same(timber: TimberFacts) -> tuple[str, bool]:
    """Which timber of a joint it is, and whether in end grain."""
    return timber.key, timber.end_grain


def _contacts(case: FaceCase) -> Iterator[tuple[str, WoodContact]]:
    """Metals of a face in the order in which the timber takes them, and how each meets it."""
    zinc = case.protection.zinc
    metals = ["zinc"] if zinc is not None and zinc.nominal_um else []
    for metal in [*metals, case.protection.base_metal]:
        yield metal, wood_contact(case, metal)


def _block(group: _Group, joint: Joint, setting: Setting, picture: bool) -> WoodBlock:
    contact, exposure = group.contact, setting.exposure
    timber = setting.structure.timbers[contact.timber.key]
    kind, runs = kind_of(contact), exposure.wood_runs
    if kind is None:
        depth_mm, monthly_pct, above, words = _steady(contact, exposure.climate)
    else:
        surfaces = runs.surfaces(kind)
        depth_mm, monthly_pct, above = surfaces.depth_mm, surfaces.monthly_pct, surfaces.above_share
        words = SITUATION_WORDS[kind.situation] + (", into its end grain" if kind.end_grain else "")
    losses = [_loss(met, joint, setting, depth_mm, above) for met in group.met.values()]
    return WoodBlock(
        timber=contact.timber.key,
        timber_words=_timber_words(timber),
        thickness_mm=contact.timber.thickness_mm if kind is None else kind.thickness_mm,
        situation=None if kind is None else kind.situation,
        situation_words=words,
        counts=group.counts,
        depth_mm=_rounded(depth_mm, 3),
        monthly_pct=tuple(_rounded(month, 2) for month in monthly_pct),
        above_share=_rounded(above, 4),
        losses=tuple(losses),
        end_grain=contact.timber.end_grain,
        year=_shown(*runs.shown_year(kind)) if picture and kind is not None else None,
    )


def _timber_words(timber: Timber) -> str:
    treated = "untreated" if timber.preservative.lower() in {"none", "untreated"} else timber.preservative
    coat = "" if timber.coat is None else f", {_COAT_WORDS[timber.coat]}"
    return f"{timber.species}, {treated}{coat}"


def _loss(met: _Met, joint: Joint, setting: Setting, depth_mm: Array, above: Array) -> MetalLoss:
    exposure, contact, metal = setting.exposure, met.contact, met.metal
    own = exposure.causes.lognormal(
        "own_wetness", f"joint:{setting.own_key(joint)}", 1.0, scatter("own_wetness")
    )
    on_face = contact.contact != "shank"
    curve = None if on_face else _curve(metal, contact, exposure, setting.middle, own)
    rate = np.asarray(exposure.wood_law(metal, contact).first_year_um)
    if curve is not None:
        # the nearer of two faces that are alike
        worst = int(np.argmax(np.asarray(curve.p50_um) >= (1.0 - _ALIKE) * max(curve.p50_um)))
        worst_mm, share = curve.depth_mm[worst], float(above[worst])
    else:
        worst_mm, share = (
            None,
            float(np.mean(above[depth_mm <= plate_mm()]) if depth_mm.size > 1 else above[0]),
        )
    return MetalLoss(
        metal=metal,
        parts=tuple(met.parts),
        faces=tuple(met.faces),
        on_face=on_face,
        worst_um=band_of(rate * own),
        worst_mm=worst_mm,
        worst_above_share=share,
        curve=curve,
        calculation=_calculation(metal, contact, setting.middle),
    )


def _curve(
    metal: str, contact: WoodContact, exposure: SiteExposure, middle: SiteExposure, own: Array
) -> DepthCurve | None:
    found = loss_by_depth_um(metal, contact, exposure.wood_runs, exposure.causes)
    if found is None:
        return None
    depth_mm, drawn_um = found
    low, half, high = np.quantile(drawn_um * own[:, None], [0.1, 0.5, 0.9], axis=0)
    by_set = []
    for name in ("early_plateau", "late_plateau"):
        one = loss_by_depth_um(metal, contact, middle.wood_runs, middle.causes, name)
        by_set.append(one[1][0] if one is not None else half)
    return DepthCurve(_rounded(depth_mm, 3), *(tuple(row.tolist()) for row in (low, half, high, *by_set)))


def _calculation(metal: str, contact: WoodContact, middle: SiteExposure) -> Section:
    trace = Trace(f"{metal.replace('_', ' ')} in {contact.timber.key}")
    wood_rate_um(metal, contact, middle.climate, middle.wood_runs, middle.causes, {}, trace)
    return trace.root


def _steady(contact: WoodContact, climate: Climate) -> tuple[Array, Array, Array, str]:
    """Depth, moisture by month, share above the threshold, why: of wood whose moisture hardly changes."""
    states = steady_moisture(climate, contact.place)
    above = (states.moisture_pct > threshold_pct()) & (states.temperature_c > 0.0)
    share = float((states.share_of_year * above).sum())
    by_month = states.moisture_pct if states.moisture_pct.size == 12 else None
    mean = float((states.share_of_year * states.moisture_pct).sum())
    monthly = np.full((12, 1), mean) if by_month is None else np.asarray(by_month, dtype=float)[:, None]
    return np.array([0.0]), monthly, np.array([share]), f"steady moisture, {contact.place.words}"


def _shown(depth_mm: Array, daily_pct: Array) -> ShownYear:
    columns = len(daily_pct) // _COLUMN_DAYS
    edges = [_COLUMN_DAYS * i for i in range(columns)]
    means = [part.mean(axis=0) for part in np.split(daily_pct, edges[1:])]
    return ShownYear(_COLUMN_DAYS, _rounded(depth_mm, 3), tuple(_rounded(one, 2) for one in means))


def _rounded(values: Array, places: int) -> tuple[float, ...]:
    return tuple(np.round(np.asarray(values, dtype=float), places).tolist())
