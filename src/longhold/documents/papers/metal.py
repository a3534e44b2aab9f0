"""The metal that a designation promises, in words for a paper."""

from __future__ import annotations

from longhold.base.quantities import System
from longhold.documents.figures import film
from longhold.documents.papers.deal import metal_of
from longhold.documents.part_rows import layer_words
from longhold.model.protection import Protection

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


def standard_words(protection: Protection) -> str:
    """The standard whose figures these are, with its edition.

    >>> standard_words(Protection("316", "stainless", "316"))
    'none named'
    """
    edition = protection.edition.strip("-")
    if not protection.standard:
        return "none named"
    return f"{protection.standard}, edition {edition}" if edition else protection.standard
