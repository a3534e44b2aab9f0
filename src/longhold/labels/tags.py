"""What the end tag of a timber says: preservative, how much of it, where it may go, how it was dried."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from longhold.base.errors import InputError, Problem
from longhold.base.quantities import DIMENSIONS
from longhold.labels.claims import Claim
from longhold.labels.conversions import ratio
from longhold.labels.limits import limit
from longhold.labels.tag_grammar import tag_phrases
from longhold.labels.tag_tables import TagName, UseCategory, categories_named, preservative_named
from longhold.labels.tidy import LONGEST, Tidy, tidy

__all__ = ["TagError", "TagReading", "read_tag"]

_DO = "Type what stands on it, such as ACQ-D 0.15 pcf UC3B AWPA U1."
_EXPOSURES = {
    "above": "above ground",
    "ground": "ground contact",
    "fresh": "fresh water",
    "salt": "salt water",
    "inside": "inside",
    "outside": "outside",
    "foundation": "foundation",
    "heavy": "heavy duty or critical",
}
_DRYINGS = {
    "kiln": "kiln-dried after treatment",
    "air": "air-dried after treatment",
    "wet": "not dried after treatment",
    "before": "dried, but the tag does not say whether before or after treatment",
}
_ORDER = ("inside", "above", "ground", "salt")
_REACHES = {"above": "above", "ground": "ground", "fresh": "ground", "salt": "salt", "foundation": "ground"}
_ANSWERS = frozenset({"preservative", "retention", "share", "bare", "category", "exposure"})
_NOISE = frozenset({"word", "sign", "break", "negation"})
_FILLERS = frozenset(
    {"a", "and", "by", "for", "in", "min", "minimum", "of", "or", "per", "retention", "standard"}
)


class TagError(InputError):
    """A tag that cannot be read: nothing on it is known, or it is at odds with itself; never a guess."""

    def __init__(self, text: object, why: str, do: str = "") -> None:
        super().__init__(Problem("tag", text, why, do))
        self.why = why


@dataclass(frozen=True)
class TagReading:
    """All that an end tag says.

    Attributes
    ----------
    text : as handed in
    preservatives : what may be in the wood, as standard designations; one where the tag settles it
    retention_kg_m3 : how much preservative [kg/m3]; None where it is not told, or told without a unit
    retention_text : as written; blank if not told
    categories : what the categories of use may be; several where the tag names several, or leaves one open
    standards : standards and reports that it names, as written
    exposures : where it may go, in words; denied : where the tag says that it may not
    drying : how it was dried, in words; blank if not told
    year : year on the tag; None if none
    to_refusal : treated to refusal: no retention is promised
    spans : stretches of the text that were understood, as (start, end)
    ignored : words that were not
    questions : what is still to be asked
    cautions : what a reader might take the tag to say, and it does not
    """

    text: str
    preservatives: tuple[str, ...] = ()
    retention_kg_m3: float | None = None
    retention_text: str = ""
    categories: tuple[UseCategory, ...] = ()
    standards: tuple[str, ...] = ()
    exposures: tuple[str, ...] = ()
    denied: tuple[str, ...] = ()
    drying: str = ""
    year: int | None = None
    to_refusal: bool = False
    spans: tuple[tuple[int, int], ...] = ()
    ignored: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def read_tag(text: str) -> TagReading:
    """What stands on the end tag or stamp of a treated timber.

    Parameters
    ----------
    text : its words, up to 500 characters; case, blanks and dashes are free

    Raises
    ------
    TagError : where nothing on it is known, or it is at odds with itself

    >>> tag = read_tag("ACQ-D 0.15 pcf UC3B AWPA U1 ABOVE GROUND KDAT")
    >>> tag.preservatives, round(tag.retention_kg_m3, 2), tag.drying
    (('ACQ-D',), 2.4, 'kiln-dried after treatment')
    >>> read_tag("ACQ .25").preservatives
    ('ACQ-B', 'ACQ-C', 'ACQ-D')
    """
    if not isinstance(text, str) or not text.strip():
        raise TagError(text, "is blank.", _DO)
    if len(text) > LONGEST:
        raise TagError(text, f"has {len(text)} characters; a tag has at most {LONGEST}.")
    plain = tidy(text)
    claims = _without_states(tag_phrases(plain.text))
    if not any(claim.what in _ANSWERS and claim.extra != "denied" for claim in claims):
        if odd := re.search(r"(?<![^\W_])(?:uc ?\d\w*|h ?[07-9])(?![^\W_])", plain.text):
            raise TagError(text, f"has {odd[0].upper()}, which is no category of use held here.", _DO)
        raise TagError(text, "names no preservative, retention or category of use that is held here.", _DO)
    names = _names(claims)
    categories = _categories(claims)
    every = tuple(dict.fromkeys(one for found in categories for one in found))
    _check_place(text, claims, every)
    retention = _retention(text, claims)
    return TagReading(
        text=text,
        preservatives=tuple(dict.fromkeys(one for name in names for one in name.designations)),
        retention_kg_m3=retention.number if retention and retention.what == "retention" else None,
        retention_text=retention.text if retention else "",
        categories=every,
        standards=tuple(dict.fromkeys(c.text.upper() for c in claims if c.what in ("standard", "report"))),
        exposures=_exposures(claims, denied=False),
        denied=_exposures(claims, denied=True),
        drying="; ".join(dict.fromkeys(_DRYINGS[c.name] for c in claims if c.what == "drying")),
        year=next((int(c.text) for c in claims if c.what == "year"), None),
        to_refusal=any(c.what == "refusal" for c in claims),
        spans=tuple(plain.span(c.start, c.end) for c in claims if c.what not in _NOISE),
        ignored=_ignored(plain, claims),
        questions=_questions(claims, names, categories, retention),
        cautions=_cautions(claims, names, bool(every)),
    )


def _without_states(claims: Sequence[Claim]) -> list[Claim]:
    """'CA' after a comma, before a postal code or beside another preservative is a place, no azole."""
    found: list[Claim] = []
    others = any(c.what == "preservative" and c.text != "ca" for c in claims)
    for index, claim in enumerate(claims):
        if claim.what == "preservative" and claim.text == "ca":
            comma = index > 0 and claims[index - 1].text == ","
            code = index + 1 < len(claims) and re.fullmatch(r"\d{5}", claims[index + 1].text)
            if others or comma or code:
                claim = Claim("word", claim.text, claim.start, claim.end)
        found.append(claim)
    return found


def _names(claims: Sequence[Claim]) -> list[TagName]:
    told = [preservative_named(c.text) for c in claims if c.what == "preservative" and c.extra != "denied"]
    names = [name for name in dict.fromkeys(told) if name is not None]
    closest = [name for name in names if len(name.designations) == 1]
    # "alkaline copper quat (ACQ-D)": the fuller name says which of the others is meant
    return [
        n
        for n in names
        if n in closest or not any(set(c.designations) <= set(n.designations) for c in closest)
    ]


def _categories(claims: Sequence[Claim]) -> list[tuple[UseCategory, ...]]:
    """What each category on the tag may be, by the systems that the tag's other words leave open."""
    told = [c for c in claims if c.what == "category" and c.extra != "denied"]
    named = " ".join(c.text for c in claims if c.what in ("standard", "report", "retention"))
    system = _system(named)
    kept = []
    for found in (categories_named(claim.text) for claim in told):
        only = tuple(one for one in found if one.system == system) if system else ()
        # Canada's classes are meant only where its standard is named, or no other system has such a class
        kept.append(only or tuple(one for one in found if one.system != "CSA O80") or found)
    return [found for found in dict.fromkeys(kept) if found]


def _system(named: str) -> str:
    """The system of categories that the standards and units on a tag speak of; blank where none does."""
    if re.search(r"\bo ?80", named):
        return "CSA O80"
    if re.search(r"awpa|\bu1\b|\bt1\b|pcf|lbs?\b|es?r\b", named):
        return "AWPA"
    return "EN 335" if re.search(r"\ben\b|\bbs\b", named) else ""


def _check_place(text: str, claims: Sequence[Claim], categories: Sequence[UseCategory]) -> None:
    """Refuse a category that stops short of the place that the tag's words promise, or denies."""
    if len(categories) != 1:
        return
    of = categories[0]
    for claim in claims:
        reach = _REACHES.get(claim.name) if claim.what == "exposure" else None
        if reach is None:
            continue
        words = _EXPOSURES[claim.name]
        if claim.extra != "denied" and _ORDER.index(reach) > _ORDER.index(of.contact):
            raise TagError(text, f"is at odds with itself: {of.name} is {of.words}, and it says {words}.")
        if claim.extra == "denied" and reach == of.contact:
            raise TagError(text, f"is at odds with itself: {of.name} is {of.words}, and it says not {words}.")


def _retention(text: str, claims: Sequence[Claim]) -> Claim | None:
    told = [c for c in claims if c.what == "retention" and c.number is not None]
    rule = DIMENSIONS["retention_kg_m3"]
    for claim in told:
        if not 0.0 < (claim.number or 0.0) <= rule.most:
            raise TagError(
                text, f"has {claim.text}; a retention is more than 0 and at most {rule.most:g} kg/m3."
            )
    numbers = [claim.number or 0.0 for claim in told]
    if numbers and max(numbers) > (1.0 + limit("tag", "one_retention")) * min(numbers):
        given = " and ".join(claim.text for claim in told)
        raise TagError(text, f"names {given}, which are not the same retention.", "Give one tag at a time.")
    return told[0] if told else next((c for c in claims if c.what == "bare"), None)


def _exposures(claims: Sequence[Claim], *, denied: bool) -> tuple[str, ...]:
    told = (c for c in claims if c.what == "exposure" and (c.extra == "denied") is denied)
    return tuple(dict.fromkeys(_EXPOSURES[c.name] for c in told))


def _ignored(plain: Tidy, claims: Sequence[Claim]) -> tuple[str, ...]:
    words = (c for c in claims if c.what == "word" and c.text not in _FILLERS)
    return tuple(plain.original[slice(*plain.span(c.start, c.end))] for c in words)


def _questions(
    claims: Sequence[Claim],
    names: Sequence[TagName],
    categories: Sequence[tuple[UseCategory, ...]],
    retention: Claim | None,
) -> tuple[str, ...]:
    asked = []
    if not names:
        asked.append("Which preservative? It stands as a short name, such as ACQ-D, CA-C, MCA or CCA-C.")
    asked += [
        f"{', '.join(name.designations[:-1])} or {name.designations[-1]}? On the tag {name.open}."
        for name in names
        if name.open
    ]
    if len(names) > 1:
        asked.append("The tag names several preservatives: which is in this piece?")
    shares = [claim.text for claim in claims if claim.what == "share"]
    if retention is None and shares:
        asked.append(
            f"What is {shares[0]} in kg/m3? It is a share of mass, as in Australia and New Zealand, and is"
            " not converted here: ask the treater."
        )
    elif retention is None and not any(c.what == "refusal" for c in claims):
        asked.append("How much of it? The retention stands as 0.15 pcf or 2.4 kg/m3.")
    elif retention is not None and retention.what == "bare":
        kilos = float(retention.number or 0.0) * ratio("lb/ft3")
        asked.append(
            f"Is {retention.text} in lb/ft3, as on US tags? It would be {kilos:.3g} kg/m3. Type it with pcf."
        )
    open_ones = (found for found in categories if len(found) > 1)
    asked += [f"Which category: {', '.join(one.name for one in found)}?" for found in open_ones]
    return tuple(asked)


def _cautions(claims: Sequence[Claim], names: Sequence[TagName], has_category: bool) -> tuple[str, ...]:
    whats = {claim.what for claim in claims}
    lone_ca = any(c.what == "preservative" and c.text == "ca" for c in claims)
    little = [
        c.text
        for c in claims
        if c.what == "retention" and "kg" in c.text and (c.number or 0.0) < limit("tag", "least_kg_m3")
    ]
    copper = any(c.what == "preservative" and re.match(r"c[cau]|acq|acz|mc", c.text) for c in claims)
    told = {
        f"{little[0] if little else ''} is less than stands on any tag: is it in lb/ft3?": bool(little)
        and copper,
        "CA is short for copper azole, and for a state: make sure which": lone_ca,
        "treated to refusal: the wood took what it would; no retention is promised": "refusal" in whats
        and "retention" not in whats,
        "an evaluation report, not a standard, sets its retention and use: read the report": "report" in whats
        and "standard" not in whats,
        "not dried after treatment, it may be wet for months, and it shrinks": any(
            c.name == "wet" for c in claims
        ),
        "borate washes out: for places kept from rain and ground": any(
            "SBX/DOT" in name.designations for name in names
        ),
        "the category is about decay of the wood; it says nothing of salt air on the metal": has_category,
    }
    return tuple(words for words, holds in told.items() if holds)
