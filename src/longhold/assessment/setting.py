"""What the joints of one assessment share, drawn once and ready to be asked."""

from __future__ import annotations

import numpy as np
from numpy import float64
from numpy.typing import NDArray

from longhold.assessment.prepare import prepare
from longhold.assessment.shared import Setting
from longhold.assessment.site import site_exposure, site_runs
from longhold.forecast.causes import Causes, Learned, MiddleCauses
from longhold.forecast.exposure import AirLaw
from longhold.forecast.wood_runs import WoodRuns
from longhold.model.structure import Structure

__all__ = ["curve_ages", "setting_for"]

_FIRST_YEARS = (0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.5, 8.0, 10.0, 12.5, 15.0, 17.5, 20.0)


def setting_for(
    structure: Structure,
    ages: NDArray[float64],
    *,
    draws: int,
    seed: int,
    air_law: AirLaw = "both",
    learned: Learned | None = None,
    wood_runs: WoodRuns | None = None,
) -> Setting:
    """A structure read, with its site's exposure in all draws and at the middle.

    Parameters
    ----------
    ages : at which curves are kept [years]
    draws, seed, air_law, learned : as in ``assess``
    wood_runs : simulated timbers of a site that stands for this one; None simulates those of this one

    Raises
    ------
    InputError : with every label, name or edition that cannot be read, each with its place
    """
    prepared = prepare(structure)
    runs = wood_runs or site_runs(prepared.site)
    pair = (Causes(seed, draws), MiddleCauses())
    if learned is not None:
        pair = (learned.causes(seed), learned.middle())
    exposure, middle = (site_exposure(prepared.site, causes, air_law, runs) for causes in pair)
    own_keys = {} if learned is None else learned.own_keys
    return Setting(structure, prepared, exposure, middle, ages, own_keys=own_keys)


def curve_ages(life_years: float) -> NDArray[float64]:
    """Ages of the curves: close together at first, then in steps, to twice the design life, which is one."""
    early = [age for age in _FIRST_YEARS if age < 2.0 * life_years]
    steps = np.arange(25.0, 101.0, 5.0) if life_years >= 20.0 else np.array([])
    whole = np.linspace(0.0, 2.0 * life_years, 9)
    ages = np.unique(np.concatenate([early, steps[steps < 2.0 * life_years], whole]))
    return np.asarray(ages, float)
