"""What kind and size of part a label speaks of."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from longhold.base.tables import Row, load_csv, number
from longhold.labels.bands import ANY, Band, exactly, parse_band
from longhold.labels.claims import Claim
from longhold.labels.conversions import convert
from longhold.labels.grammar import read_number

__all__ = ["Item", "Size", "find_item", "find_size", "named_item", "trade_size"]

_LONGEST_DIAMETER_MM = {"driven": 8.0, "threaded": 40.0, "washer": 40.0, "wire": 8.0}
_THICKEST_MM = 60.0
_INCH_ROUNDING_MM = 0.03
_LOOSE_SCREW_MM = 13.0  # a single measure above this is a wood screw's length, not its diameter
_NUMBERS = r"((?:\d+[ -])?\d+(?:[.,/]\d+)?) ?(mm|inch(?:es)?|in\.?|ft|\"|')?"


@dataclass(frozen=True)
class Item:
    """A kind of part, with the categories that the standards sort it under.

    Attributes
    ----------
    kind : nail, screw, bolt, washer, hanger, plate ...
    group : driven, threaded, washer, wire, flat or sheet
    a123, a153, iso1461 : its categories there; none where the standard does not cover it
    """

    kind: str
    group: str
    a123: tuple[str, ...]
    a153: tuple[str, ...]
    iso1461: tuple[str, ...]

    @property
    def is_fastener(self) -> bool:
        """Whether it is measured by its diameter."""
        return self.group in ("driven", "threaded", "wire")


@dataclass(frozen=True)
class Size:
    """What the label or the caller tells of a part's size.

    Attributes
    ----------
    text : as written
    measure : thickness of flat parts and washers, diameter of fasteners and wire [mm]
    length : [mm]
    thickness_mm, diameter_mm : where a single value is told, else None
    """

    text: str = ""
    measure: Band = ANY
    length: Band = ANY
    thickness_mm: float | None = None
    diameter_mm: float | None = None


@cache
def _words() -> Mapping[str, Item]:
    def several(text: str) -> tuple[str, ...]:
        return tuple(text.split(";")) if text else ()

    rows = load_csv(
        "labels/items.csv",
        {"word": str, "kind": str, "group": str, "a123": several, "a153": several, "iso1461": several},
        key=("word",),
    )
    return {row["word"]: Item(row["kind"], row["group"], row["a123"], row["a153"], row["iso1461"]) for row in rows}


@cache
def _sizes() -> Mapping[tuple[str, str], Row]:
    rows = load_csv("labels/sizes.csv", {"system": str, "number": str, "mm": number}, key=("system", "number"))
    return {(row["system"], row["number"]): row for row in rows}


def trade_size(system: str, name: str) -> float | None:
    """Size [mm] of a penny nail, a screw number or a sheet gauge; None if there is no such size.

    >>> trade_size("penny", "10")
    3.759
    """
    row = _sizes().get((system, name))
    return None if row is None else float(row["mm"])


def named_item(name: str | None) -> Item | None:
    """The kind of part that a word or two name; the last known word counts ("joist hanger", "anchor bolt")."""
    if not name:
        return None
    known = [_words()[word] for word in re.findall(r"[a-z-]+", name.lower()) if word in _words()]
    return known[-1] if known else None


def find_item(claims: Sequence[Claim]) -> tuple[Item | None, frozenset[str]]:
    """The first part named on a label (the last word of a run of such words), and the words that name it."""
    run: list[Claim] = []
    for claim in claims:
        if claim.name in ("plain_item", "shank") or (claim.what == "word" and claim.text in _words()):
            run.append(claim)
        elif run:
            break
    if not run:
        return None, frozenset()
    phrase = " ".join(word.text for word in run)
    return _words().get(phrase) or named_item(phrase), frozenset(word.text for word in run)


def find_size(
    claims: Iterable[Claim], item: Item | None, thickness_mm: float | None, diameter_mm: float | None
) -> Size:
    """Size of the part, from the caller where it is given, else from the label."""
    told = [claim for claim in claims if claim.what in ("size", "dimensions") or claim.name == "length"]
    if not told and item is not None and item.is_fastener:
        told = [replace(claim, name="dimensions") for claim in claims if claim.what == "bare" and "/" in claim.text]
    fastener = item is not None and item.is_fastener
    found = [part for claim in told for part in _measures(claim, item)]
    diameter = diameter_mm or next((band for role, band in found if role == "diameter"), None)
    thickness = thickness_mm or next((band for role, band in found if role == "thickness"), None)
    length = next((band for role, band in found if role == "length"), ANY)
    main = (diameter or thickness) if fastener else (thickness or (None if item else diameter))
    return Size(
        text=", ".join(claim.text for claim in told),
        measure=_band(main),
        length=length,
        thickness_mm=_single(thickness),
        diameter_mm=_single(diameter),
    )


def _snapped(size_mm: float) -> float:
    """3/8 in as the standards round it (9.5, 9.52 or 9.53 mm) is one size."""
    three_eighths = trade_size("inch", "3/8") or size_mm
    return three_eighths if abs(size_mm - three_eighths) <= _INCH_ROUNDING_MM else size_mm


def _band(value: Band | float | None) -> Band:
    if value is None:
        return ANY
    if isinstance(value, Band):
        return replace(value, low=_snapped(value.low), high=_snapped(value.high))
    return exactly(_snapped(value))


def _single(value: Band | float | None) -> float | None:
    if isinstance(value, Band):
        return value.low if value.low == value.high else None
    return value


def _measures(claim: Claim, item: Item | None) -> list[tuple[str, Band]]:
    """What one phrase of size tells: (diameter, thickness or length, range)."""
    if claim.name in ("penny", "screw_number", "gauge"):
        return _trade(claim, item)
    if claim.name == "metric_thread":
        sizes = [float(text) for text in re.findall(r"\d+(?:\.\d+)?", claim.text)]
        return [("diameter", exactly(sizes[0]))] + [("length", exactly(size)) for size in sizes[-1:] if len(sizes) > 1]
    if claim.name in ("range", "bound"):
        try:
            band = parse_band(claim.text)
        except ValueError:
            return []
        return [("diameter" if item is not None and item.is_fastener else "thickness", band)]
    if claim.name == "length" and claim.number is not None:
        return _by_role([claim.number], item)
    if claim.name == "dimensions":
        return _by_role(_product(claim.text), item)
    return []


def _trade(claim: Claim, item: Item | None) -> list[tuple[str, Band]]:
    digits = re.search(r"\d+", claim.text)
    name = digits[0].lstrip("0") or "0" if digits else ""
    if claim.name == "gauge":
        size = None if item is not None and item.is_fastener else trade_size("sheet_gauge", name)
        return [] if size is None else [("thickness", exactly(size))]
    size = trade_size(claim.name, name)
    found = [] if size is None else [("diameter", exactly(size))]
    _, _, rest = claim.text.partition("x")
    return found + [("length", exactly(value)) for value in _product(rest)[:1]]


def _product(text: str) -> list[float]:
    """Sizes [mm] of '0.148 x 3 in'; none where no unit is written anywhere."""
    parts = [(read_number(value), unit) for value, unit in re.findall(_NUMBERS, text)]
    last = next((unit for _, unit in reversed(parts) if unit), "in" if re.search(r"\d/\d", text) else "")
    factors = {"m": 1.0, "i": convert(1.0, "in", "mm"), '"': convert(1.0, "in", "mm")}
    sizes = []
    for value, unit in parts:
        factor = factors.get((unit or last)[:1])
        if value is not None and factor is not None:
            sizes.append(value * factor)
    return sizes


def _by_role(sizes: list[float], item: Item | None) -> list[tuple[str, Band]]:
    """Sorts plain sizes into diameter, thickness and length by what such a part can be."""
    if not sizes:
        return []
    small, large = min(sizes), max(sizes)
    if item is not None and (item.is_fastener or item.group == "washer"):
        limit = _LOOSE_SCREW_MM if item.kind == "screw" and len(sizes) == 1 else _LONGEST_DIAMETER_MM[item.group]
        role = "thickness" if item.group == "washer" and small < _LOOSE_SCREW_MM else "diameter"
        found = [(role, exactly(small))] if small <= limit else []
        return found + ([("length", exactly(large))] if large > small or small > limit else [])
    found = [("thickness", exactly(small))] if small <= _THICKEST_MM else []
    return found + ([("length", exactly(large))] if large > small and item is not None else [])
