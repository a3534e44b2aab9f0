"""Strength of one part: the connection it forms, what is left of it, when it ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any, cast

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.ec5_strength import ec5_dowel
from longhold.assessment.findings import Assumption, StrengthFinding
from longhold.assessment.strength_standard import strength_standard
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.quantities import System, show_quantity
from longhold.base.tables import load_toml
from longhold.base.trace import Section, Trace
from longhold.forecast.strength import (
    StrengthDraws,
    bearing_share,
    dowel_strength,
    losses_by_role,
    sheet_strength,
    years_until_below,
)
from longhold.forecast.summary import band_of, curve_of
from longhold.forecast.wood_rate import WoodContact, loss_profile
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.model.surroundings import places
from longhold.strength.connection import DowelConnection, FastenerKind, SteelSide, WoodMember
from longhold.strength.dowel_explain import explain
from longhold.strength.dowel_ratio import ShortPenetration, capacity_n
from longhold.strength.nds_factors import load_duration_factor, wet_service_factor_lateral
from longhold.strength.prepared import below_minimum_penetration
from longhold.strength.sheet import SheetMode, sheet_strength_ratio

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.parts import Setting

__all__ = ["StrengthRun", "capacity_when_new", "run_strength", "strength_finding"]

Array = NDArray[np.float64]
Sheet = tuple[Part, tuple["FaceRun", ...]]
_MM_PER_IN = 25.4
_DRAWN_STEEL = {"carbon_steel", "weathering_steel", "stainless"}


@dataclass(frozen=True)
class StrengthRun:
    """Strength of one part with its draws, or why there is none.

    Attributes
    ----------
    draws : None where strength is not computed
    calculation : the middle losses at the design life put in; None likewise
    refer : why it is not computed
    assumptions : what was taken on the way
    design : factor from reference to design capacity, and what it is made of; None takes the NDS's
    """

    draws: StrengthDraws | None
    calculation: Section | None = None
    refer: tuple[str, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    design: tuple[float, str] | None = None


def run_strength(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheet: Sheet | None, setting: Setting
) -> StrengthRun:
    """Strength left of a part by draw."""
    if not faces or part.kind == "washer":
        return StrengthRun(None)
    if part.kind == "nail_plate":
        return StrengthRun(None, refer=("strength of a punched metal plate is not computed",))
    if not part.is_fastener:
        return _sheet_run(part, faces, setting)
    try:
        return _dowel_run(joint, part, faces, sheet, setting)
    except InputError as error:
        reasons = tuple(f"strength is not computed: {problem}" for problem in error.problems)
        return StrengthRun(None, refer=reasons)


def strength_finding(
    joint: Joint,
    part: Part,
    run: StrengthRun,
    setting: Setting,
    *,
    together: Mapping[str, float | None],
    first_loss_years: Array | float,
) -> tuple[StrengthFinding, Array, tuple[Assumption, ...]] | None:
    """When strength ends, with what chance it lasts, the draws of that age; None where not computed.

    Parameters
    ----------
    together : capacity when new of every fastener kind of the joint by part id [N]; None where not computed
    first_loss_years : age at which the part first loses metal: its strength cannot end before
    """
    draws = run.draws
    if draws is None or run.calculation is None:
        return None
    structure, ages = setting.structure, setting.ages
    capacity, assumptions = _capacity(joint, part, draws, structure.units, run.design)
    shared, said = _shared_capacity(joint, part, capacity, setting, together)
    assumptions = (*assumptions, *said)
    limit, words = structure.strength_fraction, f"{100 * structure.strength_fraction:.0f} % of new"
    if joint.demand is not None and shared and not _is_ledger(joint, setting):
        limit, words = joint.demand / shared, "the demand"
    years = years_until_below(draws.ratio, ages, limit) if limit <= 1.0 else np.zeros(len(draws.ratio))
    years = np.where((years > 0.0) & (years < first_loss_years), first_loss_years, years)
    at_life = draws.ratio[:, _life_index(setting)]
    finding = StrengthFinding(
        ratio=band_of(at_life),
        curve=curve_of(ages, draws.ratio),
        mode_new=draws.mode_new,
        mode_aged=draws.mode_aged,
        capacity_new_n=capacity,
        years=band_of(years),
        ends_at=float(limit),
        ends_words=words,
        chance=0.0 if limit > 1.0 else float(np.mean(at_life >= limit)),
        below_when_new=bool(limit > 1.0),
        calculation=run.calculation,
    )
    return finding, years, assumptions


def capacity_when_new(joint: Joint, part: Part, run: StrengthRun) -> float | None:
    """Design capacity of all pieces of one part when new [N]; None where it is not computed."""
    return None if run.draws is None else _capacity(joint, part, run.draws, design=run.design)[0]


def _shared_capacity(
    joint: Joint,
    part: Part,
    capacity: float | None,
    setting: Setting,
    together: Mapping[str, float | None],
) -> tuple[float | None, tuple[Assumption, ...]]:
    """What carries the demand with a part: fasteners of several kinds in wood share it, others do not."""
    if not part.is_fastener or joint.side is None or joint.demand is None or len(together) < 2:
        return capacity, ()
    if any(one is None for one in together.values()):
        return capacity, ()
    total = sum(one for one in together.values() if one is not None)
    because = f"fasteners of {len(together)} kinds through the same two timbers share the demand"
    shown = show_quantity(total, "force_n", setting.structure.units)
    return total, (Assumption(f"joints.{joint.id}.demand", f"{shown} when new", because),)


def _sheet_run(part: Part, faces: Sequence[FaceRun], setting: Setting) -> StrengthRun:
    thickness = part.measures.thickness_mm or 0.0
    both = [run.base_loss_um for run in faces if run.case.face.role == "sheet"]
    draws = sheet_strength(thickness, both, setting.exposure.causes, part.rated_load)
    life = _life_index(setting)
    lost = float(np.median(sum(both)[:, life]))  # type: ignore[index]
    trace = Trace("Strength left of the sheet")
    trace.add(
        f"bare steel left at {setting.ages[life]:g} years",
        "t",
        "t = t_0 - x_1 - x_2",
        {"t_0": f"{thickness:.4g} mm", "x_1 + x_2": f"{lost:.3g} um"},
        max(thickness - lost / 1000.0, 0.0),
        "mm",
        part.measures.source,
        part.measures.mark,
    )
    for mode, n in (("net_section", 1.0), ("tilting", 1.5), ("seat_bending", 2.0)):
        trace.add(
            f"strength left as a share of new, if it gives by {mode.replace('_', ' ')}",
            "R",
            "R = (t / t_0)^n",
            {
                "n": f"{n:g}",
                "t": f"{max(thickness - lost / 1000.0, 0.0):.4g} mm",
                "t_0": f"{thickness:.4g} mm",
            },
            float(sheet_strength_ratio(thickness, lost, cast(SheetMode, mode))),
            "-",
            "own",
            Mark.OWN,
            "Each of the three in a third of the draws. " + _MIDDLE,
        )
    return StrengthRun(draws, trace.root)


def _dowel_run(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheet: Sheet | None, setting: Setting
) -> StrengthRun:
    if strength_standard(setting.structure) == "en1995":
        return StrengthRun(*ec5_dowel(joint, part, faces, sheet, setting))
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
    life = _life_index(setting)
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
        _MIDDLE,
    )
    if soft:
        draws = replace(draws, capacity_new_n=None)
    return StrengthRun(draws, trace.root, (), assumptions)


_MIDDLE = "With the middle loss put in; the answer gives the middle of all draws."
_RATIO = "the ratio to new is computed as for steel, no capacity is claimed"
_SHORT = f"the point reaches less deep than the yield equations ask for: {_RATIO}"


def _life_index(setting: Setting) -> int:
    return int(np.argmin(np.abs(setting.ages - setting.structure.design_life)))


def _is_ledger(joint: Joint, setting: Setting) -> bool:
    """US ledger tables rest on tests that yield equations do not reach: only the ratio to new counts."""
    ledger = (joint.application or setting.structure.application) == "deck_ledger"
    return ledger and strength_standard(setting.structure) == "nds"


def _capacity(
    joint: Joint,
    part: Part,
    draws: StrengthDraws,
    units: System = "si",
    design: tuple[float, str] | None = None,
) -> tuple[float | None, tuple[Assumption, ...]]:
    if part.rated_load is not None:
        return part.rated_load * part.count, ()
    if draws.capacity_new_n is None or not part.is_fastener:
        return None, ()
    factor, because = design if design is not None else _nds_design(joint, part)
    capacity = draws.capacity_new_n * part.count * factor
    if joint.demand is None:
        return capacity, ()
    shown = f"{show_quantity(capacity, 'force_n', units)} when new"
    return capacity, (Assumption(f"joints.{joint.id}.{part.id}.rated_load", shown, because),)


def _nds_design(joint: Joint, part: Part) -> tuple[float, str]:
    place = places()[joint.place]
    wet = place.rain_wets_wood or place.always_wet
    duration = load_duration_factor("ten_years")
    service = wet_service_factor_lateral(
        diameter_in=(part.measures.diameter_mm or 0.0) / _MM_PER_IN, wet_when_made=wet, wet_in_service=wet
    )
    because = f"load duration factor {duration:g} (ten years) and wet service factor {service:g}"
    return duration * service, because


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
