"""Stainless parts: grade and place handed to the rules of the metal and to EN 1993-1-4, Annex A."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from longhold.air.sulphur import deposition_from_concentration
from longhold.assessment.facings import facing_of
from longhold.assessment.stainless_findings import StainlessFinding
from longhold.codes.evaluator import evaluate
from longhold.codes.facts import facts_from_protection
from longhold.labels.alloys import alloy_named
from longhold.metal.passivity import Passivity, StainlessSetting, passivity
from longhold.model.facing import Facing, unwashed
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint
from longhold.model.surroundings import Place, places

if TYPE_CHECKING:
    from longhold.assessment.parts import Setting

__all__ = ["annex_a_facts", "stainless_finding", "stainless_stop"]

_CLASSES = ("", "I", "II", "III", "IV", "V")
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
    asked = _annex_a(joint, part, protection, setting)
    found = _passivity(joint, part, protection, setting)
    alloy = alloy_named(protection.grade)
    rank = _rank(protection)
    said = [_STATES[found.state], *(one.words for one in found.reasons)]
    crc = asked.get("crc", "")
    if crc:
        has = f"; the grade is of class {_CLASSES[rank]}" if rank else ""
        said.append(f"EN 1993-1-4, Annex A, asks for class {crc} here ({_factors(asked)}){has}")
    said += [one.do for one in found.reasons if one.do and found.state != "kept"]
    said += [one.words for one in found.notes]
    return StainlessFinding(
        grade=protection.grade,
        pren=None if alloy is None else alloy.pren,
        state=found.state,
        stops=found.stops,
        class_asked=crc,
        class_has="" if rank is None else _CLASSES[rank],
        factors=_factors(asked),
        reasons=found.reasons,
        notes=found.notes,
        words=". ".join(one[0].upper() + one[1:].rstrip(".") for one in dict.fromkeys(said)) + ".",
    )


def stainless_stop(joint: Joint, part: Part, protection: Protection, setting: Setting) -> str:
    """Why no loss of a stainless part may stand for its life; empty where its passive film may hold."""
    if protection.base_metal != "stainless":
        return ""
    found = _passivity(joint, part, protection, setting)
    no_film = found.state == "lost" and found.rule != "pitting"  # for that the bounds of salt speak
    if not (found.stops or no_film or places()[joint.place].name == "pool_hall"):
        return ""
    first = found.reasons[0]
    return f"{first.words}: {first.do}" if first.do else first.words


def annex_a_facts(joint: Joint, part: Part, protection: Protection, setting: Setting) -> dict[str, Any]:
    """Facts for Annex A of EN 1993-1-4, those that a structure tells; sulphur dioxide as it is estimated.

    The coast counts as one outside the Baltic and the German North Sea, the severer of the two.
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
        "washing": _washing(part, place, facing_of(joint, part)),
    }
    if site.distance_to_salt_m is not None:
        facts["distance_to_salt_water_m"] = site.distance_to_salt_m
    return facts


def _washing(part: Part, place: Place, facing: Facing) -> str:
    if place.air_face == "open" and all(kind in ("open", "sky_facing") for kind in facing.kinds):
        return "rain"
    return "neither" if part.cleaning == "none" else "cleaned"


def _annex_a(joint: Joint, part: Part, protection: Protection, setting: Setting) -> dict[str, Any]:
    if places()[joint.place].air_face not in ("open", "sheltered", "inside_dry"):
        return {}
    facts = annex_a_facts(joint, part, protection, setting)
    return dict(evaluate("eu_1993_1_4", "2015", facts, suggest=False).given)


def _passivity(joint: Joint, part: Part, protection: Protection, setting: Setting) -> Passivity:
    place, site = places()[joint.place], setting.prepared.site
    alloy = alloy_named(protection.grade)
    asked = _annex_a(joint, part, protection, setting).get("crc_rank")
    return passivity(
        protection.grade,
        "" if alloy is None else alloy.family,
        "" if alloy is None else alloy.form,
        StainlessSetting(
            outdoors=place.air_face in ("open", "sheltered"),
            pool_hall=place.name == "pool_hall",
            chloride_mg_m2_d=site.air_load.chloride_mg_m2_d.median,
            washed=not unwashed(facing_of(joint, part)),
            structural=joint.role == "structural",
            cleaning=part.cleaning,
            hidden_shank=part.is_fastener and (place.rain_wets_wood or place.always_wet),
            distance_to_salt_m=site.distance_to_salt_m,
            sheltered_shore=setting.structure.site.shore == "sheltered",
            contact=part.contact or "",
        ),
        _rank(protection),
        None if asked is None else int(asked),
    )


def _rank(protection: Protection) -> int | None:
    rank = facts_from_protection(protection).get("grade_crc_rank")
    return None if rank is None else int(rank)


def _factors(given: dict[str, Any]) -> str:
    if not {"f1", "f2", "f3", "crf"} <= set(given):
        return ""
    f1, f2, f3, total = (f"{given[name]:g}" for name in ("f1", "f2", "f3", "crf"))
    return f"F1 {f1}, F2 {f2}, F3 {f3}, sum {total}"
