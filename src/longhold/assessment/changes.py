"""What differs between two versions of a structure: names that only changed, and inputs, one by one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

from longhold.model.fields import Record, dimension_of
from longhold.model.parts import Part
from longhold.model.structure import Joint, Structure

__all__ = ["Change", "Rename", "Versions", "input_changes", "versions_of"]

Kind = Literal["joint", "timber", "part"]
Named = TypeVar("Named", Joint, Part)

_TOLD_ONLY = {
    Structure: ("name", "note", "units", "build_date"),
    Joint: ("id", "name", "quantity"),
}
_CODE = ("code", "application", "strength_standard")
_ASKED = ("design_life", "target_chance", "strength_fraction")
_ID_ONLY = "all but its id stayed"
_ID_AND_NAME = "all but its id and name stayed"
_NAME_STAYED = "its name stayed, though more than its id changed"


@dataclass(frozen=True)
class Change:
    """One input that differs.

    Attributes
    ----------
    where : path with names in place of numbers, such as ``joints.J02.parts.hanger.label``
    cause : what it belongs to: site, code, asked, joint, ``timber:NAME``, ``part:ID``; empty where no
        finding can hang on it
    joint : id of the joint that it is part of; empty for what joints share
    was, now : values in the inside unit; None where not given
    dimension : of a quantity; empty for other values
    was_assumed, now_assumed : whether nobody gave the value and it was taken: an answer may hang on that too
    """

    where: str
    cause: str
    joint: str
    was: Any
    now: Any
    dimension: str
    was_assumed: bool
    now_assumed: bool


@dataclass(frozen=True)
class Rename:
    """Something taken to be the same under another id, and why."""

    kind: Kind
    joint: str
    was: str
    now: str
    because: str


@dataclass(frozen=True)
class Versions:
    """Two versions of a structure under the same names.

    Attributes
    ----------
    old : the earlier, with the ids, the order of parts and the units of the later
    new : the later
    renames : what was taken to be the same under another id
    doubts : what could be the same but was not taken so, in words
    joints : ids that are in both
    removed, added : ids that are in one only
    """

    old: Structure
    new: Structure
    renames: tuple[Rename, ...]
    doubts: tuple[str, ...]
    joints: tuple[str, ...]
    removed: tuple[str, ...]
    added: tuple[str, ...]


def versions_of(old: Structure, new: Structure) -> Versions:
    """Two versions laid on each other by id; a change of id alone is found, and told."""
    renames: list[Rename] = []
    doubts: list[str] = []
    named = _with_timber_names(old, new, renames, doubts)
    gone, come = _only(named.joints, new.joints), _only(new.joints, named.joints)
    ids: dict[str, str] = {}
    for because, key in _JOINT_KEYS:
        found = _alone_on_both(gone, come, key)
        ids |= found
        renames += [Rename("joint", "", was, now, because) for was, now in found.items()]
        gone = [one for one in gone if one.id not in found]
        come = [one for one in come if one.id not in found.values()]
    doubts += _joint_doubts(gone, come)
    later = {joint.id: joint for joint in new.joints}
    joints = []
    for joint in named.joints:
        one = joint.model_copy(update={"id": ids.get(joint.id, joint.id)})
        joints.append(_with_part_names(one, later[one.id], renames, doubts) if one.id in later else one)
    earlier = {joint.id for joint in joints}
    return Versions(
        named.model_copy(update={"joints": joints, "units": new.units}),
        new,
        tuple(renames),
        tuple(doubts),
        joints=tuple(joint.id for joint in new.joints if joint.id in earlier),
        removed=tuple(joint.id for joint in joints if joint.id not in later),
        added=tuple(joint.id for joint in new.joints if joint.id not in earlier),
    )


def input_changes(given: Structure, versions: Versions) -> tuple[Change, ...]:
    """Every input that differs, in the order of the file; ids and joints that came or went are told apart.

    Parameters
    ----------
    given : the earlier version as it was written
    versions : the two under the same names
    """
    old, new = versions.old, versions.new
    found: list[Change] = []
    for name in Structure.model_fields:
        if name in ("timbers", "joints"):
            continue
        before = given if name == "units" else old
        cause = "code" if name in _CODE else "asked" if name in _ASKED else "site" if name == "site" else ""
        found += [
            one.of("" if one.where == "site.name" else cause) for one in _differences(before, new, name, name)
        ]
    for name in dict.fromkeys([*old.timbers, *new.timbers]):
        before_and_after = old.timbers.get(name), new.timbers.get(name)
        found += [one.of(f"timber:{name}") for one in _between(*before_and_after, f"timbers.{name}")]
    later = {joint.id: joint for joint in new.joints}
    for joint in old.joints:
        if joint.id in later:
            found += _of_joint(joint, later[joint.id])
    return tuple(found)


def _of_joint(old: Joint, new: Joint) -> Iterator[Change]:
    for name in Joint.model_fields:
        if name != "parts":
            cause = "" if name in _TOLD_ONLY[Joint] else "joint"
            for one in _differences(old, new, name, f"joints.{new.id}.{name}"):
                yield one.of(cause, new.id)
    before, after = ({part.id: part for part in joint.parts} for joint in (old, new))
    for id in dict.fromkeys([*after, *before]):
        for one in _between(before.get(id), after.get(id), f"joints.{new.id}.parts.{id}"):
            yield one.of(f"part:{id}", new.id)


@dataclass(frozen=True)
class _Difference:
    where: str
    was: Any
    now: Any
    dimension: str = ""
    was_assumed: bool = False
    now_assumed: bool = False

    def of(self, cause: str, joint: str = "") -> Change:
        told = self.was, self.now, self.dimension, self.was_assumed, self.now_assumed
        return Change(self.where, cause, joint, *told)


def _between(old: Record | None, new: Record | None, where: str) -> Iterator[_Difference]:
    """Differences of two records, or one for the whole where it came or went."""
    if old is None or new is None:
        if old is not new:
            yield _Difference(where, old, new)
        return
    for name in type(new).model_fields:
        yield from _differences(old, new, name, f"{where}.{name}")


def _differences(old: Record, new: Record, name: str, where: str) -> Iterator[_Difference]:
    was, now = getattr(old, name), getattr(new, name)
    if isinstance(was, Record) and isinstance(now, Record):
        yield from _between(was, now, where)
        return
    assumed = _is_assumed(old, name), _is_assumed(new, name)
    if was != now or assumed[0] != assumed[1]:
        dimension = dimension_of(new, name) or dimension_of(old, name)
        yield _Difference(where, was, now, dimension, *assumed)


def _is_assumed(record: Record, name: str) -> bool:
    extra = type(record).model_fields[name].json_schema_extra
    return isinstance(extra, dict) and "assumed_because" in extra and name not in record.model_fields_set


def _with_timber_names(old: Structure, new: Structure, renames: list[Rename], doubts: list[str]) -> Structure:
    gone = {name: timber for name, timber in old.timbers.items() if name not in new.timbers}
    come = {name: timber for name, timber in new.timbers.items() if name not in old.timbers}
    names = {}
    for name, timber in gone.items():
        like = [one for one, other in come.items() if other == timber]
        rivals = [one for one, other in gone.items() if other == timber]
        if len(like) == len(rivals) == 1:
            names[name] = like[0]
            renames.append(Rename("timber", "", name, like[0], "all but its name stayed"))
        elif like:
            doubts.append(_doubt("timbers", rivals, like))
    doubts[:] = dict.fromkeys(doubts)
    if not names:
        return old
    timbers = {names.get(name, name): timber for name, timber in old.timbers.items()}
    joints = [joint.model_copy(update=_timbers_renamed(joint, names)) for joint in old.joints]
    return old.model_copy(update={"timbers": timbers, "joints": joints})


def _timbers_renamed(joint: Joint, names: Mapping[str, str]) -> dict[str, str | None]:
    side = joint.side
    return {"main": names.get(joint.main, joint.main), "side": side and names.get(side, side)}


def _with_part_names(old: Joint, new: Joint, renames: list[Rename], doubts: list[str]) -> Joint:
    gone, come = _only(old.parts, new.parts), _only(new.parts, old.parts)
    names = _alone_on_both(gone, come, _part_key)
    renames += [Rename("part", new.id, was, now, _ID_ONLY) for was, now in names.items()]
    doubts += _many_alike(gone, come, _part_key, f"parts of {new.id}")
    order = {part.id: place for place, part in enumerate(new.parts)}
    parts = [part.model_copy(update={"id": names.get(part.id, part.id)}) for part in old.parts]
    return old.model_copy(update={"parts": sorted(parts, key=lambda part: order.get(part.id, len(order)))})


def _only(ours: Sequence[Named], theirs: Iterable[Named]) -> list[Named]:
    known = {one.id for one in theirs}
    return [one for one in ours if one.id not in known]


def _alone_on_both(
    gone: Sequence[Named], come: Sequence[Named], key: Callable[[Named], str]
) -> dict[str, str]:
    """Ids of those that share a key with one only on the other side, and with none on their own."""
    before, after = (Counter(key(one) for one in some) for some in (gone, come))
    later = {key(one): one.id for one in come}
    return {one.id: later[key(one)] for one in gone if before[key(one)] == after[key(one)] == 1}


def _part_key(part: Part) -> str:
    return part.model_dump_json(exclude={"id"})


_JOINT_KEYS: tuple[tuple[str, Callable[[Joint], str]], ...] = (
    (_ID_ONLY, lambda joint: joint.model_dump_json(exclude={"id"})),
    (_ID_AND_NAME, lambda joint: joint.model_dump_json(exclude={"id", "name"})),
    (_NAME_STAYED, lambda joint: joint.name),
)


def _joint_doubts(gone: Sequence[Joint], come: Sequence[Joint]) -> list[str]:
    told = [line for _, key in _JOINT_KEYS for line in _many_alike(gone, come, key, "joints")]
    return list(dict.fromkeys(told))


def _many_alike(
    gone: Sequence[Named], come: Sequence[Named], key: Callable[[Named], str], what: str
) -> Iterator[str]:
    for one in dict.fromkeys(key(one) for one in gone):
        were, are = ([each.id for each in some if key(each) == one] for some in (gone, come))
        if are and len(were) + len(are) > 2:
            yield _doubt(what, were, are)


def _doubt(what: str, were: Sequence[str], are: Sequence[str]) -> str:
    return (
        f"{what}: {', '.join(were)} went and {', '.join(are)} came, and more than one fits: told as "
        "removed and added. Keep the ids to have them held against each other."
    )
