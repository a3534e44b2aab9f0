"""Which readings are worth taking: those that would change what is done, at least cost."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.decay import decay_flag
from longhold.assessment.setting import setting_for
from longhold.assessment.shared import Setting, kind_key
from longhold.base.errors import InputError, Problem
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.base.version import VERSION
from longhold.forecast.causes import Learned
from longhold.forecast.faces import Face, faces_of
from longhold.forecast.summary import Band, band_of
from longhold.inspect.actions import Action, Prospect, prospect
from longhold.inspect.decide import Answer, Asked, age_on, decided
from longhold.inspect.expected import Forward
from longhold.inspect.information import MAKE_SAFE, Choice, Information, information
from longhold.inspect.likelihood import LEAST_SEEN, seen
from longhold.inspect.lives import JointLife, joint_life, joint_lives
from longhold.inspect.observed import OnPart, says_nothing
from longhold.inspect.visit_checks import SafetyCheck, safety_checks
from longhold.model.costs import Costs
from longhold.model.parts import Part
from longhold.model.reading import Measured, Reading
from longhold.model.structure import Joint, Structure

__all__ = ["InspectionPlan", "PlannedReading", "Stop", "Turning", "plan_readings", "worth_taking"]

Array = NDArray[np.float64]
_SPOTS: Mapping[str, int] = {"zinc": 5, "thickness_left": 3, "diameter_left": 1, "rust": 1}
_REMOVABLE = ("wood_screw", "lag_screw", "bolt", "nail")
_TOO_SMALL_FOR_A_GAUGE = ("nail", "staple", "wood_screw")
_MOST_KINDS = 200
_MOST_EACH = 2


@dataclass(frozen=True)
class Turning:
    """What is done where a reading falls between two bounds.

    Attributes
    ----------
    low, high : the bounds, in the unit of the reading; of rust the share; infinite where there is none
    chance : that it falls there, 0 to 1
    answer : what is done then
    """

    low: float
    high: float
    chance: float
    answer: Answer


@dataclass(frozen=True)
class PlannedReading:
    """One reading that may be taken.

    Attributes
    ----------
    life : of the joint or joints alike, of which one is read
    part, face : where; face is None for a size
    measured, method, words : what, how in short, and how
    spots : number of them
    expected : what it may read, gauge and spots included, in its unit; of rust the share
    cost : of taking it
    worth : expected saving by what it would turn, at this joint and all that share its causes
    turns : chance that it turns what is done at this joint
    unsafe : chance that it shows that what would be done at this joint passes the limit
    answers : what is done at this joint, by what it reads
    others : id of the first of other joints alike, how many, and the chance that it turns what is done there
    """

    life: JointLife
    part: Part
    face: Face | None
    measured: Measured
    method: str
    words: str
    spots: int
    expected: Band
    cost: float
    worth: float
    turns: float
    unsafe: float
    answers: tuple[Turning, ...]
    others: tuple[tuple[str, int, float], ...]

    @property
    def joints_turned(self) -> float:
        """Expected number of joints for which it turns what is done."""
        return self.turns + sum(many * turns for _, many, turns in self.others)

    @property
    def net(self) -> float:
        """What it is worth less what it costs."""
        return self.worth - self.cost


@dataclass(frozen=True)
class Stop:
    """One joint, or joints alike, as a visit meets them.

    Attributes
    ----------
    prospect : before the visit
    answer : what would be done without it
    readings : those worth taking there, best first
    checks : those that no forecast uses but safety asks for
    """

    prospect: Prospect
    answer: Answer
    readings: tuple[PlannedReading, ...]
    checks: tuple[SafetyCheck, ...]

    @property
    def unread(self) -> int:
        """Joints of which nothing is read."""
        return self.prospect.life.quantity - (1 if self.readings else 0)


@dataclass(frozen=True)
class InspectionPlan:
    """Readings for one visit.

    Attributes
    ----------
    structure, asked, costs, age, horizon_years : what was asked of what, as in ``Decisions``
    considered : every reading that was weighed
    readings : those worth taking, at most a few of each kind of joint, best first
    stops : joints in the order of the structure
    """

    structure: Structure
    asked: Asked
    costs: Costs
    age: float
    horizon_years: float
    considered: tuple[PlannedReading, ...]
    readings: tuple[PlannedReading, ...]
    stops: tuple[Stop, ...]
    version: str
    seed: int
    draws: int


@dataclass(frozen=True)
class _Group:
    """Joints alike: the one that may be read, whose draws are its own, and the others."""

    read: Prospect
    others: Prospect
    own_key: str

    @property
    def joint(self) -> Joint:
        """The joint that may be read."""
        return self.read.life.joint


@dataclass(frozen=True)
class _Candidate:
    group: _Group
    part: Part
    face: Face | None
    row: Row
    observed: OnPart
    middle: Array


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

    A reading is drawn as it may come, and what is best to do is found anew for each that may come: see
    ``information``. Its worth is summed over the joint that is read and all that share its causes. Each
    reading is taken by itself: two that say the same are each worth as much, and together no more. Where no
    cost of a failure is stated, readings are sorted by the chance that they turn what is done.

    Raises
    ------
    InputError : as ``decide``; more kinds of joints than are weighed against each other
    """
    age = age_on(structure, asked)
    ages = np.linspace(0.0, 2.0 * max(structure.design_life, age + asked.next_years), 25)
    setting = setting_for(structure, ages, draws=draws, seed=seed, learned=learned)
    horizon = max(structure.design_life - age, asked.next_years)
    lives = joint_lives(setting)
    if len(lives) > _MOST_KINDS:
        many = f"are of {len(lives):,} kinds; at most {_MOST_KINDS} are weighed against each other."
        raise InputError(Problem("joints", len(structure.joints), many, "Plan parts of the structure."))
    groups = [_group(life, setting, age, asked, horizon, costs) for life in lives]
    candidates = _computed(groups, setting, age)
    choices = [_choice(one.others, asked) for one in groups]
    considered = sorted(
        (_weighed(one, groups, choices, asked, costs, seed) for one in candidates),
        key=lambda one: _rank(one, costs),
    )
    best = _best_few(considered, costs)
    stops = tuple(_stop(one.others, best, setting, asked) for one in groups)
    return InspectionPlan(
        *(structure, asked, costs, age, horizon, tuple(considered), tuple(best), stops),
        version=VERSION,
        seed=seed,
        draws=draws if learned is None else learned.count,
    )


def worth_taking(one: PlannedReading, costs: Costs) -> bool:
    """Whether a reading saves more than it costs, may show a joint unsafe, or, without money, turns one."""
    return one.net > 0.0 or one.unsafe > 0.0 or (costs.failure == 0.0 and one.joints_turned > 0.0)


def _rank(one: PlannedReading, costs: Costs) -> tuple[float, ...]:
    if costs.failure == 0.0:
        # draws cannot tell less than half a joint apart: what costs less comes first there
        return (-round(2.0 * one.joints_turned), -one.net, one.cost)
    return (-one.net, -one.joints_turned, one.cost)


def _best_few(considered: Sequence[PlannedReading], costs: Costs) -> list[PlannedReading]:
    taken: dict[str, int] = {}
    best = []
    for one in considered:
        key = one.life.ids[0]
        if worth_taking(one, costs) and taken.get(key, 0) < _MOST_EACH:
            taken[key] = taken.get(key, 0) + 1
            best.append(one)
    return best


def _stop(one: Prospect, readings: Sequence[PlannedReading], setting: Setting, asked: Asked) -> Stop:
    life = one.life
    flag = decay_flag(life.joint, life.years if life.by_strength else None, setting)
    return Stop(
        one,
        decided(one, asked.most_below).answer,
        tuple(reading for reading in readings if reading.life.ids == life.ids),
        safety_checks(life.joint, decay=flag is not None and flag.governs),
    )


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


def _computed(groups: Sequence[_Group], setting: Setting, age: float) -> list[_Candidate]:
    """Readings that may be taken, with what the forecast expects of each; none where it expects nothing."""
    found = [
        (
            group,
            part,
            face,
            row,
            OnPart(0, reading, age, group.read.life.joint, part, face, group.own_key, ""),
        )
        for group in groups
        for part, face, row, reading in _candidates(group.joint)
        if group.read.costs and not says_nothing(reading, part, setting.prepared, group.joint)
    ]
    expected = Forward(setting, [one[-1] for one in found], "both").expected(setting.exposure.causes)
    return [
        _Candidate(*one[:-1], _gauged(one[-1], middle), middle)
        for one, middle in zip(found, expected, strict=True)
        if middle is not None and np.ptp(middle) > 0.0
    ]


def _gauged(one: OnPart, middle: Array) -> OnPart:
    """The same with its value at the middle of what is expected, on which the error of its gauge hangs."""
    if one.reading.value is None:
        return one
    return replace(one, reading=one.reading.model_copy(update={"value": float(np.median(middle))}))


def _weighed(
    one: _Candidate,
    groups: Sequence[_Group],
    choices: Sequence[Choice | None],
    asked: Asked,
    costs: Costs,
    seed: int,
) -> PlannedReading:
    joint = one.group.joint
    where = f"{joint.id}|{one.part.id}|{one.face and one.face.face}|{one.row['method']}"
    generator = np.random.default_rng([seed, *where.encode()])
    drawn = seen(one.observed, one.middle, generator)
    if one.row["measured"] == "rust":
        drawn = np.maximum(drawn, LEAST_SEEN)
    own = _choice(one.group.read, asked)
    told = None if own is None else information(own, drawn)
    worth = 0.0 if told is None else told.worth
    others = []
    for other, choice in zip(groups, choices, strict=True):
        rest = other.others.life.quantity - (1 if other is one.group else 0)
        if rest and choice is not None:
            there = information(choice, drawn)
            worth += rest * there.worth
            if there.turns:
                others.append((other.others.life.ids[-1], rest, there.turns))
    reach = float(getattr(costs.access, joint.access))
    return PlannedReading(
        life=one.group.others.life,
        part=one.part,
        face=one.face,
        measured=one.row["measured"],
        method=one.row["method"],
        words=one.row["words"],
        spots=one.observed.reading.spots,
        expected=band_of(np.maximum(drawn, 0.0)),
        cost=float(one.row["visit_share"]) * costs.visit_per_joint * reach,
        worth=worth,
        turns=0.0 if told is None else told.turns,
        unsafe=0.0 if told is None else told.unsafe,
        answers=() if told is None else tuple(_turnings(told, list(one.group.read.costs))),
        others=tuple(others),
    )


def _choice(one: Prospect, asked: Asked) -> Choice | None:
    """What may be done, for ``information``; None where nothing is computed or a person must decide."""
    life = one.life
    if not one.costs or life.refer:
        return None
    actions = list(one.costs)
    return Choice(
        np.stack([one.costs[action] for action in actions]),
        asked.most_below,
        np.stack([one.ended[action] for action in actions]) if life.by_strength else None,
        one.below_load if life.by_strength else None,
        actions.index("renew_now"),
    )


def _turnings(told: Information, actions: Sequence[Action]) -> Iterator[Turning]:
    """What is done by what is read: neighboring parts with one answer together."""
    parts = len(told.answers)
    start = 0
    for stop in range(1, parts + 1):
        if stop < parts and told.answers[stop] == told.answers[start]:
            continue
        low = -np.inf if start == 0 else float(told.edges[start])
        high = np.inf if stop == parts else float(told.edges[stop])
        number = int(told.answers[start])
        answer: Answer = "make_safe" if number == MAKE_SAFE else actions[number]
        yield Turning(low, high, (stop - start) / parts, answer)
        start = stop


def _candidates(joint: Joint) -> Iterator[tuple[Part, Face | None, Row, Reading]]:
    for part in joint.parts:
        for row in _methods():
            for face in _places(part, row["measured"]):
                yield part, face, row, _as_if(joint, part, face, row["measured"])


def _places(part: Part, measured: Measured) -> Sequence[Face | None]:
    """Where something may be read on a part."""
    faces = faces_of(part.kind)
    if measured == "rust" or (measured == "zinc" and part.kind not in _TOO_SMALL_FOR_A_GAUGE):
        return [face for face in faces if face.touches == "air"]
    if measured == "thickness_left":
        return [None] if part.measures.thickness_mm and not part.is_fastener else []
    if measured == "diameter_left":
        return [faces[-1]] if part.kind in _REMOVABLE and part.measures.diameter_mm else []
    return []


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
