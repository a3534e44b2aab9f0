"""What page, report and terminal say of the wood of a joint: sentences and rows, before they are laid out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.assessment.wood_findings import governing
from longhold.base.quantities import System
from longhold.documents.figures import loss, share
from longhold.documents.number_tables import film_unit_words
from longhold.documents.section import cut
from longhold.documents.wood_charts import heat_map
from longhold.documents.wood_profile import Shank, at_face, profile_chart
from longhold.documents.wood_rows import DepthTable, MonthTable, depth_rows, depth_words, month_table
from longhold.documents.words import metal_words, upper_first
from longhold.wood.response import moisture_at_share
from longhold.wood.taken import threshold_pct

if TYPE_CHECKING:
    from longhold.assessment.wood_findings import MetalLoss, WoodBlock, WoodFinding
    from longhold.model.structure import Joint, Structure

__all__ = [
    "WoodView",
    "block_title",
    "depth_notes",
    "loss_lines",
    "metal_title",
    "table_notes",
    "wood_answer",
    "wood_says",
    "wood_views",
    "worst_words",
]


@dataclass(frozen=True)
class WoodView:
    """One timber and situation as it is laid out; pictures are empty where the moisture is steady.

    ``shown_at`` is the id of an earlier joint that shows the same moisture, which is then not drawn again.
    """

    title: str
    says: str
    counts: bool
    lines: tuple[str, ...]
    picture: Markup
    picture_words: str
    profile: Markup
    months: MonthTable
    depths: tuple[DepthTable, ...]
    explained: str
    shown_at: str = ""


def wood_answer(found: WoodFinding, system: System) -> str:
    """The answer in one sentence: where in the wood most metal goes, how much, and how wet it is there."""
    if said := worst_words(found.blocks, system):
        return said
    told = "; ".join(found.refer) or "no metal of this joint touches timber"
    return f"The loss of metal in this wood is not computed: {told}."


def worst_words(blocks: Sequence[WoodBlock], system: System) -> str:
    """Where most metal goes, how much, how wet it is there; empty where no loss is computed."""
    pair = governing(blocks)
    if pair is None:
        return ""
    block, one = pair
    wet = f"above {threshold_pct():g} % moisture in {share(one.worst_above_share)} of the hours"
    loses = f"{metal_words(one.metal)} loses {_band_words(one, system)} in the first year"
    if block.situation is None:
        return f"The same at every depth of the {block.timber}: {loses}; {wet}."
    where = "At the face of" if at_face(block, one) else f"Worst {_deep(one, system)} in"
    return f"{where} the {block.timber}: {loses}; {wet}."


def wood_says(found: WoodFinding, system: System) -> tuple[str, ...]:
    """What follows the answer: bare metal after zinc, then what is not computed."""
    said = []
    pair = governing(found.blocks)
    if pair is not None and pair[1].metal == "zinc":
        block, zinc = pair
        base = next(
            (one for one in block.losses if one.metal != "zinc" and one.on_face == zinc.on_face), None
        )
        if base is not None:
            said.append(
                f"Once the zinc is gone, {metal_words(base.metal)} there loses {_band_words(base, system)} "
                "in its first year."
            )
    if pair is not None and found.refer:
        said.append(f"Not computed: {'; '.join(found.refer)}.")
    return tuple(said)


def wood_views(
    joint: Joint,
    structure: Structure,
    blocks: Sequence[WoodBlock],
    system: System,
    shown: dict[tuple[object, ...], str] | None = None,
) -> tuple[WoodView, ...]:
    """The blocks laid out, in their order.

    Parameters
    ----------
    shown : moistures that earlier joints of a report show, with the joint's id; those met here are added
    """
    return tuple(_view(joint, structure, block, system, {} if shown is None else shown) for block in blocks)


def _view(
    joint: Joint,
    structure: Structure,
    block: WoodBlock,
    system: System,
    shown: dict[tuple[object, ...], str],
) -> WoodView:
    curves = [one for one in block.losses if one.curve is not None]
    first = shown.setdefault((block.timber, block.situation), joint.id)
    shown_at = "" if first == joint.id else first
    words = _heat_words(block, system)
    drawn = block.situation is not None and not shown_at
    return WoodView(
        title=block_title(block),
        says=_moisture_words(block, system),
        counts=block.counts,
        lines=loss_lines(block, system),
        picture=heat_map(block, threshold_pct(), system, words) if drawn else Markup(""),
        picture_words=_picture_words(block),
        profile=profile_chart(block, curves, _shank(joint, structure, block), system)
        if curves
        else Markup(""),
        months=month_table(block, system),
        depths=tuple(
            DepthTable(metal_title(one), film_unit_words(system), depth_rows(block, one, system))
            for one in curves
        ),
        explained=" ".join(depth_notes()) if curves else "",
        shown_at=shown_at,
    )


def depth_notes() -> tuple[str, str]:
    """What the columns of the two moisture responses tell, and the row of the worst depth."""
    early, late = (f"{moisture_at_share(0.95, name):.0f} %" for name in ("early_plateau", "late_plateau"))
    return (
        "Early, late: two ways in which loss may grow with moisture, almost at its most from "
        f"{early} or only from {late} on; half of the draws take each, here each stands alone.",
        "Worst: each draw at its own worst depth, as the assessment counts it; the middle one lies here.",
    )


def table_notes(found: WoodFinding) -> tuple[str, ...]:
    """What explains the tables of loss by depth, then where the simulation and what is published differ."""
    curves = any(one.curve is not None for block in found.blocks if block.counts for one in block.losses)
    return (*(depth_notes() if curves else ()), *map(_sentence, found.notes))


def block_title(block: WoodBlock) -> str:
    """Timber and how rain reaches it."""
    return f"{block.timber}, {block.situation_words}"


def loss_lines(block: WoodBlock, system: System) -> tuple[str, ...]:
    """A sentence for each metal of a block."""
    return tuple(_loss_line(block, one, system) for one in block.losses)


def _loss_line(block: WoodBlock, one: MetalLoss, system: System) -> str:
    if block.situation is None:
        where = "at every depth"
    elif one.worst_mm is None:
        where = "against the face, mean of the outer millimeter of wood"
    else:
        where = "worst at the face" if at_face(block, one) else f"worst {_deep(one, system)}"
    wet = f"{share(one.worst_above_share)} of the hours above {threshold_pct():g} %"
    return f"{metal_title(one)}: {_band_words(one, system)} in the first year, {where}; {wet}."


def _deep(one: MetalLoss, system: System) -> str:
    return f"{depth_words(one.worst_mm or 0.0, system)} deep"


def metal_title(one: MetalLoss) -> str:
    """The metal, whose it is and where it lies."""
    name = metal_words(one.metal)
    return f"{upper_first(name)} of {' and '.join(one.parts)}, {' and '.join(one.faces)}"


def _band_words(one: MetalLoss, system: System) -> str:
    shown = loss(one.worst_um, system)
    return f"{shown[0]}, or {shown[1]}," if len(shown) > 1 else shown[0]


def _moisture_words(block: WoodBlock, system: System) -> str:
    thick = depth_words(block.thickness_mm, system)
    if block.situation is None:
        least, most = (f"{f(m[0] for m in block.monthly_pct):.0f}" for f in (min, max))
        told = f"{least} %" if least == most else f"{least} to {most} %"
        steady = f"Moisture taken as {told} at every depth all year; no weather is simulated."
        return f"{block.timber_words}. {steady}"
    return f"{block.timber_words}, {thick} {'along the grain' if block.end_grain else 'thick'}."


def _heat_words(block: WoodBlock, system: System) -> str:
    table = month_table(block, system)
    outer, inner = ([float(values[place]) for _, values in table.rows] for place in (0, len(table.heads) - 1))
    return (
        f"Moisture of {block.timber} by month and depth, {block.situation_words}. Monthly means "
        f"{min(outer):.0f} to {max(outer):.0f} % near the face, {min(inner):.0f} to {max(inner):.0f} % in "
        f"the middle. The table beside it gives the figures."
    )


def _picture_words(block: WoodBlock) -> str:
    line = f"Heavy line: {threshold_pct():g} %, above which metal is taken to corrode."
    if block.year is not None:
        return (
            f"One simulated year, each column {block.year.days} days, with all that is not known at its "
            f"middle: weather drawn for this site, not a year that was or will be. {line}"
        )
    return f"Monthly means of all simulated years. {line}"


def _shank(joint: Joint, structure: Structure, block: WoodBlock) -> Shank | None:
    """The first fastener that reaches into the block's timber, as it lies there."""
    section = cut(structure, joint)
    plank = next((one for one in section.planks if one.name == block.timber), None)
    ids = {part for one in block.losses if not one.on_face for part in one.parts}
    dowel = next((one for one in section.dowels if one.id in ids), None)
    if plank is None or dowel is None:
        return None
    deep = dowel.end_mm - plank.start_mm
    return Shank(dowel.id, dowel.diameter_mm, min(deep, block.thickness_mm), deep > block.thickness_mm)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
