"""A seeded weather generator: hourly years from monthly values, with what belongs together kept together.

Rain is drawn first, then temperature and dew point of each day that go with it, then the hours. Monthly
mean temperature and humidity, rain, rain days and wet hours over the years are those that were asked
for, and are checked. Days with rain are damper, cloudier, with a smaller daily range, cooler in
warm months; spells last longer in the cool season; the dew point persists through a day.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from longhold.air.generator_parameters import daily_range_c, day_to_day_sd_c, parameters, wet_day_shifts_c
from longhold.air.metals import Array
from longhold.air.moist_air import dew_point_c, saturation_hpa
from longhold.air.rain_spells import MONTH_OF_DAY, Flags, rain_in_hours_mm, wet_days, wet_hours
from longhold.air.rain_statistics import MONTH_DAYS, rain_days, rain_hours
from longhold.air.random_series import with_memory
from longhold.air.sun import clear_sky_year_w_m2
from longhold.air.weather import monthly_climate
from longhold.base.errors import InputError, Problem, TableError
from longhold.base.marks import Mark, weakest
from longhold.model.weather import MONTH_OF_HOUR, HourlyWeather, SiteWeather

__all__ = ["MOST_YEARS", "generate_weather", "with_drawn_rain"]

MOST_YEARS = 100
_MIDDLES: Array = np.cumsum(MONTH_DAYS) - MONTH_DAYS / 2.0


def generate_weather(site: SiteWeather, years: int, rng: np.random.Generator) -> HourlyWeather:
    """Hourly years from a site's monthly values.

    Rain days and wet hours that the site does not tell are taken from rain and temperature; without
    rain no day is wet and rain stays absent. Sun needs a latitude, wind a monthly mean.

    Parameters
    ----------
    site : monthly values; ``hourly`` is not looked at
    years : how many, 1 to 100
    rng : random generator, such as ``numpy.random.default_rng(seed)``; the same seed gives the same years

    Raises
    ------
    InputError : for another number of years, or a monthly humidity that no series can have

    >>> from longhold.air.climates import climate_from_annual
    >>> from longhold.air.weather import site_weather
    >>> site = site_weather(climate_from_annual(10.0, 75.0, rain_mm=600.0))
    >>> weather = generate_weather(site, 2, np.random.default_rng(1))
    >>> round(float(weather.temperature_c.mean()), 3), round(float(weather.rain_mm.sum()), 3)
    (10.0, 1200.0)
    """
    if not 1 <= years <= MOST_YEARS:
        raise InputError(Problem("weather.years", years, f"must lie between 1 and {MOST_YEARS}."))
    t = np.array(site.climate.temperature_c)
    humidity = np.array(site.climate.relative_humidity_pct)
    wet_day, wet, rain_mm = _rain(rng, site, years)
    temperature, dew, sky = _air(rng, site, wet_day)
    temperature = _shifted_to_mean(temperature, t)
    relative = _humidity(temperature, dew, humidity, wet)
    speed, from_deg = _wind(rng, site, years)
    weather = HourlyWeather(
        temperature_c=temperature,
        relative_humidity_pct=relative,
        rain_mm=rain_mm,
        wet=wet if rain_mm is not None else None,
        wind_speed_m_s=speed,
        wind_from_deg=from_deg,
        sun_w_m2=_sun(rng, site, sky, wet_day),
        how=f"{years} years generated from monthly values: {site.climate.how}",
        source=site.climate.source,
        mark=weakest([site.climate.mark, Mark.OWN]),
        notes=("hour by hour the weather is drawn; only its monthly values are the site's",),
    )
    return _checked(weather, site)


def with_drawn_rain(weather: HourlyWeather, site: SiteWeather, rng: np.random.Generator) -> HourlyWeather:
    """An hourly series that lacks rain, with rain drawn on its dampest days from a site's monthly values.

    Temperature and humidity are left as they are.

    Raises
    ------
    InputError : where the site has no rain either
    """
    if site.climate.rain_mm is None:
        raise InputError(Problem("climate.rain_mm", None, "is needed to draw rain.", "Give monthly rain."))
    daily = weather.relative_humidity_pct.reshape(-1, 24).mean(1)
    months = np.tile(MONTH_OF_DAY, weather.years)
    count = np.bincount(months)
    mean = np.bincount(months, daily) / count
    sd = np.sqrt(np.maximum(np.bincount(months, daily**2) / count - mean**2, 1e-6))
    pull = parameters()["damp_pull"] * (daily - mean[months]) / sd[months]
    _, wet, rain_mm = _rain(rng, site, weather.years, pull)
    said = f"rain drawn on the dampest days from monthly values: {site.climate.how}"
    return replace(weather, rain_mm=rain_mm, wet=wet, mark=Mark.OWN, notes=(*weather.notes, said))


def _rain(
    rng: np.random.Generator, site: SiteWeather, years: int, pull: Array | None = None
) -> tuple[Flags, Flags, Array | None]:
    """Rainy days, wet hours and rain; no rain where the site does not tell it."""
    t = np.array(site.climate.temperature_c)
    if site.climate.rain_mm is None:
        return np.zeros(365 * years, dtype=bool), np.zeros(8760 * years, dtype=bool), None
    rain = np.array(site.climate.rain_mm)
    days, hours = _asked_days_and_hours(site, rain, t, years)
    wet_day = wet_days(rng, years, days, pull)
    wet = wet_hours(rng, wet_day, hours, t)
    return wet_day, wet, rain_in_hours_mm(rng, wet, rain)


def _asked_days_and_hours(
    site: SiteWeather, rain_mm: Array, temperature_c: Array, years: int
) -> tuple[Array, Array]:
    """Rain days and wet hours, told or taken; a month with rain has a day within the years, a day an hour."""
    told = site.climate.rain_days
    days = np.array(told) if told is not None else rain_days(rain_mm, temperature_c)
    days = np.where(rain_mm > 0.0, np.clip(days, 1.0 / years, MONTH_DAYS), 0.0)
    hours = np.array(site.rain_hours) if site.rain_hours is not None else rain_hours(rain_mm, temperature_c)
    return days, np.where(rain_mm > 0.0, np.clip(hours, days, 24.0 * days), 0.0)


def _air(rng: np.random.Generator, site: SiteWeather, wet_day: Flags) -> tuple[Array, Array, Array]:
    """Hourly temperature and dew point [deg C] before they are brought to the month's, and each day's sky."""
    p = parameters()
    t, humidity = np.array(site.climate.temperature_c), np.array(site.climate.relative_humidity_pct)
    years, days = wet_day.size // 365, wet_day.size
    month = np.tile(MONTH_OF_DAY, years)
    sd_t, sd_dew = day_to_day_sd_c(t)
    together = p["together_at_0"] + p["together_per_c"] * t + p["together_per_humidity"] * humidity
    together = np.clip(together, 0.0, p["together_most"])[month]
    a = with_memory(rng, days, p["temperature_day_to_day"])
    b = with_memory(rng, days, p["dew_day_to_day"])
    departs = sd_t[month] * a
    dew_departs = sd_dew[month] * (together * a + np.sqrt(1.0 - together**2) * b)
    share = np.bincount(month, wet_day) / np.bincount(month)
    shift_t, shift_dew = wet_day_shifts_c(t, humidity)
    odd = wet_day - share[month]
    departs, dew_departs = departs + shift_t[month] * odd, dew_departs + shift_dew[month] * odd

    spread = daily_range_c(t, humidity, site.elevation_m or 0.0)
    scatter = rng.standard_normal(days)
    spread_day = spread[month] * np.exp(p["range_sd_ln"] * scatter - p["range_sd_ln"] ** 2 / 2.0)
    spread_day *= (
        np.where(wet_day, p["wet_range_ratio"], 1.0) / (1.0 - share + share * p["wet_range_ratio"])[month]
    )

    hour = np.arange(24) + 0.5
    wave = sum(p[f"wave_{n}"] * np.cos(2.0 * np.pi * n * (hour - p[f"wave_{n}_peak"]) / 24.0) for n in (1, 2))
    dew_wave = p["dew_wave"] * np.cos(2.0 * np.pi * (hour - p["dew_wave_peak"]) / 24.0)
    noise = [
        p["hourly_noise_sd"] * with_memory(rng, days * 24, p["hourly_noise_kept"]).reshape(days, 24)
        for _ in range(2)
    ]
    temperature = _through_the_day(departs) + spread_day[:, None] * wave + noise[0]
    temperature += _through_the_year(t, years)
    dew = _through_the_day(dew_departs) + dew_wave + noise[1]
    dew += _through_the_year(np.asarray(dew_point_c(t, humidity)), years)
    return temperature.ravel(), dew.ravel(), scatter


def _through_the_day(daily: Array) -> Array:
    """Days x 24, straight from noon to noon."""
    days = np.arange(daily.size)
    at = (np.arange(daily.size * 24) + 0.5) / 24.0 - 0.5
    return np.asarray(np.interp(at, days, daily).reshape(-1, 24))


def _through_the_year(monthly: Array, years: int) -> Array:
    """Days x 24, straight from the middle of a month to the middle of the next."""
    at = (np.arange(8760) + 0.5) / 24.0
    year = np.interp(at, _MIDDLES, monthly, period=365.0)
    return np.tile(year, years).reshape(-1, 24)


def _shifted_to_mean(hourly: Array, wanted: Array) -> Array:
    """The series, each calendar month moved by one amount so that its mean is the wanted one."""
    month = np.tile(MONTH_OF_HOUR, hourly.size // 8760)
    mean = np.bincount(month, hourly) / np.bincount(month)
    return np.asarray(hourly + (wanted - mean)[month])


def _humidity(temperature: Array, dew: Array, wanted: Array, wet: Flags) -> Array:
    """Relative humidity [%] whose monthly means are the wanted ones.

    Vapour of each calendar month is scaled by one factor, found by bisection on its logarithm; near
    saturation dew and mist hold it back, and wet hours lose a share of their dryness.
    """
    month = np.tile(MONTH_OF_HOUR, temperature.size // 8760)
    raw = 100.0 * saturation_hpa(dew) / saturation_hpa(temperature)
    count = np.bincount(month)
    # a month as dry as its wet hours allow: they may bring no more than half of its humidity
    share = np.bincount(month, wet) / count
    most = parameters()["wet_hours_most"]
    dampness = np.minimum(parameters()["wet_hour_dampness"], most * wanted / np.maximum(share, 1e-9))
    left = np.where(wet, 1.0 - dampness[month], 1.0)

    def humid(ln_factor: Array) -> Array:
        return 100.0 - left * (100.0 - _below_saturation(raw * np.exp(ln_factor)[month]))

    low, high = np.full(12, -6.0), np.full(12, 6.0)
    for _ in range(46):
        middle = (low + high) / 2.0
        too_damp = np.bincount(month, humid(middle)) / count > wanted
        low, high = np.where(too_damp, low, middle), np.where(too_damp, middle, high)
    return humid((low + high) / 2.0)


def _below_saturation(humidity_pct: Array) -> Array:
    """Humidity that from a knee k on nears 100 % and never passes it.

    100 - (100 - k) exp(-(x - k) / (100 - k)).
    """
    knee = parameters()["soft_from"]
    over = np.maximum(humidity_pct - knee, 0.0) / (100.0 - knee)
    return np.where(over > 0.0, 100.0 - (100.0 - knee) * np.exp(-over), humidity_pct)


def _sun(rng: np.random.Generator, site: SiteWeather, sky: Array, wet_day: Flags) -> Array | None:
    """Sun on the level [W/m2]; days with a small daily range are cloudy ones."""
    if site.latitude is None:
        return None
    p = parameters()
    years = wet_day.size // 365
    month = np.tile(MONTH_OF_DAY, years)
    humidity = np.array(site.climate.relative_humidity_pct)
    mean = np.clip(p["sky_at_0"] + p["sky_per_humidity"] * humidity, p["sky_least"], p["sky_most"])
    share = np.bincount(month, wet_day) / np.bincount(month)
    dry = mean / (1.0 - share + share * p["wet_sky_ratio"])
    day = np.minimum(dry[month] * np.where(wet_day, p["wet_sky_ratio"], 1.0) / p["sky_most"], 0.99)
    cloud = p["sky_of_range"] * sky + p["sky_alone"] * rng.standard_normal(sky.size)
    odds = np.log(day / (1.0 - day)) + p["sky_sd"] * cloud
    through = p["sky_most"] / (1.0 + np.exp(-odds))
    clear = np.tile(clear_sky_year_w_m2(site.latitude), years)
    return np.asarray(clear * np.repeat(through, 24))


def _wind(rng: np.random.Generator, site: SiteWeather, years: int) -> tuple[Array | None, Array | None]:
    """Speed [m/s] and direction [deg]: a steady monthly vector plus a round gust with a memory."""
    if site.wind_speed_m_s is None:
        return None, None
    mean = np.array(site.wind_speed_m_s)
    known = site.wind_from_deg is not None and site.wind_steadiness_share is not None
    steady = np.array(site.wind_steadiness_share) if known else np.zeros(12)
    toward = np.radians(np.array(site.wind_from_deg) + 180.0) if known else np.zeros(12)
    month = np.tile(MONTH_OF_HOUR, years)
    gust = np.sqrt(2.0 / np.pi * np.maximum(1.0 - steady**2, 0.01)) * mean
    kept = parameters()["wind_kept"]
    east, north = (
        (steady * mean * part)[month] + gust[month] * with_memory(rng, month.size, kept)
        for part in (np.sin(toward), np.cos(toward))
    )
    speed = np.hypot(east, north)
    scale = mean * np.bincount(month) / np.maximum(np.bincount(month, speed), 1e-9)
    return speed * scale[month], np.degrees(np.arctan2(-east, -north)) % 360.0 if known else None


def _checked(weather: HourlyWeather, site: SiteWeather) -> HourlyWeather:
    """The series, once its monthly values are found to be those asked for."""
    found = monthly_climate(weather)
    climate = site.climate
    pairs = [
        ("temperature_c", found.climate.temperature_c, climate.temperature_c, 1e-6),
        ("relative_humidity_pct", found.climate.relative_humidity_pct, climate.relative_humidity_pct, 1e-6),
    ]
    if climate.rain_mm is not None and found.climate.rain_mm is not None:
        pairs.append(("rain_mm", found.climate.rain_mm, climate.rain_mm, 1e-6))
    for name, made, asked, within in pairs:
        off = float(np.abs(np.array(made) - np.array(asked)).max())
        if off <= within:
            continue
        if name == "relative_humidity_pct":
            raise InputError(
                Problem(f"climate.{name}", max(asked), "is a monthly mean that no hourly series can have.")
            )
        raise TableError(f"the weather generator missed {name} by {off:g}")
    return weather
