"""Trade sizes: "16d common", "#10 x 2-1/2 in", "1/2 in x 6 in", "18 ga", "2x8" to millimeters."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from longhold.base.marks import Mark
from longhold.base.quantities import parse_quantity
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, load_toml, number, optional_number

__all__ = ["LumberSize", "PartKind", "PartSize", "is_fastener", "read_lumber_size", "read_part_size"]

PartKind = Literal[
    "nail",
    "staple",
    "wood_screw",
    "lag_screw",
    "bolt",
    "dowel",
    "washer",
    "hanger",
    "strap",
    "angle",
    "post_base",
    "plate",
    "nail_plate",
]
_FASTENERS = {"nail", "staple", "wood_screw", "lag_screw", "bolt", "dowel"}
_MM = 25.4


def is_fastener(kind: PartKind) -> bool:
    """Whether a part joins by passing into or through timber."""
    return kind in _FASTENERS


@dataclass(frozen=True)
class PartSize:
    """What a trade size means.

    Attributes
    ----------
    diameter_mm : shank or body diameter [mm], fasteners
    length_mm : length under the head [mm], None if the text does not tell
    head_diameter_mm : [mm], None if not known
    thickness_mm, least_thickness_mm : design and least delivered thickness of bare sheet [mm], sheet parts
    words : the size as understood, for people
    source, mark : of the table row used
    """

    words: str
    source: str
    mark: Mark
    diameter_mm: float | None = None
    length_mm: float | None = None
    head_diameter_mm: float | None = None
    thickness_mm: float | None = None
    least_thickness_mm: float | None = None


@dataclass(frozen=True)
class LumberSize:
    """Dressed size of nominal lumber, or the actual size that was stated [mm]."""

    thickness_mm: float
    width_mm: float
    words: str
    source: str
    mark: Mark


_PENNY = re.compile(r"^(?P<penny>\d+d)(?:\s+(?P<kind>[a-z]+))?(?:\s*(?:x|by)\s*(?P<length>\d.*))?$")
_METRIC = re.compile(r"^m(?P<diameter>\d+(?:\.\d+)?)(?P<rest>.*)$")
_NUMBERED = re.compile(r"^(?:#|no\.?\s*)(?P<number>\d+)(?:\s*(?:x|by)\s*(?P<length>.+))?$")
_BY = re.compile(r"^(?P<diameter>.+?)\s*(?:x|by)\s*(?P<length>.+)$")
_GAUGE = re.compile(r"^(?P<n>\d+)\s*(?P<unit>ga\.?|gauge|mil)$")
_LUMBER = re.compile(r"^(?P<t>5/4|\d+)\s*x\s*(?P<w>\d+)$")
_ACTUAL = re.compile(r"^(?P<a>\d+(?:\.\d+)?)(?P<own>mm|cm|in)?x(?P<b>\d+(?:\.\d+)?)(?P<unit>mm|cm|in)$")


def read_part_size(kind: PartKind, text: str) -> PartSize:
    """The size of a part from its trade name.

    >>> read_part_size("nail", "16d common").diameter_mm
    4.1148
    >>> read_part_size("bolt", "M12 x 150").length_mm
    150.0
    >>> read_part_size("nail", "16d")
    Traceback (most recent call last):
    ...
    ValueError: tells no kind of nail: 16d common is 0.162 in thick, 16d box 0.135 in, 16d sinker 0.148 in
    """
    plain = " ".join(text.lower().replace("×", "x").replace("–", "-").split())
    if kind == "washer":
        return _washer(plain)
    if not is_fastener(kind):
        return _sheet(plain)
    if kind == "nail" and (match := _PENNY.match(plain)):
        return _penny(match["penny"], match["kind"], match["length"])
    if kind == "wood_screw" and (match := _NUMBERED.match(plain)):
        return _numbered_screw(int(match["number"]), match["length"])
    if match := _METRIC.match(plain):
        plain = f"{match['diameter']} mm{match['rest']}"
        plain += " mm" if plain[-1].isdigit() else ""  # ISO writes M12 x 150 in millimeters
    return _by_diameter(kind, plain)


def _washer(plain: str) -> PartSize:
    size = _sheet(plain)
    thickest_mm = load_toml("trade/sizes.toml")["washer"]["thickest_mm"]
    if size.thickness_mm is None or size.thickness_mm <= thickest_mm:
        return size
    return replace(size, words=f"washer for a {plain} bolt", thickness_mm=None)


def read_lumber_size(text: str) -> LumberSize:
    """Dressed size of nominal lumber, or an actual size with its unit, of which the lesser is the thickness.

    >>> read_lumber_size("2x8").thickness_mm, read_lumber_size("195 x 45 mm").thickness_mm
    (38.1, 45.0)
    """
    rows = {row["nominal"]: row for row in _table("trade/lumber.csv")}
    plain = text.lower().replace("×", "x").replace(" ", "")
    if (actual := _ACTUAL.match(plain)) and actual["own"] in {None, actual["unit"]}:
        sides = sorted(parse_quantity(f"{actual[side]} {actual['unit']}", "length_mm") for side in "ab")
        return LumberSize(sides[0], sides[1], text, "own", Mark.OWN)
    match = _LUMBER.match(plain)
    if not match:
        said = 'must be nominal lumber such as "2x8" or "5/4x6", or an actual size such as "45 x 195 mm"'
        raise ValueError(said)
    thickness = rows.get(match["t"], {}).get("thickness_in")
    width = rows.get(match["w"], {}).get("width_in")
    if thickness is None or width is None:
        raise ValueError(
            f"is not in the lumber table; known sizes are {', '.join(rows)} by {', '.join(rows)}; "
            'an actual size needs its unit, such as "45 x 195 mm"'
        )
    row = rows[match["t"]]
    words = f"{text} ({thickness:g} by {width:g} in dressed)"
    return LumberSize(round(thickness * _MM, 6), round(width * _MM, 6), words, row["source"], row["mark"])


def _penny(penny: str, kind: str | None, length: str | None) -> PartSize:
    rows = [row for row in _table("trade/nails.csv") if row["penny"] == penny]
    if not rows:
        known = sorted({row["penny"] for row in _table("trade/nails.csv")}, key=lambda p: int(p[:-1]))
        raise ValueError(f"is not in the nail table; known sizes are {', '.join(known)}")
    if kind is None:
        first, *others = rows
        said = [f"{penny} {first['kind']} is {first['diameter_in']:g} in thick"]
        said += [f"{penny} {row['kind']} {row['diameter_in']:g} in" for row in others]
        raise ValueError(f"tells no kind of nail: {', '.join(said)}")
    for row in rows:
        if row["kind"] == kind:
            length_in = row["length_in"] if length is None else parse_quantity(length, "length_mm") / _MM
            return _from_inches(row, f"{penny} {row['kind']} nail", length_in=length_in)
    raise ValueError(f"is not a nail kind of {penny}; known are {', '.join(row['kind'] for row in rows)}")


def _numbered_screw(screw_number: int, length: str | None) -> PartSize:
    for row in _table("strength/nds_2018/wood_screws.csv"):
        if row["gauge"] == screw_number:
            length_in = None if length is None else parse_quantity(length, "length_mm") / _MM
            return _from_inches(row, f"No. {screw_number} wood screw", length_in=length_in)
    known = ", ".join(f"#{row['gauge']:g}" for row in _table("strength/nds_2018/wood_screws.csv"))
    raise ValueError(f"is not in the screw table; known are {known}")


def _by_diameter(kind: PartKind, plain: str) -> PartSize:
    match = _BY.match(plain)
    diameter_text, length_text = (match["diameter"], match["length"]) if match else (plain, None)
    if length_text is not None and re.fullmatch(r"[\d\s/.\-]+", diameter_text):
        unit = re.search(r"[a-z\"']+\.?$", length_text)
        diameter_text = f"{diameter_text} {unit[0] if unit else ''}"
    diameter_mm = parse_quantity(diameter_text, "length_mm")
    length_mm = None if length_text is None else parse_quantity(length_text, "length_mm")
    words = f"{diameter_mm:.3g} mm {kind.replace('_', ' ')}"
    return PartSize(words, "user", Mark.VERIFIED, diameter_mm=diameter_mm, length_mm=length_mm)


def _sheet(plain: str) -> PartSize:
    if match := _GAUGE.match(plain):
        column = "mil" if match["unit"] == "mil" else "gauge"
        for row in _table("trade/sheet.csv"):
            if row[column] == float(match["n"]):
                return PartSize(
                    f"{row['mil']:g} mil ({row['gauge']:g} gauge) sheet",
                    row["source"],
                    row["mark"],
                    thickness_mm=round(row["design_in"] * _MM, 4),
                    least_thickness_mm=round(row["least_in"] * _MM, 4),
                )
        known = ", ".join(f"{row['gauge']:g} ga = {row['mil']:g} mil" for row in _table("trade/sheet.csv"))
        raise ValueError(
            f"is not in the sheet table; known are {known}. A thickness such as 1.44 mm also works"
        )
    thickness_mm = parse_quantity(plain, "length_mm")
    return PartSize(f"{thickness_mm:.3g} mm sheet", "user", Mark.VERIFIED, thickness_mm=thickness_mm)


def _from_inches(row: Row, words: str, length_in: float | None) -> PartSize:
    def mm(inches: float | None) -> float | None:
        return None if inches is None else round(inches * _MM, 6)

    return PartSize(
        words,
        row["source"],
        row["mark"],
        diameter_mm=mm(row["diameter_in"]),
        length_mm=mm(length_in),
        head_diameter_mm=mm(row.get("head_diameter_in")),
    )


_COLUMNS: Mapping[str, tuple[dict[str, Parser], tuple[str, ...]]] = {
    "trade/nails.csv": (
        {"penny": str, "kind": str, "diameter_in": number, "length_in": number, "head_diameter_in": number},
        ("penny", "kind"),
    ),
    "strength/nds_2018/wood_screws.csv": (
        {"gauge": number, "diameter_in": number, "root_diameter_in": number},
        ("gauge",),
    ),
    "trade/sheet.csv": ({"mil": number, "gauge": number, "design_in": number, "least_in": number}, ("mil",)),
    "trade/lumber.csv": (
        {"nominal": str, "thickness_in": optional_number, "width_in": optional_number},
        ("nominal",),
    ),
}


@once
def _table(path: str) -> tuple[Row, ...]:
    columns, key = _COLUMNS[path]
    return load_csv(path, columns, key=key)
