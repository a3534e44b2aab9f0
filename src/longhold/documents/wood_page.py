"""The page on the wood of one joint: one HTML file that stands alone."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from longhold.base.quantities import System
from longhold.documents.joint_view import Calculation
from longhold.documents.page import page
from longhold.documents.wood_view import metal_title, wood_answer, wood_says, wood_views
from longhold.documents.words import CAUTIONS
from longhold.model.surroundings import places

if TYPE_CHECKING:
    from longhold.assessment.wood_findings import WoodFinding
    from longhold.model.structure import Structure

__all__ = ["wood_html"]

_FOOT_LETTERS = 90
_OF_WOOD_TOO = ("A forecast", "Decay", "Every band", "Look at the joints")
_WOOD_CAUTIONS = (
    "This is the wood alone: heads and outer faces of sheet metal lose in the air, often faster.",
    "A sprinkler, a leak, soil or leaves against the timber wet it more than the weather drawn here.",
)


def wood_html(found: WoodFinding, structure: Structure, as_of: datetime.date, units: System) -> str:
    """The page as a self-contained HTML file.

    Parameters
    ----------
    found : the wood of one joint
    structure : that the joint belongs to
    as_of : date that the page carries
    units : for people
    """
    joint = found.joint
    calculations = tuple(
        Calculation(f"{block.timber}: {metal_title(one)}", one.calculation)
        for block in found.blocks
        for one in block.losses
    )
    return page(
        "wood.html.j2",
        _foot(found, as_of),
        [found.sources],
        units,
        main=found,
        joint=joint,
        place=places()[joint.place].words,
        as_of=as_of,
        built=None,
        lede=wood_answer(found, units),
        says=wood_says(found, units),
        views=wood_views(joint, structure, found.blocks, units),
        calculations=calculations,
        step_count=sum(1 for one in calculations for _ in one.section.steps()),
        cautions=_cautions(),
    )


def _foot(found: WoodFinding, as_of: datetime.date) -> str:
    name = f"{found.joint.id} {found.joint.name}, {found.structure_name}"
    name = name if len(name) <= _FOOT_LETTERS else f"{name[:_FOOT_LETTERS]}…"
    return f"{name} · {as_of.isoformat()} · Longhold {found.version} · seed {found.seed}"


def _cautions() -> tuple[str, ...]:
    shared = [line for line in CAUTIONS if line.startswith(_OF_WOOD_TOO)]
    return (*shared[:1], *_WOOD_CAUTIONS, *shared[1:])
