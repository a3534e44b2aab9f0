"""Strength of a dowel-type fastener: the connection that a joint makes of it, and what loss leaves of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any, cast

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.findings import Assumption
from longhold.assessment.strength_run import MIDDLE_WORDS, Sheet, StrengthRun, life_index
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.quantities import show_quantity
from longhold.base.tables import load_toml
from longhold.base.trace import Trace
from longhold.forecast.strength import bearing_share, dowel_strength, losses_by_role
from longhold.forecast.wood_rate import WoodContact, loss_profile
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.connection import DowelConnection, FastenerKind, SteelSide, WoodMember
from longhold.strength.dowel_explain import explain
from longhold.strength.dowel_ratio import ShortPenetration, capacity_n
from longhold.strength.prepared import below_minimum_penetration

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.parts import Setting

__all__ = ["dowel_run"]

Array = NDArray[np.float64]
_DRAWN_STEEL = {"carbon_steel", "weathering_steel", "stainless"}
_RATIO = "the ratio to new is computed as for steel, no capacity is claimed"
_SHORT = f"the point reaches less deep than the yield equations ask for: {_RATIO}"


def dowel_run(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheet: Sheet | None, setting: Setting
) -> StrengthRun:
    """Strength left of a fastener by draw.

    Raises
    ------
    InputError : where the equations have no answer for the connection
    """
    connection, assumptions = _connection(joint, part, sheet, setting)
    short = below_minimum_penetration(connection)
    where = f"joints.{joint.id}.{part.id}"
    if short:
        assumptions = (*assumptions, Assumption(f"{where}.length", "ratio only", _SHORT))
    metals = {one.case.protection.base_metal for one in [*faces, *(sheet[1] if sheet else ())]}
    soft = sorted(metals - _DRAWN_STEEL)
    if soft:
        because = f"no strength of {' or '.join(soft).replace('_', ' ')} is in the tables: {_RATIO}"
        assumptions = (*assumptions, Assumption(f"{where}.label", "ratio only", because))
    losses = losses_by_role([(run.case.face, run.base_loss_um) for run in faces])
    plate: Array | float = 0.0
    if sheet is not None and isinstance(connection.side, SteelSide):
        plate = np.sum([run.base_loss_um for run in sheet[1] if run.case.face.role == "sheet"], axis=0)
    shank = next(run.case for run in faces if run.case.face.role == "bearing")
    met = WoodContact(shank.place, shank.timber, shank.face.trapped, shank.rain_from, "shank")
    share = bearing_share(_bearing_mm(connection), *loss_profile(met, setting.exposure.wood_runs))
    life = life_index(setting)
    draws = dowel_strength(
        connection,
        losses,
        plate,
        share_along_bearing=share,
        short_penetration=short,
        life_index=life,
    )
    middle = [float(np.median(np.asarray(loss)[:, life])) for loss in (losses["hinge"], losses["bearing"])]
    plate_lost = float(np.median(np.asarray(plate)[:, life])) if np.ndim(plate) == 2 else 0.0
    trace = Trace("Strength left of the fastener")
    trace.add(
        f"metal lost per surface at {setting.ages[life]:g} years, at the joint line and along the shank",
        "x_h, x_b",
        "x_b = s x at the worst depth",
        {"s": f"{share:.2g}", "x along the shank": f"{middle[1]:.3g} um"},
        f"{middle[0]:.3g}, {share * middle[1]:.3g}",
        "um",
        "own",
        Mark.OWN,
    )
    accept: ShortPenetration = "accept" if short else "refuse"
    new_n = float(capacity_n(connection, 0.0, 0.0, short_penetration=accept).capacity_n)
    aged = explain(
        connection,
        middle[0],
        share * middle[1],
        plate_lost,
        trace,
        short_penetration=accept,
    )
    trace.add(
        "strength left, as a share of new",
        "R",
        "R = Z / Z_0",
        {"Z": f"{float(aged.capacity_n):.4g} N", "Z_0": f"{new_n:.4g} N"},
        float(aged.capacity_n) / new_n,
        "-",
        "own",
        Mark.OWN,
        MIDDLE_WORDS,
    )
    if soft:
        draws = replace(draws, capacity_new_n=None)
    return StrengthRun(draws, trace.root, (), assumptions)


def _connection(
    joint: Joint, part: Part, sheet: Sheet | None, setting: Setting
) -> tuple[DowelConnection, tuple[Assumption, ...]]:
    size = part.measures
    assumptions: list[Assumption] = []
    main = _member(joint.main, joint.load_to_grain_main_deg, setting, assumptions)
    side: WoodMember | SteelSide
    if sheet is not None and joint.side is None:
        thickness = sheet[0].measures.thickness_mm or 0.0
        steel = _steel()["sheet" if thickness < _steel()["sheet"]["below_mm"] else "plate"]
        side = SteelSide(thickness, steel["fu_mpa"], steel["forming"])
        where = f"joints.{joint.id}.{sheet[0].id}, tensile strength"
        shown = show_quantity(steel["fu_mpa"], "stress_mpa", setting.structure.units)
        assumptions.append(Assumption(where, shown, steel["because"]))
    elif joint.side is None:
        raise InputError(
            Problem(f"joints.{joint.id}.side", None, "a side timber or a sheet part is needed for strength.")
        )
    else:
        side = _member(joint.side, joint.load_to_grain_side_deg, setting, assumptions)
    connection = DowelConnection(
        cast(FastenerKind, part.kind),
        size.diameter_mm or 0.0,
        side,
        main,
        length_mm=size.length_mm,
        root_diameter_mm=part.root_diameter,
        shear="double" if joint.double_shear else "single",
    )
    return connection, tuple(assumptions)


def _member(name: str, angle: float, setting: Setting, assumptions: list[Assumption]) -> WoodMember:
    timber = setting.structure.timbers[name]
    species = setting.prepared.timbers[name].treatment.species
    gravity = species.gravity_design or species.gravity_12_pct or species.gravity_green
    if gravity is None:
        allowed = "has no specific gravity in the tables."
        raise InputError(Problem(f"timbers.{name}.species", timber.species, allowed))
    if species.gravity_design is None:
        because = "no design gravity is listed: another basis stands in"
        assumptions.append(Assumption(f"timbers.{name}.species", f"specific gravity {gravity:g}", because))
    return WoodMember(timber.thickness_mm, gravity, angle)


def _bearing_mm(connection: DowelConnection) -> float:
    side = connection.side
    return side.thickness_mm if isinstance(side, WoodMember) else _steel()["bearing"]["under_sheet_mm"]


@cache
def _steel() -> Any:
    return load_toml("assessment/steel.toml")
