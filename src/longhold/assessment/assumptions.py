"""What nobody gave and Longhold assumed: every default that stood in."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel

from longhold.assessment.findings import Assumption
from longhold.assessment.strength_standard import assumed_standard
from longhold.model.costs import Access, Costs
from longhold.model.site import Site
from longhold.model.structure import Joint, Structure
from longhold.strength.nds_geometry import is_thin
from longhold.strength.prepared import MM_PER_IN

__all__ = ["cost_defaults", "joint_defaults", "structure_defaults"]


def structure_defaults(structure: Structure) -> tuple[Assumption, ...]:
    """Defaults that stood in for fields of the structure, its site and its air."""
    found = [*_defaults(structure, ""), *_defaults(structure.site, "site.")]
    air = structure.site.air
    idle = set()
    if air.chloride is None:
        idle.add("site.air.chloride_method")
    if air.sulphur_dioxide is not None or air.sulphur_deposition is not None:
        idle.add("site.air.setting")
    of_air = (one for one in _defaults(air, "site.air.") if one.where not in idle)
    return (*found, *assumed_standard(structure), *of_air)


def joint_defaults(joint: Joint) -> tuple[Assumption, ...]:
    """Defaults that stood in for fields of a joint; angles only where the diameter makes them matter."""
    idle = {f"joints.{joint.id}.load_to_grain_main_deg"} if joint.main_end_grain else set()
    if joint.side is None:
        idle.add(f"joints.{joint.id}.load_to_grain_side_deg")
    thick = any(not is_thin((part.measures.diameter_mm or 0.0) / MM_PER_IN) for part in joint.parts)
    return tuple(
        one
        for one in _defaults(joint, f"joints.{joint.id}.")
        if one.where not in idle and (thick or "load_to_grain" not in one.where)
    )


def cost_defaults(costs: Costs, *, standing: bool = False) -> tuple[Assumption, ...]:
    """Defaults that stood in for fields of the costs.

    Parameters
    ----------
    standing : whether of joints that stand, on which other costs bear than on what is to be bought
    """
    idle = _OF_BUYING if standing else _OF_STANDING
    return tuple(one for one in _defaults(costs, "costs.") if one.where not in idle)


_OF_BUYING = ("costs.spare", "costs.each_item", "costs.visit_most_alike", "costs.visit_every_years")
_OF_STANDING = ("costs.material_per_joint",)


def _defaults(record: BaseModel | Site, prefix: str) -> Iterator[Assumption]:
    for name, info in type(record).model_fields.items():
        extra = info.json_schema_extra
        if name in record.model_fields_set or not isinstance(extra, dict):
            continue
        if because := extra.get("assumed_because"):
            yield Assumption(f"{prefix}{name}", _shown(name, getattr(record, name)), str(because))


def _shown(name: str, value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Access):
        return f"{value.easy:g}, {value.moderate:g}, {value.hard:g}"
    if name.endswith("_deg"):
        return f"{value:g} degrees"
    return str(value).replace("_", " ")
