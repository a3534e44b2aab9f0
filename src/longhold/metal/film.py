"""Organic films: how bare spots grow, how a share gone bare builds up, how long film and zinc last."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.metal.parameters import film_figure
from longhold.metal.polarization import FARADAY_C_MOL, faraday_um_yr

__all__ = ["bare_share_at", "breakdown_mean", "duplex_years", "iron_through_film_um_yr"]

Array = NDArray[np.float64]


def breakdown_mean(initial_share: ArrayLike, share_yr: ArrayLike, years: ArrayLike) -> Array:
    """Mean share of a film that is broken down over a life: f = a + b t, never above 1.

    The mean is a + b t / 2 while a + b t stays below 1, and 1 - (1 - a)^2 / (2 b t) beyond.

    Parameters
    ----------
    initial_share : a, broken down from the start [-], 0 to 1
    share_yr : b, added each year [1/yr], not negative
    years : t, life [years], more than 0

    Raises
    ------
    InputError : outside these ranges

    Notes
    -----
    Source: cathodic-protection practice in sea water (breakdown-linear); elsewhere use its shape only.

    >>> round(float(breakdown_mean(0.1, 0.1, 5.0)), 3), round(float(breakdown_mean(0.05, 0.02, 60.0)), 3)
    (0.35, 0.624)
    """
    a, b, t = (np.asarray(one, float) for one in (initial_share, share_yr, years))
    _check("initial_share", (a >= 0.0) & (a <= 1.0), "must be a share of 0 to 1.")
    _check("share_yr", (b >= 0.0) & np.isfinite(b), "must be 0 or more.")
    _check("years", (t > 0.0) & np.isfinite(t), "must be more than 0.")
    added = b * t
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        beyond = 1.0 - (1.0 - a) ** 2 / (2.0 * added)
    return np.asarray(np.where(a + added <= 1.0, a + added / 2.0, beyond))


def bare_share_at(
    initial_share: ArrayLike, undercut_mm_yr: ArrayLike, radius_mm: ArrayLike, years: ArrayLike
) -> Array:
    """Share of a film that is bare or loose as round spots grow outward: a (1 + u t / r)^2, at most 1.

    Parameters
    ----------
    initial_share : a [-], 0 to 1
    undercut_mm_yr, radius_mm : u [mm/yr], not negative; r of a spot when new [mm], more than 0
    years : t [years], not negative

    Raises
    ------
    InputError : outside these ranges

    >>> float(bare_share_at(0.01, 1.0, 1.0, 1.0))
    0.04
    """
    a, u, r, t = (np.asarray(one, float) for one in (initial_share, undercut_mm_yr, radius_mm, years))
    _check("initial_share", (a >= 0.0) & (a <= 1.0), "must be a share of 0 to 1.")
    _check("undercut_mm_yr", (u >= 0.0) & np.isfinite(u), "must be 0 or more.")
    _check("radius_mm", (r > 0.0) & np.isfinite(r), "must be more than 0.")
    _check("years", t >= 0.0, "must be 0 or more.")
    grown = np.minimum(1.0 + u * t / r, _WHOLE)
    return np.asarray(np.minimum(a * grown**2, 1.0))


def duplex_years(zinc_years: ArrayLike, film_years: ArrayLike, factor: ArrayLike = 1.0) -> Array:
    """Life of a film over zinc: k (zinc + film) [years].

    Parameters
    ----------
    zinc_years, film_years : life of each by itself [years], not negative
    factor : k [-], 1 or more; 1 unless what is printed applies: painted structures that get repainted

    Raises
    ------
    InputError : outside these ranges

    >>> float(duplex_years(15.0, 10.0, 1.4))
    35.0
    """
    k, zinc, film = (np.asarray(one, float) for one in (factor, zinc_years, film_years))
    _check("factor", (k >= 1.0) & np.isfinite(k), "must be 1 or more: paint never shortens the life of zinc.")
    _check("zinc_years", zinc >= 0.0, "must be 0 or more.")
    _check("film_years", film >= 0.0, "must be 0 or more.")
    return np.asarray(k * (zinc + film))


def iron_through_film_um_yr(thickness_um: ArrayLike) -> Array:
    """Iron that the oxygen coming through an epoxy film from air could take [um/yr].

    P p (100 um / h) of oxygen, four electrons a molecule, two an atom of iron. Films do not protect by
    keeping oxygen out: this says why.

    Parameters
    ----------
    thickness_um : h [um], more than 0

    Raises
    ------
    InputError : for a thickness of 0 or less, or none

    >>> [round(float(iron_through_film_um_yr(h)), 2) for h in (20.0, 100.0)]
    [23.79, 4.76]
    """
    h = np.asarray(thickness_um, float)
    _check("thickness_um", (h > 0.0) & np.isfinite(h), "must be more than zero.")
    volume_cm3_m2_d = film_figure("epoxy_oxygen") * film_figure("oxygen_in_air") * 100.0 / h
    ampere_m2 = 4.0 * FARADAY_C_MOL * volume_cm3_m2_d / _CM3_MOL / _SECONDS_A_DAY
    return faraday_um_yr(ampere_m2, "steel")


_CM3_MOL = 22_414.0  # gas at 0 deg C and 1 atm
_SECONDS_A_DAY = 86_400.0
_WHOLE = 1e9  # keeps squares finite; any spot is the whole face long before


def _check(name: str, good: ArrayLike, allowed: str) -> None:
    """Raise where a value is out of range; one that is no number never is in it."""
    if not np.all(good):
        raise InputError(Problem(name, None, allowed))
