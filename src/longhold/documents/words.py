"""Words for people in place of the short names that the result carries."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from longhold.assessment.ends import joint_code
from longhold.base.marks import Mark

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding, Outcome

__all__ = [
    "CAUTION",
    "CAUTIONS",
    "MARK_MEANINGS",
    "ORDER",
    "OUTCOMES",
    "code_words",
    "lower_first",
    "metal_words",
    "mode_words",
    "outcome_words",
    "plural",
    "sentences",
    "verdict_and_clauses",
    "verdict_words",
]

OUTCOMES: dict[Outcome, tuple[str, str]] = {
    "fails": ("Falls short", "of the chance asked for to reach the design life, or of the code"),
    "refer": ("Undecided", "somebody must decide, measure or look it up"),
    "holds": ("Holds", "for the design life with the chance asked for, and the code allows it"),
}
"""Outcome -> its heading, and what the heading means."""

ORDER = (
    "What needs action first is on top: what falls short, then what is undecided, then what holds; in each, "
    "the joints that carry load before the others, and of those the one that ends soonest."
)
"""The order of ``Assessment.worst_first`` in words, said wherever an answer lists joints."""

MARK_MEANINGS: dict[Mark, str] = {
    Mark.VERIFIED: "somebody read the number in the source or in a page that quotes it",
    Mark.COMMON_PRACTICE: "trade knowledge; no source was found",
    Mark.MEMORY: "recalled, not read in a source",
    Mark.OWN: "an engineering choice made for Longhold",
    Mark.INVENTED: "made up for a demonstration",
}

CAUTION = "A forecast, not a certificate: the local code, its official and a licensed engineer decide."
"""What closes every answer, in print and on the screen."""

CAUTIONS = (
    CAUTION,
    "Decay, insects, fire and overload are not included: if the wood rots, sound metal no longer holds.",
    "Every band holds 8 of 10 draws: 1 in 10 ends sooner than the early end, even if all inputs are right.",
    "A label is taken at its word. Check what was delivered before it is built in.",
    "Stainless under stress in warm salt air or in a pool hall can crack; no loss law here foresees it.",
    "Look at the joints before the early end of the band; put what is measured in place of what is assumed.",
)
"""What holds for every answer, said once."""

_VERDICTS = {
    "pass": "allowed",
    "fail": "not allowed",
    "refer": "to be decided",
    "not_governed": "no rule speaks",
    "gives": "no rule decides",
}

_METALS = {
    "carbon_steel": "steel",
    "weathering_steel": "weathering steel",
    "stainless": "stainless",
    "silicon_bronze": "silicon bronze",
}

_WITH_SEAT = {"hanger", "post base"}


def metal_words(base_metal: str) -> str:
    """The metal underneath as people call it.

    >>> metal_words("carbon_steel"), metal_words("brass")
    ('steel', 'brass')
    """
    return _METALS.get(base_metal, base_metal.replace("_", " "))


def mode_words(mode: str, kind_words: str) -> str:
    """How a part gives, without the seat for a part that has none.

    >>> mode_words("tearing, tilting nails or a bending seat", "strap")
    'tearing, tilting nails or bending'
    >>> mode_words("tearing, tilting nails or a bending seat", "hanger")
    'tearing, tilting nails or a bending seat'
    """
    return mode if kind_words in _WITH_SEAT else mode.replace("a bending seat", "bending")


def sentences(text: str) -> tuple[str, str]:
    """The first sentence, and the rest.

    >>> sentences("The zinc is gone in 1.5 to 2 years. At 50 years 41 % is left.")
    ('The zinc is gone in 1.5 to 2 years.', 'At 50 years 41 % is left.')
    """
    first, *rest = re.split(r"(?<=[.!?])\s+(?=[A-Z])", text, maxsplit=1)
    return first, "".join(rest)


def outcome_words(outcome: Outcome) -> str:
    """The outcome as a builder would say it."""
    return OUTCOMES[outcome][0]


def lower_first(text: str) -> str:
    """A sentence set within another: its first letter small, unless it begins with a designation.

    >>> lower_first("Zinc by mill dip"), lower_first("ASTM A153 sets no class"), lower_first("G90")
    ('zinc by mill dip', 'ASTM A153 sets no class', 'G90')
    """
    designation = text[1:2].isupper() or text[1:2].isdigit()
    return text if designation else text[:1].lower() + text[1:]


def upper_first(text: str) -> str:
    """A phrase that begins a sentence.

    >>> upper_first("zinc by mill dip"), upper_first("")
    ('Zinc by mill dip', '')
    """
    return text[:1].upper() + text[1:]


def plural(count: int, one: str, many: str = "") -> str:
    """A count with its noun.

    >>> plural(1, "joint"), plural(2400, "joint")
    ('1 joint', '2,400 joints')
    """
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def verdict_words(verdict: str) -> str:
    """A verdict as a builder would say it.

    >>> verdict_words("not_governed")
    'no rule speaks'
    """
    return _VERDICTS[verdict]


def code_words(finding: JointFinding) -> str:
    """What the code says of a whole joint: the word of its worst part, then the clauses that carry it."""
    return verdict_and_clauses(*joint_code(finding))


def verdict_and_clauses(verdict: str, clauses: Sequence[str]) -> str:
    """A verdict with the clauses that carry it, where it is one to act on.

    >>> verdict_and_clauses("fail", ["R317.3"]), verdict_and_clauses("pass", ["R317.3"])
    ('not allowed: R317.3', 'allowed')
    """
    if not verdict:
        return "no part"
    word = verdict_words(verdict)
    return f"{word}: {', '.join(clauses)}" if clauses and verdict in {"fail", "refer"} else word
