"""Yield modes of dowel-type fasteners by EN 1995-1-1:2004 section 8.2, timber to timber and steel to timber.

Each takes the load per length that the wood bears, q = fh d [N/mm], and the yield moment M [N mm] apart,
so that a fastener thinner where it bends than where it bears is put in as it is. Results are for one
fastener and one plane of shear, characteristic, in N.
"""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.strength.ec5_data import FloatArray, Floats, dowel_record

__all__ = [
    "NO_MODE",
    "Modes",
    "Plates",
    "Yield",
    "between_plates",
    "governing",
    "middle_plate_modes",
    "plate_modes",
    "timber_modes",
    "with_rope",
]

NO_MODE = "none"
Plates = Literal["outer", "both"]


class Modes(NamedTuple):
    """Yield part of every mode, without the rope effect.

    Attributes
    ----------
    names : mode names as in ``tables/strength/en1995_2004/modes.csv``
    loads_n : yield part by mode, modes first [N]
    roped : whether the rope effect adds to the mode
    """

    names: tuple[str, ...]
    loads_n: FloatArray
    roped: tuple[bool, ...]


class Yield(NamedTuple):
    """Capacity of one plane of shear and the mode that gives it; "none" where nothing is left."""

    load_n: FloatArray
    mode: NDArray[np.str_]


def timber_modes(
    q1_n_mm: Floats, q2_n_mm: Floats, t1_mm: Floats, t2_mm: Floats, my_nmm: Floats, *, double: bool = False
) -> Modes:
    """Timber to timber and panel to timber: single shear (8.6) a to f, double shear (8.7) g to k.

    Parameters
    ----------
    q1_n_mm, q2_n_mm : fh d of the side and the main (double: middle) member [N/mm]
    t1_mm, t2_mm : bearing length in each [mm]
    my_nmm : yield moment [N mm]

    Source: en-1995-1-1 (memory; reproduces hand values).

    >>> modes = timber_modes(19.881 * 3.4, 19.881 * 3.4, 38.0, 52.0, 4336.3)
    >>> round(float(modes.loads_n[-1]), 1)
    880.5
    """
    q1, q2, t1, t2, my = np.broadcast_arrays(*_floats(q1_n_mm, q2_n_mm, t1_mm, t2_mm, my_nmm))
    beta = _over(q2, q1)
    one, two = (dowel_record("wood_to_wood")[name] for name in ("one_hinge", "two_hinges"))
    d = (
        one
        * q1
        * t1
        / (2.0 + beta)
        * (np.sqrt(2.0 * beta * (1.0 + beta) + _term(beta, 2.0, q1, t1, my)) - beta)
    )
    f = two * np.sqrt(2.0 * beta / (1.0 + beta)) * np.sqrt(2.0 * my * q1)
    if double:
        loads = np.stack([q1 * t1, 0.5 * q2 * t2, d, f])
        return Modes(("g", "h", "j", "k"), loads, (False, False, True, True))
    ratio = _over(t2, t1)
    inner = beta + 2.0 * beta**2 * (1.0 + ratio + ratio**2) + beta**3 * ratio**2
    c = q1 * t1 / (1.0 + beta) * (np.sqrt(inner) - beta * (1.0 + ratio))
    twice = 1.0 + 2.0 * beta
    e_root = 2.0 * beta**2 * (1.0 + beta) + 4.0 * beta * twice * _over(my, q1 * t2**2)
    e = one * q1 * t2 / twice * (np.sqrt(e_root) - beta)
    loads = np.stack([q1 * t1, q2 * t2, c, d, e, f])
    return Modes(("a", "b", "c", "d", "e", "f"), loads, (False, False, True, True, True, True))


def plate_modes(
    q_n_mm: Floats, t_mm: Floats, my_nmm: Floats, *, plates: Plates = "outer"
) -> tuple[Modes, Modes]:
    """One plate outside (8.9, 8.10), or plates on both sides of one timber (8.12, 8.13): thin and thick.

    Parameters
    ----------
    q_n_mm : fh d of the timber [N/mm]
    t_mm : bearing length in it [mm]; the whole thickness between two plates
    my_nmm : yield moment [N mm]
    plates : outer for one plate, both for two

    Source: porteous-kermani-2007 (verified).
    """
    q, t, my = np.broadcast_arrays(*_floats(q_n_mm, t_mm, my_nmm))
    steel = dowel_record("wood_to_steel")
    hinge = steel["thin_hinge"] * np.sqrt(2.0 * my * q)
    hinges = steel["thick_hinges"] * np.sqrt(my * q)
    if plates == "both":
        crushed = steel["middle_bearing"] * q * t
        thin = Modes(("outer-thin-j", "outer-thin-k"), np.stack([crushed, hinge]), (False, True))
        return thin, Modes(("outer-thick-l", "outer-thick-m"), np.stack([crushed, hinges]), (False, True))
    thin = Modes(("thin-a", "thin-b"), np.stack([steel["thin_bearing"] * q * t, hinge]), (False, True))
    thick = np.stack([q * t, _clamped(q, t, my), hinges])
    return thin, Modes(("thick-c", "thick-d", "thick-e"), thick, (False, True, True))


def middle_plate_modes(q_n_mm: Floats, t_mm: Floats, my_nmm: Floats) -> Modes:
    """A plate of any thickness in the middle of two timbers (8.11), for each plane of shear.

    Arguments as in ``plate_modes``, of one timber. Source: porteous-kermani-2007 (verified).
    """
    q, t, my = np.broadcast_arrays(*_floats(q_n_mm, t_mm, my_nmm))
    hinges = dowel_record("wood_to_steel")["thick_hinges"] * np.sqrt(my * q)
    loads = np.stack([q * t, _clamped(q, t, my), hinges])
    return Modes(("centre-f", "centre-g", "centre-h"), loads, (False, True, True))


def with_rope(modes: Modes, axial_n: Floats, cap: float) -> FloatArray:
    """Every mode with its rope effect: a quarter of the axial capacity, up to a share of the yield part [N].

    Parameters
    ----------
    axial_n : characteristic axial capacity Fax [N]; 0 counts none
    cap : largest share of the yield part, by kind of fastener (8.2.2(2))
    """
    share = dowel_record("rope")["share"]
    added = [
        np.minimum(share * np.asarray(axial_n), cap * load) if roped else 0.0 * load
        for load, roped in zip(modes.loads_n, modes.roped, strict=True)
    ]
    return np.asarray(modes.loads_n + np.stack(np.broadcast_arrays(*added)))


def governing(modes: Modes, axial_n: Floats = 0.0, cap: float = 0.0) -> Yield:
    """The least of the modes, with its name."""
    loads = with_rope(modes, axial_n, cap)
    load = np.min(loads, axis=0)
    names = np.array(modes.names)[np.argmin(loads, axis=0)]
    return Yield(load, np.where(load > 0.0, names, NO_MODE))


def between_plates(thin: Yield, thick: Yield, plate_mm: Floats, diameter_mm: float) -> Yield:
    """Capacity by the thickness of the plate: thin up to 0.5 d, thick from d, a line between.

    Parameters
    ----------
    plate_mm : thickness left of the plate [mm]; nothing is carried where none is left
    diameter_mm : d as new [mm], so that a thinner fastener never makes its plate a thick one

    >>> thin, thick = (Yield(np.array(load), np.array("x")) for load in (1151.3, 1628.2))
    >>> round(float(between_plates(thin, thick, 3.0, 4.0).load_n), 1)
    1389.8
    """
    steel, plate = dowel_record("wood_to_steel"), np.asarray(plate_mm, dtype=np.float64)
    share = np.clip((plate / diameter_mm - steel["thin_d"]) / (steel["thick_d"] - steel["thin_d"]), 0.0, 1.0)
    load = np.where(plate > 0.0, thin.load_n + share * (thick.load_n - thin.load_n), 0.0)
    joined = np.char.add(np.char.add(thin.mode, " to "), thick.mode)
    mode = np.where(share <= 0.0, thin.mode, np.where(share >= 1.0, thick.mode, joined))
    return Yield(np.asarray(load), np.where(load > 0.0, mode, NO_MODE))


def _clamped(q: FloatArray, t: FloatArray, my: FloatArray) -> FloatArray:
    return np.asarray(q * t * (np.sqrt(2.0 + 4.0 * _over(my, q * t**2)) - 1.0))


def _term(beta: FloatArray, plus: float, q: FloatArray, t: FloatArray, my: FloatArray) -> FloatArray:
    return np.asarray(4.0 * beta * (plus + beta) * _over(my, q * t**2))


def _floats(*values: Any) -> tuple[FloatArray, ...]:
    return tuple(np.asarray(value, dtype=np.float64) for value in values)


def _over(above: Floats, below: Floats) -> FloatArray:
    """A quotient that is zero where there is nothing to divide by: no wood bears there, so no load either."""
    top, bottom = np.broadcast_arrays(*_floats(above, below))
    return np.asarray(np.divide(top, bottom, out=np.zeros(top.shape), where=bottom > 0.0))
