"""Timbers of an IFC model, as drafts: one for each kind of piece, since many are alike."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

from longhold.base.errors import InputError
from longhold.base.ifc_entities import attribute, entities, entity
from longhold.intake.draft_slots import Slot
from longhold.intake.ifc_parts import length_text
from longhold.intake.ifc_reading import IfcReader, Told
from longhold.intake.ifc_words import field_of, material_sort, no_such_length
from longhold.intake.toml_text import quoted
from longhold.labels.tags import TagReading, read_tag
from longhold.model.sizes import read_lumber_size
from longhold.model.timber import StrengthClass
from longhold.wood.preservatives import find_preservative
from longhold.wood.species import find_species, species_in

__all__ = ["not_timber", "stem", "timber_slots"]

_BARS = ("IfcBeam", "IfcColumn", "IfcMember")
_DEEPEST = 8


def not_timber(reader: IfcReader, element: Any) -> str:
    """What a host is where its material says that it is no timber; blank where it may be one."""
    names = reader.material_names(element)
    sort = material_sort(names)
    if sort in ("other", "metal") and not any(species_in(name) for name in names):
        return ", ".join(names)
    return ""


def stem(reader: IfcReader, element: Any) -> str:
    """What pieces alike are called: the type's name, or its own without a number at the end."""
    kind = reader.type_of(element)
    name = reader.name_of(kind) if kind is not None else ""
    return name or reader.unnumbered(element) or element.is_a().removeprefix("Ifc")


def timber_slots(reader: IfcReader, element: Any) -> tuple[Slot, ...]:
    """The fields of a timber as far as the model tells them."""
    told = reader.told(element)
    return (
        _species(reader, element, told),
        *_treatment(told),
        *_strength_class(told),
        *_thickness(reader, element, told),
    )


def _texts(told: list[Told], field: str) -> Iterator[tuple[str, str]]:
    for one in told:
        if field_of("timber", one.key) == field and isinstance(one.value, str) and one.value:
            yield one.value, one.where


def _species(reader: IfcReader, element: Any, told: list[Told]) -> Slot:
    materials = [(name, "its material") for name in reader.material_names(element)]
    said = [*_texts(told, "species"), *materials]
    found = {one.name: (text, where) for text, where in reversed(said) for one in species_in(text)}
    if len(found) == 1:
        name, (text, where) = next(iter(found.items()))
        return Slot("species", quoted(text if _is_species(text) else name), f"from {where}")
    if found:
        return Slot("species", "", f"the model names {' and '.join(sorted(found))}: which is it?")
    heard = f"; the model says {', '.join(dict.fromkeys(text for text, _ in said))}" if said else ""
    return Slot("species", "", f'such as "southern pine"{heard}')


def _is_species(text: str) -> bool:
    try:
        find_species(text)
    except InputError:
        return False
    return True


def _treatment(told: list[Told]) -> tuple[Slot, ...]:
    unread = []
    for text, where in _texts(told, "tag"):
        try:
            found = find_preservative(text)
        except InputError:
            pass
        else:
            return (Slot("preservative", quoted(found.abbreviation), f"from {where}"), _RETENTION)
        try:
            return _of_tag(read_tag(text), where)
        except InputError:
            unread.append(f"{text!r} ({where})")
    heard = f"; not understood: {', '.join(unread)}" if unread else ""
    return (Slot("preservative", "", f'what its end tag says, such as "ACQ-D", or "none"{heard}'), _RETENTION)


_RETENTION = Slot("use_category", "", "on the end tag, if it is treated; or retention", needed=False)


def _of_tag(tag: TagReading, where: str) -> tuple[Slot, ...]:
    asked = f"; {' '.join(tag.questions)}" if tag.questions else ""
    one = tag.preservatives[0] if len(tag.preservatives) == 1 else ""
    slots = [Slot("preservative", quoted(one) if one else "", f"from {where}: {tag.text!r}{asked}")]
    if tag.retention_kg_m3 is not None:
        return (*slots, Slot("retention", quoted(f"{tag.retention_kg_m3:.4g} kg/m3"), f"from {where}"))
    awpa = [category.name for category in tag.categories if category.system == "AWPA"]
    if len(awpa) == 1 and len(tag.categories) == 1:
        return (*slots, Slot("use_category", quoted(awpa[0]), f"from {where}"))
    return (*slots, _RETENTION)


def _strength_class(told: list[Told]) -> tuple[Slot, ...]:
    for text, where in _texts(told, "strength_class"):
        known = next((one for one in get_args(StrengthClass) if one.casefold() == text.casefold()), None)
        if known is not None:
            return (Slot("strength_class", quoted(known), f"from {where}"),)
        return (Slot("strength_class", "", f"{where} is {text!r}, which is not held here", needed=False),)
    return ()


def _thickness(reader: IfcReader, element: Any, told: list[Told]) -> tuple[Slot, ...]:
    for text, where in _texts(told, "size"):
        try:
            read_lumber_size(text)
        except ValueError:
            continue
        return (Slot("size", quoted(text), f"from {where}"),)
    for one in told:
        if field_of("timber", one.key) == "thickness" and isinstance(one.value, (int, float)) and one.mm:
            if why := no_such_length("timber", "thickness", one.value * one.mm):
                return (Slot("thickness", "", f"{one.where}: {why}"),)
            return (Slot("thickness", length_text(reader, one.value * one.mm), f"from {one.where}"),)
    sides = _rectangle(reader, element)
    if sides is None:
        note = "thickness that the fastener passes, or size = nominal lumber such as 2x8"
        return (Slot("thickness", "", note),)
    thin, wide = sorted(sides)
    if why := no_such_length("timber", "thickness", thin):
        return (Slot("thickness", "", why),)
    across = "" if thin == wide else f"; check that the fastener passes this side, not the {wide:.6g} mm"
    return (Slot("thickness", length_text(reader, thin), f"smaller side of its section{across}"),)


def _rectangle(reader: IfcReader, element: Any) -> tuple[float, float] | None:
    """Sides of the one rectangle that is the section of a bar [mm]; None where it has none or several."""
    if not any(element.is_a(one) for one in _BARS):
        return None
    sections = [*_profiles(element), *_swept(element)]
    found = set()
    for one in sections:
        x, y = (reader.length_mm(attribute(one, name)) for name in ("XDim", "YDim"))
        if not one.is_a("IfcRectangleProfileDef") or x is None or y is None:
            return None
        found.add((x, y) if x <= y else (y, x))
    return found.pop() if len(found) == 1 else None


def _profiles(element: Any) -> Iterator[Any]:
    for relation in entities(element, "HasAssociations", "IfcRelAssociatesMaterial"):
        material = entity(relation, "RelatingMaterial")
        usage = entity(material, "ForProfileSet")
        for one in entities(usage or material, "MaterialProfiles"):
            yield from filter(None, [entity(one, "Profile")])


def _swept(element: Any) -> Iterator[Any]:
    for representation in entities(entity(element, "Representation"), "Representations"):
        if attribute(representation, "RepresentationIdentifier") == "Body":
            yield from _areas(representation, _DEEPEST)


def _areas(representation: Any, depth: int) -> Iterator[Any]:
    """Swept areas of a representation; mapped ones too, to a depth that no sound model exceeds."""
    for item in entities(representation, "Items") if depth else ():
        if item.is_a("IfcMappedItem"):
            yield from _areas(entity(entity(item, "MappingSource"), "MappedRepresentation"), depth - 1)
        elif item.is_a("IfcExtrudedAreaSolid"):
            yield from filter(None, [entity(item, "SweptArea")])
