"""What would pass at one joint, in rows: the code, the chance to last, the stainless class, the cost."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.assessment.bar import asked_words, reached_words
from longhold.assessment.ends import pits_left_out_words
from longhold.documents.across_view import missing_words, rests_words
from longhold.documents.figures import years_middle
from longhold.documents.words import lower_first, upper_first

if TYPE_CHECKING:
    from longhold.assessment.allowed import AllowedPart, Option, Standing
    from longhold.model.structure import Structure

__all__ = [
    "ALLOWED_GROUPS",
    "AllowedRow",
    "allowed_heads",
    "allowed_row",
    "allowed_rows",
    "part_heading",
    "undecided_because",
]

ALLOWED_GROUPS: dict[Standing, tuple[str, str]] = {
    "enough": (
        "Would pass",
        "no rule refuses it, the joint reaches the chance asked for, and stainless is of its class",
    ),
    "not_enough": ("No rule refuses it, and it is not enough here", "too small a chance, or not decided"),
    "open": ("Left open by the code", "somebody must decide, or a fact is not stated"),
    "refused": ("Not allowed", "whatever it would last"),
}
"""Standing -> its heading, and what the heading means."""

_BY_CODE = {"pass": "yes", "fail": "no", "refer": "undecided", "not_governed": "no rule speaks"}


@dataclass(frozen=True)
class AllowedRow:
    """One designation in short words.

    Attributes
    ----------
    name : as written; what the part has now says so
    code : whether the code allows it, with the clause where it does not or leaves it open
    chance : joints in a hundred that reach the design life with it
    enough : whether that is what is asked
    grade : class of stainless held and asked for
    cost : step among the stainless grades ranked by cost
    why : all of it in sentences
    """

    name: str
    code: str
    chance: str
    enough: bool
    grade: str
    cost: str
    why: tuple[str, ...]


def allowed_heads(structure: Structure) -> tuple[str, ...]:
    """Heads of the table."""
    reach = f"Reach {structure.design_life:g} years here ({asked_words(structure.target_chance)})"
    return "Designation", "Allowed by the code", reach, "Class of stainless", "Cost", "Why"


def allowed_rows(one: AllowedPart, structure: Structure) -> list[tuple[Standing, tuple[AllowedRow, ...]]]:
    """The rows of one part by what they come to; a group without rows is left out, but for the first."""
    groups = [
        (word, tuple(allowed_row(option, structure) for option in one.standing(word)))
        for word in ALLOWED_GROUPS
    ]
    return [(word, rows) for word, rows in groups if rows or word == "enough"]


def undecided_because(one: AllowedPart) -> tuple[str, ...]:
    """Why not one designation has a chance, where that is so; empty where any has one.

    What fewer than half are undecided for, such as a class of stainless, is told of these alone.
    """
    if any(option.chance is not None for option in one.options):
        return ()
    told = Counter(
        cause for option in one.options for cause in dict.fromkeys(option.no_chance.split("; ")) if cause
    )
    shared = [cause for cause, count in told.most_common() if 2 * count >= len(one.options)]
    return tuple(f"{upper_first(cause)}." for cause in shared) or (
        "Each for a reason of its own: see why, line by line.",
    )


def allowed_row(option: Option, structure: Structure) -> AllowedRow:
    """One designation."""
    target = structure.target_chance
    return AllowedRow(
        name=f"{option.words}{' (as it is now)' if option.own else ''}",
        code=_code(option),
        chance=_chance(option, target),
        enough=option.chance is not None and option.chance >= target and not option.short,
        grade=_class(option),
        cost="" if option.cost_step is None else f"step {option.cost_step[0]} of {option.cost_step[1]}",
        why=tuple(_why(option)),
    )


def part_heading(one: AllowedPart) -> str:
    """Which part, what it has now, and the code that is asked."""
    kind = "" if one.part == one.kind_words else f"{one.kind_words}, "
    return f"{one.part} ({kind}now {one.label}), by {one.title} {one.edition}"


def _chance(option: Option, target: float) -> str:
    reached = reached_words(option.chance, target)
    return f"{reached}{pits_left_out_words(bool(option.short))}" if reached else "not decided"


def _code(option: Option) -> str:
    word = _BY_CODE.get(option.verdict, "no rule decides")
    clauses = "; ".join(option.clauses) if option.verdict in ("fail", "refer") else ""
    return f"{word}: {clauses}" if clauses else word


def _class(option: Option) -> str:
    if not option.class_asked:
        return ""
    if option.short:
        return f"short: {option.class_held or 'none known'}, {option.class_asked} asked"
    return f"enough: {option.class_held}, {option.class_asked} asked"


def _why(option: Option) -> list[str]:
    rests = rests_words(option.mark, option.recalled)
    said = []
    if option.missing_facts:
        said.append(f"Not stated: {missing_words(option.missing_facts)}.")
    elif option.because:
        because = "; ".join(lower_first(text).rstrip(".") for text in option.because)
        said.append(f"By the code, {'; '.join(option.clauses)}: {because} ({rests}).")
    elif option.verdict == "pass":
        said.append(f"By the code, {'; '.join(option.clauses)} ({rests}).")
    if option.no_chance:
        said.append(f"{option.no_chance[:1].upper()}{option.no_chance[1:].rstrip('.')}.")
    if option.short and option.short not in option.no_chance:
        said.append(f"{upper_first(option.short)}.")
    if option.years is not None:
        said.append(
            f"The first metal is lost after {years_middle(option.years)}, by the middle of the forecast."
        )
    return said
