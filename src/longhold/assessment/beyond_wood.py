"""Driven fasteners that are longer than the wood they are in, so that they come out of its far side."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from longhold.assessment.facings import rain_from
from longhold.base.quantities import show_quantity
from longhold.base.recent import once
from longhold.base.tables import load_toml
from longhold.model.parts import Part
from longhold.model.structure import Joint, Structure

__all__ = ["comes_out", "comes_out_mostly", "out_mm"]

_DRIVEN = ("nail", "staple", "wood_screw", "lag_screw")


def out_mm(joint: Joint, part: Part, structure: Structure) -> float:
    """Length of a driven fastener that comes out of the far side [mm]; 0 where none does, or nobody can tell.

    Bolts and dowels may stick out for their nut. In end grain the wood goes on along its length. What enters
    from above may stand in the edge of a timber: its wider measure counts. Lag screws of a ledger shall come
    out, see ``_shall_come_out``.
    """
    length = part.measures.length_mm
    if (
        part.kind not in _DRIVEN
        or length is None
        or joint.main_end_grain
        or _shall_come_out(joint, part, structure)
    ):
        return 0.0
    out = length - _wood_mm(joint, structure)
    return out if out > float(_table()["no_matter"]["mm"]) else 0.0


def comes_out(joint: Joint, part: Part, structure: Structure) -> str:
    """Which fastener comes out of the wood, by how much, and what to do; empty where none does."""
    out = out_mm(joint, part, structure)
    if not out:
        return ""
    wood = _wood_mm(joint, structure)
    long, deep, beyond = (
        show_quantity(mm, "length_mm", structure.units) for mm in (part.measures.length_mm or 0.0, wood, out)
    )
    return (
        f"its size makes it {long} long in {deep} of wood, so {beyond} of it stands out of the far side, "
        "bare to the air, holding nothing and not forecast "
        f"(take one of up to {deep}, or put the timber's size right)"
    )


def comes_out_mostly(joint: Joint, part: Part, structure: Structure) -> bool:
    """Whether more of it stands out than is in the wood, which nobody builds: a slip in one of the sizes."""
    return 2.0 * out_mm(joint, part, structure) > (part.measures.length_mm or 0.0)


def _wood_mm(joint: Joint, structure: Structure) -> float:
    main = structure.timbers[joint.main]
    held = main.thickness_mm
    if rain_from(joint) == "above":
        held = max(held, main.width_mm or held)
    side = structure.timbers[joint.side].thickness_mm if joint.side is not None else 0.0
    sheets = sum(one.measures.thickness_mm or 0.0 for one in joint.parts if not one.is_fastener)
    return held + side * (2.0 if joint.double_shear else 1.0) + sheets


def _shall_come_out(joint: Joint, part: Part, structure: Structure) -> bool:
    """Whether the code wants the tip of a part to come out of the wood that it holds to."""
    one = _table()["shall_come_out"]
    asked = str(one["kind"]), str(one["application"])
    return (part.kind, joint.application or structure.application) == asked


@once
def _table() -> Mapping[str, Any]:
    return load_toml("assessment/beyond_wood.toml")
