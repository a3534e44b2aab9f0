"""Finding for the site: its air, and what that does to bare metal in the open."""

from __future__ import annotations

from longhold.air.categories import category_shares
from longhold.air.dose_response import outside_validity
from longhold.air.metals import METALS
from longhold.air.site_air import annual_means
from longhold.assessment.findings import SiteFinding
from longhold.assessment.prepare import Prepared
from longhold.base.trace import Trace
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.summary import band_of

__all__ = ["site_finding"]


def site_finding(prepared: Prepared, exposure: SiteExposure, middle: SiteExposure) -> SiteFinding:
    """What the air of the site is: plain numbers, categories with their probability, the calculation."""
    temperature, humidity = annual_means(prepared.climate)
    load = prepared.air_load
    trace = Trace("The air of the site")
    trace.extend([prepared.air_calculation])
    losses = {metal: exposure.open_air_um(metal) for metal in METALS}
    for metal in METALS:
        with trace.section(f"First-year loss of {metal.replace('_', ' ')} in the open"):
            middle.open_air_um(metal, trace)
    beyond = outside_validity(
        temperature, humidity, load.sulphur_dioxide_mg_m2_d.median, load.chloride_mg_m2_d.median
    )
    return SiteFinding(
        climate=prepared.climate,
        air_load=load,
        temperature_c=temperature,
        relative_humidity_pct=humidity,
        first_year_um={metal: band_of(loss) for metal, loss in losses.items()},
        categories={metal: category_shares(metal, loss) for metal, loss in losses.items()},
        outside_validity=tuple(one.words for one in beyond),
        calculation=trace.root,
    )
