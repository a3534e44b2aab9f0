"""Answers to rows of a table of cases, from the columns that describe the part, never the expected ones."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from longhold.base.errors import InputError
from longhold.base.recent import once
from longhold.base.tables import load_csv
from longhold.codes.advice import maker_advice
from longhold.codes.answers import CodeAnswer
from longhold.codes.evaluator import evaluate
from longhold.codes.facts import (
    facts_from_item,
    facts_from_partner,
    facts_from_protection,
    facts_from_treatment,
)
from longhold.codes.packs import Pack, list_packs
from longhold.codes.site_notes import facts_from_application, facts_from_note
from longhold.codes.vocabulary import vocabulary
from longhold.model.protection import Protection

__all__ = ["CaseAnswer", "answer_case", "facts_from_row"]

Read = Callable[[str], Protection | None]

# A case writes the mass to ASTM A123 as the code's own table counts it, on both faces together.
_A123_AS_COUNTED = re.compile(r"^A123_(?P<oz>\d+(?:\.\d+)?)oz$", re.IGNORECASE)
_PARTNER = re.compile(r"\bpartner:\s*(?P<what>[^;,]+)", re.IGNORECASE)
_NUMBERS = {
    "size_mm": "size_mm",
    "distance_to_sea_m": "distance_to_salt_water_m",
    "height_above_ground_mm": "height_above_ground_mm",
}
_WORDS = {"exposure": "exposure", "service_class": "service_class", "nz_zone": "nz_zone", "nz_env": "nz_env"}


@dataclass(frozen=True)
class CaseAnswer:
    """The answer to one row.

    Attributes
    ----------
    verdict : pass, fail, refer or not_governed; for a classification ``name=value``, or refer
    rules : ids of the rules that decided, frames and exceptions included
    assumptions : what the row does not say and is taken to mean, in words
    not_read : columns whose text could not be read, and are taken as not told
    answer : the whole answer of the pack
    """

    verdict: str
    rules: tuple[str, ...]
    assumptions: tuple[str, ...]
    not_read: tuple[str, ...]
    answer: CodeAnswer


def answer_case(row: Mapping[str, str], read: Read) -> CaseAnswer | None:
    """The verdict on one row of a table of cases.

    Parameters
    ----------
    row : columns check_type, jurisdiction, code, edition, application, treatment, exposure, service_class,
        nz_zone, nz_env, distance_to_sea_m, height_above_ground_mm, item, size_mm, offered_finish,
        maker_recommendation, site_note; blank or absent where not known. Other columns are not looked at.
    read : reads a designation, such as ``A153_D``; None where it cannot

    Returns
    -------
    CaseAnswer, or None where no pack covers the code, the edition and the kind of check

    >>> row = {"check_type": "compliance", "jurisdiction": "US", "code": "IBC", "edition": "2012",
    ...        "application": "beam", "treatment": "CA", "exposure": "exterior_exposed", "item": "nail",
    ...        "offered_finish": "copper"}
    >>> answer = answer_case(row, lambda text: Protection(text, "copper"))
    >>> answer.verdict, answer.rules
    ('pass', ('US-IBC-02', 'US-IBC-01'))
    """
    found = _pack(row)
    if found is None:
        return None
    pack, edition = found
    facts, not_read = facts_from_row(row, read)
    assumed = {name: value for name, value in pack.case_assumes.items() if name not in facts}
    if "national_annex" in assumed and row.get("jurisdiction") == "UK":
        assumed["national_annex"] = "UK"
    answer = evaluate(pack.id, edition, facts | assumed)
    classify = row["check_type"] == "classify"
    verdict = _classified(answer, pack) if classify else answer.verdict
    gave = [name for v in answer.verdicts if v.verdict == "gives" for name in v.rules]
    decided = () if classify and gave else answer.rules
    return CaseAnswer(
        verdict=verdict,
        rules=tuple(dict.fromkeys([*decided, *gave])),
        assumptions=tuple(vocabulary()[name].sentence(value) for name, value in assumed.items()),
        not_read=not_read,
        answer=answer,
    )


def facts_from_row(row: Mapping[str, str], read: Read) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The facts that a row tells, and the columns that could not be read."""
    facts: dict[str, Any] = {}
    not_read: list[str] = []
    for column, take in _COLUMNS.items():
        text = (row.get(column) or "").strip()
        if not text:
            continue
        try:
            facts |= take(text, facts, read)
        except (InputError, ValueError):
            not_read.append(column)
    return facts, tuple(not_read)


def _pack(row: Mapping[str, str]) -> tuple[Pack, str] | None:
    for pack in list_packs().values():
        if (
            row["check_type"] in pack.checks
            and row["jurisdiction"] in pack.jurisdictions
            and row["code"].casefold() in [name.casefold() for name in pack.called]
        ):
            edition = row["edition"].strip()
            if edition not in pack.editions:
                edition = pack.edition_for.get(row["jurisdiction"], "")
            if edition:
                return pack, edition
    return None


def _classified(answer: CodeAnswer, pack: Pack) -> str:
    for name in pack.answers:
        if name in answer.given:
            value = answer.given[name]
            return f"{vocabulary()[name].label}={value if isinstance(value, str) else f'{value:g}'}"
    return "refer"


def _number(fact: str) -> Any:
    return lambda text, _facts, _read: {fact: float(text)}


def _choice(fact: str) -> Any:
    def take(text: str, _facts: Mapping[str, Any], _read: Read) -> dict[str, Any]:
        values = {value.casefold(): value for value in vocabulary()[fact].values}
        if text.casefold() not in values:
            raise ValueError(text)
        return {fact: values[text.casefold()]}

    return take


def _finish(text: str, _facts: Mapping[str, Any], read: Read) -> dict[str, Any]:
    label = _case_words().get(text, text)
    protection = read(label)
    if protection is None:
        raise ValueError(text)
    facts = facts_from_protection(protection)
    if match := _A123_AS_COUNTED.match(text):
        facts["a123_oz_ft2"] = float(match["oz"])
    return facts


def _advice(text: str, facts: Mapping[str, Any], read: Read) -> dict[str, Any]:
    advice = maker_advice(text, facts, read)
    if advice is None:
        raise ValueError(text)
    return {"maker_advice": advice}


def _note(text: str, facts: Mapping[str, Any], read: Read) -> dict[str, Any]:
    found = facts_from_note(_PARTNER.sub("", text))
    if match := _PARTNER.search(text):
        found |= _partner(match["what"].strip(), read)
    if found.get("vents") == "over_7000_mm2" and facts.get("nz_env") == "sheltered":
        found["nz_env"] = "exposed"
    return found


def _partner(text: str, read: Read) -> dict[str, Any]:
    words = text.split()
    for position, word in enumerate(words):
        kind = _partner_kind(word)
        rest = " ".join(words[:position] + words[position + 1 :])
        protection = read(_case_words().get(rest, rest)) if kind and rest else None
        if protection is not None:
            return facts_from_partner(protection) | {"partner_item": kind}
    raise ValueError(text)


def _partner_kind(word: str) -> str:
    if word.casefold() in ("sheet", "plate", "flashing", "cladding", "panel"):
        return "sheet"
    try:
        return str(facts_from_item(word)["part_kind"])
    except InputError:
        return ""


@once
def _case_words() -> dict[str, str]:
    rows = load_csv("codes/case_words.csv", {"word": str, "label": str}, key=("word",))
    return {row["word"]: row["label"] for row in rows}


_COLUMNS: dict[str, Any] = {
    "application": lambda text, _facts, _read: facts_from_application(text),
    "treatment": lambda text, _facts, _read: facts_from_treatment(text),
    "item": lambda text, _facts, _read: facts_from_item(text),
    **{column: _number(fact) for column, fact in _NUMBERS.items()},
    **{column: _choice(fact) for column, fact in _WORDS.items()},
    "offered_finish": _finish,
    "maker_recommendation": _advice,
    "site_note": _note,
}
