"""A few simulated points and the smooth surface through them, so that draws need no simulation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml

__all__ = ["Surface", "design_points", "fit_surface"]

Array = NDArray[np.float64]

_FLOOR = 1e-5


def design_points(runs: int, causes: int) -> Array:
    """Standard normal values that fill the space of some causes evenly, the same at every call.

    Sobol points moved to the middle of their cells, through the normal quantiles; held within 2 standard
    deviations, beyond which nothing is simulated.

    Parameters
    ----------
    runs : number of points, a power of 2, 4 or more
    causes : number of dimensions, 1 or more

    Returns
    -------
    values [-], shape (runs, causes)

    Raises
    ------
    InputError : for other numbers

    >>> points = design_points(32, 3)
    >>> points.shape, bool(abs(points.mean()) < 0.01), bool(abs(points).max() <= 2.0)
    ((32, 3), True, True)
    """
    power = int(runs).bit_length() - 1
    if runs < 4 or runs != 2**power or causes < 1:
        given = f"{runs} runs, {causes} causes"
        raise InputError(Problem("design", given, "needs a power of 2 of runs from 4 on, and 1 cause."))
    from scipy.special import ndtri
    from scipy.stats.qmc import Sobol

    even = Sobol(causes, scramble=False).random_base2(power) + 0.5 / runs
    return _held(ndtri(even))


@dataclass(frozen=True, eq=False)
class Surface:
    """Shares between 0 and a most as a smooth function of standard normal causes.

    logit(share/most) = a + sum over causes of (b z + c z^2), by least squares; z is held within the design.

    Attributes
    ----------
    coefficients : shape (1 + 2 causes, ...), the trailing axes those of the shares
    unseen_sd : standard deviation of the logit at runs left out of the fit, of the trailing shape
    runs : how many runs it goes through
    most : what no share reaches [-]
    """

    coefficients: Array
    unseen_sd: Array
    runs: int
    most: float = 1.0

    def at(self, z: Array, noise: Array | None = None) -> Array:
        """Shares at standard normal values.

        Parameters
        ----------
        z : shape (draws, causes)
        noise : standard normal, shape (draws,): what the surface does not explain; None leaves it out

        Returns
        -------
        shares [-], shape (draws, ...)
        """
        told = np.tensordot(_terms(_held(z)), self.coefficients, axes=1)
        if noise is not None:
            told = told + np.multiply.outer(noise, self.unseen_sd)
        return np.asarray(self.most / (1.0 + np.exp(-told)))


def fit_surface(z: Array, shares: Array, most: float = 1.0) -> Surface:
    """The surface through simulated runs, with its error at runs that it has not seen.

    Parameters
    ----------
    z : shape (runs, causes)
    shares : of each run, 0 to ``most``, shape (runs, ...); held at 1e-5 of it from either end
    most : what no share reaches [-]; 2 where warmth may bring a share above that of the saturated rate

    Raises
    ------
    InputError : where there are too few runs for so many causes

    >>> z = design_points(32, 2)
    >>> share = 1.0 / (1.0 + np.exp(-(0.5 * z[:, 0] - z[:, 1])))
    >>> surface = fit_surface(z, share)
    >>> bool(abs(surface.at(z) - share).max() < 1e-9), bool(surface.unseen_sd < 1e-9)
    (True, True)
    """
    terms = _terms(z)
    runs, unknown = terms.shape
    if runs < unknown + 4:
        raise InputError(Problem("design", runs, f"must be at least {unknown + 4} runs for this fit."))
    relative = np.asarray(np.asarray(shares, dtype=float) / most, dtype=float)
    flat = np.clip(relative, _FLOOR, 1.0 - _FLOOR).reshape(runs, -1)
    told = np.log(flat / (1.0 - flat))
    coefficients, *_ = np.linalg.lstsq(terms, told, rcond=None)
    leverage = np.einsum("ij,ji->i", terms, np.linalg.pinv(terms))
    left_out = (told - terms @ coefficients) / (1.0 - leverage)[:, None]
    after = np.shape(shares)[1:]
    unseen = np.sqrt((left_out**2).mean(axis=0)).reshape(after)
    return Surface(coefficients.reshape(unknown, *after), unseen, runs, most)


def _terms(z: Array) -> Array:
    return np.concatenate([np.ones((len(z), 1)), z, z**2], axis=1)


def _held(z: Array) -> Array:
    """Standard normal values held within what is simulated."""
    reach = load_toml("wood/runs.toml")["design"]["reach_sd"]
    return np.asarray(np.clip(z, -reach, reach))
