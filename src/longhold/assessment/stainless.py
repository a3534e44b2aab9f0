"""Findings on stainless parts: the film, the class of EN 1993-1-4, Annex A, and where it is a stop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from longhold.assessment.annex_a import CLASSES, annex_a, class_rank, f3_words, factor_words
from longhold.assessment.annex_a_steps import annex_a_calculation
from longhold.assessment.film import film_of
from longhold.assessment.short_of_class import short_of_class
from longhold.assessment.stainless_findings import StainlessFinding
from longhold.labels.alloys import alloy_named
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint
from longhold.model.surroundings import places

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["stainless_finding", "stainless_stop"]

_STATES = {
    "kept": "its passive film is kept",
    "stained": "it stains",
    "lost": "its passive film is lost",
    "may_crack": "stop: it may crack under stress",
    "not_decided": "not decided",
}


def stainless_finding(
    joint: Joint, part: Part, protection: Protection, setting: Setting
) -> StainlessFinding | None:
    """The verdict on a stainless part; None for other metals."""
    if protection.base_metal != "stainless":
        return None
    asked = annex_a(joint, part, protection, setting)
    found = film_of(joint, part, protection, setting)
    short = short_of_class(joint, part, protection, setting)
    f3 = f3_words(joint, part, protection, setting)
    alloy = alloy_named(protection.grade)
    rank = class_rank(protection)
    said = [_STATES[found.state], *(one.words for one in found.reasons)]
    crc = asked.get("crc", "")
    if crc:
        has = f"; the grade is of class {CLASSES[rank]}" if rank else ""
        said.append(
            f"EN 1993-1-4, Annex A, which stands beside the governing code, asks for class {crc} here "
            f"({'; '.join(filter(None, (factor_words(asked), f3)))}){has}"
        )
    elif places()[joint.place].air_face in ("open", "sheltered"):
        said.append("EN 1993-1-4, Annex A, asks for no class that is known without a distance to salt water")
    if short is not None:
        said.append(short.deviation if short.accepted else short.words)
    said += [one.do for one in found.reasons if one.do and found.state != "kept"]
    said += [one.words for one in found.notes]
    return StainlessFinding(
        grade=protection.grade,
        pren=None if alloy is None else alloy.pren,
        state=found.state,
        stops=found.stops,
        class_asked=crc,
        class_has="" if rank is None else CLASSES[rank],
        factors=factor_words(asked),
        reasons=found.reasons,
        notes=found.notes,
        words=". ".join(one[0].upper() + one[1:].rstrip(".") for one in dict.fromkeys(said)) + ".",
        f3_at=f3,
        short=short,
        calculation=annex_a_calculation(joint, part, protection, setting),
    )


def stainless_stop(joint: Joint, part: Part, protection: Protection, setting: Setting) -> str:
    """Why no loss of a stainless part may stand for its life; empty where its passive film may hold."""
    if protection.base_metal != "stainless":
        return ""
    found = film_of(joint, part, protection, setting)
    no_film = found.state == "lost" and found.rule != "pitting"  # for that the bounds of salt speak
    if not (found.stops or no_film or places()[joint.place].name == "pool_hall"):
        return ""
    first = found.reasons[0]
    return f"{first.words}: {first.do}" if first.do else first.words
