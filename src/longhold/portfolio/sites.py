"""What the rounding of sites and the owner's map need of each site: a few numbers, found once."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import NamedTuple

import numpy as np

from longhold.assessment.located import LocatedSite, locate
from longhold.assessment.site import site_exposure
from longhold.base.errors import InputError
from longhold.base.kept import key_of
from longhold.forecast.causes import MiddleCauses
from longhold.model.site import Site

__all__ = ["SiteFacts", "locate_sites"]


class SiteFacts(NamedTuple):
    """One site in numbers.

    Attributes
    ----------
    temperature_c, humidity_pct, rain_mm : of the year; rain is NaN where it is not known
    swing_c : warmest less coldest month [deg C]
    zinc_um, steel_um : middle first-year loss of bare metal in the open [um]
    chloride_mg_m2_d : middle deposition
    distance_to_salt_m : NaN where only chloride is known
    apart : what sites must have in common to stand for each other
    """

    temperature_c: float
    humidity_pct: float
    rain_mm: float
    swing_c: float
    zinc_um: float
    steel_um: float
    chloride_mg_m2_d: float
    distance_to_salt_m: float
    apart: Hashable


def locate_sites(sites: Sequence[Site]) -> list[SiteFacts | str]:
    """Facts of each site, or why it cannot be used."""
    found: list[SiteFacts | str] = []
    for site in sites:
        try:
            found.append(_facts(site, locate(site)))
        except InputError as error:
            found.append(str(error))
    return found


def _facts(site: Site, at: LocatedSite) -> SiteFacts:
    climate = at.climate
    middle = site_exposure(at, MiddleCauses())
    zinc, steel = (float(np.mean(middle.open_air_um(metal))) for metal in ("zinc", "carbon_steel"))
    return SiteFacts(
        temperature_c=float(np.mean(climate.temperature_c)),
        humidity_pct=float(np.mean(climate.relative_humidity_pct)),
        rain_mm=float(np.sum(climate.rain_mm)) if climate.rain_mm is not None else np.nan,
        swing_c=float(np.ptp(climate.temperature_c)),
        zinc_um=zinc,
        steel_um=steel,
        chloride_mg_m2_d=at.air_load.chloride_mg_m2_d.median,
        distance_to_salt_m=np.nan if at.distance_to_salt_m is None else at.distance_to_salt_m,
        apart=_apart(site, at),
    )


def _apart(site: Site, at: LocatedSite) -> Hashable:
    hourly = at.weather.hourly
    return (
        site.jurisdiction,
        site.climate is None,
        at.refer,
        round(at.untold.salt_share, 6),
        round(at.untold.sulphur_share, 6),
        at.setting_stated,
        at.distance_to_salt_m is None,
        at.climate.rain_mm is None,
        at.climate.rain_days is None,
        None if hourly is None else key_of((hourly.temperature_c, hourly.relative_humidity_pct)),
    )
