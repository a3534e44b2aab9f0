"""Facts of a joint in the words of the rule packs."""

from __future__ import annotations

from typing import Any

from longhold.codes.facts import facts_from_protection, facts_from_treatment
from longhold.forecast.wood_rate import TimberFacts
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import places

__all__ = ["code_facts"]

_CONNECTORS = {"hanger", "strap", "angle", "post_base"}
_ITEMS = {"plate": "steel_plate", "nail_plate": "nail_plate"}
_APPLICATIONS = {"deck", "deck_ledger", "wood_foundation"}


def code_facts(
    structure: Structure,
    joint: Joint,
    part: Part,
    protection: Protection,
    timber: TimberFacts,
    distance_to_salt_m: float | None,
) -> dict[str, Any]:
    """Everything known about one part that a rule may ask; what is not known is left out."""
    application = joint.application or structure.application
    size = part.measures
    facts: dict[str, Any] = {
        "item": "connector" if part.kind in _CONNECTORS else _ITEMS.get(part.kind, part.kind),
        "application": application if application in _APPLICATIONS else "other",
        "exposure": places()[joint.place].code_exposure,
        "structural": joint.role == "structural",
        "access": joint.access,
        "maker_advice": part.maker_advice,
        **facts_from_treatment(timber.treatment.preservative.abbreviation),
        **facts_from_protection(protection),
    }
    if (size_mm := size.diameter_mm or size.thickness_mm) is not None:
        facts["size_mm"] = size_mm
    if distance_to_salt_m is not None:
        facts["distance_to_salt_water_m"] = distance_to_salt_m
    return facts
