"""How many pieces of a lot are measured, where, and how often, by standard and size of the lot."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number

__all__ = [
    "MOST_PIECES",
    "Plan",
    "Standard",
    "edition_in",
    "fact",
    "fact_row",
    "plan_for",
    "standard_named",
    "standards",
]

Rule = Literal["grade_lower", "mean_and_each", "letters", "refer"]
MOST_PIECES = 100_000_000
"""Pieces of a lot, at most: no lot is so large, and a larger number is a slip."""
_NOT_HELD = "how many pieces it asks for is not held here: refer to the standard, or agree a number"


@dataclass(frozen=True)
class Standard:
    """A standard by which a lot is sampled or judged.

    Attributes
    ----------
    key, name, edition : short name of the tables; as printed
    rule : how pieces pass: ``grade_lower`` (mean to the grade, each to one grade lower), ``mean_and_each``,
        ``letters`` (a plan by letters whose acceptance numbers are not held), ``refer`` (not held)
    source, mark : of the rule
    """

    key: str
    name: str
    edition: str
    rule: Rule
    source: str
    mark: Mark


@dataclass(frozen=True)
class Plan:
    """What is to be measured.

    Attributes
    ----------
    standard, lot : whose plan it is, and pieces in the lot
    pieces : to measure; None where the standard's number is not held and none was agreed
    specimens : of each piece
    readings : of each specimen; None where the number is not held
    letter : code letter of the plan; blank without
    adhesion, appearance : pieces for these; None where the plan has none
    notes : what else must be known
    refer : what is not held here; empty where everything is
    mark : weakest of all that the plan rests on
    agreed : whether the number of pieces was agreed, not the standard's
    """

    standard: Standard
    lot: int
    pieces: int | None
    specimens: int
    readings: int | None
    letter: str = ""
    adhesion: int | None = None
    appearance: int | None = None
    notes: tuple[str, ...] = ()
    refer: tuple[str, ...] = ()
    mark: Mark = Mark.VERIFIED
    agreed: bool = False


def standards() -> Mapping[str, Standard]:
    """Every standard that is known here, by its short name."""
    return {
        row["standard"]: Standard(
            row["standard"], row["name"], row["edition"], row["rule"], row["source"], row["mark"]
        )
        for row in _rows()
    }


def standard_named(text: str) -> Standard:
    """The standard that a text names, with or without an edition.

    Raises
    ------
    InputError : it names none that is known, with the list of those

    >>> standard_named("ASTM A123/A123M-17").key, standard_named("EN ISO 1461:2009").key
    ('A123', 'ISO1461')
    """
    for row in _rows():
        letter, digits = re.fullmatch(r"([a-z]?)(\d+)", row["number"]).groups()  # type: ignore[union-attr]
        before = rf"(?<![a-z\d]){letter}[\s-]*" if letter else r"(?<!\d)"
        if re.search(rf"{before}{digits}(?!\d)", text.casefold()):
            return standards()[row["standard"]]
    known = ", ".join(one.name for one in standards().values())
    raise InputError(Problem(_at("standard"), text, f"must be one of {known}.", "Write it as printed."))


def edition_in(text: str) -> str:
    """Edition that a text ends in, by its year of two or four digits; blank without.

    >>> edition_in("ISO 1461:1999"), edition_in("ASTM A123/A123M-17"), edition_in("A123")
    ('1999', '17', '')
    """
    found = re.search(r"[:-]\s*((?:19|20)\d\d|(?<!\d)\d\d)[a-e]?$", text.strip())
    return found[1] if found else ""


def plan_for(
    standard: Standard,
    lot: int,
    *,
    surface_cm2: float | None = None,
    pieces: int | None = None,
    edition: str = "",
) -> Plan:
    """What is to be measured of a lot.

    Parameters
    ----------
    lot : pieces in the lot, 1 or more
    surface_cm2 : surface of one piece [cm2]; None takes it as small enough to be one specimen
    pieces : number agreed with the supplier; at least as many are measured as the standard asks
    edition : that is asked for; said where it is another than the one held

    Raises
    ------
    InputError : a lot, a surface or a number of pieces that cannot be

    >>> plan_for(standard_named("A123"), 501).pieces
    5
    """
    _check("lot", lot, "pieces in the lot")
    if surface_cm2 is not None and not 0.0 < surface_cm2 <= 1e7:
        raise InputError(Problem(_at("surface"), surface_cm2, "must be more than 0 and at most 1000 m2."))
    if pieces is not None:
        _check("pieces", pieces, "pieces to measure")
        if pieces > lot:
            raise InputError(Problem(_at("pieces"), pieces, f"must be at most the lot of {lot:,}."))
    row, refer = _lot_row(standard, lot)
    asked = None if row is None else min(row["pieces"] or lot, lot)
    chosen = max((one for one in (asked, pieces) if one is not None), default=None)
    readings = fact_row(standard.key, "readings")
    specimens, notes, marks = _specimens(standard, surface_cm2)
    plan = Plan(
        standard,
        lot,
        chosen,
        specimens,
        None if readings is None else int(readings["value"]),
        notes=(*_other_edition(standard, edition), *notes, *_notes(standard)),
        refer=refer,
        mark=weakest([standard.mark, *marks, *([readings["mark"]] if readings else [])]),
        agreed=chosen is not None and chosen != asked,
    )
    if row is None:
        return plan
    return replace(
        plan,
        letter=row["letter"],
        adhesion=row["adhesion"],
        appearance=row["appearance"],
        mark=weakest([plan.mark, row["mark"]]),
    )


def _check(name: str, value: int, words: str) -> None:
    if not 1 <= value <= MOST_PIECES:
        raise InputError(Problem(_at(name), value, f"must be 1 to {MOST_PIECES:,}.", f"Give the {words}."))


def _at(name: str) -> str:
    return told_here(command=f"--{name}", page=name)


def _lot_row(standard: Standard, lot: int) -> tuple[Row | None, tuple[str, ...]]:
    rows = [row for row in _lots() if row["standard"] == standard.key]
    for row in rows:
        if row["lot_from"] <= lot and (row["lot_to"] is None or lot <= row["lot_to"]):
            letters = standard.rule == "letters"
            said = "its acceptance numbers are not held here: refer to the standard's tables"
            return row, (f"{standard.name}: {said}",) if letters else ()
    if rows:
        least = min(row["lot_from"] for row in rows)
        return None, (f"{standard.name}: its table begins with lots of {least}: refer to the standard",)
    return None, (f"{standard.name}: {_NOT_HELD}",)


def _specimens(standard: Standard, surface_cm2: float | None) -> tuple[int, tuple[str, ...], list[Mark]]:
    """Specimens of one piece by its surface, what to know of them, and marks of the facts behind."""
    most, sections = fact_row(standard.key, "single_most"), fact_row(standard.key, "sections")
    if most is None or sections is None:
        return 1, (), []
    marks = [most["mark"], sections["mark"]]
    if surface_cm2 is None:
        note = f"Each piece is taken as one specimen, as one of up to {most['value']:.0f} cm² of surface is."
        return 1, (note,), marks
    pooled = fact_row(standard.key, "pooled_below")
    if pooled is not None and surface_cm2 < pooled["value"]:
        note = f"Pieces under {pooled['value']:g} cm² are pooled up to it; a piece here is such a pool."
        return 1, (note,), [*marks, pooled["mark"]]
    return (1 if surface_cm2 <= most["value"] else int(sections["value"])), (), marks


def _other_edition(standard: Standard, edition: str) -> tuple[str, ...]:
    held = standard.edition
    if not edition or not held or edition[-2:] == re.sub(r"\D", "", held)[-2:]:
        return ()
    return (f"Edition {edition} is not held here: what is told is that of edition {held}.",)


def _notes(standard: Standard) -> tuple[str, ...]:
    rows = load_csv("inspect/notes.csv", {"standard": str, "note": str}, key=("standard", "note"))
    return tuple(f"{row['note']} [{row['mark'].value}]" for row in rows if row["standard"] == standard.key)


def fact_row(standard: str, name: str) -> Row | None:
    """A fact of a standard with its value, source and mark; None where none is held."""
    return _facts().get((standard, name))


def fact(standard: str, name: str) -> float:
    """The value of a fact that must be there."""
    return float(_facts()[standard, name]["value"])


def _whole(text: str) -> int | None:
    return None if text == "" else int(text)


@once
def _rows() -> tuple[Row, ...]:
    names = ("standard", "name", "edition", "number", "rule")
    return load_csv("inspect/standards.csv", dict.fromkeys(names, str), key=("standard",))


@once
def _lots() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "standard": str,
        "lot_from": int,
        "lot_to": _whole,
        "pieces": _whole,
        "letter": str,
    }
    columns |= {"adhesion": _whole, "appearance": _whole}
    return load_csv("inspect/lots.csv", columns, key=("standard", "lot_from"))


@once
def _facts() -> Mapping[tuple[str, str], Row]:
    columns: dict[str, Parser] = {"standard": str, "fact": str, "value": number, "unit": str}
    rows = load_csv("inspect/facts.csv", columns, key=("standard", "fact"))
    return {(row["standard"], row["fact"]): row for row in rows}
