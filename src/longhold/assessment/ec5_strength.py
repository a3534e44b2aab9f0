"""Strength of a fastener by EN 1995-1-1: the connection as the structure tells it, and what was assumed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, cast

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.findings import Assumption
from longhold.assessment.rule_facts import service_class
from longhold.assessment.strength_run import MIDDLE_WORDS, Sheet, StrengthRun, life_index, soft_metal_words
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.quantities import show_quantity
from longhold.base.tables import load_toml
from longhold.base.trace import Section, Trace
from longhold.forecast.ec5_strength import ec5_dowel_strength
from longhold.forecast.strength import bearing_share, losses_by_role
from longhold.forecast.wood_rate import WoodContact, loss_profile
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.connection import FastenerKind
from longhold.strength.dowel_ratio import ShortPenetration
from longhold.strength.ec5_capacity import ec5_capacity_n
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, Ec5Plate, prepare_ec5
from longhold.strength.ec5_data import Material, density_from_gravity, strength_class
from longhold.strength.ec5_explain import explain_ec5
from longhold.strength.ec5_factors import gamma_row, kmod_row

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.parts import Setting

__all__ = ["ec5_dowel"]

Array = NDArray[np.float64]
_SHORT = "the point reaches less deep than EN 1995-1-1 asks for: the ratio to new is computed, no capacity"
_NO_ROPE = (
    "what holds the fastener along its axis is not stated: the rope effect is left out, on the safe side"
)
_HEADLESS = "no head diameter is given: the head's hold is left out of the rope effect, on the safe side"


def ec5_dowel(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheet: Sheet | None, setting: Setting
) -> StrengthRun:
    """Strength left of a dowel-type fastener by EN 1995-1-1.

    Raises
    ------
    InputError : what of the connection is outside the equations
    """
    assumptions: list[Assumption] = []
    connection = _connection(joint, part, sheet, setting, assumptions)
    short = prepare_ec5(connection, accept_short=True).is_short
    where = f"joints.{joint.id}.{part.id}"
    if short:
        assumptions.append(Assumption(f"{where}.length", "ratio only", _SHORT))
    soft = soft_metal_words(joint, part, [*faces, *(sheet[1] if sheet else ())])
    assumptions += soft
    design = _design(joint, assumptions)
    losses = losses_by_role([(run.case.face, run.base_loss_um) for run in faces])
    plate: Array | float = 0.0
    if sheet is not None and isinstance(connection.side, Ec5Plate):
        plate = np.sum([run.base_loss_um for run in sheet[1] if run.case.face.role == "sheet"], axis=0)
    share = _share(connection, faces, setting)
    life = life_index(setting)
    draws = ec5_dowel_strength(
        connection,
        losses,
        plate,
        share_along_bearing=share,
        short_penetration=short or bool(soft),
        life_index=life,
    )
    middle = [float(np.median(np.asarray(one)[:, life])) for one in (losses["hinge"], losses["bearing"])]
    plate_um = float(np.median(np.asarray(plate)[:, life])) if np.ndim(plate) == 2 else 0.0
    accept: ShortPenetration = "accept" if short else "refuse"
    calculation = _calculation(
        connection, (*middle, plate_um), share, float(setting.ages[life]), design, accept
    )
    return StrengthRun(draws, calculation, (), tuple(assumptions), design)


def _calculation(
    connection: Ec5Connection,
    lost_um: tuple[float, ...],
    share: float,
    age: float,
    design: tuple[float, str],
    accept: ShortPenetration,
) -> Section:
    hinge, shank, plate = lost_um
    trace = Trace("Strength left of the fastener")
    trace.add(
        f"metal lost per surface at {age:g} years, at the joint line and along the shank",
        "x_h, x_b",
        "x_b = s x at the worst depth",
        {"s": f"{share:.2g}", "x along the shank": f"{shank:.3g} um"},
        f"{hinge:.3g}, {share * shank:.3g}",
        "um",
        "own",
        Mark.OWN,
    )
    new_n = float(ec5_capacity_n(connection, 0.0, 0.0, short_penetration=accept).capacity_n)
    aged = explain_ec5(connection, hinge, share * shank, plate, trace, short_penetration=accept)
    aged_n = float(aged.capacity_n)
    trace.add(
        "design value",
        "F_v,Rd",
        "F_v,Rd = kmod F_v,Rk / gammaM",
        {"kmod / gammaM": f"{design[0]:.4g}", "F_v,Rk": f"{aged_n:.4g} N"},
        design[0] * aged_n,
        "N",
        "en-1995-1-1",
        Mark.MEMORY,
        design[1],
    )
    trace.add(
        "strength left, as a share of new",
        "R",
        "R = F_v,Rk / F_v,Rk,0",
        {"F_v,Rk": f"{aged_n:.4g} N", "F_v,Rk,0": f"{new_n:.4g} N"},
        aged_n / new_n,
        "-",
        "own",
        Mark.OWN,
        MIDDLE_WORDS,
    )
    return trace.root


def _design(joint: Joint, assumptions: list[Assumption]) -> tuple[float, str]:
    """kmod / gammaM; the load that the joint must carry is a design load."""
    known = service_class(joint.place)
    if known is None:
        raise InputError(Problem(f"joints.{joint.id}.place", joint.place, "has no service class in EN 1995."))
    duration = _table()["duration"]
    kmod, gamma = kmod_row(known, duration["value"])["kmod"], gamma_row("connection")["gamma"]
    assumptions.append(
        Assumption(
            f"joints.{joint.id}.load duration", duration["value"].replace("_", " "), duration["because"]
        )
    )
    said = f"design value: kmod {kmod:g} (service class {known}, {duration['value'].replace('_', ' ')})"
    return kmod / gamma, f"{said} over gammaM {gamma:g}; a demand is held against it as a design load"


def _share(connection: Ec5Connection, faces: Sequence[FaceRun], setting: Setting) -> float:
    shank = next(run.case for run in faces if run.case.face.role == "bearing")
    met = WoodContact(shank.place, shank.timber, shank.face.trapped, shank.rain_from, "shank")
    side = connection.side
    plated = isinstance(side, Ec5Plate)
    bearing = load_toml("assessment/steel.toml")["bearing"]["under_sheet_mm"] if plated else side.thickness_mm
    return bearing_share(bearing, *loss_profile(met, setting.exposure.wood_runs))


def _connection(
    joint: Joint, part: Part, sheet: Sheet | None, setting: Setting, assumptions: list[Assumption]
) -> Ec5Connection:
    size = part.measures
    main = _member(joint.main, joint.main_angle_deg, setting, assumptions)
    side: Ec5Member | Ec5Plate
    if sheet is not None and joint.side is None:
        side = Ec5Plate(sheet[0].measures.thickness_mm or 0.0)
    elif joint.side is None:
        where = f"joints.{joint.id}.side"
        raise InputError(Problem(where, None, "a side timber or a sheet part is needed for strength."))
    else:
        side = _member(joint.side, joint.load_to_grain_side_deg, setting, assumptions)
    rule, diameter = _table()["predrill"], size.diameter_mm or 0.0
    timbers = [one for one in (side, main) if isinstance(one, Ec5Member)]
    dense = any(one.density_kg_m3 >= rule["from_density_kg_m3"] for one in timbers)
    connection = Ec5Connection(
        cast(FastenerKind, part.kind),
        diameter,
        side,
        main,
        length_mm=size.length_mm,
        root_diameter_mm=part.root_diameter,
        shear="double" if joint.double_shear else "single",
        predrilled=part.kind == "nail" and (dense or diameter > rule["over_mm"]),
        head_diameter_mm=size.head_diameter_mm,
        rope=part.kind == "nail",
    )
    prepared = prepare_ec5(connection, accept_short=True)
    where = f"joints.{joint.id}.{part.id}"
    strength = show_quantity(prepared.fu_mpa, "stress_mpa", setting.structure.units)
    steel = (
        "the least that EN 1995-1-1 asks of nail wire" if part.kind in ("nail", "staple") else "as a 4.6 bolt"
    )
    assumptions.append(Assumption(f"{where}, tensile strength", strength, f"not stated: {steel}"))
    if connection.is_screw and part.root_diameter is None:
        shown = show_quantity(prepared.effective_mm, "length_mm", setting.structure.units)
        because = "no root diameter is given: the smallest that screws have, times 1.1, bends and bears"
        assumptions.append(Assumption(f"{where}.root_diameter", shown, because))
    if part.kind != "nail":
        assumptions.append(Assumption(f"{where}, rope effect", "none", _NO_ROPE))
    elif size.head_diameter_mm is None and not isinstance(side, Ec5Plate):
        assumptions.append(Assumption(f"{where}.head_diameter", "none", _HEADLESS))
    return connection


def _member(name: str, angle: float, setting: Setting, assumptions: list[Assumption]) -> Ec5Member:
    timber = setting.structure.timbers[name]
    if timber.strength_class is not None:
        row = strength_class(timber.strength_class, where=f"timbers.{name}.strength_class")
        return Ec5Member(timber.thickness_mm, row["density_k_kg_m3"], angle, cast(Material, row["wood"]))
    species = setting.prepared.timbers[name].treatment.species
    if species.gravity is None:
        raise InputError(
            Problem(
                f"timbers.{name}.species",
                timber.species,
                "has no density in the tables.",
                "Give a strength class.",
            )
        )
    density = density_from_gravity(species.gravity)
    because = (
        f"no strength class is given: 5 % fractile from the species' specific gravity {species.gravity:g}"
    )
    shown = f"characteristic density {density:.0f} kg/m3"
    if all(one.value != shown or name not in one.where for one in assumptions):
        assumptions.append(Assumption(f"timbers.{name}.strength_class", shown, because))
    return Ec5Member(timber.thickness_mm, density, angle)


def _table() -> Any:
    return load_toml("assessment/ec5.toml")
