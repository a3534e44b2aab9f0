"""What the joints of one assessment share, drawn once and ready to be asked."""

from __future__ import annotations

from numpy import float64
from numpy.typing import NDArray

from longhold.assessment.prepare import prepare
from longhold.assessment.shared import Setting
from longhold.assessment.site import site_exposure, site_runs
from longhold.forecast.causes import Causes, Learned, MiddleCauses
from longhold.forecast.exposure import AirLaw
from longhold.model.structure import Structure

__all__ = ["setting_for"]


def setting_for(
    structure: Structure,
    ages: NDArray[float64],
    *,
    draws: int,
    seed: int,
    air_law: AirLaw = "both",
    learned: Learned | None = None,
) -> Setting:
    """A structure read, with its site's exposure in all draws and at the middle.

    Parameters
    ----------
    ages : at which curves are kept [years]
    draws, seed, air_law, learned : as in ``assess``

    Raises
    ------
    InputError : with every label, name or edition that cannot be read, each with its place
    """
    prepared = prepare(structure)
    runs = site_runs(prepared.site)
    pair = (Causes(seed, draws), MiddleCauses())
    if learned is not None:
        pair = (learned.causes(seed), learned.middle())
    exposure, middle = (site_exposure(prepared.site, causes, air_law, runs) for causes in pair)
    own_keys = {} if learned is None else learned.own_keys
    return Setting(structure, prepared, exposure, middle, ages, own_keys=own_keys)
