"""Yield limit equations of dowel-type fasteners (NDS-2018 12.3), with separate bearing and hinge diameters.

The six modes are solved in their general moment form (AWC TR12): with equal diameters and no gap it
is the closed form of Table 12.3.1A, and a dowel that is thinner where it bends than where it bears
is exact as well. Reduction terms belong to the diameters as new.

US customary units, because the reduction terms are in inches.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml
from longhold.strength.nds_data import FloatArray, Floats

__all__ = [
    "MODES",
    "NO_MODE",
    "Shear",
    "YieldLoad",
    "mode_forces_lb",
    "mode_names",
    "reduction_record",
    "reduction_terms",
    "yield_load_lb",
    "yield_loads_by_mode_lb",
]

Shear = Literal["single", "double"]

MODES = ("Im", "Is", "II", "IIIm", "IIIs", "IV")
NO_MODE = "none"
"""Name where nothing is left that could yield."""

_DOUBLE_SHEAR_FACTOR = np.array([1.0, 2.0, np.inf, np.inf, 2.0, 2.0])


class YieldLoad(NamedTuple):
    """Reference lateral design value and the mode that gives it.

    Attributes
    ----------
    load_lb : design value Z [lb], zero where nothing is left of the dowel or the side member
    mode_index : index into ``MODES``; -1 where nothing is left
    """

    load_lb: FloatArray
    mode_index: NDArray[np.intp]


def yield_load_lb(
    *,
    nominal_diameter_in: float,
    main_bearing_length_in: Floats,
    side_bearing_length_in: Floats,
    fem_psi: Floats,
    fes_psi: Floats,
    fyb_psi: Floats,
    effective_diameter_in: float | None = None,
    bearing_diameter_in: Floats | None = None,
    hinge_diameter_in: Floats | None = None,
    theta_main_deg: float = 0.0,
    theta_side_deg: float = 0.0,
    shear: Shear = "single",
    gap_in: Floats = 0.0,
) -> YieldLoad:
    """Reference lateral design value Z of one dowel: the least of the yield modes (NDS-2018 12.3.1).

    Z = P / Rd by mode; in double shear Is, IIIs and IV count twice, II and IIIm are not possible.

    Parameters
    ----------
    nominal_diameter_in : D as new [in], up to 1; with the next it fixes the reduction term
    effective_diameter_in : D, or the root diameter Dr of screws and bearing threads, as new [in]; default D
    main_bearing_length_in, side_bearing_length_in : lm, ls [in]
    fem_psi, fes_psi : dowel bearing strength of main and side member, for the nominal D [psi]
    fyb_psi : bending yield strength, for the nominal D [psi]
    bearing_diameter_in : diameter left along the bearing lengths [in]; default as new
    hinge_diameter_in : diameter left where the dowel bends [in]; default as new
    theta_main_deg, theta_side_deg : angle of load to grain [degrees], 0 for steel
    shear : single, or double for the middle member of three
    gap_in : opening between the members [in]

    Every length, diameter left and strength may be an array; they broadcast.

    Raises
    ------
    InputError : nominal diameter outside 0 to 1 in, or an effective diameter above it

    Source: nds-2018 (memory), awc-tr12 (memory); confirmed by the printed tables.

    >>> z = yield_load_lb(nominal_diameter_in=0.148, main_bearing_length_in=1.332,
    ...     side_bearing_length_in=1.5, fem_psi=5550.0, fes_psi=5550.0, fyb_psi=90_000.0)
    >>> float(z.load_lb), str(mode_names(z.mode_index))
    (128.47, 'IV')
    """
    effective = nominal_diameter_in if effective_diameter_in is None else effective_diameter_in
    bearing = effective if bearing_diameter_in is None else bearing_diameter_in
    hinge = effective if hinge_diameter_in is None else hinge_diameter_in
    by_mode = yield_loads_by_mode_lb(
        nominal_diameter_in=nominal_diameter_in,
        effective_diameter_in=effective,
        main_bearing_length_in=main_bearing_length_in,
        side_bearing_length_in=side_bearing_length_in,
        fem_psi=fem_psi,
        fes_psi=fes_psi,
        fyb_psi=fyb_psi,
        bearing_diameter_in=bearing,
        hinge_diameter_in=hinge,
        theta_deg=max(theta_main_deg, theta_side_deg),
        shear=shear,
        gap_in=gap_in,
    )
    index = np.argmin(by_mode, axis=0)
    load = np.min(by_mode, axis=0)
    return YieldLoad(np.asarray(load), np.where(load > 0.0, index, -1))


def mode_names(mode_index: NDArray[np.intp]) -> NDArray[np.str_]:
    """Names of modes by their index; "none" for -1.

    >>> mode_names(np.array([4, -1])).tolist()
    ['IIIs', 'none']
    """
    return np.asarray(np.array([*MODES, NO_MODE])[mode_index])


def yield_loads_by_mode_lb(
    *,
    nominal_diameter_in: float,
    effective_diameter_in: float,
    main_bearing_length_in: Floats,
    side_bearing_length_in: Floats,
    fem_psi: Floats,
    fes_psi: Floats,
    fyb_psi: Floats,
    bearing_diameter_in: Floats,
    hinge_diameter_in: Floats,
    theta_deg: float,
    shear: Shear = "single",
    gap_in: Floats = 0.0,
) -> FloatArray:
    """Design value of every mode, in the order of ``MODES`` along the first axis [lb].

    Arguments as in ``yield_load_lb``; ``theta_deg`` is the greatest angle to the grain of any wood member.
    A mode that double shear rules out is infinite.
    """
    terms = reduction_terms(nominal_diameter_in, effective_diameter_in, theta_deg)
    forces = mode_forces_lb(
        main_bearing_length_in=main_bearing_length_in,
        side_bearing_length_in=side_bearing_length_in,
        fem_psi=fem_psi,
        fes_psi=fes_psi,
        fyb_psi=fyb_psi,
        bearing_diameter_in=bearing_diameter_in,
        hinge_diameter_in=hinge_diameter_in,
        gap_in=gap_in,
    )
    along = (-1,) + (1,) * (forces.ndim - 1)
    loads = forces / terms.reshape(along)
    if shear == "single":
        return loads
    planes = _DOUBLE_SHEAR_FACTOR.reshape(along)
    possible = np.isfinite(planes)
    return np.where(possible, loads * np.where(possible, planes, 1.0), np.inf)


def mode_forces_lb(
    *,
    main_bearing_length_in: Floats,
    side_bearing_length_in: Floats,
    fem_psi: Floats,
    fes_psi: Floats,
    fyb_psi: Floats,
    bearing_diameter_in: Floats,
    hinge_diameter_in: Floats,
    gap_in: Floats = 0.0,
) -> FloatArray:
    """Yield force P of every mode in one shear plane, not reduced [lb]; ``MODES`` along the first axis.

    With q = Fe d_bearing, M = Fyb d_hinge^3 / 6 and gap g, modes II to IV solve A P^2 + B P + C = 0:

    ====  =====================  =================  ============================
    mode  A                      B                  C
    ====  =====================  =================  ============================
    II    1/(4qs) + 1/(4qm)      ls/2 + g + lm/2    -qs ls^2/4 - qm lm^2/4
    IIIm  1/(2qs) + 1/(4qm)      g + lm/2           -M - qm lm^2/4
    IIIs  1/(4qs) + 1/(2qm)      ls/2 + g           -M - qs ls^2/4
    IV    1/(2qs) + 1/(2qm)      g                  -2 M
    ====  =====================  =================  ============================

    and P = qm lm in Im, qs ls in Is. Zero wherever a diameter or a bearing length is not positive.
    Source: awc-tr12 (memory).
    """
    db, dh, lm, ls, fem, fes, fyb, g = np.broadcast_arrays(
        *(
            np.asarray(value, dtype=np.float64)
            for value in (
                bearing_diameter_in,
                hinge_diameter_in,
                main_bearing_length_in,
                side_bearing_length_in,
                fem_psi,
                fes_psi,
                fyb_psi,
                gap_in,
            )
        )
    )
    left = (db > 0.0) & (dh > 0.0) & (lm > 0.0) & (ls > 0.0)
    db, dh, lm, ls = (np.where(left, length, 1.0) for length in (db, dh, lm, ls))
    qm, qs = fem * db, fes * db
    moment = fyb * dh * dh * dh / 6.0
    main, side = qm * lm * lm / 4.0, qs * ls * ls / 4.0
    forces = np.stack(
        [
            qm * lm,
            qs * ls,
            _root(0.25 / qs + 0.25 / qm, ls / 2.0 + g + lm / 2.0, main + side),
            _root(0.5 / qs + 0.25 / qm, g + lm / 2.0, moment + main),
            _root(0.25 / qs + 0.5 / qm, ls / 2.0 + g, moment + side),
            _root(0.5 / qs + 0.5 / qm, g, 2.0 * moment),
        ]
    )
    return np.where(left, forces, 0.0)


def reduction_terms(
    nominal_diameter_in: float, effective_diameter_in: float, theta_deg: float = 0.0
) -> FloatArray:
    """Reduction term Rd of each mode, in the order of ``MODES`` (NDS-2018 Table 12.3.1B) [-].

    Effective diameter >= 0.25 in: 4, 4, 3.6, 3.2, 3.2, 3.2 times K_theta = 1 + 0.25 theta / 90.
    Nominal diameter < 0.25 in: K_D everywhere, 2.2 up to 0.17 in, else 10 D + 0.5.
    Thread with nominal >= 0.25 in but root < 0.25 in: K_D of the root, times K_theta.

    Parameters
    ----------
    nominal_diameter_in, effective_diameter_in : D and D or Dr, both as new [in]
    theta_deg : greatest angle of load to grain in any wood member [degrees]

    Source: open-nds-code (memory: second hand). Tables 12L and 12M show that K_D takes the root diameter.

    >>> reduction_terms(0.5, 0.371, 90.0).tolist()
    [5.0, 5.0, 4.5, 4.0, 4.0, 4.0]
    >>> float(reduction_terms(0.190, 0.152)[0])
    2.2
    """
    large, small = reduction_record("large"), reduction_record("small")
    if not 0.0 < effective_diameter_in <= nominal_diameter_in <= large["upto_in"]:
        raise InputError(
            Problem(
                "diameter",
                f"{nominal_diameter_in:.4g} in, effective {effective_diameter_in:.4g} in",
                f"the yield equations hold for diameters up to {large['upto_in']:g} in, "
                "and an effective (root) diameter of no more than the nominal one.",
            )
        )
    angle = 1.0 + reduction_record("angle")["gain"] * theta_deg / 90.0
    if effective_diameter_in >= large["from_in"]:
        return np.asarray(np.array([large[mode] for mode in MODES]) * angle)
    flat = effective_diameter_in <= small["flat_upto_in"]
    term = small["flat"] if flat else small["slope_per_in"] * effective_diameter_in + small["offset"]
    return np.full(len(MODES), term * (angle if nominal_diameter_in >= large["from_in"] else 1.0))


def reduction_record(name: str) -> Mapping[str, Any]:
    """One record of the table of reduction terms, with its source and mark."""
    record: Mapping[str, Any] = load_toml("strength/nds_2018/yield.toml")[name]
    return record


def _root(a: FloatArray, b: FloatArray, minus_c: FloatArray) -> FloatArray:
    # The positive root in the form that does not cancel where B^2 is much larger than 4 A C.
    return np.asarray(2.0 * minus_c / (b + np.sqrt(b * b + 4.0 * a * minus_c)))
