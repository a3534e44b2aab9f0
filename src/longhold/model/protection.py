"""What a designation means: the metal underneath and the layers on each face."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from longhold.base.marks import Mark, weakest

__all__ = ["BaseMetal", "Layer", "LayerKind", "Process", "Protection", "metal_family"]

BaseMetal = Literal[
    "carbon_steel", "weathering_steel", "stainless", "copper", "silicon_bronze", "brass", "aluminium"
]
LayerKind = Literal[
    "zinc",
    "zinc_iron",
    "zinc_aluminium_5",
    "aluminium_zinc_55",
    "zinc_magnesium",
    "zinc_flake",
    "organic",
]
Process = Literal[
    "mill_dip",
    "dip_after_making",
    "spun_dip",
    "electroplate",
    "mechanical",
    "thermal_diffusion",
    "sprayed",
    "painted",
    "not_told",
]


@dataclass(frozen=True)
class Layer:
    """One layer on one face.

    Attributes
    ----------
    kind : what it is made of
    process : how it was put on
    nominal_g_m2, least_g_m2 : mass on one face [g/m2], expected and least allowed; None if not stated
    nominal_um, least_um : thickness on one face [um], likewise
    density_g_cm3 : density that ties mass and thickness in the standard cited; None if none is cited
    source, mark : where the figures come from
    """

    kind: LayerKind
    process: Process
    nominal_g_m2: float | None
    least_g_m2: float | None
    nominal_um: float | None
    least_um: float | None
    density_g_cm3: float | None
    source: str
    mark: Mark

    @property
    def is_zinc(self) -> bool:
        """Whether the layer is zinc or a zinc-rich alloy that corrodes like it."""
        return self.kind not in {"organic", "zinc_flake", "aluminium_zinc_55"}


@dataclass(frozen=True)
class Protection:
    """What one reading of a designation promises for every face of a part.

    Attributes
    ----------
    designation : our way of writing it, which reads back to the same protection
    base_metal : the metal underneath
    grade : alloy grade such as "304", "316", "410", "A4", "1.4401"; empty for carbon steel
    layers : outermost first; empty for bare metal
    standard, edition : standard whose figures these are; empty if the label names none
    product_form : what the standard covers, in words
    basis : how the written figure is counted (both faces or one, mean or least), in words
    source, mark : of the base metal and reading as a whole
    """

    designation: str
    base_metal: BaseMetal
    grade: str = ""
    layers: tuple[Layer, ...] = ()
    standard: str = ""
    edition: str = ""
    product_form: str = ""
    basis: str = ""
    source: str = "own"
    mark: Mark = Mark.OWN

    @property
    def zinc(self) -> Layer | None:
        """The zinc or zinc-alloy layer, if there is one."""
        return next((layer for layer in self.layers if layer.is_zinc), None)

    @property
    def topcoat(self) -> Layer | None:
        """The organic layer, if there is one."""
        return next((layer for layer in self.layers if layer.kind == "organic"), None)

    @property
    def weakest_mark(self) -> Mark:
        """Weakest mark of the reading and its layers."""
        return weakest([self.mark, *(layer.mark for layer in self.layers)])

    def with_layers(self, *layers: Layer) -> Protection:
        """The same base metal under other layers."""
        return replace(self, layers=layers)


def metal_family(protection: Protection) -> str:
    """The family that decides whether two metals may meet: zinc, bare_steel, stainless, copper or aluminium.

    A zinc-coated part belongs to zinc: a couple is judged by the coating, not by the metal underneath.
    """
    if any(layer.kind != "organic" for layer in protection.layers):
        return "zinc"
    return {
        "carbon_steel": "bare_steel",
        "weathering_steel": "bare_steel",
        "stainless": "stainless",
        "aluminium": "aluminium",
    }.get(protection.base_metal, "copper")
