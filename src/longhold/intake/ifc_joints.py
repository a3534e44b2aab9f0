"""Which pieces of metal of an IFC model act together, and which objects they join, by its relations alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from longhold.base.ifc_entities import entities, entity
from longhold.intake.ifc_parts import DraftPart
from longhold.intake.ifc_reading import IfcReader

__all__ = ["Meeting", "meetings"]

_MOST_TIMBERS = 2
_RELATIONS = (
    ("IsConnectionRealization", ("RelatingElement", "RelatedElement")),
    ("ConnectedTo", ("RelatedElement",)),
    ("ConnectedFrom", ("RelatingElement",)),
    ("Nests", ("RelatingObject",)),
    ("Decomposes", ("RelatingObject",)),
)
"""Inverse of an element -> the ends of such a relation that may be what it joins."""


@dataclass(frozen=True)
class Meeting:
    """Pieces of metal on the same objects.

    Attributes
    ----------
    parts : the metal
    hosts : the objects that they join, in the order of the file; none where the model does not tell
    where : the part of the building that holds them, in words; blank if not told
    unclear : what is asked; blank where the relations tell it
    """

    parts: tuple[DraftPart, ...]
    hosts: tuple[Any, ...]
    where: str
    unclear: str


def meetings(reader: IfcReader, parts: Sequence[DraftPart]) -> list[Meeting]:
    """Every piece of metal in one meeting, in the order of the file.

    Metal belongs together where a relation joins it to the same objects, one piece to another, or where an
    assembly holds it with one or two others alone. Where a piece merely stands in a storey, nothing is taken.
    """
    clusters = _Clusters([part.element for part in parts])
    metal = {part.element.id() for part in parts}
    hosts: dict[int, dict[int, Any]] = {one: {} for one in metal}
    for part in parts:
        for other in _joined_to(part.element):
            if other.id() in metal:
                clusters.join(part.element.id(), other.id())
            elif not other.is_a("IfcElementAssembly"):
                hosts[part.element.id()][other.id()] = other
    found: dict[object, tuple[list[DraftPart], dict[int, Any], str]] = {}
    for members in clusters.grouped(parts):
        held = {key: one for part in members for key, one in hosts[part.element.id()].items()}
        unclear = ""
        if not held:
            held, unclear = _by_assembly(reader, members, metal)
        key: object = frozenset(held) if held else (_lone_key(members), unclear)
        entry = found.setdefault(key, ([], held, unclear))
        entry[0].extend(members)
    return [
        Meeting(
            tuple(sorted(members, key=lambda part: part.element.id())),
            tuple(held[key] for key in sorted(held)),
            _where(reader, members, held.values()),
            unclear,
        )
        for members, held, unclear in found.values()
    ]


class _Clusters:
    """Pieces joined one to another."""

    def __init__(self, elements: Iterable[Any]) -> None:
        self._above = {one.id(): one.id() for one in elements}

    def join(self, a: int, b: int) -> None:
        self._above[self._root(a)] = self._root(b)

    def grouped(self, parts: Sequence[DraftPart]) -> list[list[DraftPart]]:
        found: dict[int, list[DraftPart]] = {}
        for part in parts:
            found.setdefault(self._root(part.element.id()), []).append(part)
        return list(found.values())

    def _root(self, one: int) -> int:
        while self._above[one] != one:
            self._above[one] = self._above[self._above[one]]
            one = self._above[one]
        return one


def _joined_to(element: Any) -> Iterator[Any]:
    """Objects that a relation of the model says an element joins, is joined to, or is set in."""
    for inverse, ends in _RELATIONS:
        for relation in entities(element, inverse):
            for end in ends:
                other = entity(relation, end, "IfcElement")
                if other is not None and other != element:
                    yield other


def _assemblies(part: DraftPart) -> Iterator[Any]:
    for relation in entities(part.element, "Decomposes"):
        found = entity(relation, "RelatingObject", "IfcElementAssembly")
        if found is not None:
            yield found


def _by_assembly(
    reader: IfcReader, members: Sequence[DraftPart], metal: set[int]
) -> tuple[dict[int, Any], str]:
    """What an assembly holds beside the metal: the joined objects if they are one or two."""
    assemblies = {one.id(): one for part in members for one in _assemblies(part)}
    if not assemblies:
        return {}, "the model does not say which timbers these join, nor how many are in one joint"
    beside = {
        one.id(): one
        for assembly in assemblies.values()
        for relation in entities(assembly, "IsDecomposedBy")
        for one in entities(relation, "RelatedObjects", "IfcElement")
        if one.id() not in metal
    }
    named = ", ".join(reader.describe(one) for one in assemblies.values())
    if 0 < len(beside) <= _MOST_TIMBERS:
        return beside, ""
    held = f"holds {len(beside)} other objects" if beside else "holds no timber"
    return {}, f"{named} {held}: which timbers do these join, and how many are in one joint?"


def _lone_key(members: Sequence[DraftPart]) -> tuple[int, ...]:
    """Metal of unknown timbers is kept apart by the assembly, or the storey, that holds it."""
    found = {one.id() for part in members for one in _assemblies(part)}
    return tuple(sorted(found or {one.id() for part in members for one in _containers(part.element)}))


def _where(reader: IfcReader, members: Sequence[DraftPart], hosts: Iterable[Any]) -> str:
    held = [*(part.element for part in members), *hosts]
    names = {reader.name_of(one) or one.is_a() for element in held for one in _containers(element)}
    return ", ".join(sorted(names))


def _containers(element: Any) -> Iterator[Any]:
    for relation in entities(element, "ContainedInStructure"):
        found = entity(relation, "RelatingStructure")
        if found is not None:
            yield found
