"""Stainless short of the class that EN 1993-1-4, Annex A, asks for, and which grade is enough."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from longhold.assessment.annex_a import CLASSES, annex_a, class_rank, factor_words
from longhold.assessment.annex_a_steps import class_if_cleaned
from longhold.assessment.cleaning import cleaning_that_counts
from longhold.assessment.film import film_of
from longhold.assessment.governing import governing_pack
from longhold.assessment.stainless_findings import ShortOfClass
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.codes.answers import STRICTEST, CodeAnswer
from longhold.codes.candidates import list_candidates
from longhold.codes.conditions import Condition, leaves
from longhold.codes.rules import Pack
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint
from longhold.model.surroundings import places

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = [
    "class_asked",
    "cost_step",
    "is_short_of_class",
    "leaves_pits_out",
    "no_grade_too_low",
    "of_the_class",
    "short_of_class",
    "undecided_by_class",
]

_SOUND = ("kept", "stained")
_OUTDOORS = ("open", "sheltered")


def short_of_class(joint: Joint, part: Part, protection: Protection, setting: Setting) -> ShortOfClass | None:
    """By how much a stainless part in outdoor air is short of its class; None where it is not.

    A grade of which no class is held counts as short of any. Where the class asked for is not known, as
    without a distance to salt water, nothing is said here.
    """
    if not is_short_of_class(joint, part, protection, setting):
        return None
    given = annex_a(joint, part, protection, setting)
    asked, held = int(given["crc_rank"]), class_rank(protection) or 0
    return ShortOfClass(
        grade=protection.grade,
        asked=CLASSES[asked],
        held=CLASSES[held],
        enough=_cheapest_enough(joint, part, setting, asked),
        accepted=part.class_short_accepted or "",
        factors=factor_words(given),
        if_cleaned=class_if_cleaned(joint, part, setting),
        not_reached=given.get("f3", 0) < 0 and cleaning_that_counts(part) != part.cleaning,
    )


def is_short_of_class(joint: Joint, part: Part, protection: Protection, setting: Setting) -> bool:
    """Whether stainless in outdoor air is of a lower class than Annex A asks for, accepted or not."""
    if protection.base_metal != "stainless" or places()[joint.place].air_face not in _OUTDOORS:
        return False
    asked = int(annex_a(joint, part, protection, setting).get("crc_rank", 0))
    return (class_rank(protection) or 0) < asked


def undecided_by_class(joint: Joint, part: Part, protection: Protection, setting: Setting) -> tuple[str, ...]:
    """Why a part is undecided for its class; empty where it is not short, or that is accepted knowingly."""
    short = short_of_class(joint, part, protection, setting)
    return () if short is None or short.accepted else (short.words,)


def leaves_pits_out(joint: Joint, chosen: Iterable[tuple[Part, Protection]], setting: Setting) -> bool:
    """Whether accepted stainless below the class asked for is in a joint: no chance has its pits."""
    accepted = ((part, one) for part, one in chosen if part.class_short_accepted)
    return any(is_short_of_class(joint, part, one, setting) for part, one in accepted)


def no_grade_too_low(answer: CodeAnswer, joint: Joint, part: Part, setting: Setting) -> CodeAnswer:
    """An answer of a code without the stainless among "would pass with" that is short of its class here.

    The code would let it pass, and its verdict is untouched; but nobody is advised to buy it.
    """
    asked = class_asked(joint, part, setting)
    if not asked or answer.verdict not in ("fail", "refer"):
        return answer
    low = {
        one.words
        for one in list_candidates(governing_pack(setting.structure.code).candidates)
        if one.facts["finish"] == "stainless" and one.facts.get("grade_crc_rank", 0) < asked
    }

    def kept(words: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(one for one in words if one not in low)

    verdicts = tuple(replace(one, would_pass_with=kept(one.would_pass_with)) for one in answer.verdicts)
    return replace(answer, verdicts=verdicts, would_pass_with=kept(answer.would_pass_with))


def of_the_class(
    answer: CodeAnswer, pack: Pack, joint: Joint, part: Part, protection: Protection, setting: Setting
) -> CodeAnswer:
    """Advice to take stainless, with the class that it must have here and a grade that is enough.

    A stainless part that is short of the class does not meet such advice, whatever grades a body names in it.

    Parameters
    ----------
    answer, pack : what a pack of guidance says of the part, and that pack
    """
    asked = class_asked(joint, part, setting)
    wants = {rule.id for rule in pack.rules if _wants_stainless(rule.demand)}
    if not asked or not any(one.rule_id in wants for one in answer.verdicts):
        return answer
    enough = _cheapest_enough(joint, part, setting, asked)
    take = f"take {' or '.join(enough)}" if enough else "a specialist chooses the grade"
    said = f" Here EN 1993-1-4, Annex A, asks for class {CLASSES[asked]}: {take}."
    short = is_short_of_class(joint, part, protection, setting)
    verdicts = tuple(
        replace(
            one,
            says=f"{one.says}{said}",
            verdict="fail" if short and one.verdict == "pass" else one.verdict,
        )
        if one.rule_id in wants
        else one
        for one in answer.verdicts
    )
    strictest = min((one.verdict for one in verdicts), key=STRICTEST.index)
    return replace(answer, verdicts=verdicts, verdict=strictest)


def class_asked(joint: Joint, part: Part, setting: Setting) -> int:
    """Rank of the class that Annex A asks of stainless in a part's place; 0 where it asks for none."""
    if places()[joint.place].air_face not in _OUTDOORS:
        return 0
    return int(annex_a(joint, part, _stainless("304"), setting).get("crc_rank", 0))


def _wants_stainless(demand: Condition) -> bool:
    return any(
        leaf.fact.name == "finish" and "stainless" in (leaf.value, *_listed(leaf.value))
        for leaf in leaves(demand)
    )


def _listed(value: Any) -> tuple[Any, ...]:
    return tuple(value) if isinstance(value, list | tuple | set | frozenset) else ()


def _stainless(grade: str) -> Protection:
    return Protection(f"stainless {grade}", "stainless", grade=grade)


def _cheapest_enough(joint: Joint, part: Part, setting: Setting, asked: int) -> tuple[str, ...]:
    """Grades of the least cost that are of the class and whose film is taken to hold in the place."""
    enough = []
    for row in _by_cost():
        tried = _stainless(row["grade"])
        if (class_rank(tried) or 0) >= asked and film_of(joint, part, tried, setting).state in _SOUND:
            enough.append(row)
    least = min((row["step"] for row in enough), default=None)
    return tuple(str(row["words"]) for row in enough if row["step"] == least)


def cost_step(protection: Protection) -> tuple[int, int] | None:
    """Where a stainless grade stands among those ranked by cost, and how many steps there are; else None."""
    steps = {str(row["grade"]): int(row["step"]) for row in _by_cost()}
    step = steps.get(protection.grade or "") if protection.base_metal == "stainless" else None
    return None if step is None else (step, max(steps.values()))


@once
def _by_cost() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "grade": str,
        "step": number,
        "step_mark": Mark,
        "words": str,
        "holds": str,
    }
    return load_csv("metal/grades_by_cost.csv", columns, key=("grade",))
