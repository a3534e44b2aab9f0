"""The wood of one joint: its moisture against time and depth, and what that does to the metal in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from longhold.assessment.assumptions import joint_defaults, structure_defaults
from longhold.assessment.facings import end_grain_assumptions, rain_assumption
from longhold.assessment.findings import Assumption
from longhold.assessment.parts import run_parts
from longhold.assessment.prepare import protections
from longhold.assessment.rule_facts import joint_named
from longhold.assessment.setting import setting_for
from longhold.assessment.wood_blocks import wood_blocks
from longhold.assessment.wood_findings import WoodFinding
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.sources import Source, register
from longhold.base.version import VERSION
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import Climate
from longhold.wood.taken import threshold_pct

__all__ = ["LEFT_OUT", "NOTES", "assess_wood"]

LEFT_OUT = (
    "wood that dries stays wetter than wood that wets at the same humidity (hysteresis)",
    "checks that open and let rain in",
    "how wet the timber was when built: it starts at rest with the air, which lasts deep in thick timber",
    "along the grain: what the sides of a timber dry where metal enters its end",
    "swelling, dew that runs off a face, wind by the hour",
)
"""What the simulation of moisture leaves out, for people."""
NOTES = (
    "published simulations of decks find the worst 1 to 5 mm (0.04 to 0.2 in) below the face and nothing "
    "beyond 20 mm (0.79 in); in rainy places this one finds loss deeper",
)
"""Where the simulation and what is published differ, for people."""


def assess_wood(
    structure: Structure, joint_id: str, *, draws: int = 2000, seed: int = 1, picture: bool = True
) -> WoodFinding:
    """Moisture of the timbers of one joint, and the loss of its metal depth by depth.

    Parameters
    ----------
    structure : as described
    joint_id : of the joint
    draws, seed : as in ``assess``; the same give the same losses as there
    picture : simulate one year more for a picture of moisture against time and depth

    Raises
    ------
    InputError : for a joint that is none, and whatever the structure lacks

    >>> import longhold
    >>> found = assess_wood(longhold.load("demo/boardwalk.toml"), "J04", draws=500, picture=False)
    >>> sorted({block.timber for block in found.blocks})
    ['post']
    """
    joint = joint_named(structure, joint_id)
    if not 200 <= draws <= 1_000_000:
        raise InputError(Problem("draws", draws, "must be between 200 and 1,000,000."))
    if seed < 0:
        raise InputError(Problem("seed", seed, "must be zero or more."))
    ages = np.array([0.0, 1.0, structure.design_life])
    setting = setting_for(structure, ages, draws=draws, seed=seed)
    prepared = setting.prepared
    chosen = [protections(part, prepared.readings[joint.id, part.id])[0] for part in joint.parts]
    runs = run_parts(joint, setting, chosen)
    blocks, refer = wood_blocks(joint, runs, setting, every_timber=True, picture=picture)
    steps = [step for block in blocks for one in block.losses for step in one.calculation.steps()]
    climate = prepared.site.climate
    simulated = any(block.situation for block in blocks)
    return WoodFinding(
        joint=joint,
        structure_name=structure.name,
        site_name=structure.site.name,
        climate=climate,
        threshold_pct=threshold_pct(),
        blocks=blocks,
        refer=tuple(
            dict.fromkeys(
                [*(f"{run.part.id}: {why}" for run in runs if not run.faces for why in run.refer), *refer]
            )
        ),
        left_out=LEFT_OUT if simulated else (),
        notes=NOTES if simulated else (),
        assumptions=tuple(_assumptions(structure, joint, prepared.assumptions)),
        mark=weakest([climate.mark, *(step.mark for step in steps)]),
        version=VERSION,
        seed=seed,
        draws=draws,
        sources=_sources(climate, [(step.source, step.mark) for step in steps]),
    )


def _assumptions(structure: Structure, joint: Joint, taken: Sequence[Assumption]) -> Iterator[Assumption]:
    """Of all assumptions those that bear on the wood of one joint."""
    names = [joint.main, *([joint.side] if joint.side else [])]
    ours = tuple(f"timbers.{name}." for name in names)
    elsewhere = ("site.air", "site.shore", "site.distance", "site.jurisdiction")
    for one in (*structure_defaults(structure), *taken):
        if one.where.startswith(ours) or (
            one.where.startswith("site.") and not one.where.startswith(elsewhere)
        ):
            yield one
    yield from (one for one in joint_defaults(joint) if one.where.endswith(".main_end_grain"))
    yield from rain_assumption(joint)
    yield from end_grain_assumptions(joint, structure.units)


def _sources(
    climate: Climate, uses: Sequence[tuple[str, Mark]]
) -> tuple[tuple[Source, tuple[Mark, ...]], ...]:
    marks: dict[str, set[Mark]] = {}
    for source, mark in [(climate.source, climate.mark), *uses]:
        marks.setdefault(source, set()).add(mark)
    return tuple((register()[name], tuple(sorted(marks[name]))) for name in sorted(marks))
