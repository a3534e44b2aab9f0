"""The seam through which the rest of Longhold asks for a site's air."""

from __future__ import annotations

from longhold.air.metals import not_negative
from longhold.air.salt import Shore, chloride_from_distance
from longhold.air.salt_methods import ChlorideMethod, measured_chloride
from longhold.air.settings import road_salt, with_added
from longhold.air.sulphur import Era, Setting, sulphur_from_setting
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.tables import load_toml
from longhold.base.trace import Trace, note
from longhold.model.surroundings import AirLoad, Climate, Estimate

__all__ = ["air_load", "annual_means"]


def annual_means(climate: Climate) -> tuple[float, float]:
    """Yearly mean temperature [deg C] and relative humidity [%]: plain means of the twelve months.

    >>> from longhold.air.climates import climate_from_annual
    >>> annual_means(climate_from_annual(12.0, 70.0))
    (12.0, 70.0)
    """
    months = len(climate.temperature_c)
    return sum(climate.temperature_c) / months, sum(climate.relative_humidity_pct) / months


def air_load(
    distance_to_salt_m: float | None,
    shore: Shore = "not_told",
    setting: Setting | None = None,
    chloride_mg_m2_d: float | None = None,
    sulphur_dioxide_mg_m2_d: float | None = None,
    trace: Trace | None = None,
    *,
    chloride_method: ChlorideMethod = "wet_candle",
    salted_road_m: float | None = None,
    sea_salt_value: float | None = None,
    onshore_share: float | None = None,
    era: Era = "stations_1986_94",
    setting_stated: bool = True,
) -> tuple[AirLoad, tuple[str, ...]]:
    """What the site's air carries, and every assumption made to say so.

    A measured value overrides an estimate.

    Parameters
    ----------
    distance_to_salt_m : to the nearest salt water [m]; needed unless chloride is measured
    shore : surf, sheltered or not_told
    setting : rural, urban or industrial; None where not stated
    chloride_mg_m2_d : measured yearly mean chloride deposition [mg/(m2 d)], more than 0
    sulphur_dioxide_mg_m2_d : measured yearly mean deposition [mg/(m2 d)], more than 0; turn a
        concentration into it with ``deposition_from_concentration``
    trace : records the estimates
    chloride_method : how the chloride was measured
    salted_road_m : to the edge of a road that is salted in winter [m]; None where there is none. Added to an
        estimate from the sea; a measured chloride holds both already
    sea_salt_value, onshore_share : as in ``chloride_from_distance``
    era : of the stations behind a setting
    setting_stated : False where the setting is an assumption, which widens its band

    Raises
    ------
    InputError : where neither a distance nor a measured chloride is given, or a value is impossible

    >>> load, assumptions = air_load(None, setting="rural", chloride_mg_m2_d=20.0)
    >>> load.chloride_mg_m2_d.how
    'measured'
    >>> len(assumptions)
    1
    """
    assumptions: list[str] = []
    if chloride_mg_m2_d is not None:
        chloride = measured_chloride(chloride_mg_m2_d, chloride_method, trace)
    elif distance_to_salt_m is None:
        raise InputError(
            Problem(
                "distance_to_salt_water",
                None,
                "is needed to estimate the salt in the air.",
                "Give it, however far, or a measured chloride deposition.",
            )
        )
    else:
        chloride = chloride_from_distance(
            distance_to_salt_m, shore, trace, sea_salt_value=sea_salt_value, onshore_share=onshore_share
        )
        if salted_road_m is not None:
            chloride = with_added(chloride, road_salt(salted_road_m, trace), trace)
        assumptions.append(_told("chloride deposition", chloride))
    if sulphur_dioxide_mg_m2_d is not None:
        sulphur = _measured(
            "sulphur dioxide deposition", "air.sulphur_deposition", sulphur_dioxide_mg_m2_d, trace
        )
    else:
        sulphur = sulphur_from_setting(setting, trace, era=era, stated=setting_stated)
        assumptions.append(_told("sulphur dioxide deposition", sulphur))
    return AirLoad(chloride, sulphur), tuple(assumptions)


def _measured(what: str, where: str, value: float, trace: Trace | None) -> Estimate:
    amount = float(not_negative(where, value))
    if amount == 0.0:
        raise InputError(
            Problem(
                where,
                value,
                "must be more than zero.",
                "Give the limit of detection where nothing was found.",
            )
        )
    sd_ln = load_toml("air/own/measured.toml")["deposition"]["sd_ln"]
    note(trace, what, "m", "measured", {}, amount, "mg/(m2 d)", "user", Mark.VERIFIED)
    return Estimate(amount, sd_ln, "measured", "user", Mark.VERIFIED)


def _told(what: str, estimate: Estimate) -> str:
    return f"{what} {estimate.median:.3g} mg/(m2 d), {estimate.how}"
