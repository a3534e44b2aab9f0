"""Words of building models and what they may mean here, from ``tables/intake`` (mark own)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Literal

from longhold.base.recent import once
from longhold.base.tables import load_csv

__all__ = ["field_of", "kinds_named", "kinds_of", "material_sort", "no_such_length", "treatment_label"]


def kinds_of(entity: str, predefined: str) -> tuple[tuple[str, ...], str] | None:
    """Kinds of part that a class and predefined type may be, and why it is open; None for one not read here.

    >>> kinds_of("IfcMechanicalFastener", "NAIL")
    (('nail',), '')
    """
    return _kinds().get((entity, predefined))


def kinds_named(texts: Iterable[str]) -> tuple[str, ...]:
    """Kinds of part that the first text to name any names; the longest words count.

    >>> kinds_named(["Nail plate 2"]), kinds_named(["Element 7"])
    (('nail_plate',), ())
    """
    for text in texts:
        plain = " ".join(re.findall(r"[a-z]+", text.casefold()))
        found: list[str] = []
        for word, kind in sorted(_words().items(), key=lambda pair: -len(pair[0])):
            pattern = rf"\b{word}s?\b"
            if re.search(pattern, plain):
                found.append(kind)
                plain = re.sub(pattern, " ", plain)
        if found:
            return tuple(dict.fromkeys(found))
    return ()


def material_sort(texts: Iterable[str]) -> Literal["timber", "metal", "other", ""]:
    """What a material is by its words; blank where they do not tell or disagree.

    >>> material_sort(["Structural steel"]), material_sort(["Wood on concrete"])
    ('metal', '')
    """
    words = {word for text in texts for word in re.findall(r"[a-z]+", text.casefold())}
    sorts = {sort for word, sort in _materials().items() if word in words}
    return sorts.pop() if len(sorts) == 1 else ""


def field_of(of: Literal["part", "timber"], key: str) -> str:
    """The field that a property of some name may fill; blank where it fills none.

    >>> field_of("part", "nominaldiameter")
    'diameter'
    """
    return _properties().get((of, key), "")


def no_such_length(of: Literal["part", "timber"], field: str, mm: float) -> str:
    """Why a length is not that of any part or timber, so that a wrong unit shows; blank where it may be one.

    >>> no_such_length("part", "diameter", 3.76), no_such_length("part", "diameter", 3760.0)
    ('', 'the model says 3,760 mm, which is none: is its unit of length right?')
    """
    least, most = _lengths()[of, field]
    return (
        ""
        if least <= mm <= most
        else f"the model says {mm:,.6g} mm, which is none: is its unit of length right?"
    )


def treatment_label(value: str) -> str | None:
    """The words of a label for a corrosion treatment of the standard set; None where it promises nothing.

    >>> treatment_label("\\nSTAINLESS"), treatment_label("NONE")
    ('stainless', None)
    """
    return _treatments().get(value.strip().upper()) or None


@once
def _kinds() -> Mapping[tuple[str, str], tuple[tuple[str, ...], str]]:
    columns = {"entity": str, "type": str, "kinds": str, "why_open": str}
    rows = load_csv("intake/ifc_kinds.csv", columns, key=("entity", "type"))
    return {(row["entity"], row["type"]): (tuple(row["kinds"].split("|")), row["why_open"]) for row in rows}


@once
def _words() -> Mapping[str, str]:
    rows = load_csv("intake/ifc_words.csv", {"word": str, "kind": str}, key=("word",))
    return {row["word"]: row["kind"] for row in rows}


@once
def _materials() -> Mapping[str, Literal["timber", "metal", "other"]]:
    rows = load_csv("intake/ifc_materials.csv", {"word": str, "sort": str}, key=("word",))
    return {row["word"]: row["sort"] for row in rows}


@once
def _properties() -> Mapping[tuple[str, str], str]:
    columns = {"property": str, "of": str, "field": str}
    rows = load_csv("intake/ifc_properties.csv", columns, key=("property", "of"))
    return {(row["of"], row["property"]): row["field"] for row in rows}


@once
def _lengths() -> Mapping[tuple[str, str], tuple[float, float]]:
    columns = {"of": str, "field": str, "least_mm": float, "most_mm": float}
    rows = load_csv("intake/ifc_lengths.csv", columns, key=("of", "field"))
    return {(row["of"], row["field"]): (row["least_mm"], row["most_mm"]) for row in rows}


@once
def _treatments() -> Mapping[str, str]:
    rows = load_csv("intake/ifc_treatments.csv", {"value": str, "label": str}, key=("value",))
    return {row["value"]: row["label"] for row in rows}
