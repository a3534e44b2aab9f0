"""Which readings are worth taking: those that would change what is done, at least cost."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.setting import setting_for
from longhold.assessment.shared import Setting, kind_key
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.base.version import VERSION
from longhold.forecast.causes import Causes, Learned
from longhold.forecast.faces import Face, faces_of
from longhold.inspect.actions import Action, Prospect, prospect
from longhold.inspect.decide import Asked, age_on, safe_actions
from longhold.inspect.expected import Forward
from longhold.inspect.likelihood import seen
from longhold.inspect.lives import JointLife, joint_life, joint_lives
from longhold.inspect.observed import OnPart
from longhold.model.costs import Costs
from longhold.model.parts import Part
from longhold.model.reading import Measured, Reading
from longhold.model.structure import Joint, Structure

__all__ = ["InspectionPlan", "PlannedReading", "plan_readings"]

Array = NDArray[np.float64]
_BINS = 10
_SPOTS: Mapping[str, int] = {"zinc": 5, "thickness_left": 3, "diameter_left": 1, "rust": 1}
_REMOVABLE = ("wood_screw", "lag_screw", "bolt", "nail")


@dataclass(frozen=True)
class PlannedReading:
    """One reading that may be taken.

    Attributes
    ----------
    life : of the joint or joints alike, of which one is read
    part, face : where; face is None for a size
    measured, method, words : what, how in short, and how
    cost : of taking it
    worth : expected saving by what it would change, at this joint and all that share its causes
    turns : chance that it changes what is done at this joint
    """

    life: JointLife
    part: Part
    face: Face | None
    measured: Measured
    method: str
    words: str
    cost: float
    worth: float
    turns: float

    @property
    def net(self) -> float:
        """What it is worth less what it costs."""
        return self.worth - self.cost


@dataclass(frozen=True)
class InspectionPlan:
    """Readings sorted by what they are worth, for one visit.

    Attributes
    ----------
    structure, asked, costs, age : what was asked of what
    readings : those worth most first
    prospects : of every joint, before any of them
    """

    structure: Structure
    asked: Asked
    costs: Costs
    age: float
    readings: tuple[PlannedReading, ...]
    prospects: tuple[Prospect, ...]
    version: str
    seed: int
    draws: int


@dataclass(frozen=True)
class _Group:
    """Joints alike: the one that may be read, whose draws are its own, and the others."""

    read: Prospect
    others: Prospect
    own_key: str


def plan_readings(
    structure: Structure,
    costs: Costs,
    asked: Asked,
    *,
    learned: Learned | None = None,
    draws: int = 2000,
    seed: int = 1,
) -> InspectionPlan:
    """Sort the readings that a visit may take by what they are worth.

    A reading is drawn as it may come; draws are parted by it, and in each part the best thing to do is taken
    anew: the saving over doing the same whatever it reads is its worth. What is best is found on half of the
    draws and counted on the other half, so that chance is not taken for knowledge. Each reading is taken by
    itself: two that say the same are each worth as much, and together no more.

    Raises
    ------
    InputError : as ``decide``
    """
    age = age_on(structure, asked)
    ages = np.linspace(0.0, 2.0 * max(structure.design_life, age + asked.next_years), 25)
    setting = setting_for(structure, ages, draws=draws, seed=seed, learned=learned)
    horizon = max(structure.design_life - age, asked.next_years)
    groups = [_group(life, setting, age, asked, horizon, costs) for life in joint_lives(setting)]
    causes = setting.exposure.causes
    found = [one for group in groups for one in _worth(group, groups, setting, causes, age, asked, costs)]
    found.sort(key=lambda one: (-one.net, -one.turns, one.cost))
    count = draws if learned is None else learned.count
    prospects = tuple(group.others for group in groups)
    return InspectionPlan(structure, asked, costs, age, tuple(found), prospects, VERSION, seed, count)


def _group(
    life: JointLife, setting: Setting, age: float, asked: Asked, horizon: float, costs: Costs
) -> _Group:
    joint = life.joint
    others = prospect(life, age, asked.next_years, horizon, costs)
    if joint.id in setting.own_keys:
        return _Group(others, others, setting.own_keys[joint.id])
    own_key = f"{kind_key(joint)}|{joint.id}"
    one = joint_life([joint], setting, own_key)
    return _Group(prospect(one, age, asked.next_years, horizon, costs), others, own_key)


def _worth(
    group: _Group,
    groups: Sequence[_Group],
    setting: Setting,
    causes: Causes,
    age: float,
    asked: Asked,
    costs: Costs,
) -> Iterator[PlannedReading]:
    joint = group.read.life.joint
    candidates = [] if group.read.life.refer else list(_candidates(joint))
    observed = [
        OnPart(i, reading, age, joint, part, face, group.own_key, "gauge:planned")
        for i, (part, face, _, reading) in enumerate(candidates)
    ]
    expected = Forward(setting, observed, "both").expected(causes)
    generator = np.random.default_rng([setting.exposure.causes.seed, len(joint.id)])
    for one, (part, face, row, _), middle in zip(observed, candidates, expected, strict=True):
        if middle is None or np.ptp(middle) == 0.0:
            continue
        drawn = seen(one, middle, generator)
        worth, turns = _saving(group.read, drawn, asked)
        for other in groups:
            rest = other.others.life.quantity - (1 if other is group else 0)
            if rest:
                worth += rest * _saving(other.others, drawn, asked)[0]
        reach = float(getattr(costs.access, joint.access))
        cost = float(row["visit_share"]) * (costs.visit_per_joint or 0.0) * reach
        yield PlannedReading(
            group.others.life,
            part,
            face,
            row["measured"],
            row["method"],
            row["words"],
            cost,
            max(worth, 0.0),
            turns,
        )


def _saving(one: Prospect, drawn: Array, asked: Asked) -> tuple[float, float]:
    """Expected saving at one joint by a reading, and the chance that it changes what is done there."""
    if not one.costs or one.life.refer:
        return 0.0, 0.0
    order = np.argsort(drawn, kind="stable")
    before = _best(one, np.ones(len(drawn), dtype=bool), asked)
    saved, turned = 0.0, 0
    for part in np.array_split(order, _BINS):
        halves = part[::2], part[1::2]
        for learn, count in (halves, halves[::-1]):
            which = np.zeros(len(drawn), dtype=bool)
            which[learn] = True
            best = _best(one, which, asked)
            if best != before:
                saved += float((one.costs[before][count] - one.costs[best][count]).sum())
                turned += len(count)
    return saved / len(drawn), turned / len(drawn)


def _best(one: Prospect, which: NDArray[np.bool_], asked: Asked) -> Action:
    means = {action: float(cost[which].mean()) for action, cost in one.costs.items()}
    return min(safe_actions(one, asked.most_below), key=lambda action: means[action])


def _candidates(joint: Joint) -> Iterator[tuple[Part, Face | None, Row, Reading]]:
    for part in joint.parts:
        faces = faces_of(part.kind)
        for row in _methods():
            measured = row["measured"]
            if measured in ("rust", "zinc"):
                places: Sequence[Face | None] = [face for face in faces if face.touches == "air"]
            elif measured == "thickness_left":
                places = [None] if part.measures.thickness_mm and not part.is_fastener else []
            else:
                places = [faces[-1]] if part.kind in _REMOVABLE else []
            for face in places:
                yield part, face, row, _as_if(joint, part, face, measured)


def _as_if(joint: Joint, part: Part, face: Face | None, measured: Measured) -> Reading:
    """A reading without its value, to draw values for."""
    graded = measured == "rust"
    size = part.measures.diameter_mm if measured == "diameter_left" else part.measures.thickness_mm
    value = {"zinc": 1.0, "diameter_left": size, "thickness_left": size}.get(measured)
    return Reading(
        joint=joint.id,
        part=part.id,
        face="" if face is None else face.face,
        date=datetime.date.min,
        measured=measured,
        words="planned",
        spots=_SPOTS[measured],
        value=value,
        low_pct=0.0 if graded else None,
        high_pct=100.0 if graded else None,
    )


@cache
def _methods() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"method": str, "measured": str, "visit_share": number, "words": str}
    return load_csv("inspect/methods.csv", columns, key=("method",))
