"""Finding for the site: its air, and what that does to bare metal in the open."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from longhold.air.calibration import calibrated_first_year_loss_um
from longhold.air.categories import category_shares
from longhold.air.dose_response import first_year_loss_um, outside_validity
from longhold.air.metals import METALS
from longhold.air.site_air import annual_means
from longhold.assessment.findings import SiteFinding
from longhold.assessment.located import LocatedSite
from longhold.assessment.shore import ShoreFinding
from longhold.base.kept import KeptArrays, default_folder
from longhold.base.trace import Trace
from longhold.forecast.causes import Causes
from longhold.forecast.exposure import AirLaw, SiteExposure
from longhold.forecast.summary import band_of
from longhold.forecast.wood_runs import WoodRuns

__all__ = ["AIR_MODELS", "site_exposure", "site_finding", "site_runs"]

_OVER_THE_YEARS = (
    "loss in air over the years: ISO 9224, exponent drawn between its mean and its cautious value"
)
AIR_MODELS: Mapping[AirLaw, tuple[str, str]] = {
    "both": (
        "first-year loss in air: ISO 9223, half of the draws as printed, half moved to measured sites",
        _OVER_THE_YEARS,
    ),
    "calibrated": (
        "first-year loss in air: ISO 9223 dose-response, moved to where measured sites stand",
        _OVER_THE_YEARS,
    ),
    "printed": ("first-year loss in air: ISO 9223 dose-response as printed", _OVER_THE_YEARS),
}
"""Law of the first year -> the laws of loss in air, in words."""


def site_runs(site: LocatedSite, threads: int | None = None) -> WoodRuns:
    """The site's simulated timbers, kept in the user's cache between sessions.

    Parameters
    ----------
    threads : in which a timber is simulated; None takes one for each processor
    """
    return WoodRuns(site.weather, KeptArrays(default_folder()), threads)


def site_exposure(
    site: LocatedSite, causes: Causes, air_law: AirLaw = "both", wood_runs: WoodRuns | None = None
) -> SiteExposure:
    """The site's exposures under some draws; simulated timbers are shared where they are handed over."""
    return SiteExposure(
        causes,
        site.climate,
        site.air_load,
        site.distance_to_salt_m,
        temperature_sd_c=site.temperature_sd_c,
        humidity_sd_pct=site.humidity_sd_pct,
        air_law=air_law,
        untold_share=site.untold.share,
        wood_runs=wood_runs or WoodRuns(site.weather),
    )


def site_finding(
    site: LocatedSite, exposure: SiteExposure, middle: SiteExposure, shore: ShoreFinding | None
) -> SiteFinding:
    """What the air of the site is: plain numbers, categories with their probability, the calculation."""
    temperature, humidity = annual_means(site.climate)
    load = site.air_load
    inputs = (
        temperature,
        humidity,
        load.sulphur_dioxide_mg_m2_d.median,
        load.chloride_mg_m2_d.median,
    )
    trace = Trace("The air of the site")
    trace.extend([site.calculation])
    losses = {metal: exposure.open_air_um(metal) for metal in METALS}
    for metal in METALS:
        with trace.section(f"First-year loss of {metal.replace('_', ' ')} in the open"):
            middle.open_air_um(metal, trace)
    return SiteFinding(
        climate=site.climate,
        air_load=load,
        distance_to_salt_m=site.distance_to_salt_m,
        temperature_c=temperature,
        relative_humidity_pct=humidity,
        first_year_um={metal: band_of(loss) for metal, loss in losses.items()},
        printed_first_year_um={
            metal: float(np.asarray(first_year_loss_um(metal, *inputs))) for metal in METALS
        },
        calibrated_first_year_um={
            metal: float(np.asarray(calibrated_first_year_loss_um(metal, *inputs).median_um))
            for metal in METALS
        },
        categories={metal: category_shares(metal, loss) for metal, loss in losses.items()},
        outside_validity=tuple(one.words for one in outside_validity(*inputs)),
        refer=site.refer,
        calculation=trace.root,
        shore=shore,
    )
