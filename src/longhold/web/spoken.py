"""A path inside a structure in the words of the page: joint, part or timber by name, then the column."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.intake.sheet_fields import plan
from longhold.web.editing import find_spot

__all__ = ["head_of", "plain_words", "said_of", "spoken"]

_OF_THE_COMMAND_LINE = {
    "text in quotes": "text",
    "unit in quotes": "unit",
}
_HEADS: Mapping[str, str] = {
    "application": "kind of structure",
    "build_date": "date built",
    "target_chance": "least chance to last",
    "strength_fraction": "strength that must be left",
    "strength_standard": "standard for strength",
    "code.pack": "code that governs",
    "code.edition": "edition of the code",
    "code.rules": "text of your own rules",
    "site.name": "name of the site",
    "site.jurisdiction": "country of the code",
    "site.climate.station": "weather station",
    "site.climate.relative_humidity_pct": "relative humidity, by month or of the year, %",
    "site.climate.rain_mm": "rain by month, mm",
    "site.air.setting": "surrounding air",
    "place": "surroundings",
    "main": "timber at the point",
    "side": "timber under the head",
    "quantity": "how many",
    "role": "carries load",
    "access": "how hard to reach",
    "demand": "load on it",
    "demand_withdrawal": "pull-out load",
    "main_end_grain": "into end grain",
    "load_to_grain_main_deg": "load to grain at the point, degrees",
    "load_to_grain_side_deg": "load to grain under the head, degrees",
    "label": "words on its label",
    "count": "how many in a joint",
    "topcoat_bare_pct": "topcoat: bare, %",
    "class_short_accepted": "lower class accepted, why",
    "maker_advice": "maker’s advice",
    "elements": "elements of the model",
}
"""Heads of the columns whose own names are not what a builder says."""
_PATH = re.compile(r"(?<![\w'\"])(?:joints|site|timbers)(?:\[\d+\]|\.\w+)+")
_KEY = re.compile(r"(?<![\w'\"-])[a-z][a-z0-9]*(?:_[a-z0-9]+)+(?![\w'\"])")
_NO_PARTS = "needs at least one part: its size, and the words on its label."
_ENTRY = re.compile(r"\[\d+\]$")
_WHOSE = re.compile(r" *\((?:joint|timber) '[^']*'(?:, part '[^']*')?\)$")


def head_of(path: str) -> str:
    """A column's head for people: what a builder says, else the field's own name, after what it belongs to.

    >>> head_of("site.distance_to_salt_water"), head_of("id"), head_of("main")
    ('site: distance to salt water', 'id', 'timber at the point')
    """
    if path in _HEADS:
        return _HEADS[path]
    *owners, name = path.split(".")
    return ": ".join([*(one.replace("_", " ") for one in owners), name.replace("_", " ")])


def spoken(given: Mapping[str, Any], where: str) -> str:
    """What a path leads to, as the page calls it.

    >>> spoken({"joints": [{"id": "J1", "parts": [{"id": "nail"}]}]}, "joints[0].parts[0].size")
    'J1, part nail, size'
    >>> spoken({"joints": [{"id": "J1", "parts": [{"id": "part"}]}]}, "joints[0].parts[0].size")
    'J1, part, size'
    >>> spoken({}, "timbers.joist.size"), spoken({}, "site.latitude"), spoken({}, "joints[2].place")
    ('timber joist, size', 'site: latitude', 'joint 3, surroundings')
    >>> spoken({"joints": [{"id": "J1"}, {"id": "J1"}]}, "joints[1].id")
    'joint 2 (J1), id'
    """
    path = where.partition(" (")[0]
    for tried in (path, _ENTRY.sub("", path), path.removesuffix(".parts")):
        try:
            spot = find_spot(tried)
        except InputError:
            continue
        named = list(_records(given, spot.record))
        return (
            ", ".join([*named, *([head_of(spot.field.path)] if spot.field is not None else [])])
            or "structure"
        )
    return head_of(re.sub(r"\[(\d+)\]", lambda one: f" {int(one[1]) + 1}", path))


def said_of(given: Mapping[str, Any], problem: Problem) -> str:
    """What is wrong and what to do in the page's own words, without the path, which stands beside it.

    >>> said_of({"joints": [{"id": "J1"}]}, Problem("", None, "is that of joints[0].", "Use open_to_rain."))
    'is that of J1. Use open to rain.'
    """
    is_without_parts = problem.where.endswith("].parts") and re.search(
        "at least one|is missing", problem.allowed
    )
    allowed = _NO_PARTS if is_without_parts else problem.allowed
    text = f"{allowed} {_WHOSE.sub('', problem.do)}".strip()
    for command, here in _OF_THE_COMMAND_LINE.items():
        text = text.replace(command, here)
    text = _PATH.sub(lambda found: spoken(given, found[0]), text)
    return plain_words(text)


def plain_words(text: str) -> str:
    """A text with the names of fields and choices as the page shows them; a rule pack keeps its name.

    >>> plain_words("one of surf, not_told; us_irc")
    'one of surf, not told; us_irc'
    """
    return _KEY.sub(lambda found: found[0].replace("_", " ") if found[0] in _keys() else found[0], text)


@once
def _keys() -> frozenset[str]:
    """Names of every field and choice of a structure."""
    fields = [field for sheet in plan() for field in sheet.fields]
    return frozenset(
        [step for one in fields for step in one.steps] + [key for one in fields for key in one.what.choices]
    )


def _id_of(record: Any) -> Any:
    return record.get("id") if isinstance(record, Mapping) else None


def _records(given: Mapping[str, Any], record: tuple[str | int, ...]) -> Iterator[str]:
    held: Any = given
    kind = ""
    for step in record:
        rows = held
        try:
            held = held[step]
        except (KeyError, IndexError, TypeError):
            held = None
        if isinstance(step, int):
            named = _id_of(held)
            if named and [_id_of(one) for one in rows].count(named) > 1:
                yield f"{kind} {step + 1} ({named})"
            else:
                tells_kind = named and (kind == "joint" or str(named).startswith(kind))
                yield str(named if tells_kind else f"{kind} {named or step + 1}")
        elif kind == "timber":
            yield f"timber {step}"
        kind = str(step).removesuffix("s")
