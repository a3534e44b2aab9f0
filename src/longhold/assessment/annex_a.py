"""EN 1993-1-4, Annex A, at a joint: the class that it asks of each face, and the class that a grade holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from longhold.air.sulphur import deposition_from_concentration
from longhold.assessment.cleaning import cleaning_that_counts
from longhold.assessment.facings import facing_of
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.codes.evaluator import evaluate
from longhold.codes.facts import facts_from_protection
from longhold.labels.alloys import alloy_named
from longhold.model.facing import FACE_WORDS, FaceKind, washed_by_rain
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint
from longhold.model.surroundings import Place, places

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["CLASSES", "annex_a", "annex_a_facts", "class_rank", "f3_words", "factor_words", "worst_face"]

CLASSES = ("", "I", "II", "III", "IV", "V")
"""Corrosion resistance classes by their rank, 1 to 5."""


def annex_a(joint: Joint, part: Part, protection: Protection, setting: Setting) -> dict[str, Any]:
    """What Annex A gives at the face of a part of which it asks most: f1, f2, f3, crf, crc and crc_rank.

    Empty where the annex does not speak of the place; without what rests on facts that are not told.
    """
    return _worst(joint, part, protection, setting)[1]


def worst_face(joint: Joint, part: Part, protection: Protection, setting: Setting) -> FaceKind:
    """Of the ways that faces of a part lie, the one of which Annex A asks most: rain may spare one."""
    return _worst(joint, part, protection, setting)[0]


def _worst(
    joint: Joint, part: Part, protection: Protection, setting: Setting
) -> tuple[FaceKind, dict[str, Any]]:
    """The face of which most is asked, with what is asked there."""
    kinds = facing_of(joint, part).kinds
    asked = {kind: _asked_of(kind, joint, part, protection, setting) for kind in kinds}
    face = max(kinds, key=lambda kind: (asked[kind].get("crc_rank", 0), -asked[kind].get("crf", 0)))
    return face, asked[face]


def annex_a_facts(
    joint: Joint, part: Part, protection: Protection, setting: Setting, face: FaceKind
) -> dict[str, Any]:
    """Facts for Annex A of EN 1993-1-4, those that a structure tells; sulphur dioxide as it is estimated.

    The coast counts as one outside the Baltic and the German North Sea, the severer of the two.

    Parameters
    ----------
    face : the way of lying at which washing by rain is judged
    """
    site, structure = setting.prepared.site, setting.structure
    place = places()[joint.place]
    roads = [one.distance or 0.0 for one in structure.site.air.near if one.setting == "salted_road"]
    facts: dict[str, Any] = {
        **facts_from_protection(protection),
        "indoor_controlled": place.air_face == "inside_dry",
        "road_tunnel": False,
        "salted_road_m": min(roads, default=1e6),
        "coast": "other_european",
        "sulphur_dioxide_ug_m3": site.air_load.sulphur_dioxide_mg_m2_d.median
        / float(deposition_from_concentration(1.0)),
        "washing": _washing(part, place, face),
    }
    if site.distance_to_salt_m is not None:
        facts["distance_to_salt_water_m"] = site.distance_to_salt_m
    return facts


def _washing(part: Part, place: Place, face: FaceKind) -> str:
    if place.air_face == "open" and washed_by_rain(face):
        return "rain"
    return "neither" if cleaning_that_counts(part) == "none" else "cleaned"


def _asked_of(
    face: FaceKind, joint: Joint, part: Part, protection: Protection, setting: Setting
) -> dict[str, Any]:
    if places()[joint.place].air_face not in ("open", "sheltered", "inside_dry"):
        return {}
    facts = annex_a_facts(joint, part, protection, setting, face)
    return dict(evaluate("eu_1993_1_4", "2015", facts, suggest=False).given)


def class_rank(protection: Protection) -> int | None:
    """Class of a stainless grade, 1 to 5: as listed, else the least of its kind; None where neither is held.

    >>> class_rank(Protection("stainless 18-8", "stainless", grade="18-8"))
    2
    """
    rank = facts_from_protection(protection).get("grade_crc_rank")
    if rank is not None:
        return int(rank)
    alloy = alloy_named(protection.grade)
    row = None if alloy is None else _families().get(alloy.family)
    return None if row is None else int(row["class_rank"])


def factor_words(given: Mapping[str, Any]) -> str:
    """The three factors and their sum; empty where one is not known."""
    if not {"f1", "f2", "f3", "crf"} <= set(given):
        return ""
    f1, f2, f3, total = (f"{given[name]:g}" for name in ("f1", "f2", "f3", "crf"))
    return f"F1 {f1}, F2 {f2}, F3 {f3}, sum {total}"


def f3_words(joint: Joint, part: Part, protection: Protection, setting: Setting) -> str:
    """Which face F3 is taken at; empty where F3 hangs on no washing."""
    face, given = _worst(joint, part, protection, setting)
    if "f3" not in given or min(given.get("f1", 0), given.get("f2", 0)) >= 0:
        return ""
    spared = ", which rain reaches in part only" if face == "wall" else ""
    return f"F3 at faces {FACE_WORDS[face]}{spared}"


@once
def _families() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"family": str, "class_rank": number, "because": str}
    return {row["family"]: row for row in load_csv("metal/class_of_family.csv", columns, key=("family",))}
