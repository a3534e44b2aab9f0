"""Lateral capacity of one fastener by EN 1995-1-1 from the metal that is left, in SI.

The hinge bends with the largest loss near the joint, the wood bears along the mean loss. Tensile strength,
embedment and the class of a plate as thin or thick rest on the diameter as new; rust is credited with
nothing and the wood is taken as sound.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from longhold.base.errors import InputError, Problem
from longhold.strength.dowel_ratio import Capacity, ShortPenetration
from longhold.strength.ec5_axial import (
    axial_bolt_n,
    axial_screw_n,
    axial_smooth_nail_n,
    axial_threaded_nail_n,
    screw_withdrawal_mpa,
)
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, Ec5Plate, Ec5Prepared, prepare_ec5
from longhold.strength.ec5_data import (
    FloatArray,
    Floats,
    axial_record,
    dowel_record,
    rope_row,
    stress_area_mm2,
    yield_moment_nmm,
)
from longhold.strength.ec5_dowel import (
    Modes,
    Yield,
    between_plates,
    governing,
    middle_plate_modes,
    plate_modes,
    timber_modes,
)

__all__ = [
    "Ec5Left",
    "axial_n",
    "ec5_capacity_n",
    "ec5_left",
    "ec5_modes",
    "ec5_ratio",
    "in_wide_hole",
    "rope_cap",
    "staple_moment_factor",
]

_NOTHING_MM = 1e-8
_THROUGH_STEEL_MM = 1e6


class Ec5Left(NamedTuple):
    """What the losses leave.

    Attributes
    ----------
    bearing_mm, hinge_mm : diameter left where it bears and where it bends [mm]
    plate_mm : thickness left of a steel plate [mm]; 0 without one
    moment_nmm : yield moment left [N mm]
    axial_n : axial capacity left, for the rope effect [N]
    """

    bearing_mm: FloatArray
    hinge_mm: FloatArray
    plate_mm: FloatArray
    moment_nmm: FloatArray
    axial_n: FloatArray


def ec5_capacity_n(
    connection: Ec5Connection,
    hinge_loss_um: Floats,
    bearing_loss_um: Floats,
    plate_loss_um: Floats = 0.0,
    *,
    short_penetration: ShortPenetration = "refuse",
) -> Capacity:
    """Characteristic lateral capacity Fv,Rk of one fastener after loss of metal, all planes of shear [N].

    Parameters
    ----------
    connection : the connection as new
    hinge_loss_um : largest loss of base metal per surface within two diameters of the shear plane [um]
    bearing_loss_um : mean loss of base metal per surface along the bearing length [um]
    plate_loss_um : loss of a steel plate, both faces together [um]; 0 without a plate
    short_penetration : whether a fastener that reaches less deep than asked is refused

    The losses may be arrays; they broadcast.

    Raises
    ------
    InputError : for a connection outside the equations, a negative loss, or a plate loss without a plate

    Source: geometry own; equations as in ``ec5_dowel`` and ``ec5_axial``.

    >>> side, main = Ec5Member(38.0, 350.0), Ec5Member(71.0, 350.0)
    >>> nail = Ec5Connection("nail", 3.4, side, main, length_mm=90.0, fu_mpa=600.0, head_diameter_mm=8.0)
    >>> z = ec5_capacity_n(nail, np.array([0.0, 200.0, 1700.0]), 0.0)
    >>> z.capacity_n.round(1).tolist(), z.mode.tolist()
    ([988.8, 856.6, 0.0], ['f', 'f', 'none'])
    """
    prepared = prepare_ec5(connection, accept_short=short_penetration == "accept")
    left = ec5_left(connection, prepared, hinge_loss_um, bearing_loss_um, plate_loss_um)
    found = _yield(connection, prepared, left)
    whole = np.asarray(found.load_n * _planes(connection) * prepared.legs)
    alive = (left.hinge_mm > 0.0) & (left.bearing_mm > 0.0)
    whole, mode = np.where(alive, whole, 0.0), np.where(alive, found.mode, "none")
    return Capacity(whole, np.where(whole > 0.0, mode, "none"))


def ec5_ratio(
    connection: Ec5Connection,
    hinge_loss_um: Floats,
    bearing_loss_um: Floats,
    plate_loss_um: Floats = 0.0,
    *,
    short_penetration: ShortPenetration = "refuse",
) -> FloatArray:
    """Lateral capacity after loss as a share of the capacity as new [-]; arguments as in ``ec5_capacity_n``.

    >>> board = Ec5Member(45.0, 350.0)
    >>> nail = Ec5Connection("nail", 4.0, board, Ec5Member(90.0, 350.0), length_mm=100.0)
    >>> round(float(ec5_ratio(nail, 200.0, 200.0)), 3)
    0.834
    """
    losses = (hinge_loss_um, bearing_loss_um, plate_loss_um)
    now = ec5_capacity_n(connection, *losses, short_penetration=short_penetration)
    new = ec5_capacity_n(connection, 0.0, 0.0, short_penetration=short_penetration)
    return np.asarray(now.capacity_n / new.capacity_n)


def ec5_left(
    connection: Ec5Connection,
    prepared: Ec5Prepared,
    hinge_loss_um: Floats,
    bearing_loss_um: Floats,
    plate_loss_um: Floats,
) -> Ec5Left:
    """What is left after loss; losses as in ``ec5_capacity_n``, which also says what is refused."""
    hinge, bearing, plate = (
        _loss_mm(name, loss)
        for name, loss in (
            ("hinge_loss_um", hinge_loss_um),
            ("bearing_loss_um", bearing_loss_um),
            ("plate_loss_um", plate_loss_um),
        )
    )
    steel = _plate(connection)
    if np.any(plate > 0.0) and steel is None:
        raise InputError(Problem("plate_loss_um", None, "a connection without a plate loses no plate."))
    bent = _reduced(prepared.effective_mm, 2.0 * hinge)
    plate_left = _reduced(steel.thickness_mm if steel else 0.0, plate)
    return Ec5Left(
        bearing_mm=_reduced(prepared.effective_mm, 2.0 * bearing),
        hinge_mm=bent,
        plate_mm=plate_left,
        moment_nmm=_moment_nmm(connection, prepared, bent),
        axial_n=axial_n(connection, prepared, bearing, np.maximum(hinge, bearing), plate_left)
        if connection.rope
        else np.zeros(()),
    )


def rope_cap(connection: Ec5Connection) -> float:
    """Largest rope effect as a share of the yield part [-]; 0 where it does not count."""
    if not connection.rope:
        return 0.0
    if connection.rope_cap_share is not None:
        return connection.rope_cap_share
    return float(rope_row(_rope_kind(connection))["cap"])


def in_wide_hole(connection: Ec5Connection) -> bool:
    """Whether an outer plate's hole leaves the fastener too loose for a thick plate (8.2.3(1)).

    >>> beam, plate = Ec5Member(71.0, 350.0), Ec5Plate(4.0, hole_mm=5.0)
    >>> in_wide_hole(Ec5Connection("nail", 4.0, plate, beam, length_mm=60.0))
    True
    """
    if not isinstance(connection.side, Ec5Plate) or connection.side.hole_mm is None:
        return False
    clearance = connection.side.hole_mm / connection.diameter_mm - 1.0
    return clearance > float(dowel_record("hole_of_thick_plate")["below_d"]) - _NOTHING_MM


def axial_n(
    connection: Ec5Connection,
    prepared: Ec5Prepared,
    bearing_loss_mm: Floats,
    head_loss_mm: Floats,
    plate_mm: Floats,
) -> FloatArray:
    """Axial capacity left of the fastener [N]; 0 where what it would take is not known.

    Parameters
    ----------
    bearing_loss_mm, head_loss_mm : mean loss per surface along the shank, loss of the head [mm]
    plate_mm : thickness left of a plate [mm]
    """
    lost = np.asarray(bearing_loss_mm, dtype=np.float64)
    shank = _reduced(connection.diameter_mm, 2.0 * lost)
    if connection.kind in ("staple", "dowel"):
        return np.zeros(lost.shape)
    if connection.kind == "bolt":
        return _bolt_n(connection, shank, plate_mm)
    head = _reduced(connection.head_diameter_mm or 0.0, 2.0 * np.asarray(head_loss_mm))
    if connection.is_screw:
        root = (
            connection.root_diameter_mm or float(dowel_record("screw")["root_share"]) * connection.diameter_mm
        )
        # each flank of the thread loses metal on both of its sides
        threaded = lost <= (connection.diameter_mm - root) / 4.0
        return np.where(threaded, _screw_n(connection, prepared, shank, head), 0.0)
    if connection.fax_mpa is not None:
        if connection.fhead_mpa is None or connection.thread_mm is None:
            return np.zeros(lost.shape)
        return axial_threaded_nail_n(
            diameter_mm=shank,
            nominal_mm=connection.diameter_mm,
            point_mm=_thread_mm(connection, prepared),
            fax_mpa=connection.fax_mpa,
            fhead_mpa=connection.fhead_mpa,
            head_diameter_mm=head,
            drying=connection.drying,
        )
    return _smooth_n(connection, prepared, shank, head)


def ec5_modes(connection: Ec5Connection, prepared: Ec5Prepared, left: Ec5Left) -> tuple[Modes, ...]:
    """The modes for one plane of shear: one set, or those of a thin and a thick plate.

    A plate outside whose hole is too wide to clamp the fastener has those of a thin one (8.2.3(1)).
    """
    q1, q2 = prepared.fh1_mpa * left.bearing_mm, prepared.fh2_mpa * left.bearing_mm
    if isinstance(connection.main, Ec5Plate):
        return (middle_plate_modes(q1, prepared.t1_mm, left.moment_nmm),)
    if isinstance(connection.side, Ec5Plate):
        plates = "both" if connection.shear == "double" else "outer"
        modes = plate_modes(q2, prepared.t2_mm, left.moment_nmm, plates=plates)  # type: ignore[arg-type]
        return modes[:1] if in_wide_hole(connection) else modes
    double = connection.shear == "double"
    return (timber_modes(q1, q2, prepared.t1_mm, prepared.t2_mm, left.moment_nmm, double=double),)


def _yield(connection: Ec5Connection, prepared: Ec5Prepared, left: Ec5Left) -> Yield:
    cap = rope_cap(connection)
    found = [governing(modes, left.axial_n, cap) for modes in ec5_modes(connection, prepared, left)]
    if len(found) == 2:
        return between_plates(found[0], found[1], left.plate_mm, connection.diameter_mm)
    if _plate(connection) is not None:
        load = np.where(left.plate_mm > 0.0, found[0].load_n, 0.0)
        return Yield(load, np.where(load > 0.0, found[0].mode, "none"))
    return found[0]


def _planes(connection: Ec5Connection) -> float:
    return 2.0 if connection.shear == "double" else 1.0


def _plate(connection: Ec5Connection) -> Ec5Plate | None:
    for member in (connection.side, connection.main):
        if isinstance(member, Ec5Plate):
            return member
    return None


def _moment_nmm(connection: Ec5Connection, prepared: Ec5Prepared, hinge_mm: FloatArray) -> FloatArray:
    if connection.kind == "staple":
        moment = dowel_record("moment")
        factor = staple_moment_factor(prepared.fu_mpa)
        return np.asarray(factor * np.power(hinge_mm, moment["exponent"]))
    return yield_moment_nmm(prepared.fu_mpa, hinge_mm, square=connection.square)


def staple_moment_factor(fu_mpa: float) -> float:
    """Yield moment of a staple's leg over d^2.6: 240 of wire of 800 N/mm2 (8.29), softer wire less [N/mm2].

    >>> staple_moment_factor(900.0), staple_moment_factor(500.0)
    (240.0, 150.0)
    """
    moment = dowel_record("moment")
    return float(min(moment["staple_factor"], moment["round_factor"] * fu_mpa))


def _rope_kind(connection: Ec5Connection) -> str:
    if connection.is_screw:
        return "screw"
    if connection.kind != "nail":
        return connection.kind
    if connection.square:
        return "square_nail"
    return "round_nail" if connection.fax_mpa is None else "other_nail"


def _bolt_n(connection: Ec5Connection, shank_mm: FloatArray, plate_mm: Floats) -> FloatArray:
    has_plate = isinstance(connection.side, Ec5Plate)
    if connection.fc90_mpa is None or (connection.washer_mm is None and not has_plate):
        return np.zeros(shank_mm.shape)
    area = connection.stress_area_mm2 or stress_area_mm2(connection.diameter_mm)
    pull = axial_bolt_n(
        fu_mpa=connection.fu_mpa or float(dowel_record("bolt")["fu_mpa"]),
        area_mm2=area * (shank_mm / connection.diameter_mm) ** 2,
        diameter_mm=connection.diameter_mm,
        fc90_mpa=connection.fc90_mpa,
        washer_mm=connection.washer_mm,
        plate_mm=plate_mm if has_plate else None,
    )
    return pull.least_n


def _screw_n(
    connection: Ec5Connection, prepared: Ec5Prepared, shank_mm: FloatArray, head_mm: FloatArray
) -> FloatArray:
    held_by_plate = isinstance(connection.side, Ec5Plate)
    unknown_head = connection.fhead_mpa is None or connection.head_diameter_mm is None
    rule, d = axial_record("screw"), connection.diameter_mm
    in_range = rule["least_mm"] <= d <= rule["most_mm"]
    unknown_thread = connection.thread_mm is None or (connection.fax_mpa is None and not in_range)
    if unknown_thread or (unknown_head and not held_by_plate):
        return np.zeros(shank_mm.shape)
    member = connection.main if isinstance(connection.main, Ec5Member) else connection.side
    thread = _thread_mm(connection, prepared)
    density = member.density_kg_m3 if isinstance(member, Ec5Member) else 0.0
    fax, declared = connection.fax_mpa, connection.fax_mpa is not None
    if fax is None:
        fax = screw_withdrawal_mpa(d, thread, density)
    held = axial_screw_n(diameter_mm=shank_mm, nominal_mm=d, thread_mm=thread, fax_mpa=fax, declared=declared)
    if held_by_plate:
        return held
    return np.asarray(np.minimum(held, (connection.fhead_mpa or 0.0) * head_mm**2))


def _smooth_n(
    connection: Ec5Connection, prepared: Ec5Prepared, shank_mm: FloatArray, head_mm: FloatArray
) -> FloatArray:
    point = connection.side if connection.shear == "double" else connection.main
    if not isinstance(point, Ec5Member) or prepared.penetration_mm is None:
        return np.zeros(shank_mm.shape)
    side = connection.side
    return axial_smooth_nail_n(
        diameter_mm=shank_mm,
        nominal_mm=connection.diameter_mm,
        point_mm=prepared.penetration_mm,
        head_side_mm=side.thickness_mm if isinstance(side, Ec5Member) else _THROUGH_STEEL_MM,
        head_diameter_mm=head_mm,
        point_density_kg_m3=point.density_kg_m3,
        head_density_kg_m3=side.density_kg_m3 if isinstance(side, Ec5Member) else point.density_kg_m3,
        drying=connection.drying,
    )


def _thread_mm(connection: Ec5Connection, prepared: Ec5Prepared) -> float:
    return min(connection.thread_mm or 0.0, prepared.penetration_mm or 0.0)


def _loss_mm(name: str, loss_um: Floats) -> FloatArray:
    loss = np.asarray(loss_um, dtype=np.float64)
    if not np.all(loss >= 0.0):
        raise InputError(Problem(name, None, "must be zero or more, everywhere."))
    return np.asarray(loss / 1000.0)


def _reduced(new_mm: float, loss_mm: FloatArray) -> FloatArray:
    left = new_mm - loss_mm
    return np.where(left > _NOTHING_MM, left, 0.0)
