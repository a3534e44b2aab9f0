"""Why a part's loss is not computed though its place is: layers, contacts and metals beyond the laws held."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from longhold.assessment.facings import facing_of
from longhold.assessment.rule_facts import timbers_touched
from longhold.assessment.stainless import stainless_stop
from longhold.codes.facts import complete_facts, facts_from_treatment
from longhold.forecast.contact import contact_refer
from longhold.labels.alloys import alloy_named
from longhold.metal.stainless import stainless_refer
from longhold.model.facing import unwashed
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint
from longhold.model.surroundings import places

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["metal_cautions", "part_beyond"]

_NOT_COMPUTED = {
    "aluminium_zinc_55": "a coating of aluminium with zinc follows other laws than zinc: in twenty years "
    "outdoors it was several times as durable and in twenty-one it stood before G90 at five sites, without a "
    "figure that could be read; much sulphur dioxide with salt weakens it, and cut edges are less served; "
    "keep it off wet concrete and treated timber",
    "zinc_flake": "zinc flake in a binder is rated in hours of a test, from which no years follow",
}


def part_beyond(joint: Joint, part: Part, protection: Protection, setting: Setting) -> str:
    """Why a part is not computed where its place is, with what to do; empty where it is."""
    if odd := next((layer for layer in protection.layers if layer.kind in _NOT_COMPUTED), None):
        return _NOT_COMPUTED[odd.kind]
    stop = stainless_stop(joint, part, protection, setting)
    salt = _stainless_salt(joint, part, protection, setting)
    if part.contact is not None and (said := contact_refer(protection, part.contact)):
        return said
    if stop or salt:
        return "; ".join(filter(None, (stop, salt)))
    if protection.base_metal == "aluminium" and _copper_treated(joint, part, setting):
        return (
            "aluminium in damp timber that is treated with copper pits where copper plates out on it, "
            "which no loss law describes: keep the two apart, or take stainless"
        )
    return ""


def _stainless_salt(joint: Joint, part: Part, protection: Protection, setting: Setting) -> str:
    if protection.base_metal != "stainless" or places()[joint.place].air_face not in {"open", "sheltered"}:
        return ""
    alloy = alloy_named(protection.grade)
    chloride = setting.prepared.site.air_load.chloride_mg_m2_d.median
    family = "" if alloy is None else alloy.family
    return stainless_refer(family, chloride, washed=not unwashed(facing_of(joint, part)))


def _copper_treated(joint: Joint, part: Part, setting: Setting) -> bool:
    """Whether a part touches timber with copper in it that does not stay dry."""
    if places()[joint.place].air_face == "inside_dry":
        return False
    timbers = setting.prepared.timbers
    names = (timbers[name].treatment.preservative.abbreviation for name in timbers_touched(joint, part))
    return any(complete_facts(facts_from_treatment(name))["copper_treated"] for name in names)


def metal_cautions(joint: Joint, part: Part, protection: Protection) -> Iterator[str]:
    """What is to be watched of metals other than zinc and plain steel."""
    place = places()[joint.place]
    if protection.base_metal == "weathering_steel":
        yield (
            "weathering steel is computed as plain steel: in timber, where water stays and near salt it "
            "forms no protective rust"
        )
    if protection.base_metal == "brass" and place.air_face != "inside_dry":
        yield "zinc can leave brass where it stays wet, which weakens it without any loss of size"
    if protection.base_metal == "aluminium":
        yield "aluminium loses by pits: the loss given is a mean, no depth of a pit"
    if part.contact is not None:
        against = part.contact.replace("_", " ")
        yield f"what lies against {against} is taken to be its faces away from the timber"
