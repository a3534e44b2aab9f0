"""A connection put together from the facts that a text tells, without filling in what it does not."""

from __future__ import annotations

from typing import Any, cast

from longhold.strength.connection import FastenerKind
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, Ec5Plate
from longhold.strength.ec5_data import Material, strength_class

__all__ = ["Facts", "NotToldError", "connection_told", "member_told"]

_DEEP_MM = 1e6
_PANELS = ("plywood", "osb")
_NOT_USED_KG_M3 = 1.0


class NotToldError(Exception):
    """Something needed is not told, or something told is not understood."""


class Facts(dict[str, Any]):
    """Facts by name; what is needed and absent is named."""

    def need(self, name: str) -> float:
        """A number that must be told."""
        if name not in self:
            raise NotToldError(f"{name.replace('_', ' ')} is not told")
        return float(self[name])

    def word(self, name: str) -> str:
        """A word that must be told."""
        if name not in self:
            raise NotToldError(f"{name.replace('_', ' ')} is not told")
        return str(self[name])

    @property
    def kind(self) -> str:
        """nail, bolt, screw or dowel."""
        return self.word("kind")

    def must_be_smooth(self) -> None:
        """Refuse a nail that may be threaded: its strengths would have to come from a test."""
        shank = self.get("shank", "smooth" if self.get("square") else None)
        if shank is None:
            raise NotToldError("whether the nail is smooth is not told")
        if shank != "smooth":
            raise NotToldError("the withdrawal strength of a threaded nail is not told")

    def thickness(self, index: int) -> float:
        """Thickness of one member: t1, t2, or those told with the classes."""
        name = ("t1", "t2")[index]
        told = self.get("thicknesses", [])
        if name in self:
            return float(self[name])
        if index == 1 and "t1" in self and len(told) == 1:
            return float(told[0])
        if len(told) <= index:
            raise NotToldError(f"{name} is not told")
        return float(told[index])


def member_told(facts: Facts, index: int, thickness_mm: float = 1.0) -> Ec5Member:
    """A timber: its density by class or number, its kind; index 0 the first told, -1 the last."""
    classes = facts.get("classes", [])
    if len(classes) > 2:
        raise NotToldError("more than two strength classes")
    material = facts.get("material")
    if material in _PANELS and index == 0:
        density = facts.need("rho") if material == "plywood" else facts.get("rho", _NOT_USED_KG_M3)
        return Ec5Member(thickness_mm, density, 0.0, cast(Material, material))
    of_class = None
    if classes:
        row = strength_class(classes[0 if len(classes) == 1 else index])
        of_class = row["density_k_kg_m3"]
        material = row["wood"] if material is None or material in _PANELS else material
    told = None if facts.get("material") in _PANELS else facts.get("rho")
    known = told if of_class is None else of_class
    if known is None:
        raise NotToldError("density is not told")
    if of_class is not None and told is not None and of_class != told:
        raise NotToldError("density is told twice")
    density = float(known)
    material = "softwood" if material is None or material in _PANELS else material
    return Ec5Member(thickness_mm, density, facts.get("angle", 0.0), cast(Material, material))


def connection_told(facts: Facts) -> Ec5Connection:
    """The connection as told.

    Raises
    ------
    NotToldError : naming what is missing
    """
    kind = facts.kind
    double = facts.get("shear") == "double" or facts.get("plates") in ("both", "middle")
    side, main, penetration = _members(facts, kind)
    through = kind in ("bolt", "dowel")
    return Ec5Connection(
        cast(FastenerKind, "wood_screw" if kind == "screw" else kind),
        facts.need("diameter"),
        side,
        main,
        length_mm=None if through or penetration is not None else facts.need("length"),
        penetration_mm=None if through else penetration,
        root_diameter_mm=facts.need("root") if kind == "screw" else None,
        fu_mpa=facts.need("fu"),
        shear="double" if double else "single",
        predrilled=facts.get("predrilled", False),
        square=facts.get("square", False),
        fax_mpa=facts.get("fax"),
        rope=not facts.get("no_rope", False),
        rope_cap_share=facts["rope_cap_percent"] / 100.0 if "rope_cap_percent" in facts else None,
    )


def _members(facts: Facts, kind: str) -> tuple[Ec5Member | Ec5Plate, Ec5Member | Ec5Plate, float | None]:
    """Side and main member, and the penetration where it is told."""
    penetration = facts.get("penetration")
    if facts.get("steel") and "plate" not in facts:
        raise NotToldError("the thickness of the plate is not told")
    if "plate" not in facts:
        side = member_told(facts, 0, facts.thickness(0))
        if kind not in ("bolt", "dowel") and penetration is None and "t2" in facts:
            penetration = facts["t2"]
        if penetration is not None and "t2" not in facts and len(facts.get("thicknesses", [])) < 2:
            return side, member_told(facts, -1, _DEEP_MM), penetration
        return side, member_told(facts, -1, facts.thickness(1)), penetration
    plate = Ec5Plate(facts["plate"])
    if facts.get("plates") == "middle":
        return member_told(facts, 0, facts.thickness(0)), plate, penetration
    if facts.get("plates") == "both":
        thick = facts.thickness(1) if "t2" in facts else facts.thickness(0)
        return plate, member_told(facts, 0, thick), penetration
    if facts.get("shear") == "double":
        raise NotToldError("whether the plate is outside or in the middle is not told")
    if kind in ("bolt", "dowel"):
        return plate, member_told(facts, 0, facts.thickness(0)), None
    if penetration is None and "t1" in facts:
        penetration = facts["t1"]
    told = facts.get("thicknesses", [])
    return plate, member_told(facts, 0, told[0] if told else _DEEP_MM), penetration
