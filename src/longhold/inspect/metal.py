"""Whether a delivered label promises the metal that was ordered, face by face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from longhold.inspect.thresholds import threshold
from longhold.labels.alloys import alloy_named
from longhold.labels.compare import coat_words
from longhold.labels.reading import LabelReading, Reading
from longhold.model.protection import Layer, Protection, metal_family

__all__ = ["Held", "MetalHeld", "family_words", "hold_metals", "promise_words"]

Held = Literal["same", "better", "lesser", "other", "open"]
_BETTER = {("bare_steel", "zinc"), ("bare_steel", "stainless"), ("zinc", "stainless")}
_FAMILIES = {
    "zinc": "zinc-coated",
    "bare_steel": "bare steel",
    "stainless": "stainless",
    "copper": "copper or bronze",
    "aluminium": "aluminum",
}


@dataclass(frozen=True)
class MetalHeld:
    """A delivered metal held against the ordered one.

    Attributes
    ----------
    held : same, better, lesser, other (neither better nor lesser can be said: it is not what was ordered), or
        open (the labels leave it open)
    why : in words; blank where it is the same
    family : of the delivered metal, where every reading has one; blank else
    """

    held: Held
    why: str
    family: str


def family_words(protection: Protection) -> str:
    """The metal family of a part, as people say it."""
    return _FAMILIES[metal_family(protection)]


def hold_metals(ordered: LabelReading, delivered: LabelReading) -> MetalHeld:
    """Hold what a delivered label promises against what was ordered.

    Where a label may promise several things, the answer stands only if it is the same for all of them.

    >>> from longhold.labels.read import read_label
    >>> hold_metals(read_label("G185"), read_label("G90")).held
    'lesser'
    """
    if delivered.settled:  # a class of several standards is as ordered under any one of them
        ordered = ordered.under(delivered.protection.standard)
    if _promised(ordered) == _promised(delivered):
        return MetalHeld("same", "", metal_family(delivered.protection))
    found = [_hold(one, other) for one in ordered.readings for other in delivered.readings]
    families = {metal_family(one.protection) for one in delivered.readings}
    family = families.pop() if len(families) == 1 else ""
    ways = {held for held, _ in found}
    if len(ways) == 1:
        held, why = found[0]
        return MetalHeld(held, why, family)
    if ways <= {"same", "better"}:
        return MetalHeld("same", "", family)
    if ways <= {"lesser", "other"}:
        return MetalHeld("lesser", next(why for held, why in found if held == "lesser"), family)
    asked = delivered.question or ordered.question or "the label may mean several things"
    told = " or ".join(one.protection.designation for one in delivered.readings[:3])
    return MetalHeld("open", f"it may be {told}: {asked}", family)


def _promised(label: LabelReading) -> frozenset[Protection]:
    return frozenset(one.protection for one in label.readings)


def _hold(ordered: Reading, delivered: Reading) -> tuple[Held, str]:
    one, other = ordered.protection, delivered.protection
    families = metal_family(one), metal_family(other)
    if families[0] != families[1]:
        held: Held = "lesser" if families[::-1] in _BETTER else "better" if families in _BETTER else "other"
        return held, _ordered_came(one, other)
    if one.base_metal != other.base_metal and families[0] != "zinc":
        return "other", _ordered_came(one, other)
    held, why = _coats(one, other) if families[0] == "zinc" else _alloys(one, other)
    return _with_paint(held, why, one, other)


def _alloys(one: Protection, other: Protection) -> tuple[Held, str]:
    if one.grade == other.grade:
        return "same", ""
    told = _ordered_came(one, other)
    first, second = alloy_named(one.grade), alloy_named(other.grade)
    if first is None or second is None:
        return ("open" if first else "better"), f"{told}: which grade is it?" if first else told
    if first.family == second.family:
        return "same", ""
    return ("better" if second.order > first.order else "lesser"), told


def _coats(one: Protection, other: Protection) -> tuple[Held, str]:
    first, second = _metallic(one), _metallic(other)
    told = _ordered_came(one, other)
    if first.kind != second.kind:
        return "other", f"{told}: another coat, whose thickness does not compare"
    pairs = [(first.least_um, second.least_um), (first.nominal_um, second.nominal_um)]
    asked = [(need, have) for need, have in pairs if need is not None]
    if not asked:
        if any(have is not None for _, have in pairs):
            return "same", ""
        return ("same", "") if one.designation == other.designation else ("open", f"{told}: how thick?")
    known = [(need, have) for need, have in asked if have is not None]
    same = threshold("same_coat")
    short = [need - have > same * need for need, have in known]
    if len(known) < len(asked) and not any(short):
        return "open", f"{told}: how much is on one face?"
    if any(short):
        if all(short) or not any(have - need > same * need for need, have in known):
            return "lesser", told
        return "open", f"{told}: less at one of the two, more at the other"
    more = any(have - need > same * need for need, have in known)
    return ("better", told) if more else ("same", "")


def _with_paint(held: Held, why: str, one: Protection, other: Protection) -> tuple[Held, str]:
    """Paint that was ordered must have come; what comes on top does no harm."""
    asked, came = one.topcoat, other.topcoat
    if asked is None:
        return held, why
    need, have = asked.nominal_um, came.nominal_um if came else None
    least = None if need is None else need * (1.0 - threshold("same_coat"))
    if came is None or (least is not None and have is not None and have < least):
        return "lesser", f"{_ordered_came(one, other)}: the paint that was ordered is missing or thinner"
    if need is not None and have is None and held in ("same", "better"):
        return "open", f"{_ordered_came(one, other)}: how thick is its paint?"
    return held, why


def _ordered_came(one: Protection, other: Protection) -> str:
    return f"ordered {promise_words(one)}; came {promise_words(other)}"


def promise_words(protection: Protection) -> str:
    """What a designation promises for one face.

    >>> from longhold.labels.read import read_label
    >>> promise_words(read_label("ASTM A153 class D").protection)
    'ASTM A153 class D (zinc, at least 36 µm, expected 43 µm on a face)'
    """
    layers = [layer for layer in protection.layers if layer.kind != "organic"]
    if not layers:
        return protection.designation
    return f"{protection.designation} ({_layer_words(layers[0])} on a face)"


def _layer_words(layer: Layer) -> str:
    told = [coat_words(layer)]
    if layer.least_um is not None:
        told.append(f"at least {_thick(layer.least_um)}")
    if layer.nominal_um is not None:
        told.append(f"expected {_thick(layer.nominal_um)}")
    return ", ".join(told if len(told) > 1 else [*told, "thickness not stated"])


def _thick(value_um: float) -> str:
    return f"{value_um:.3g} µm"


def _metallic(protection: Protection) -> Layer:
    return next(layer for layer in protection.layers if layer.kind != "organic")
