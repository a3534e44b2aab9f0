"""Whether a stainless part keeps its passive film: grade and place handed to the rules of the metal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from longhold.assessment.annex_a import annex_a, class_rank
from longhold.assessment.cleaning import cleaning_that_counts
from longhold.assessment.facings import facing_of
from longhold.labels.alloys import alloy_named
from longhold.metal.passivity import Passivity, StainlessSetting, passivity
from longhold.model.facing import unwashed
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint
from longhold.model.surroundings import places

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["film_of"]


def film_of(joint: Joint, part: Part, protection: Protection, setting: Setting) -> Passivity:
    """What becomes of the passive film of a stainless part."""
    place, site = places()[joint.place], setting.prepared.site
    in_pool_hall = place.name == "pool_hall"  # has rules of its own for what weekly cleaning reaches
    alloy = alloy_named(protection.grade)
    asked = annex_a(joint, part, protection, setting).get("crc_rank")
    return passivity(
        protection.grade,
        "" if alloy is None else alloy.family,
        "" if alloy is None else alloy.form,
        StainlessSetting(
            outdoors=place.air_face in ("open", "sheltered"),
            pool_hall=in_pool_hall,
            chloride_mg_m2_d=site.air_load.chloride_mg_m2_d.median,
            washed=not unwashed(facing_of(joint, part)),
            structural=joint.role == "structural",
            cleaning=part.cleaning if in_pool_hall else cleaning_that_counts(part),
            hidden_shank=part.is_fastener and (place.rain_wets_wood or place.always_wet),
            distance_to_salt_m=site.distance_to_salt_m,
            sheltered_shore=setting.structure.site.shore == "sheltered",
            contact=part.contact or "",
            fastens=part.is_fastener,
        ),
        class_rank(protection),
        None if asked is None else int(asked),
    )
