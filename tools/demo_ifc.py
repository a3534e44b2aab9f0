"""Writes demo/deck_frame.ifc, an invented building model: python tools/demo_ifc.py

Beams, joists, hangers, nails, screws and bolts of a small deck, with relations, types, materials and property
sets as the schema provides them. Also the base of the tests, in either schema and in meters or feet.
"""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid

TARGET = Path(__file__).resolve().parents[1] / "demo" / "deck_frame.ifc"
_SPACE = uuid.UUID("5b0b6f0c-0d0e-5e0f-8a6f-1f6f2f3f4f50")


class Maker:
    """A model in the making; every GlobalId follows from a short name."""

    def __init__(self, schema: str = "IFC4", unit: str = "metre") -> None:
        self.file = ifcopenshell.file(schema=schema)
        self.per_mm = {"metre": 0.001, "millimetre": 1.0, "foot": 1 / 304.8}[unit]
        self.materials: dict[str, Any] = {}
        header = self.file.header
        header.file_name.name = "deck_frame.ifc"
        header.file_name.time_stamp = "2026-01-01T00:00:00"
        header.file_name.preprocessor_version = "Longhold demonstration"
        header.file_name.originating_system = "Longhold demonstration"
        header.file_name.authorization = "invented"
        header.file_description.description = ("An invented model",)
        length = self._length_unit(unit)
        units = self.file.create_entity("IfcUnitAssignment", Units=[length])
        project = self.rooted("IfcProject", "project", Name="Invented deck", UnitsInContext=units)
        self.site = self.rooted(
            "IfcSite",
            "site",
            Name="Invented garden",
            RefLatitude=(33, 58, 12, 0),
            RefLongitude=(-77, -55, -12, 0),
            RefElevation=4000 * self.per_mm,
        )
        self.storey = self.rooted("IfcBuildingStorey", "storey", Name="Deck level")
        self.aggregate("in project", project, self.site)
        self.aggregate("in site", self.site, self.storey)

    def rooted(self, entity: str, key: str, **attributes: Any) -> Any:
        """An entity with a GlobalId of its own."""
        guid = ifcopenshell.guid.compress(uuid.uuid5(_SPACE, key).hex)
        return self.file.create_entity(entity, GlobalId=guid, **attributes)

    def aggregate(self, key: str, whole: Any, *parts: Any) -> Any:
        """Parts of a whole."""
        return self.rooted("IfcRelAggregates", f"rel {key}", RelatingObject=whole, RelatedObjects=parts)

    def contain(self, *elements: Any) -> Any:
        """Elements stand in the storey."""
        key = f"contain {elements[0].GlobalId}"
        return self.rooted(
            "IfcRelContainedInSpatialStructure",
            key,
            RelatingStructure=self.storey,
            RelatedElements=elements,
        )

    def material(self, name: str, *elements: Any, **properties: str) -> Any:
        """A material of some elements, by name, with properties of its own."""
        made = self.file.create_entity("IfcMaterial", Name=name)
        self.materials[name] = made
        self.rooted(
            "IfcRelAssociatesMaterial",
            f"material {name} {elements[0].GlobalId}",
            RelatedObjects=elements,
            RelatingMaterial=made,
        )
        if properties:
            values = [self.value(key, "IfcLabel", text) for key, text in properties.items()]
            self.file.create_entity(
                "IfcMaterialProperties", Name="Pset_MaterialWood", Properties=values, Material=made
            )
        return made

    def value(self, name: str, measure: str, value: Any) -> Any:
        """A property with one value."""
        nominal = self.file.create_entity(measure, value)
        return self.file.create_entity("IfcPropertySingleValue", Name=name, NominalValue=nominal)

    def enumerated(self, name: str, value: str) -> Any:
        """A property with one value of an enumeration."""
        label = self.file.create_entity("IfcLabel", value)
        return self.file.create_entity("IfcPropertyEnumeratedValue", Name=name, EnumerationValues=[label])

    def property_set(self, name: str, elements: Any, *properties: Any) -> Any:
        """A property set of some elements."""
        key = f"{name} {elements[0].GlobalId}"
        made = self.rooted("IfcPropertySet", key, Name=name, HasProperties=properties)
        self.rooted(
            "IfcRelDefinesByProperties",
            f"rel {key}",
            RelatedObjects=elements,
            RelatingPropertyDefinition=made,
        )
        return made

    def type(self, entity: str, key: str, elements: Any, **attributes: Any) -> Any:
        """A type of some elements."""
        made = self.rooted(entity, f"type {key}", Name=key, **attributes)
        self.rooted("IfcRelDefinesByType", f"rel type {key}", RelatedObjects=elements, RelatingType=made)
        return made

    def bar(self, entity: str, key: str, thin_mm: float, wide_mm: float) -> Any:
        """A bar of rectangular section."""
        profile = self.file.create_entity(
            "IfcRectangleProfileDef",
            ProfileType="AREA",
            XDim=thin_mm * self.per_mm,
            YDim=wide_mm * self.per_mm,
        )
        up = self.file.create_entity("IfcDirection", DirectionRatios=(0.0, 0.0, 1.0))
        solid = self.file.create_entity(
            "IfcExtrudedAreaSolid", SweptArea=profile, ExtrudedDirection=up, Depth=3000 * self.per_mm
        )
        shape = self.file.create_entity(
            "IfcShapeRepresentation",
            ContextOfItems=self._context(),
            RepresentationIdentifier="Body",
            RepresentationType="SweptSolid",
            Items=[solid],
        )
        place = self.file.create_entity("IfcLocalPlacement", RelativePlacement=self._origin())
        whole = self.file.create_entity("IfcProductDefinitionShape", Representations=[shape])
        return self.rooted(entity, key, Name=key, ObjectPlacement=place, Representation=whole)

    def nails(self, key: str, count: int, diameter_mm: float = 3.76, length_mm: float = 38.0) -> list[Any]:
        """Nails alike."""
        return [
            self.rooted(
                "IfcMechanicalFastener",
                f"{key} {number}",
                Name=f"{key} {number}",
                PredefinedType="NAIL",
                NominalDiameter=diameter_mm * self.per_mm,
                NominalLength=length_mm * self.per_mm,
            )
            for number in range(1, count + 1)
        ]

    def realize(self, key: str, one: Any, other: Any, *metal: Any) -> Any:
        """Metal that joins two elements."""
        return self.rooted(
            "IfcRelConnectsWithRealizingElements",
            f"realize {key}",
            RelatingElement=one,
            RelatedElement=other,
            RealizingElements=metal,
        )

    def connect(self, key: str, one: Any, other: Any) -> Any:
        """Two elements that are connected."""
        return self.rooted(
            "IfcRelConnectsElements", f"connect {key}", RelatingElement=one, RelatedElement=other
        )

    def _context(self) -> Any:
        found = self.file.by_type("IfcGeometricRepresentationContext")
        if found:
            return found[0]
        made = self.file.create_entity(
            "IfcGeometricRepresentationContext",
            ContextType="Model",
            CoordinateSpaceDimension=3,
            Precision=1e-5,
            WorldCoordinateSystem=self._origin(),
        )
        self.file.by_type("IfcProject")[0].RepresentationContexts = [made]
        return made

    def _origin(self) -> Any:
        point = self.file.create_entity("IfcCartesianPoint", Coordinates=(0.0, 0.0, 0.0))
        return self.file.create_entity("IfcAxis2Placement3D", Location=point)

    def _length_unit(self, unit: str) -> Any:
        metre = self.file.create_entity("IfcSIUnit", UnitType="LENGTHUNIT", Name="METRE")
        if unit == "metre":
            return metre
        if unit == "millimetre":
            metre.Prefix = "MILLI"
            return metre
        ratio = self.file.create_entity("IfcRatioMeasure", 0.3048)
        factor = self.file.create_entity("IfcMeasureWithUnit", ValueComponent=ratio, UnitComponent=metre)
        exponents = self.file.create_entity("IfcDimensionalExponents", 1, 0, 0, 0, 0, 0, 0)
        return self.file.create_entity(
            "IfcConversionBasedUnit",
            Dimensions=exponents,
            UnitType="LENGTHUNIT",
            Name="FOOT",
            ConversionFactor=factor,
        )


def deck(schema: str = "IFC4", unit: str = "metre") -> Any:
    """The invented deck."""
    make = Maker(schema, unit)
    ledger = make.bar("IfcBeam", "Ledger", 38.1, 235.0)
    joists = [make.bar("IfcMember", f"Joist {number}", 38.1, 184.15) for number in (1, 2, 3)]
    make.contain(ledger, *joists)
    make.material("Southern pine", ledger, *joists, StrengthGrade="No. 2")
    make.property_set(
        "Treatment", [ledger, *joists], make.value("Preservative", "IfcText", "MCA 0.15 pcf UC4A")
    )
    hangers, nails = [], []
    for number, joist in enumerate(joists, 1):
        hanger = make.rooted(
            "IfcDiscreteAccessory",
            f"Joist hanger {number}",
            Name=f"Joist hanger {number}",
            PredefinedType="BRACKET",
        )
        own = make.nails(f"Hanger nail {number}-", 10)
        make.realize(f"hanger {number}", ledger, joist, hanger)
        for nail in own:
            make.connect(f"nail {nail.Name}", nail, hanger)
        hangers.append(hanger)
        nails += own
    sheet = make.value("SheetThickness", "IfcPositiveLengthMeasure", 1.2 * make.per_mm)
    make.property_set("Own data", hangers, sheet, make.value("Coating", "IfcLabel", "ASTM A653 G185"))
    make.type("IfcMechanicalFastenerType", "Hanger nail", nails, PredefinedType="NAIL")
    make.material("ASTM A153 class D", *nails)
    make.property_set(
        "Pset_ElementComponentCommon", nails, make.enumerated("CorrosionTreatment", "GALVANISED")
    )
    bolts = [
        make.rooted(
            "IfcMechanicalFastener",
            f"Ledger bolt {number}",
            Name=f"Ledger bolt {number}",
            PredefinedType="BOLT",
            NominalDiameter=12.7 * make.per_mm,
        )
        for number in (1, 2)
    ]
    make.material("Steel", *bolts)
    wall = make.rooted("IfcWall", "House wall", Name="House wall")
    make.material("Concrete C25/30", wall)
    make.contain(wall, *bolts)
    make.realize("ledger", ledger, wall, *bolts)
    screws = [
        make.rooted(
            "IfcMechanicalFastener", f"Fixing {number}", Name=f"Fixing {number}", PredefinedType="SCREW"
        )
        for number in (1, 2, 3)
    ]
    make.material("Stainless steel A4", *screws)
    make.contain(*screws)
    weld = make.rooted("IfcFastener", "Weld", Name="Weld on post base", PredefinedType="WELD")
    make.contain(weld)
    return make.file


if __name__ == "__main__":
    TARGET.write_text(deck().to_string(), encoding="utf-8")
