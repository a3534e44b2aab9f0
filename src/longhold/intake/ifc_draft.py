"""A building model in IFC to a draft of a structure: what it tells is kept, what it leaves open is asked."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, get_args

from longhold.base.errors import InputError, Problem
from longhold.base.ifc_entities import attribute
from longhold.base.ifc_file import open_ifc
from longhold.intake.draft_slots import Slot, comment, lines, slug
from longhold.intake.ifc_joints import Meeting, meetings
from longhold.intake.ifc_parts import DraftPart, metal_parts
from longhold.intake.ifc_reading import IfcReader, clean
from longhold.intake.ifc_site import site_slots
from longhold.intake.ifc_timbers import not_timber, stem, timber_slots
from longhold.intake.toml_text import quoted
from longhold.model.surroundings import PlaceName

__all__ = ["Draft", "draft_from_ifc"]

_GUID = re.compile(r"[0-3][0-9A-Za-z_$]{21}")
_MISSING = re.compile(r'\w+ = "" +# MISSING: ')


@dataclass(frozen=True)
class Draft:
    """A structure file to be completed by a person.

    Attributes
    ----------
    text : TOML with comments
    missing : number of blanks that must be filled
    not_understood : objects of the model left out, each with class, GlobalId, name and reason; faults of the
        file, such as a GlobalId that stands twice
    joints, pieces : how many joints are described, and how many pieces of metal they hold
    """

    text: str
    missing: int
    not_understood: tuple[str, ...]
    joints: int
    pieces: int


def draft_from_ifc(path: Path) -> Draft:
    """A draft from the mechanical fasteners, discrete accessories and plates of a model, and what they join.

    Raises
    ------
    InputError : the file cannot be read, or holds no piece of metal that is known here
    """
    model = open_ifc(path)
    reader = IfcReader(model)
    parts, unread = metal_parts(reader)
    if not parts:
        told = f" Not understood: {'; '.join(unread[:5])}." if unread else ""
        what = "holds no mechanical fastener, discrete accessory or metal plate that is known here."
        raise InputError(Problem(str(path), None, f"{what}{told}"))
    book = _Book(reader)
    joints = _joints(book, meetings(reader, parts))
    blocks = [
        *_structure_lines(reader),
        *_site_lines(reader),
        *book.lines(),
        *(line for number, joint in enumerate(joints, 1) for line in _joint_lines(number, joint)),
    ]
    missing = sum(_MISSING.match(line) is not None for line in blocks)
    unread += _faults(model.faults)
    head = _head(clean(model.name), missing, unread)
    pieces = sum(joint.quantity * part.count for joint in joints for part in joint.parts)
    return Draft("\n".join([*head, *blocks]) + "\n", missing, tuple(unread), len(joints), pieces)


@dataclass
class _Part:
    kind: str
    slots: tuple[Slot, ...]
    count: int
    element_guids: list[str] = field(default_factory=list)


@dataclass
class _Joint:
    name: str
    place_note: str
    timbers: tuple[Slot, ...]
    parts: list[_Part]
    notes: tuple[str, ...]
    quantity: int = 1

    @property
    def key(self) -> object:
        parts = sorted((repr(part.slots), part.count) for part in self.parts)
        return self.place_note, self.timbers, repr(parts), self.notes


class _Book:
    """The kinds of timber met so far, each under its name."""

    def __init__(self, reader: IfcReader) -> None:
        self.reader = reader
        self._names: dict[tuple[str, tuple[Slot, ...]], str] = {}
        self._seen: dict[int, str] = {}

    def name_of(self, element: Any) -> str:
        if element.id() not in self._seen:
            called = stem(self.reader, element)
            key = called, timber_slots(self.reader, element)
            if key not in self._names:
                self._names[key] = self._free(slug(called, "timber"))
            self._seen[element.id()] = self._names[key]
        return self._seen[element.id()]

    def lines(self) -> Iterator[str]:
        if not self._names:
            yield from ("", comment("Timbers: the model joins no timber to the metal. Describe them here:"))
            yield from ("[timbers.timber]", *lines(_UNKNOWN_TIMBER))
        for (called, slots), name in self._names.items():
            yield from ("", f"[timbers.{name}]", comment(f"in the model: {called}"), *lines(slots))

    def _free(self, name: str) -> str:
        taken = set(self._names.values())
        number = 2
        found = name
        while found in taken:
            found, number = f"{name}_{number}", number + 1
        return found


_UNKNOWN_TIMBER = (
    Slot("species", "", 'such as "southern pine"'),
    Slot("preservative", "", 'what its end tag says, such as "ACQ-D", or "none"'),
    Slot("thickness", "", "thickness that the fastener passes, or size = nominal lumber such as 2x8"),
)


def _joints(book: _Book, found: Sequence[Meeting]) -> list[_Joint]:
    """One joint for each meeting; those alike in all that is told become one with a quantity."""
    joints: dict[object, _Joint] = {}
    for meeting in found:
        joint = _joint(book, meeting)
        same = joints.setdefault(joint.key, joint) if not meeting.unclear else joint
        if meeting.unclear:
            joints[object()] = joint
        elif same is not joint:
            same.quantity += 1
            for ours, theirs in zip(_sorted(same.parts), _sorted(joint.parts), strict=True):
                ours.element_guids += theirs.element_guids
    return list(joints.values())


def _sorted(parts: Sequence[_Part]) -> list[_Part]:
    return sorted(parts, key=lambda part: (repr(part.slots), part.count))


def _joint(book: _Book, meeting: Meeting) -> _Joint:
    reader = book.reader
    others = {one.id(): why for one in meeting.hosts if (why := not_timber(reader, one))}
    timbers = [one for one in meeting.hosts if one.id() not in others]
    names = list(dict.fromkeys(book.name_of(one) for one in timbers))
    notes = [
        f"also joined: {reader.describe(one)} of {others[one.id()]}, no timber"
        for one in meeting.hosts
        if one.id() in others
    ]
    if meeting.unclear:
        notes.append(meeting.unclear)
    outside = [
        f"{one.where} = {one.value}"
        for host in timbers
        for one in reader.told(host)
        if one.key == "isexternal"
    ]
    heard = [f"in the model: {meeting.where}" if meeting.where else "", ", ".join(dict.fromkeys(outside))]
    return _Joint(
        name=" to ".join(dict.fromkeys(stem(reader, one) for one in meeting.hosts))
        or "Joint of unknown timbers",
        place_note="; ".join(one for one in heard if one),
        timbers=_roles(names, len(timbers)),
        parts=_alike(reader, meeting.parts),
        notes=tuple(notes),
    )


def _roles(names: Sequence[str], pieces: int) -> tuple[Slot, ...]:
    """Which timber holds the point: no relation of the model says so, unless both are of one kind."""
    if len(names) == 1 and pieces == 1:
        note = "the one timber that the model tells; if another lies under the head, name it as side"
        return Slot("main", quoted(names[0]), note), Slot("side", "", "", needed=False)
    if len(names) == 1 and pieces == 2:
        return Slot("main", quoted(names[0])), Slot("side", quoted(names[0]))
    if not names:
        return (
            Slot("main", "", "the timber that holds the point of the fastener"),
            Slot("side", "", "the timber under its head, if there is one", needed=False),
        )
    listed = " or ".join(names)
    return (
        Slot("main", "", f"which holds the point of the fastener: {listed}?"),
        Slot("side", "", f"which lies under its head: {listed}?"),
    )


def _alike(reader: IfcReader, parts: Sequence[DraftPart]) -> list[_Part]:
    found: dict[tuple[Slot, ...], _Part] = {}
    for part in parts:
        entry = found.setdefault(part.slots, _Part(part.kind, part.slots, 0))
        entry.count += 1
        if _GUID.fullmatch(guid := reader.guid(part.element)):
            entry.element_guids.append(guid)
    return list(found.values())


def _head(name: str, missing: int, unread: Sequence[str]) -> Iterator[str]:
    yield comment(f"Draft from {name}. It holds what the model says and guesses nothing.")
    yield comment(f"{missing} blanks are marked MISSING: fill them, then: longhold assess THIS FILE")
    yield comment("elements are GlobalIds of the model: keep them, and findings can be written back to it.")
    if unread:
        yield "#"
        yield comment(f"Not understood in the model, and left out ({len(unread)}):")
        yield from (comment(f"  {one}") for one in unread)
    yield ""


def _faults(faults: Sequence[str]) -> Iterator[str]:
    return (f"fault of the file: {clean(one)}" for one in faults)


def _structure_lines(reader: IfcReader) -> list[str]:
    projects = reader.file.by_type("IfcProject")
    name = next(
        (
            text
            for one in projects
            for text in map(clean, (attribute(one, "LongName"), attribute(one, "Name")))
            if text
        ),
        "",
    )
    unit = "feet or inches" if reader.is_imperial else "metric"
    system = "" if reader.project_mm is None else quoted("us" if reader.is_imperial else "si")
    units_note = f"the model's lengths are {unit}" if system else "us or si; the model does not tell"
    of_all = (
        Slot("name", quoted(name) if name else "", "" if name else "of the structure"),
        Slot("units", system, units_note),
        Slot("design_life", "", 'how long it is meant to last, such as "50 years"'),
        Slot("application", "", "deck, floor_framing, roof_framing, other ...: what it is, for the code"),
    )
    code = (
        Slot("pack", "", 'rules that govern, such as "us_irc"; longhold codes list shows all'),
        Slot("edition", "", 'such as "2021"'),
    )
    return [*lines(of_all), "", "[code]", *lines(code)]


def _site_lines(reader: IfcReader) -> list[str]:
    return ["", "[site]", *lines(site_slots(reader))]


def _joint_lines(number: int, joint: _Joint) -> Iterator[str]:
    yield from ("", "[[joints]]", *(comment(note) for note in joint.notes))
    known = ", ".join(get_args(PlaceName))
    place = f"{known}{f'; {joint.place_note}' if joint.place_note else ''}"
    yield from lines(
        (
            Slot("id", quoted(f"J{number}")),
            Slot("name", quoted(clean(joint.name))),
            Slot("place", "", f"one of {place}"),
            *joint.timbers,
            Slot(
                "quantity",
                str(joint.quantity),
                "joints alike in all that the model tells" if joint.quantity > 1 else "",
            ),
        )
    )
    ids: set[str] = set()
    for part in joint.parts:
        base, again = part.kind or "part", 2
        name = base
        while name in ids:
            name, again = f"{base}_{again}", again + 1
        ids.add(name)
        yield from ("", "[[joints.parts]]", *lines((Slot("id", quoted(name)), *part.slots)))
        yield f"count = {part.count}"
        yield from ("elements = [", *(f"  {quoted(one)}," for one in dict.fromkeys(part.element_guids)), "]")
