"""The metal that a designation promises, in words for a paper."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.base.quantities import System
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv
from longhold.documents.figures import film
from longhold.documents.papers.deal import metal_of
from longhold.documents.part_rows import layer_words
from longhold.model.protection import Protection
from longhold.model.sizes import PartKind

__all__ = ["face_words", "layers_words", "standard_words"]

_NO_COAT = "the same metal all through, no coat"


def face_words(protection: Protection, units: System) -> str:
    """What one face carries, short.

    >>> face_words(Protection("316", "stainless", "316"), "si")
    'the same metal all through, no coat'
    """
    if not protection.layers:
        return _NO_COAT
    told = []
    for layer in protection.layers:
        least = layer.least_um if layer.least_um is not None else layer.nominal_um
        much = "thickness not stated" if least is None else f"at least {film(least, units)}"
        told.append(f"{layer.kind.replace('_', ' ')} {much}")
    return f"{', '.join(told)} on {metal_of(protection)}"


def layers_words(protection: Protection, units: System) -> str:
    """Every layer of a face with how it was put on, expected and least amounts."""
    if not protection.layers:
        return f"{metal_of(protection)}: {_NO_COAT}"
    return ". ".join(layer_words(layer, units).capitalize() for layer in protection.layers) + "."


def standard_words(protection: Protection, kind: PartKind, units: System) -> str:
    """The standard whose figures these are, with its edition; where none is named, which to ask for.

    >>> standard_words(Protection("316", "stainless", "316"), "strap", "us")
    'none named: ask the supplier for ASTM A240'
    >>> standard_words(Protection("316", "stainless", "316"), "lag_screw", "us")
    'none named: ask the supplier to name it'
    """
    edition = protection.edition.strip("-")
    if not protection.standard:
        asked = _asked_of_stainless(kind, units) if protection.base_metal == "stainless" else ""
        return f"none named: ask the supplier {f'for {asked}' if asked else 'to name it'}"
    return f"{protection.standard}, edition {edition}" if edition else protection.standard


def _asked_of_stainless(kind: PartKind, units: System) -> str:
    """The standard of stainless that goes with the form of a part; empty where none is held."""
    row = _stainless_forms().get(kind)
    return "" if row is None else str(row["us" if units == "us" else "metric"])


@once
def _stainless_forms() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"kind": str, "us": str, "metric": str}
    return {row["kind"]: row for row in load_csv("labels/stainless_forms.csv", columns, key=("kind",))}
