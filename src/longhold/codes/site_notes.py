"""Facts from the short notes beside a case: ``MC <= 18 %``, ``subfloor, vents > 7000 mm2``."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

__all__ = ["facts_from_application", "facts_from_note"]

_BEYOND = 1.001  # a bare "> 20" is read as just beyond 20

_NUMBER = r"(?P<sign><=|>=|<|>|=)?\s*(?P<low>\d+(?:\.\d+)?)(?:\s*(?:-|to)\s*(?P<high>\d+(?:\.\d+)?))?"
_MOISTURE = re.compile(rf"\b(?:MC|moisture(?: content)?)\b\s*(?:of\s*)?{_NUMBER}\s*%", re.IGNORECASE)
_SO2 = re.compile(rf"\bSO2\b\s*{_NUMBER}", re.IGNORECASE)
_VENTS = re.compile(rf"\bvents?\b\s*(?:of\s*)?{_NUMBER}\s*mm2", re.IGNORECASE)
_ROAD = re.compile(
    rf"(?:\bS\b|salted road|road with (?:de-icing )?salt)\s*(?:at\s*)?{_NUMBER}\s*(?P<unit>km|m)\b"
)
_CATEGORY = re.compile(r"\bcategory\s+(?P<number>[1-5])\b", re.IGNORECASE)
_AIR = re.compile(r"^(?:category\s+|air\s+)?(?P<name>C[1-5]|CX)$")

# The longer words first: "sheltered bay" before "bay".
_WATER = (
    ("open coast", "open_coast"),
    ("surf", "surf"),
    ("harbour", "harbour"),
    ("sheltered bay", "sheltered_bay"),
    ("bay", "bay"),
    ("estuary", "estuary"),
    ("inlet", "sheltered_inlet"),
    ("gulf", "gulf"),
    ("sheltered sea", "sheltered_sea"),
    ("ocean", "open_coast"),
)
_COAST = (
    (r"\bbaltic\b", "baltic"),
    (r"\bgerman north sea\b", "german_north_sea"),
    (r"\b(uk|united kingdom|atlantic|mediterranean|other european|irish)\b", "other_european"),
)
# words -> fact, value; a "no" or "not" before the words turns a yes_no fact round
_WORDS: tuple[tuple[str, str, Any], ...] = (
    (r"(offshore )?island", "offshore_island", True),
    (r"subfloor", "subfloor", True),
    (r"barrier|membrane|insulated", "barrier", True),
    (r"centrifuged|spun", "centrifuged", True),
    (r"made to order", "made_to_order", True),
    (r"road tunnel", "road_tunnel", True),
    (r"internally controlled|controlled indoor( climate)?|indoor controlled", "indoor_controlled", True),
    (r"corrosive gas|industrial plant|industry|industrial", "corrosive_plant", True),
    (r"pool|fertili[sz]er|tannery|piggery", "special_hazard", True),
    (r"oak|azobe|tannin[- ]rich|tannin", "tannin_rich", True),
    (r"joint protected", "joint_protected", True),
    (r"structural", "structural", True),
)
_ACCESS = (
    (r"\beas(y|ily)\b", "easy"),
    (r"\bmoderate(ly)?\b", "moderate"),
    (r"\b(hard|difficult|inaccessible)\b", "hard"),
)
_SEEN = (
    (r"\b(unnoticed|undetected|not noticed|goes unseen)\b", "unnoticed"),
    (r"\bmaintenance\b", "at_maintenance"),
    (r"\b(seen|noticed|detected|obvious)\b.*\buse\b", "in_use"),
)


def facts_from_note(note: str) -> dict[str, Any]:
    """Facts that a note tells; words that no fact knows are passed over.

    >>> facts_from_note("subfloor, vents > 7000 mm2")
    {'subfloor': True, 'vents': 'over_7000_mm2'}
    """
    facts: dict[str, Any] = {}
    for phrase in (part.strip() for part in re.split(r"[;,]", note)):
        facts |= _from_words(phrase) | _from_numbers(phrase)
        if match := _AIR.match(phrase):
            facts["air_category"] = match["name"]
    low = note.lower()
    facts |= _first(low, "water_kind", [(rf"\b{words}\b", name) for words, name in _WATER])
    facts |= _first(low, "coast", _COAST)
    facts |= _first(low, "failure_seen", _SEEN) | _washing(low)
    if "failure_seen" in facts or re.search(r"\b(reach|replace|access)\b", low):
        facts |= _first(low, "access", _ACCESS)
    if match := _CATEGORY.search(note):
        facts["design_category"] = match["number"]
    return facts


def facts_from_application(words: str) -> dict[str, Any]:
    """Facts that the name of a use tells: the use itself, and the parts of a wood foundation.

    >>> facts_from_application("wood_foundation_plywood_below_grade")["foundation_part"]
    'plywood'
    """
    plain = words.replace("_", " ").lower()
    facts: dict[str, Any] = {"application": _use(plain)}
    if facts["application"] == "wood_foundation":
        facts |= _first(plain, "foundation_part", [("plywood", "plywood"), ("lumber", "lumber")])
        positions = [
            ("knee wall", "knee_wall"),
            ("below grade", "below_grade"),
            ("above grade", "above_grade"),
        ]
        facts |= _first(plain, "foundation_position", positions)
    return facts | {
        k: v for k, v in facts_from_note(plain).items() if k in ("structural", "access", "failure_seen")
    }


def _use(plain: str) -> str:
    uses: tuple[tuple[str, Callable[[str], bool]], ...] = (
        ("deck_ledger", lambda text: "ledger" in text),
        ("deck", lambda text: bool(re.search(r"\bdecks?\b", text))),
        ("wood_foundation", lambda text: "wood foundation" in text),
        (
            "roof_batten",
            lambda text: "roof" in text and any(w in text for w in ("batten", "sheathing", "board")),
        ),
        (
            "wall_sheathing",
            lambda text: "sheathing" in text or "timber frame" in text or "timber-frame" in text,
        ),
        ("facade", lambda text: "facade" in text),
    )
    return next((name for name, fits in uses if fits(plain)), "other")


def _from_words(phrase: str) -> dict[str, Any]:
    facts = {}
    for words, fact, value in _WORDS:
        match = re.search(rf"(?P<no>\b(?:no|not|non|without)[ -]+)?\b(?:{words})\b", phrase, re.IGNORECASE)
        if match:
            facts[fact] = value if match["no"] is None else not value
    return facts


def _from_numbers(phrase: str) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    if match := _MOISTURE.search(phrase):
        facts["wood_moisture_pct"] = _bound(match)
    if match := _SO2.search(phrase):
        facts["sulphur_dioxide_ug_m3"] = _bound(match)
    if match := _VENTS.search(phrase):
        facts["vents"] = "over_7000_mm2" if _bound(match) > 7000 else "up_to_7000_mm2"
    if match := _ROAD.search(phrase):
        facts["salted_road_m"] = _bound(match) * (1000 if match["unit"] == "km" else 1)
    return facts


def _bound(match: re.Match[str]) -> float:
    """The upper end of what is said; just beyond it where the note says "more than"."""
    value = float(match["high"] or match["low"])
    return value * _BEYOND if match["sign"] == ">" else value


def _washing(low: str) -> dict[str, str]:
    no_rain = bool(re.search(r"\bnot (rain[- ]washed|washed by rain)|\bno rain", low))
    no_cleaning = bool(re.search(r"\bnot cleaned|\bno (specified )?cleaning", low))
    if not no_rain and re.search(r"\brain[- ]washed|\bwashed by rain", low):
        return {"washing": "rain"}
    if not no_cleaning and re.search(r"\bcleaned\b|\bcleaning\b", low):
        return {"washing": "cleaned"}
    return {"washing": "neither"} if no_rain and no_cleaning else {}


def _first(text: str, fact: str, patterns: Sequence[tuple[str, str]]) -> dict[str, str]:
    return next(({fact: name} for words, name in patterns if re.search(words, text)), {})
