"""Which readings are worth taking: those that would change what is done, at least cost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.decay import decay_flag
from longhold.assessment.setting import curve_ages, setting_for
from longhold.assessment.shared import Setting, kind_key
from longhold.base.tables import Row
from longhold.base.version import VERSION
from longhold.forecast.causes import Learned
from longhold.forecast.faces import Face
from longhold.forecast.summary import Band, band_of
from longhold.inspect.actions import Action, Prospect, prospect
from longhold.inspect.candidates import readings_of
from longhold.inspect.decide import Answer, Asked, age_on, decided
from longhold.inspect.expected import Forward
from longhold.inspect.information import MAKE_SAFE, Choice, Information, information
from longhold.inspect.likelihood import seen
from longhold.inspect.lives import JointLife, joint_life, joint_lives
from longhold.inspect.observed import OnPart, says_nothing
from longhold.inspect.selection import Kind, Offered, Target, least_settled, scores, select, tells_of
from longhold.inspect.spreads import spread
from longhold.inspect.thresholds import threshold
from longhold.inspect.visit_checks import SafetyCheck, safety_checks
from longhold.model.costs import Costs
from longhold.model.parts import Part
from longhold.model.reading import Measured
from longhold.model.structure import Joint, Structure

__all__ = ["InspectionPlan", "PlannedReading", "Stop", "Turning", "plan_readings"]

Array = NDArray[np.float64]


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
    adds : what it saves beyond those that are taken before it; None where it is not taken
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
    adds: float | None = None

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
    readings : those worth taking beside each other, best first
    stops : joints in the order of the structure
    unweighed : ids of joints at which no reading was weighed, because there are too many kinds of them
    """

    structure: Structure
    asked: Asked
    costs: Costs
    age: float
    horizon_years: float
    considered: tuple[PlannedReading, ...]
    readings: tuple[PlannedReading, ...]
    stops: tuple[Stop, ...]
    unweighed: tuple[str, ...]
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
    ``information``. Its worth is summed over the joint that is read and all that share its causes. Those
    that are worth most together are taken one after the other: see ``select``. Where no cost of a failure is
    stated, they are sorted by how many joints they turn. Of many kinds of joints, readings are weighed at the
    least settled ones: see ``least_settled``.

    Raises
    ------
    InputError : as ``decide``
    """
    age = age_on(structure, asked)
    ages = curve_ages(max(structure.design_life, age + asked.next_years))
    setting = setting_for(structure, ages, draws=draws, seed=seed, learned=learned)
    horizon = max(structure.design_life - age, asked.next_years)
    lives = joint_lives(setting)
    groups = [_group(life, setting, age, asked, horizon, costs) for life in lives]
    kinds = [
        Kind(_target(one.read, asked), _target(one.others, asked), one.others.life.quantity) for one in groups
    ]
    open_still = least_settled(kinds, int(threshold("most_kinds")), by_money=costs.failure > 0.0)
    candidates = _computed([groups[number] for number in open_still], setting, age)
    weighed = [_weighed(one, groups, kinds, costs, seed) for one in candidates]
    weighed.sort(key=lambda one: _rank(one[0], costs))
    considered = [one for one, _ in weighed]
    best = _best_few(weighed, kinds, groups, costs)
    stops = tuple(_stop(one.others, best, setting, asked) for one in groups)
    settled = [one for number, one in enumerate(groups) if number not in open_still]
    unweighed = tuple(id_ for one in settled for id_ in one.others.life.ids)
    return InspectionPlan(
        *(structure, asked, costs, age, horizon, tuple(considered), tuple(best), stops, unweighed),
        version=VERSION,
        seed=seed,
        draws=draws if learned is None else learned.count,
    )


def _rank(one: PlannedReading, costs: Costs) -> tuple[float, ...]:
    if costs.failure == 0.0:
        # draws cannot tell less than half a joint apart: what costs less comes first there
        return (-round(2.0 * one.joints_turned), -one.net, one.cost)
    return (-one.net, -one.joints_turned, one.cost)


def _best_few(
    weighed: Sequence[tuple[PlannedReading, Array]],
    kinds: Sequence[Kind],
    groups: Sequence[_Group],
    costs: Costs,
) -> list[PlannedReading]:
    """Readings that are worth most together, in the order in which they add most."""
    number = {one.others.life.ids: i for i, one in enumerate(groups)}
    offered = [Offered(number[one.life.ids], one.cost, scores(drawn)) for one, drawn in weighed]
    taken = select(kinds, offered, by_money=costs.failure > 0.0)
    return [replace(weighed[one.number][0], adds=max(one.worth, 0.0)) for one in taken]


def _target(one: Prospect, asked: Asked) -> Target | None:
    choice = _choice(one, asked)
    years = one.life.years
    return None if choice is None or years is None else Target(choice, scores(years))


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
        for part, face, row, reading in readings_of(group.joint)
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
    one: _Candidate, groups: Sequence[_Group], kinds: Sequence[Kind], costs: Costs, seed: int
) -> tuple[PlannedReading, Array]:
    """A reading with what it is worth by itself, and its draws."""
    joint = one.group.joint
    where = f"{joint.id}|{one.part.id}|{one.face and one.face.face}|{one.row['method']}"
    generator = np.random.default_rng([seed, *where.encode()])
    drawn = seen(one.observed, one.middle, generator)
    if one.row["measured"] == "rust":
        drawn = np.maximum(drawn, spread("least_seen"))
    ranked = scores(drawn)
    told, worth, others = None, 0.0, []
    for group, kind in zip(groups, kinds, strict=True):
        rest = kind.quantity
        if group is one.group:
            rest -= 1
            told = None if kind.read is None else information(kind.read.choice, drawn)
            worth += 0.0 if told is None else told.worth
        if rest and kind.others is not None and tells_of(ranked, kind.others):
            there = information(kind.others.choice, drawn)
            worth += rest * there.worth
            if there.turns:
                others.append((group.others.life.ids[-1], rest, there.turns))
    reach = float(getattr(costs.access, joint.access))
    planned = PlannedReading(
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
    return planned, drawn


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
