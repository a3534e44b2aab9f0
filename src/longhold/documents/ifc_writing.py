"""Findings into a building model: property sets are added or replaced, everything else stays as it was."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from longhold.base.errors import InputError, Problem
from longhold.base.ifc_entities import attribute, entities, entity
from longhold.base.ifc_file import OWN_NOTE, OWN_SET, IfcModel, derived_guid, is_own_set, text_of
from longhold.documents.ifc_values import IfcValue, forecast_values, standard_values

if TYPE_CHECKING:
    import datetime

    from longhold.assessment.findings import Assessment, JointFinding
    from longhold.model.parts import Part
    from longhold.model.structure import Structure

__all__ = ["WrittenBack", "check_writable", "with_findings"]

_SHOWN = 3


@dataclass(frozen=True)
class WrittenBack:
    """A model with findings.

    Attributes
    ----------
    text : STEP file
    elements : how many elements carry findings
    not_found : GlobalIds that the structure names and the model has not
    left : set of the standard -> how many elements had it already, which was left as it was
    """

    text: str
    elements: int
    not_found: tuple[str, ...]
    left: Mapping[str, int]


def check_writable(model: IfcModel, structure: Structure) -> None:
    """Refuse, before any work is done, a model or a structure that findings cannot go between.

    Raises
    ------
    InputError : the model was not understood whole; no part names an element of it; two parts name the same
    """
    lost = [fault for fault in model.faults if "non-unique GlobalId" not in fault]
    if lost:
        do = "Writing it back would lose something. Repair or export it again."
        raise InputError(Problem("--ifc", model.name, f"is not whole: {'; '.join(lost[:_SHOWN])}.", do))
    owner: dict[str, str] = {}
    for joint in structure.joints:
        for part in joint.parts:
            here = f"part {part.id!r} of joint {joint.id!r}"
            for guid in part.elements:
                if guid in owner:
                    said = f"is in {owner[guid]} too; an element is in one part."
                    raise InputError(Problem(f"elements of {here}", guid, said))
                owner[guid] = here
    if not owner:
        do = "'longhold draft MODEL.ifc' writes a structure file that does."
        raise InputError(Problem("the structure", None, "has no part that names elements of a model.", do))
    known = {one.GlobalId for one in model.file.by_type("IfcElement")}
    if not known & set(owner):
        first = next(iter(owner))
        said = f"holds none of the elements that the structure names, such as {first}."
        raise InputError(Problem("--ifc", model.name, said, "Is it the model that it was drafted from?"))


def with_findings(model: IfcModel, assessment: Assessment, as_of: datetime.date) -> WrittenBack:
    """The model with the findings of each part on its elements; changes the model in memory.

    Raises
    ------
    InputError : as of ``check_writable``
    """
    check_writable(model, assessment.structure)
    elements = {one.GlobalId: one for one in model.file.by_type("IfcElement")}
    named = [guid for _, part in _parts(assessment) for guid in part.elements]
    for guid in named:
        if guid in elements:
            _without_own(model.file, elements[guid])
    writer = _Writer(model.file)
    left: dict[str, int] = {}
    for finding, part in _parts(assessment):
        found = next(one for one in finding.parts if one.id == part.id)
        life = assessment.structure.design_life
        sets = {
            **standard_values(finding, found, part, life, model.schema),
            OWN_SET: forecast_values(assessment, finding, found, as_of),
        }
        for guid in part.elements:
            if guid not in elements:
                continue
            for name, values in sets.items():
                if _is_taken(elements[guid], name, values):
                    left[name] = left.get(name, 0) + 1
                elif name != "Pset_ElementComponentCommon" or elements[guid].is_a("IfcElementComponent"):
                    writer.add(elements[guid], name, values)
    missing = tuple(guid for guid in named if guid not in elements)
    return WrittenBack(text_of(model), len(named) - len(missing), missing, left)


class _Writer:
    """Adds property sets under ids that follow on those in use; equal properties are written once."""

    def __init__(self, file: Any) -> None:
        self._file = file
        self._next = max((one.id() for one in file), default=0) + 1
        self._properties: dict[IfcValue, Any] = {}

    def add(self, element: Any, name: str, values: tuple[IfcValue, ...]) -> None:
        properties = [self._property(value) for value in values]
        made = self._entity(
            "IfcPropertySet",
            GlobalId=derived_guid("set", element.GlobalId, name),
            Name=name,
            Description=OWN_NOTE,
            HasProperties=properties,
        )
        self._entity(
            "IfcRelDefinesByProperties",
            GlobalId=derived_guid("relation", element.GlobalId, name),
            RelatedObjects=[element],
            RelatingPropertyDefinition=made,
        )

    def _property(self, value: IfcValue) -> Any:
        if value not in self._properties:
            self._properties[value] = self._made(value)
        return self._properties[value]

    def _made(self, value: IfcValue) -> Any:
        typed = [
            None if one is None else self._file.create_entity(value.measure, one) for one in value.values
        ]
        if value.form == "list":
            return self._entity("IfcPropertyListValue", Name=value.name, ListValues=typed)
        if value.form == "enumerated":
            return self._entity("IfcPropertyEnumeratedValue", Name=value.name, EnumerationValues=typed)
        if value.form == "bounded":
            low, middle, high = typed
            ends = {"LowerBoundValue": low, "SetPointValue": middle, "UpperBoundValue": high}
            given = {name: one for name, one in ends.items() if one is not None}
            return self._entity("IfcPropertyBoundedValue", Name=value.name, **given)
        return self._entity("IfcPropertySingleValue", Name=value.name, NominalValue=typed[0])

    def _entity(self, kind: str, **attributes: Any) -> Any:
        made = self._file.create_entity(kind, id=self._next, **attributes)
        self._next += 1
        return made


def _parts(assessment: Assessment) -> Iterator[tuple[JointFinding, Part]]:
    for finding in assessment.findings:
        for part in finding.joint.parts:
            if part.elements:
                yield finding, part


def _is_taken(element: Any, name: str, values: tuple[IfcValue, ...]) -> bool:
    """Whether a set of that name is on the element already, or its type tells one of the properties."""
    if any(one.Name == name for _, one in _sets(element)):
        return True
    wanted = {value.name for value in values}
    return any(
        one.Name == name and wanted & {attribute(held, "Name") for held in entities(one, "HasProperties")}
        for relation in entities(element, "IsTypedBy")
        for one in entities(entity(relation, "RelatingType"), "HasPropertySets", "IfcPropertySet")
    )


def _sets(element: Any) -> list[tuple[Any, Any]]:
    relations = entities(element, "IsDefinedBy", "IfcRelDefinesByProperties")
    found = ((one, entity(one, "RelatingPropertyDefinition", "IfcPropertySet")) for one in relations)
    return [(relation, held) for relation, held in found if held is not None]


def _without_own(file: Any, element: Any) -> None:
    """Take what Longhold wrote before off an element."""
    for relation, held in _sets(element):
        if not is_own_set(held):
            continue
        others = [one for one in entities(relation, "RelatedObjects") if one != element]
        if others:
            relation.RelatedObjects = others
            continue
        file.remove(relation)
        if file.get_total_inverses(held) == 0:
            properties = entities(held, "HasProperties")
            file.remove(held)
            for one in properties:
                if file.get_total_inverses(one) == 0:
                    file.remove(one)
