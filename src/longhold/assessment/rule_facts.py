"""Facts of a joint for the rule packs of any country, and the joint itself by its id."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any

import numpy as np

from longhold.assessment.facts import code_facts
from longhold.assessment.prepare import Prepared, protections
from longhold.assessment.site import site_exposure
from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, optional_number, yes_no
from longhold.codes.evaluator import evaluate
from longhold.codes.facts import facts_from_partner
from longhold.codes.vocabulary import check_facts, vocabulary
from longhold.forecast.causes import MiddleCauses
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure

__all__ = ["air_category", "joint_named", "part_named", "read_facts", "rule_facts", "timbers_touched"]

_OVER_GROUND_CONTACT = {"UC4B", "UC4C", "UC5A", "UC5B", "UC5C"}
_SPREADERS = {"washer", "plate", "hanger", "strap", "angle", "post_base", "nail_plate"}


def joint_named(structure: Structure, name: str) -> Joint:
    """The joint with an id.

    Raises
    ------
    InputError : naming the ids near it
    """
    joints = {joint.id: joint for joint in structure.joints}
    return joints[_known(name, tuple(joints), "JOINT", "joint of this file")]


def part_named(joint: Joint, name: str) -> Part:
    """The part of a joint with an id.

    Raises
    ------
    InputError : naming the ids that the joint has
    """
    parts = {part.id: part for part in joint.parts}
    return parts[_known(name, tuple(parts), "--part", f"part of joint {joint.id}")]


def read_facts(texts: Sequence[str]) -> dict[str, Any]:
    """Facts from words such as ``nz_zone=C``, ``barrier=yes`` or ``height_above_ground_mm=450``.

    Raises
    ------
    InputError : for a fact that no rule knows, naming those near it, and for a value that it cannot have

    >>> read_facts(["nz_zone=C", "barrier=yes", "wood_moisture_pct=18"])
    {'nz_zone': 'C', 'barrier': True, 'wood_moisture_pct': 18.0}
    """
    facts = {}
    for text in texts:
        name, sign, value = (word.strip() for word in text.partition("="))
        if not sign:
            raise InputError(Problem("--fact", text, "must read name=value.", "Such as nz_zone=C."))
        facts[name] = _value(name, value)
    check_facts(facts)
    return facts


def timbers_touched(joint: Joint, part: Part) -> tuple[str, ...]:
    """Names of the timbers that a part touches: both, where it passes from one into the other."""
    return tuple(dict.fromkeys([joint.main, *([joint.side] if joint.side and part.is_fastener else [])]))


def rule_facts(
    structure: Structure,
    prepared: Prepared,
    joint: Joint,
    part: Part,
    timber: str,
    protection: Protection,
    air: str = "",
    together: Mapping[str, Protection] | None = None,
) -> dict[str, Any]:
    """Everything known about one part in one timber that a rule of any pack may ask.

    Parameters
    ----------
    timber : name of the timber that it touches
    protection : of the part, its own or one that is tried in its place
    air : category of the air in the open, where it is known
    together : protection of other parts of the joint, by id, where it is not what their own labels promise
    """
    site = prepared.site
    known = prepared.timbers[timber]
    facts = code_facts(structure, joint, part, protection, known, site.distance_to_salt_m)
    if protection != protections(part, prepared.readings[joint.id, part.id])[0]:
        facts = _without_advice(facts)
    place = _places()[joint.place]
    for name in ("service_class", "height_above_ground_mm"):
        if place[name] not in ("", None):
            facts[name] = place[name]
    facts["indoor_controlled"] = place["indoor_controlled"]
    if air and joint.place in ("open_to_rain", "under_cover", "ground_contact"):
        facts["air_category"] = air
    if structure.site.shore == "surf":
        facts["water_kind"] = "surf"
    category = structure.timbers[timber].use_category
    if category is not None and structure.timbers[timber].retention is None:
        facts["retention_above_ground_contact"] = category in _OVER_GROUND_CONTACT
    if part.kind in ("bolt", "lag_screw"):
        facts["washer_under_head"] = any(other.kind in _SPREADERS for other in joint.parts)
    return facts | _partner(prepared, joint, part, protection, together or {})


def air_category(prepared: Prepared) -> str:
    """Category of the site's air from the middle first-year loss of zinc; empty where it is not known."""
    if prepared.site.refer:
        return ""
    loss_um = float(np.mean(site_exposure(prepared.site, MiddleCauses()).open_air_um("zinc")))
    return str(evaluate("eu_12944", "2018", {"zinc_first_year_um": loss_um}).given.get("air_category", ""))


def _partner(
    prepared: Prepared, joint: Joint, part: Part, protection: Protection, together: Mapping[str, Protection]
) -> dict[str, Any]:
    """The metal that a part touches; of several, one of another family."""
    others = [other for other in joint.parts if other is not part and _touch(part, other)]
    found = []
    for other in others:
        metal = together.get(other.id) or protections(other, prepared.readings[joint.id, other.id])[0]
        kind = "fastener" if other.is_fastener else "connector" if other.kind != "washer" else "other"
        found.append(facts_from_partner(metal) | {"partner_item": kind})
    if not found:
        return {"has_partner": False}
    own = facts_from_partner(protection)["partner_metal_family"]
    return next((one for one in found if one["partner_metal_family"] != own), found[0])


def _touch(one: Part, other: Part) -> bool:
    """Whether two parts of a joint touch: what fastens and what it fastens or presses on."""
    return one.is_fastener != other.is_fastener


def _without_advice(facts: dict[str, Any]) -> dict[str, Any]:
    """Advice that a maker gave on the part as it is says nothing of another finish."""
    return (
        facts if facts["maker_advice"] == "none" else {k: v for k, v in facts.items() if k != "maker_advice"}
    )


def _value(name: str, text: str) -> Any:
    fact = vocabulary().get(name)
    if fact is not None and fact.type == "yes_no":
        return {"yes": True, "true": True, "no": False, "false": False}.get(text.casefold(), text)
    if fact is not None and fact.type == "number":
        try:
            return float(text)
        except ValueError:
            return text
    return text


def _known(name: str, ids: Sequence[str], where: str, what: str) -> str:
    if name in ids:
        return name
    alike = {one.casefold(): one for one in ids}
    if name.casefold() in alike:
        return alike[name.casefold()]
    near = [alike[one] for one in get_close_matches(name.casefold(), alike, n=5, cutoff=0.5)]
    have = near or list(ids[:8])
    more = f" and {len(ids) - len(have)} more" if len(ids) > len(have) and not near else ""
    said = "Near it" if near else "There are"
    raise InputError(
        Problem(where, name, f"there is no {what} with this id.", f"{said}: {', '.join(have)}{more}.")
    )


def service_class(place: str) -> int | None:
    """Service class of EN 1995-1-1 for a place; None where none is known.

    >>> service_class("open_to_rain")
    3
    """
    known = _places()[place]["service_class"]
    return int(known) if known else None


@once
def _places() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {
        "place": str,
        "service_class": str,
        "indoor_controlled": yes_no,
        "height_above_ground_mm": optional_number,
    }
    rows = load_csv("codes/places.csv", columns, key=("place",))
    return {row["place"]: row for row in rows}
