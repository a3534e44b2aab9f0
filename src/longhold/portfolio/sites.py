"""What the rounding of sites needs of each site: a few numbers, found once."""

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
    zinc_um : middle first-year loss of bare zinc in the open [um]
    apart : what sites must have in common to stand for each other
    """

    temperature_c: float
    humidity_pct: float
    rain_mm: float
    swing_c: float
    zinc_um: float
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
    return SiteFacts(
        temperature_c=float(np.mean(climate.temperature_c)),
        humidity_pct=float(np.mean(climate.relative_humidity_pct)),
        rain_mm=float(np.sum(climate.rain_mm)) if climate.rain_mm is not None else np.nan,
        swing_c=float(np.ptp(climate.temperature_c)),
        zinc_um=float(np.mean(middle.open_air_um("zinc"))),
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
