"""What an IFC model says of one of its objects, read warily: nothing is taken on trust."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from math import isfinite
from typing import Any

from longhold.base.ifc_entities import attribute, entities, entity
from longhold.base.ifc_file import IfcModel, is_own_set

__all__ = ["IfcReader", "Told", "clean"]

_HIDDEN = {"Cc", "Cf", "Co", "Cs", "Zl", "Zp"}
_LONGEST = 200
_NUMBER = re.compile(r"[\s._:#-]+\d+$|^\d+$")


@dataclass(frozen=True)
class Told:
    """One property of an object, of its type or of its material.

    Attributes
    ----------
    where : set and property, as written
    key : name of the property, letters and digits alone, small
    value : text, number or yes and no
    mm : millimeters for one unit of the value; None where its unit is not known
    """

    where: str
    key: str
    value: str | float | bool
    mm: float | None


def clean(text: Any) -> str:
    """Text of a model without signs that no one sees, on one line and of bearable length; blank for no text.

    >>> clean("a\\x00b\\n c")
    'a b c'
    """
    if not isinstance(text, str):
        return ""
    seen = "".join(" " if unicodedata.category(sign) in _HIDDEN else sign for sign in text)
    plain = " ".join(seen.split())
    return plain if len(plain) <= _LONGEST else f"{plain[: _LONGEST - 3]}..."


class IfcReader:
    """Reads one model."""

    def __init__(self, model: IfcModel) -> None:
        self.model = model
        self.file = model.file

    @cached_property
    def project_mm(self) -> float | None:
        """Millimeters for one project unit of length; None where the model does not say."""
        for assignment in self.file.by_type("IfcUnitAssignment"):
            for unit in entities(assignment, "Units"):
                if attribute(unit, "UnitType") == "LENGTHUNIT":
                    return _millimeters(unit)
        return None

    @cached_property
    def is_imperial(self) -> bool:
        """Whether the project's lengths are in feet or inches."""
        mm = self.project_mm
        return mm is not None and any(abs(mm / inch - 1) < 1e-3 for inch in (25.4, 304.8))

    def length_mm(self, value: Any) -> float | None:
        """A length attribute [mm]; None where it is not a length above zero, or the unit is not known."""
        return _length(value, self.project_mm)

    def unit_mm(self, unit: Any) -> float | None:
        """Millimeters for one of a unit of length; None for another unit."""
        return _millimeters(unit)

    def type_of(self, element: Any) -> Any | None:
        """Its type object."""
        for relation in entities(element, "IsTypedBy"):
            return entity(relation, "RelatingType")
        return None

    def name_of(self, element: Any) -> str:
        """Its name; blank if it has none."""
        return clean(attribute(element, "Name"))

    def unnumbered(self, element: Any) -> str:
        """Its name without a number at the end: the 304th nail is no stainless steel."""
        return _NUMBER.sub("", self.name_of(element))

    def names_of(self, element: Any) -> list[str]:
        """What it and its type are called, the most deliberate first."""
        kind = self.type_of(element)
        given = [
            attribute(element, "ObjectType"),
            self.unnumbered(element),
            attribute(element, "Description"),
            *(attribute(kind, name) for name in ("ElementType", "Name", "Description")),
        ]
        return list(dict.fromkeys(text for text in map(clean, given) if text))

    def predefined(self, element: Any) -> str:
        """Its predefined type, its type object's where it has none of its own."""
        for one in (self.type_of(element), element):
            word = attribute(one, "PredefinedType")
            if isinstance(word, str) and word != "NOTDEFINED":
                return word
        return "NOTDEFINED"

    def attribute_mm(self, element: Any, name: str) -> float | None:
        """A length that it or its type carries as an attribute [mm]."""
        for one in (element, self.type_of(element)):
            found = self.length_mm(attribute(one, name))
            if found is not None:
                return found
        return None

    def materials(self, element: Any) -> list[Any]:
        """Its materials, its type's where it has none of its own."""
        from ifcopenshell.util.element import get_materials

        try:
            found = get_materials(element)
        except (AttributeError, AssertionError, TypeError, RuntimeError):  # of the library, on broken ones
            return []
        return [one for one in found if hasattr(one, "is_a")]

    def material_names(self, element: Any) -> list[str]:
        """Names, categories and descriptions of its materials."""
        named = [
            clean(attribute(one, name)) for one in self.materials(element) for name in ("Name", "Category")
        ]
        return list(dict.fromkeys(text for text in named if text))

    def told(self, element: Any) -> list[Told]:
        """Every property: its own first, then its type's, then its materials'; none that Longhold wrote."""
        return list(self._told(element))

    def guid(self, element: Any) -> str:
        """Its GlobalId."""
        return clean(attribute(element, "GlobalId"))

    def describe(self, element: Any) -> str:
        """Class, GlobalId and name, for a list that people read."""
        name = self.name_of(element)
        return f"{element.is_a()} {self.guid(element)}{f' {name!r}' if name else ' without a name'}"

    def _told(self, element: Any) -> Iterator[Told]:
        for relation in entities(element, "IsDefinedBy"):
            definition = entity(relation, "RelatingPropertyDefinition")
            yield from self._of_set(definition)
        for definition in entities(self.type_of(element), "HasPropertySets"):
            yield from self._of_set(definition)
        for material in self.materials(element):
            for extended in entities(material, "HasProperties"):
                for one in entities(extended, "Properties"):
                    yield from self._of_property(one, clean(attribute(extended, "Name")))

    def _of_set(self, definition: Any) -> Iterator[Told]:
        if definition is None or not definition.is_a("IfcPropertySetDefinition") or is_own_set(definition):
            return
        name = clean(attribute(definition, "Name"))
        for one in entities(definition, "HasProperties"):
            yield from self._of_property(one, name)
        for one in entities(definition, "Quantities"):
            value = attribute(one, "LengthValue")
            if isinstance(value, float):
                yield self._made(name, one, value)

    def _of_property(self, one: Any, of: str) -> Iterator[Told]:
        if one.is_a("IfcPropertySingleValue"):
            values = [entity(one, "NominalValue")]
        elif one.is_a("IfcPropertyEnumeratedValue"):
            values = list(entities(one, "EnumerationValues"))
        else:
            return
        # several values of one property are no answer
        if len(values) == 1:
            value = attribute(values[0], "wrappedValue")
            if isinstance(value, (str, bool, int, float)):
                yield self._made(of, one, value)

    def _made(self, of: str, one: Any, value: str | float | bool) -> Told:
        unit = entity(one, "Unit")
        name = clean(attribute(one, "Name"))
        held = clean(value) if isinstance(value, str) else value
        mm = self.project_mm if unit is None else _millimeters(unit)
        return Told(f"{of}.{name}", re.sub(r"[^a-z0-9]", "", name.casefold()), held, mm)


def _length(value: Any, mm: float | None) -> float | None:
    if mm is None or isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    found = float(value) * mm
    return round(found, 6) if isfinite(found) and found > 0 else None


def _millimeters(unit: Any) -> float | None:
    from ifcopenshell.util.unit import prefixes

    if attribute(unit, "UnitType") != "LENGTHUNIT":
        return None
    if unit.is_a("IfcSIUnit"):
        prefix = attribute(unit, "Prefix")
        times = 1.0 if prefix is None else prefixes.get(str(prefix))
        return None if times is None else 1000.0 * float(times)
    factor = attribute(unit, "ConversionFactor")
    base = attribute(factor, "UnitComponent")
    ratio = attribute(attribute(factor, "ValueComponent"), "wrappedValue")
    of = _millimeters(base) if base is not None else None
    return None if of is None or not isinstance(ratio, (int, float)) else float(ratio) * of
