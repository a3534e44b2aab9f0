"""The potential at which two joined metals meet, and what the less noble one loses by it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.metal.polarization import Curve
from longhold.metal.rising_root import CoupleNotSolved, find_rising_root

__all__ = ["CoupleState", "couple", "free_potential_v"]

Array = NDArray[np.float64]
_VALUES = 7  # of one curve
_RANGE_V = (-3.0, 3.0)  # no metal stands freely in water outside it
_BALANCED = 1e-6  # of the currents that must be equal
_ROUNDED_V = 1e-12  # nearer than this a steep balance is lost in rounding


@dataclass(frozen=True)
class CoupleState:
    """Two joined metals at rest together; arrays of one shape.

    Attributes
    ----------
    first_suffers : whether the first metal is the less noble one, the anode, which loses
    anode_v, cathode_v : potential of each under current [V]; equal where nothing resists between them
    current_a_m2 : current from the anode over the anode's area [A/m2], not negative
    free_a_m2 : dissolution of the anode by itself [A/m2]
    extra_a_m2 : dissolution of the anode beyond that [A/m2], not negative
    """

    first_suffers: NDArray[np.bool_]
    anode_v: Array
    cathode_v: Array
    current_a_m2: Array
    free_a_m2: Array
    extra_a_m2: Array


def free_potential_v(curve: Curve, oxygen_limit_a_m2: ArrayLike) -> Array:
    """Potential at which a metal by itself dissolves as fast as it takes up oxygen [V].

    Parameters
    ----------
    curve : of the metal
    oxygen_limit_a_m2 : of the water [A/m2]

    Raises
    ------
    CoupleNotSolved : where there is none: the share of the oxygen that the metal takes up must exceed the
        current through its passive film, if it has one

    >>> from longhold.metal.polarization import curve_of_metal
    >>> round(float(free_potential_v(curve_of_metal("steel"), 0.5)), 2)
    -0.66
    """

    def surplus(e: Array, limit: Array, *values: Array) -> Array:
        one = Curve(*values)
        return one.dissolves_a_m2(e) - one.takes_up_a_m2(e, limit)

    limit, *values = _broadcast(oxygen_limit_a_m2, *vars(curve).values())
    low, high = (np.full(limit.shape, end) for end in _RANGE_V)
    found = find_rising_root(surplus, low, high, limit, *values)
    if np.any((found <= low) | (found >= high)):
        raise CoupleNotSolved(
            "how the metal stands by itself in this water is not found: too little oxygen reaches its "
            "passive film for the law that is held of it"
        )
    return found


def couple(
    first: Curve,
    second: Curve,
    area_ratio: ArrayLike,
    oxygen_limit_a_m2: ArrayLike,
    resistance_ohm_m2: ArrayLike = 0.0,
    *,
    free_v: tuple[Array, Array] | None = None,
) -> CoupleState:
    """Solve the couple: the current that leaves the anode enters the cathode, less what resists between.

    With E_a and E_c the potentials, A their areas and a, c the branches of the curves:
    I = A_a (a_a(E_a) - c_a(E_a)) = A_c (c_c(E_c) - a_c(E_c)) and E_c = E_a + I R.

    Parameters
    ----------
    first, second : the two metals
    area_ratio : area of the second over that of the first [-], not negative; 0 removes the second
    oxygen_limit_a_m2 : of the water at both [A/m2], more than 0
    resistance_ohm_m2 : R times the area of the first [ohm m2], not negative
    free_v : ``free_potential_v`` of both, where they are known already [V]

    Shapes broadcast; one draw and many go through the same arithmetic.

    Raises
    ------
    CoupleNotSolved : where the currents of both metals cannot be made equal

    >>> from longhold.metal.polarization import curve_of_metal
    >>> state = couple(curve_of_metal("zinc"), curve_of_metal("steel"), 1.0, 0.386)
    >>> bool(state.first_suffers), round(float(state.extra_a_m2 / state.free_a_m2), 2)
    (True, 1.0)
    """
    if free_v is None:
        free_v = free_potential_v(first, oxygen_limit_a_m2), free_potential_v(second, oxygen_limit_a_m2)
    ratio, limit, resistance, first_v, second_v = _broadcast(
        area_ratio, oxygen_limit_a_m2, resistance_ohm_m2, *free_v
    )
    suffers = first_v <= second_v
    one = _anode(first, second, ratio, limit, resistance, first_v, second_v)
    if np.all(suffers):
        return CoupleState(suffers, *(np.asarray(value) for value in one))
    # seen from the second, as anode: its area is the ratio, and R times that area follows
    with np.errstate(divide="ignore"):
        turned = np.where(ratio > 0.0, 1.0 / np.maximum(ratio, 1e-300), 0.0)
    other = _anode(second, first, turned, limit, resistance * ratio, second_v, first_v)
    return CoupleState(suffers, *(np.where(suffers, a, b) for a, b in zip(one, other, strict=True)))


def _anode(
    anode: Curve, cathode: Curve, ratio: Array, limit: Array, resistance: Array, low: Array, high: Array
) -> tuple[Array, ...]:
    """Potentials, current, free and extra dissolution where the anode stands at ``low`` by itself."""

    def surplus(
        e: Array, ratio: Array, limit: Array, resistance: Array, high: Array, *values: Array
    ) -> Array:
        one, other = Curve(*values[:_VALUES]), Curve(*values[_VALUES:])
        leaves = one.dissolves_a_m2(e) - one.takes_up_a_m2(e, limit)
        at_cathode = np.minimum(e + resistance * np.maximum(leaves, 0.0), high)
        enters = other.takes_up_a_m2(at_cathode, limit) - other.dissolves_a_m2(at_cathode)
        return leaves - ratio * np.maximum(enters, 0.0)

    apart = (high > low) & (ratio > 0.0)
    end = np.where(apart, high, low + 1.0)
    _, *values = _broadcast(low, *vars(anode).values(), *vars(cathode).values())
    found = find_rising_root(surplus, low, end, ratio, limit, resistance, end, *values)
    e = np.where(apart, np.clip(found, low, np.maximum(low, high)), low)
    under, at, over = (
        surplus(e + step, ratio, limit, resistance, end, *values) for step in (-_ROUNDED_V, 0.0, _ROUNDED_V)
    )
    balanced = (np.abs(at) <= _BALANCED * anode.dissolves_a_m2(e)) | ((under <= 0.0) & (over >= 0.0))
    if np.any(apart & ~balanced):
        raise CoupleNotSolved("what leaves the one metal and enters the other could not be made equal")
    leaves = np.maximum(anode.dissolves_a_m2(e) - anode.takes_up_a_m2(e, limit), 0.0) * apart
    free = anode.dissolves_a_m2(low)
    extra = np.maximum(anode.dissolves_a_m2(e) - free, 0.0) * apart
    at_cathode = np.where(apart, np.minimum(e + resistance * leaves, high), high)
    return e, at_cathode, leaves, np.broadcast_to(free, e.shape), extra


def _broadcast(*values: ArrayLike) -> tuple[Array, ...]:
    return tuple(np.array(one) for one in np.broadcast_arrays(*(np.asarray(one, float) for one in values)))
