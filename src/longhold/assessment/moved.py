"""Which findings moved between two versions of a structure, and how much each change has in it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.blends import Blend, as_given, blended_findings
from longhold.assessment.changes import Change, Versions, input_changes, versions_of
from longhold.assessment.ends import joint_code, strength_horizon
from longhold.assessment.findings import JointFinding
from longhold.assessment.prepare import prepare
from longhold.assessment.shares import MOST_IN_EVERY_ORDER, alone, coalitions, shares
from longhold.base.version import VERSION
from longhold.forecast.summary import BEYOND_YEARS, Band
from longhold.model.structure import Structure

__all__ = ["MEASURES", "JointMove", "Moved", "Share", "Told", "Turn", "moved"]

Array = NDArray[np.float64]
Way = Literal["every order", "one at a time", "not apart"]

_BANDS = ("protection_years", "strength_years", "strength_ratio")
_CHANCES = ("protection_chance", "strength_chance")
MEASURES = (*(f"{name}_{end}" for name in _BANDS for end in ("p10", "p50", "p90")), *_CHANCES)
"""Numbers of a finding that are held against each other: ages [years], shares and chances, 0 to 1."""

_SAME = 1e-9


@dataclass(frozen=True)
class Turn:
    """Something told in words that reads otherwise now.

    Attributes
    ----------
    what : outcome, code, face (the part and face that decide), mode (how it gives) or decides (which end)
    was, now : its words or short names
    """

    what: str
    was: tuple[str, ...]
    now: tuple[str, ...]


@dataclass(frozen=True)
class Told:
    """What one cause does to something told in words.

    Attributes
    ----------
    what : as in ``Turn``
    enough : the new version's word follows from this cause by itself
    needed : without this cause, all others made, it does not follow
    """

    what: str
    enough: bool
    needed: bool


@dataclass(frozen=True)
class Share:
    """What one cause has in the move of one joint.

    Attributes
    ----------
    causes : keys of the changes that are made together
    moves : its share of the move, by name of a measure that moved
    alone : what it moves when it alone is changed in the old version
    told : what it does to each thing that turned
    """

    causes: tuple[str, ...]
    moves: dict[str, float]
    alone: dict[str, float]
    told: tuple[Told, ...]


@dataclass(frozen=True)
class JointMove:
    """One joint in both versions, an input of which changed.

    Attributes
    ----------
    before, after : its findings
    measures : name -> value before and after, for those that moved; ages past what is known count as the
        last known; None where not computed
    turns : what reads otherwise
    shares : by cause; their moves add up to the move where way is "every order"
    left_over : the move less all shares: belongs to causes together, not to one
    way : how the shares were found; "not apart" where some of the changes alone make no joint that can be
    up_to_years : last age known to both, of protection and of strength [years]
    """

    before: JointFinding
    after: JointFinding
    measures: dict[str, tuple[float | None, float | None]]
    turns: tuple[Turn, ...]
    shares: tuple[Share, ...]
    left_over: dict[str, float]
    way: Way
    up_to_years: tuple[float, float]

    @property
    def moved(self) -> bool:
        """Whether anything of its finding is different."""
        return bool(self.measures or self.turns)


@dataclass(frozen=True)
class Moved:
    """Two versions held against each other.

    Attributes
    ----------
    given : the earlier version as it was written
    versions : both under the same names
    changes : inputs that differ
    joints : those with a change that could move them, in the order of the new file
    untouched : ids of joints without one; nothing of them can move, and they are not computed
    removed, added : findings of joints that are in one version only
    version, seed, draws : what is needed to repeat it
    """

    given: Structure
    versions: Versions
    changes: tuple[Change, ...]
    joints: tuple[JointMove, ...]
    untouched: tuple[str, ...]
    removed: tuple[JointFinding, ...]
    added: tuple[JointFinding, ...]
    version: str
    seed: int
    draws: int

    def moved_by(self, change: Change) -> tuple[str, ...]:
        """Ids of the joints in whose move a change has a part."""
        return tuple(
            move.after.joint.id
            for move in self.joints
            if move.moved and change.joint in ("", move.after.joint.id) and _has_part(move, change.cause)
        )


def moved(
    old: Structure,
    new: Structure,
    *,
    draws: int = 2000,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> Moved:
    """Hold two versions of a structure against each other, on the same draws.

    Parameters
    ----------
    old, new : the earlier and the later version
    draws, seed : as in ``assess``
    progress : called with (answers done, answers in all)

    Raises
    ------
    InputError : where a version cannot be assessed

    >>> import longhold
    >>> deck = longhold.load("demo/boardwalk.toml")
    >>> moved(deck, deck, draws=200).joints
    ()
    """
    for one in (old, new):
        prepare(one)
    versions = versions_of(old, new)
    changes = input_changes(old, versions)
    timbers = _timbers_of(versions)
    causes = {id: _causes(id, changes, timbers[id]) for id in versions.joints}
    touched = {id: some for id, some in causes.items() if some}
    grouped = {id: _grouped(some) for id, some in touched.items()}
    blends = [(id, _all(some)) for id, groups in grouped.items() for some in coalitions(groups)]
    removed = as_given(versions.old, versions.removed, draws=draws, seed=seed)
    added = as_given(versions.new, versions.added, draws=draws, seed=seed)
    found = blended_findings(blends, versions, draws=draws, seed=seed, progress=progress)
    return Moved(
        given=old,
        versions=versions,
        changes=changes,
        joints=tuple(_joint_move(id, grouped[id], found) for id in touched),
        untouched=tuple(id for id in versions.joints if id not in touched),
        removed=removed,
        added=added,
        version=VERSION,
        seed=seed,
        draws=draws,
    )


def _timbers_of(versions: Versions) -> dict[str, set[str]]:
    """Causes that are the timbers of each joint, in either version."""
    found: dict[str, set[str]] = {}
    for joint in (*versions.old.joints, *versions.new.joints):
        names = {f"timber:{name}" for name in (joint.main, joint.side) if name}
        found.setdefault(joint.id, set()).update(names)
    return found


def _causes(id: str, changes: Sequence[Change], timbers: set[str]) -> list[str]:
    """Causes that a joint's finding can hang on."""
    here = [one.cause for one in changes if one.cause and one.joint in ("", id)]
    return [one for one in dict.fromkeys(here) if one in timbers or not one.startswith("timber:")]


Group = tuple[str, ...]


def _grouped(causes: Sequence[str]) -> tuple[Group, ...]:
    """Each cause by itself; where they are many, all timbers as one and all parts as one."""
    if len(causes) <= MOST_IN_EVERY_ORDER:
        return tuple((cause,) for cause in causes)
    kinds: dict[str, list[str]] = {}
    for cause in causes:
        kinds.setdefault(cause.partition(":")[0], []).append(cause)
    return tuple(tuple(some) for some in kinds.values())


def _all(groups: Sequence[Group] | frozenset[Group] | Sequence[str]) -> frozenset[str]:
    return frozenset(cause for group in groups for cause in ((group,) if isinstance(group, str) else group))


def _joint_move(id: str, groups: tuple[Group, ...], found: Mapping[Blend, JointFinding | None]) -> JointMove:
    before, after = found[id, frozenset()], found[id, _all(groups)]
    if before is None or after is None:
        raise ValueError(f"{id}: a version as it was given cannot be assessed")
    up_to = BEYOND_YEARS, min(strength_horizon(before), strength_horizon(after))
    blends = {some: found[id, _all(some)] for some in coalitions(groups)}
    way: Way = "every order" if len(groups) <= MOST_IN_EVERY_ORDER else "one at a time"
    if any(one is None for one in blends.values()):
        groups, way = (tuple(sorted(_all(groups))),), "not apart"
        blends = {frozenset(): before, frozenset(groups): after}

    def measured(some: frozenset[Group]) -> Array:
        return _measured(_known(blends[some]), up_to)

    start, end = measured(frozenset()), measured(frozenset(groups))
    names = [name for name, was, now in zip(MEASURES, start, end, strict=True) if _differ(was, now)]
    parts, single = shares(groups, measured), alone(groups, measured)
    told = {group: tuple(_told(group, groups, lambda some: _known(blends[some]))) for group in groups}
    rest = end - start - sum(parts.values(), np.zeros(len(MEASURES)))
    return JointMove(
        before=before,
        after=after,
        measures={name: (_or_none(start, name), _or_none(end, name)) for name in names},
        turns=tuple(_turns(before, after)),
        shares=tuple(
            Share(group, _of(parts[group], names), _of(single[group], names), told[group]) for group in groups
        ),
        left_over=_of(rest, names),
        way=way,
        up_to_years=up_to,
    )


def _known(finding: JointFinding | None) -> JointFinding:
    if finding is None:
        raise ValueError("a set of changes that was not computed")
    return finding


def _measured(finding: JointFinding, up_to_years: tuple[float, float]) -> Array:
    """The numbers of a finding, not a number where it has none."""
    most = (*up_to_years, float("inf"))
    bands: list[Band | None] = [getattr(finding, name) for name in _BANDS]
    ends = [
        value
        for band, limit in zip(bands, most, strict=True)
        for value in ([np.nan] * 3 if band is None else np.minimum([band.p10, band.p50, band.p90], limit))
    ]
    chances = [getattr(finding, name) for name in _CHANCES]
    return np.array([*ends, *(np.nan if one is None else one for one in chances)], float)


def _differ(was: float, now: float) -> bool:
    if not (isfinite(was) and isfinite(now)):
        return isfinite(was) != isfinite(now)
    return abs(now - was) > _SAME * max(1.0, abs(was))


def _or_none(values: Array, name: str) -> float | None:
    value = float(values[MEASURES.index(name)])
    return value if isfinite(value) else None


def _of(values: Array, names: Sequence[str]) -> dict[str, float]:
    """Values of some measures; those that are not computed somewhere on the way are left out."""
    return {name: value for name in names if (value := _or_none(values, name)) is not None}


def _code(finding: JointFinding) -> tuple[str, ...]:
    verdict, clauses = joint_code(finding)
    return verdict, *clauses


def _face(finding: JointFinding) -> tuple[str, ...]:
    """The part that decides, and its face that first loses base metal."""
    for part in finding.parts:
        if part.id == finding.weakest_part:
            return (part.id, part.governing.words) if part.governing else (part.id,)
    return ()


def _mode(finding: JointFinding) -> tuple[str, ...]:
    for part in finding.parts:
        if part.id == finding.weakest_part and part.strength is not None:
            return (part.strength.mode_aged, part.kind_words)
    return ()


_WORDS: dict[str, Callable[[JointFinding], tuple[str, ...]]] = {
    "outcome": lambda one: (one.outcome,),
    "code": _code,
    "face": _face,
    "mode": _mode,
    "decides": lambda one: (one.decides,),
}


def _turns(before: JointFinding, after: JointFinding) -> Iterator[Turn]:
    for what, words in _WORDS.items():
        if words(before) != words(after):
            yield Turn(what, words(before), words(after))


def _told(
    group: Group, groups: tuple[Group, ...], finding: Callable[[frozenset[Group]], JointFinding]
) -> Iterator[Told]:
    whole = frozenset(groups)
    for turn in _turns(finding(frozenset()), finding(whole)):
        words = _WORDS[turn.what]
        yield Told(
            turn.what,
            enough=words(finding(frozenset([group]))) == turn.now,
            needed=words(finding(whole - {group})) != turn.now,
        )


def _has_part(move: JointMove, cause: str) -> bool:
    return any(
        cause in share.causes
        and (
            any(abs(value) > _SAME for value in (*share.moves.values(), *share.alone.values()))
            or any(one.enough or one.needed for one in share.told)
            or (move.way == "not apart" and move.moved)
        )
        for share in move.shares
    )
