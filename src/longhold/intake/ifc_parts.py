"""Pieces of metal of an IFC model as drafts of parts, and what of its objects could not be understood."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, get_args

from longhold.intake.draft_slots import Slot
from longhold.intake.ifc_labels import label_slot, reads_as_metal
from longhold.intake.ifc_reading import IfcReader, Told
from longhold.intake.ifc_words import field_of, kinds_named, kinds_of, material_sort, no_such_length
from longhold.intake.toml_text import quoted
from longhold.model.sizes import PartKind, read_part_size
from longhold.wood.species import species_in

__all__ = ["DraftPart", "length_text", "metal_parts"]

_CLASSES = ("IfcMechanicalFastener", "IfcDiscreteAccessory", "IfcPlate")
_NOT_READ = ("IfcFastener", "IfcReinforcingElement", "IfcVibrationIsolator", "IfcVibrationDamper")


@dataclass(frozen=True)
class DraftPart:
    """A piece of metal of the model.

    Attributes
    ----------
    element : of the model
    kind : of part; blank where it is open
    slots : its fields, alike for parts that are alike
    """

    element: Any
    kind: str
    slots: tuple[Slot, ...]


def metal_parts(reader: IfcReader) -> tuple[list[DraftPart], list[str]]:
    """Every piece of metal, and a line for each object that may be one and is not understood."""
    parts: list[DraftPart] = []
    unread: list[str] = []
    for element in _candidates(reader):
        found = _read(reader, element)
        if isinstance(found, DraftPart):
            parts.append(found)
        elif found:
            unread.append(f"{reader.describe(element)}: {found}")
    return parts, unread


def length_text(reader: IfcReader, mm: float) -> str:
    """A length as TOML text, in inches where the model is in feet or inches.

    The digits are those of the model, less the noise of its conversion.
    """
    return quoted(f"{mm / 25.4:.6g} in" if reader.is_imperial else f"{mm:.6g} mm")


def _candidates(reader: IfcReader) -> Iterator[Any]:
    for name in sorted((*_CLASSES, *_NOT_READ, "IfcBuildingElementProxy")):
        try:
            found = reader.file.by_type(name)
        except RuntimeError:  # a class that this schema has not
            continue
        yield from sorted(found, key=lambda one: one.id())


def _read(reader: IfcReader, element: Any) -> DraftPart | str:
    """A part; or why it is none, blank where it clearly is no piece of metal."""
    names = reader.names_of(element)
    if element.is_a("IfcBuildingElementProxy"):
        kinds = kinds_named(names)
        return f"its name speaks of a {kinds[0].replace('_', ' ')}, but it is a proxy" if kinds else ""
    entity = next((one for one in _CLASSES if element.is_a(one)), "")
    if not entity:
        return "objects of this class are not read here"
    predefined = reader.predefined(element)
    known = kinds_of(entity, predefined)
    if known is None:
        return f"its type {predefined} is not read here"
    if entity == "IfcPlate" and (why := _not_metal(reader, element)) is not None:
        return why
    return _drafted(reader, element, names, *known)


def _not_metal(reader: IfcReader, element: Any) -> str | None:
    """None for a plate of metal; blank for one of wood or mineral; else what is open."""
    materials = reader.material_names(element)
    sort = material_sort(materials)
    if sort == "metal" or any(reads_as_metal(name) for name in materials):
        return None
    if sort or any(species_in(name) for name in materials):
        return ""
    return "its material does not say whether it is metal"


def _drafted(
    reader: IfcReader, element: Any, names: list[str], kinds: tuple[str, ...], why_open: str
) -> DraftPart:
    told = reader.told(element)
    predefined = reader.predefined(element)
    named = [one for one in kinds_named(names) if one in kinds]
    if len(kinds) == 1:
        kind, kind_slot = kinds[0], Slot("kind", quoted(kinds[0]), f"{element.is_a()} of type {predefined}")
    elif len(named) == 1:
        kind, kind_slot = named[0], Slot("kind", quoted(named[0]), "read in its name; check it")
    else:
        kind, kind_slot = "", Slot("kind", "", f"{why_open}; one of {', '.join(kinds)}")
    fastener = element.is_a("IfcMechanicalFastener") and kind not in ("washer", "nail_plate")
    measures = _measures(reader, element, told, fastener)
    sizes = (
        _fastener_slots(reader, measures, told, kind)
        if fastener
        else _sheet_slots(reader, measures, told, kind)
    )
    label = label_slot(
        reader, element, told, kind, None if fastener else measures.get("thickness"), measures.get("diameter")
    )
    return DraftPart(element, kind, (kind_slot, *sizes, label))


def _measures(reader: IfcReader, element: Any, told: list[Told], fastener: bool) -> dict[str, float]:
    """Lengths [mm] by field: attributes first, then properties, each from the first that tells it."""
    found: dict[str, float] = {}
    if fastener:
        for attribute, field in (("NominalDiameter", "diameter"), ("NominalLength", "length")):
            if (mm := reader.attribute_mm(element, attribute)) is not None:
                found[field] = mm
    for one in told:
        field = field_of("part", one.key)
        if field in ("diameter", "length", "head_diameter", "thickness") and isinstance(
            one.value, (int, float)
        ):
            mm = None if one.mm is None or isinstance(one.value, bool) else one.value * one.mm
            if mm is not None and mm > 0:
                found.setdefault(field, round(mm, 6))
    return found


def _fastener_slots(
    reader: IfcReader, measures: dict[str, float], told: list[Told], kind: str
) -> tuple[Slot, ...]:
    size, refused = _trade_size(told, kind)
    if size is not None and "diameter" not in measures:
        return (size,)
    slots = []
    for field in ("diameter", "length", "head_diameter"):
        if field in measures:
            slots.append(_length_slot(reader, field, measures[field], needed=field == "diameter"))
        elif field == "diameter":
            slots.append(
                Slot(field, "", f"shank diameter, or size = a trade size{refused}{_no_unit(reader)}")
            )
        elif field == "length":
            slots.append(Slot(field, "", "length under the head, if you know it", needed=False))
    return tuple(slots)


def _sheet_slots(
    reader: IfcReader, measures: dict[str, float], told: list[Told], kind: str
) -> tuple[Slot, ...]:
    size, refused = _trade_size(told, kind)
    if "thickness" in measures:
        return (_length_slot(reader, "thickness", measures["thickness"], needed=kind != "washer"),)
    if size is not None:
        return (size,)
    note = f"bare steel thickness, or size = a gauge such as 16 ga{refused}{_no_unit(reader)}"
    return (Slot("thickness", "", note, needed=kind != "washer"),)


def _length_slot(reader: IfcReader, field: str, mm: float, *, needed: bool) -> Slot:
    """A length of the model; a blank where no part has such a one."""
    if why := no_such_length("part", field, mm):
        return Slot(field, "", why, needed=needed)
    return Slot(field, length_text(reader, mm))


def _trade_size(told: list[Told], kind: str) -> tuple[Slot | None, str]:
    """A trade size that the model tells, or what it tells that is none."""
    refused = ""
    for one in told:
        if field_of("part", one.key) != "size" or not isinstance(one.value, str) or not one.value:
            continue
        for guess in get_args(PartKind):
            if guess == kind:
                try:
                    read_part_size(guess, one.value)
                except ValueError as error:
                    refused = f"; {one.where} is {one.value!r}, which {error}"
                else:
                    return Slot("size", quoted(one.value), f"from {one.where}"), ""
    return None, refused


def _no_unit(reader: IfcReader) -> str:
    return "" if reader.project_mm is not None else "; the model does not tell its unit of length"
