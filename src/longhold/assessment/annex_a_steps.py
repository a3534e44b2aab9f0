"""EN 1993-1-4, Annex A, step by step: F1, F2, F3, their sum and the class, and what cleaning would change."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING, Any

from longhold.assessment.annex_a import CLASSES, annex_a, annex_a_facts, worst_face
from longhold.assessment.cleaning import can_be_cleaned, cleaning_conditions
from longhold.assessment.findings import Assumption
from longhold.base.quantities import show_quantity
from longhold.base.trace import Section, Trace
from longhold.codes.evaluator import evaluate
from longhold.model.facing import FACE_WORDS
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint
from longhold.model.surroundings import places

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["annex_a_calculation", "class_if_cleaned", "cleaning_assumed"]

_WORDS = {
    "f1": ("F1, salt of the sea or of roads", "F1", ""),
    "f2": ("F2, sulphur dioxide", "F2", ""),
    "f3": ("F3, cleaning or washing by rain", "F3", ""),
    "crf": ("corrosion resistance factor", "CRF", "CRF = F1 + F2 + F3"),
    "crc": ("corrosion resistance class asked for", "CRC", ""),
}
_WASHING = {"rain": "rain", "cleaned": "a written regime of cleaning", "neither": "neither"}
_STAINLESS = Protection("stainless 304", "stainless", grade="304")  # the class asked hangs on no grade


def annex_a_calculation(joint: Joint, part: Part, protection: Protection, setting: Setting) -> Section | None:
    """How the class comes about at the face of which most is asked; None where no class is known."""
    if places()[joint.place].air_face not in ("open", "sheltered", "inside_dry"):
        return None
    face = worst_face(joint, part, protection, setting)
    facts = annex_a_facts(joint, part, protection, setting, face)
    answer = evaluate("eu_1993_1_4", "2015", facts, suggest=False)
    if "crc" not in answer.given:
        return None
    trace = Trace("class of stainless")
    inputs = {
        "f1": _salt(facts, setting),
        "f2": {"sulphur dioxide": f"{facts['sulphur_dioxide_ug_m3']:.3g} µg/m3"},
        "f3": {"washed by": _WASHING[facts["washing"]], "at faces": FACE_WORDS[face]},
        "crf": {name.upper(): f"{answer.given[name]:g}" for name in ("f1", "f2", "f3")},
        "crc": {"CRF": f"{answer.given['crf']:g}"},
    }
    given = [(name, value, one) for one in answer.verdicts for name, value in one.given if name in _WORDS]
    for name, value, one in given:
        what, symbol, equation = _WORDS[name]
        unit = "-" if name != "crc" else ""
        said = f"{one.clause}: {one.says}"
        trace.add(what, symbol, equation, inputs[name], value, unit, one.source, one.mark, said)
    return trace.root


def class_if_cleaned(joint: Joint, part: Part, setting: Setting) -> str:
    """The lower class that is asked where a written regime cleans; empty where that changes nothing.

    Nothing is offered for a part that nobody can clean, or in a joint that is hard to reach.
    """
    if part.cleaning != "none" or not can_be_cleaned(part) or joint.access == "hard":
        return ""
    cleaned = part.model_copy(update={"cleaning": "specified"})
    now, then = (_rank_asked(joint, one, setting) for one in (part, cleaned))
    return CLASSES[then] if then < now else ""


def cleaning_assumed(joint: Joint, stainless: Collection[str], setting: Setting) -> tuple[Assumption, ...]:
    """That stainless is not cleaned, where nobody said so and the class turns on it.

    Parameters
    ----------
    stainless : ids of parts that are of it, or are advised to be
    """
    if places()[joint.place].air_face not in ("open", "sheltered"):
        return ()
    found = []
    for part in joint.parts:
        if part.id not in stainless or "cleaning" in part.model_fields_set:
            continue
        if cleaned := class_if_cleaned(joint, part, setting):
            asked = CLASSES[_rank_asked(joint, part, setting)]
            because = (
                f"nobody said that it is cleaned: EN 1993-1-4, Annex A, then asks for class {asked} (F3); "
                f"cleaned to a written plan (specified), for class {cleaned}; whoever specifies "
                f"checks what the standard asks of cleaning: {cleaning_conditions()}"
            )
            found.append(Assumption(f"joints.{joint.id}.{part.id}.cleaning", "none", because))
    return tuple(found)


def _rank_asked(joint: Joint, part: Part, setting: Setting) -> int:
    return int(annex_a(joint, part, _STAINLESS, setting).get("crc_rank", 0))


def _salt(facts: dict[str, Any], setting: Setting) -> dict[str, str]:
    units = setting.structure.units
    told = {"distance to salt water": facts.get("distance_to_salt_water_m")}
    if facts["salted_road_m"] < 1e6:
        told["distance to a salted road"] = facts["salted_road_m"]
    return {name: show_quantity(m, "distance_m", units) for name, m in told.items() if m is not None}
