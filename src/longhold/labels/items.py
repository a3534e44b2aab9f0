"""What kind and size of part a label speaks of."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from longhold.base.recent import once
from longhold.base.tables import load_csv, number
from longhold.labels.bands import ANY, Band, exactly, parse_band
from longhold.labels.claims import Claim
from longhold.labels.conversions import convert
from longhold.labels.grammar import read_number
from longhold.labels.limits import limit
from longhold.model.sizes import read_part_size

__all__ = ["Item", "Size", "find_item", "find_size", "item_by_size", "named_item"]

_NUMBERS = r"((?:\d+[ -])?\d+(?:[.,/]\d+)?|\.\d+) ?(mm|inch(?:es)?|in\.?|ft|\"|')?"


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


@once
def _words() -> Mapping[str, Item]:
    def several(text: str) -> tuple[str, ...]:
        return tuple(text.split(";")) if text else ()

    rows = load_csv(
        "labels/items.csv",
        {"word": str, "kind": str, "group": str, "a123": several, "a153": several, "iso1461": several},
        key=("word",),
    )
    return {
        row["word"]: Item(row["kind"], row["group"], row["a123"], row["a153"], row["iso1461"]) for row in rows
    }


@once
def _gauges() -> Mapping[str, float]:
    rows = load_csv("labels/gauges.csv", {"gauge": str, "mm": number}, key=("gauge",))
    return {row["gauge"]: row["mm"] for row in rows}


def _trade_size_mm(system: str, name: str, words: frozenset[str]) -> float | None:
    """Size [mm] of a penny nail of a kind, a screw number or a sheet gauge; None if not stated."""
    try:
        if system == "penny":
            kind = next((kind for kind in ("common", "box", "sinker") if kind in words), "")
            return read_part_size("nail", f"{name}d {kind}".strip()).diameter_mm
        if system == "screw_number":
            return read_part_size("wood_screw", f"#{name}").diameter_mm
        return read_part_size("plate", f"{name} ga").thickness_mm
    except ValueError:
        return _gauges().get(name) if system == "gauge" else None


def named_item(name: str | None) -> Item | None:
    """The kind of part that some words name; the last known word counts, as in "anchor bolt"."""
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


def item_by_size(claims: Sequence[Claim]) -> Item | None:
    """The kind of part that only its way of giving a size tells: 10d is a nail, M12 a bolt, 18 ga sheet."""
    kinds = {"penny": "nail", "screw_number": "screw", "metric_thread": "bolt", "gauge": "sheet"}
    return next((named_item(kinds[claim.name]) for claim in claims if claim.name in kinds), None)


def find_size(
    claims: Sequence[Claim], item: Item | None, thickness_mm: float | None, diameter_mm: float | None
) -> Size:
    """Size of the part, from the caller where it is given, else from the label."""
    told = [claim for claim in claims if claim.what in ("size", "dimensions") or claim.name == "length"]
    if not told and item is not None and item.is_fastener:
        told = [
            replace(claim, name="dimensions")
            for claim in claims
            if claim.what == "bare" and "/" in claim.text
        ]
    fastener = item is not None and item.is_fastener
    words = frozenset(claim.text for claim in claims if claim.what == "word")
    found = [part for claim in told for part in _measures(claim, item, words)]
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
    three_eighths = limit("sizes", "three_eighths_mm")
    return three_eighths if abs(size_mm - three_eighths) <= limit("sizes", "inch_rounding_mm") else size_mm


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


def _measures(claim: Claim, item: Item | None, words: frozenset[str]) -> list[tuple[str, Band]]:
    """What one phrase of size tells: (diameter, thickness or length, range)."""
    if claim.name in ("penny", "screw_number", "gauge"):
        return _trade(claim, item, words)
    if claim.name == "metric_thread":
        sizes = [float(text) for text in re.findall(r"\d+(?:\.\d+)?", claim.text)]
        return [("diameter", exactly(sizes[0]))] + [
            ("length", exactly(size)) for size in sizes[-1:] if len(sizes) > 1
        ]
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


def _trade(claim: Claim, item: Item | None, words: frozenset[str]) -> list[tuple[str, Band]]:
    digits = re.search(r"\d+", claim.text)
    name = digits[0].lstrip("0") or "0" if digits else ""
    if claim.name == "gauge":
        size = None if item is not None and item.is_fastener else _trade_size_mm("gauge", name, words)
        return [] if size is None else [("thickness", exactly(size))]
    size = _trade_size_mm(claim.name, name, words)
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
            sizes.append(round(value * factor, 6))
    return sizes


def _by_role(sizes: list[float], item: Item | None) -> list[tuple[str, Band]]:
    """Sorts plain sizes into diameter, thickness and length by what such a part can be."""
    if not sizes:
        return []
    small, large = min(sizes), max(sizes)
    if item is not None and (item.is_fastener or item.group == "washer"):
        lone_screw = item.kind == "screw" and len(sizes) == 1
        longest = limit("longest_diameter_mm", "lone_screw" if lone_screw else item.group)
        flat = item.group == "washer" and small < limit("longest_diameter_mm", "washer_thickness")
        found = [("thickness" if flat else "diameter", exactly(small))] if small <= longest else []
        return found + ([("length", exactly(large))] if large > small or small > longest else [])
    found = [("thickness", exactly(small))] if small <= limit("sizes", "thickest_mm") else []
    return found + ([("length", exactly(large))] if large > small and item is not None else [])
