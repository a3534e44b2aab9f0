"""Lateral capacity of one fastener from the metal that is left, in SI.

The corroding diameter is put into the yield equations: the largest loss near the shear plane thins the
dowel where it bends, the mean loss where it bears. Fyb, bearing strength and reduction term stay those
of the diameter as new, rust is credited with nothing, and the wood is taken as sound. The one measured
series of rusted nailed joints (nakano-2019, abstract read) lies above these equations.

A steel side plate that thins shortens its bearing length here; that the plate itself may tear, bend or
let the head through is the matter of ``longhold.strength.sheet``. Rate both.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.strength.connection import DowelConnection, SteelSide
from longhold.strength.nds_data import FloatArray, Floats
from longhold.strength.nds_dowel import mode_names, yield_load_lb
from longhold.strength.prepared import MM_PER_IN, N_PER_LB, Prepared, prepare

__all__ = ["Capacity", "Left", "ShortPenetration", "capacity_n", "left_in", "strength_ratio"]

ShortPenetration = Literal["refuse", "accept"]

_UM_PER_IN = 1000.0 * MM_PER_IN
_NOTHING_IN = 1e-9


class Capacity(NamedTuple):
    """Reference lateral capacity and what governs it.

    Attributes
    ----------
    capacity_n : reference design value Z (allowable stress, normal duration, no adjustment factor) [N]
    mode : name of the yield mode; "none" where nothing is left
    """

    capacity_n: FloatArray
    mode: NDArray[np.str_]


class Left(NamedTuple):
    """What the losses leave of a connection.

    Attributes
    ----------
    bearing_diameter_in : diameter left along the bearing lengths [in]
    hinge_diameter_in : diameter left where the dowel bends [in]
    side_bearing_in : bearing length left in the side member [in]
    """

    bearing_diameter_in: FloatArray
    hinge_diameter_in: FloatArray
    side_bearing_in: FloatArray


def capacity_n(
    connection: DowelConnection,
    hinge_loss_um: Floats,
    bearing_loss_um: Floats,
    side_plate_loss_um: Floats = 0.0,
    *,
    short_penetration: ShortPenetration = "refuse",
) -> Capacity:
    """Reference lateral capacity of one fastener after loss of metal (NDS-2018 12.3).

    d_hinge = d0 - 2 x_hinge, d_bearing = d0 - 2 x_bearing, with d0 the shank as new, or the root of a
    thread. Zero where a diameter or the side plate is used up.

    Parameters
    ----------
    connection : the connection as new
    hinge_loss_um : largest loss of base metal per surface within two diameters of the shear plane [um]
    bearing_loss_um : mean loss of base metal per surface along the bearing length [um]
    side_plate_loss_um : loss of a steel side plate, both faces together [um]; 0 for a wooden side
    short_penetration : whether a fastener below the least penetration is refused

    The losses may be arrays; they broadcast.

    Raises
    ------
    InputError : for a connection outside the equations, a negative or missing loss, or a plate loss on wood

    Source: geometry own, equations as in ``nds_dowel``.

    >>> from longhold.strength.connection import WoodMember
    >>> board, joist = WoodMember(38.1, 0.55), WoodMember(88.9, 0.55)
    >>> nail = DowelConnection("nail", 3.7592, board, joist, length_mm=76.2)
    >>> z = capacity_n(nail, np.array([0.0, 200.0, 2000.0]), 0.0)
    >>> z.capacity_n.round(1).tolist(), z.mode.tolist()
    ([571.5, 482.7, 0.0], ['IV', 'IV', 'none'])
    """
    prepared = prepare(connection, accept_short=short_penetration == "accept")
    left = left_in(connection, prepared, hinge_loss_um, bearing_loss_um, side_plate_loss_um)
    result = yield_load_lb(
        nominal_diameter_in=prepared.nominal_in,
        effective_diameter_in=prepared.effective_in,
        main_bearing_length_in=prepared.main_bearing_in,
        side_bearing_length_in=left.side_bearing_in,
        fem_psi=prepared.fem_psi,
        fes_psi=prepared.fes_psi,
        fyb_psi=prepared.fyb_psi,
        bearing_diameter_in=left.bearing_diameter_in,
        hinge_diameter_in=left.hinge_diameter_in,
        theta_main_deg=prepared.theta_main_deg,
        theta_side_deg=prepared.theta_side_deg,
        shear=connection.shear,
    )
    load = np.asarray(result.load_lb * (prepared.legs * N_PER_LB))
    return Capacity(load, mode_names(result.mode_index))


def strength_ratio(
    connection: DowelConnection,
    hinge_loss_um: Floats,
    bearing_loss_um: Floats,
    side_plate_loss_um: Floats = 0.0,
    *,
    short_penetration: ShortPenetration = "refuse",
) -> FloatArray:
    """Lateral capacity after loss as a share of the capacity as new [-], between 0 and 1.

    Arguments as in ``capacity_n``. A connection that is rated by tests, such as a prescriptive deck ledger
    with short lag screws, may use this share with ``short_penetration="accept"``, but not the capacity.

    >>> from longhold.strength.connection import WoodMember
    >>> board, joist = WoodMember(38.1, 0.55), WoodMember(88.9, 0.55)
    >>> nail = DowelConnection("nail", 3.7592, board, joist, length_mm=76.2)
    >>> round(float(strength_ratio(nail, 200.0, 200.0)), 3)
    0.799
    """
    now = capacity_n(
        connection, hinge_loss_um, bearing_loss_um, side_plate_loss_um, short_penetration=short_penetration
    )
    new = capacity_n(connection, 0.0, 0.0, short_penetration=short_penetration)
    return np.asarray(now.capacity_n / new.capacity_n)


def left_in(
    connection: DowelConnection,
    prepared: Prepared,
    hinge_loss_um: Floats,
    bearing_loss_um: Floats,
    side_plate_loss_um: Floats,
) -> Left:
    """What is left after loss, in inches; a diameter or plate that is used up is zero.

    Losses as in ``capacity_n``, which also says what is refused.
    """
    losses = {
        "hinge_loss_um": hinge_loss_um,
        "bearing_loss_um": bearing_loss_um,
        "side_plate_loss_um": side_plate_loss_um,
    }
    hinge, bearing, plate = (np.asarray(loss, dtype=np.float64) for loss in losses.values())
    for name, loss in zip(losses, (hinge, bearing, plate), strict=True):
        if not np.all(loss >= 0.0):
            raise InputError(Problem(name, None, "must be zero or more, everywhere."))
    if np.any(plate > 0.0) and not isinstance(connection.side, SteelSide):
        raise InputError(Problem("side_plate_loss_um", None, "a wooden side member loses no metal."))
    return Left(
        _reduced(prepared.effective_in, 2.0 * bearing),
        _reduced(prepared.effective_in, 2.0 * hinge),
        _reduced(prepared.side_bearing_in, plate),
    )


def _reduced(new_in: float, loss_um: FloatArray) -> FloatArray:
    # A loss of exactly the radius must leave nothing, whatever the last digit of the difference.
    left = new_in - loss_um / _UM_PER_IN
    return np.where(left > _NOTHING_IN, left, 0.0)
