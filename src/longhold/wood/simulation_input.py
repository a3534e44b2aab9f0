"""Checks what a moisture simulation is given and lays it out as the arrays its loop runs on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml
from longhold.model.weather import HOURS_A_YEAR, HourlyWeather
from longhold.wood.checks import checked
from longhold.wood.faces import FaceExposure
from longhold.wood.radiation import radiation_w_m2
from longhold.wood.simulation_records import MoistureCase
from longhold.wood.sorption import equilibrium_moisture_pct, evaluable_temperature_c
from longhold.wood.transport import liquid_diffusivity_m2_s, most_moisture_pct

__all__ = ["Prepared", "prepare"]

Row = NDArray[np.float64]
_HOUR_S = 3600.0
_MOST_CASES = 100_000


@dataclass(frozen=True)
class Prepared:
    """Arrays of a batch; ``front`` and ``back`` are series of records, ``series`` tells a run's own."""

    front: list[Row]
    back: list[Row]
    series: NDArray[np.int64]
    month: NDArray[np.int64]
    place: Row
    width_m: Row
    store: Row
    link: Row
    par: Row
    law: Row
    sets: Row
    dt: float
    parts: int
    a_year: int
    every: int
    kept: int


def prepare(
    cases: Sequence[MoistureCase],
    weathers: Sequence[HourlyWeather],
    *,
    sets: Mapping[str, tuple[float, float]],
    threshold_pct: float,
    step_s: int,
    spin_up_years: int,
    history_h: int | None,
    activation_energy_kj_mol: float | None = None,
) -> Prepared:
    """The arrays of a batch, or a refusal that tells everything found wrong."""
    hours, parts = _stepping(step_s)
    _check(cases, weathers, sets, threshold_pct, spin_up_years, history_h, hours)
    for number, weather in enumerate(weathers):
        _check_weather(f"weather[{number}]", weather)
    first = cases[0].section
    widths = first.cell_widths_m()
    middles = np.cumsum(widths) - 0.5 * widths
    place = np.concatenate([[0.0], middles / widths.sum(), [1.0]])
    found: dict[tuple[object, ...], int] = {}
    front: list[Row] = []
    back: list[Row] = []
    series = np.zeros(len(cases), dtype=np.int64)
    for i, case in enumerate(cases):
        key = (case.weather, *_air_key(case.front), *_air_key(case.back))
        if key not in found:
            found[key] = len(front)
            weather = weathers[case.weather]
            front.append(_records(case.front, weather, hours, f"cases[{i}].front"))
            is_alike = _air_key(case.back) == _air_key(case.front)
            back.append(front[-1] if is_alike else _records(case.back, weather, hours, f"cases[{i}].back"))
        series[i] = found[key]
    par = np.array([_parameters(case, front[at], back[at]) for case, at in zip(cases, series, strict=True)])
    every = 0 if history_h is None else history_h // hours
    month = weathers[0].months()[::hours].astype(np.int64)
    bare = np.concatenate([[0.0], widths, [0.0]])
    gaps = 1.0 / np.diff(place * widths.sum())
    density = np.array([case.section.dry_density_kg_m3 for case in cases])[:, None] / 100.0
    return Prepared(
        front=front,
        back=back,
        series=series,
        month=month,
        place=place,
        width_m=widths,
        store=density * bare,
        link=density * gaps,
        par=par,
        law=_law(_energy(activation_energy_kj_mol)),
        sets=np.array(list(sets.values()), dtype=float).reshape(-1, 2),
        dt=step_s if parts > 1 else hours * _HOUR_S,
        parts=parts,
        a_year=HOURS_A_YEAR // hours,
        every=every,
        kept=month.size // every if every else 0,
    )


def _stepping(step_s: int) -> tuple[int, int]:
    """Hours of a record, and steps within it."""
    if 300.0 <= step_s <= _HOUR_S and abs(_HOUR_S / step_s - round(_HOUR_S / step_s)) < 1e-9:
        return 1, round(_HOUR_S / step_s)
    if step_s in (2 * _HOUR_S, 3 * _HOUR_S, 4 * _HOUR_S, 6 * _HOUR_S):
        return round(step_s / _HOUR_S), 1
    said = "must be 300 to 3,600 s and divide the hour, or be 7,200, 10,800, 14,400 or 21,600 s."
    raise InputError(Problem("step_s", step_s, said, "Longer steps would miss the rain."))


def _check(
    cases: Sequence[MoistureCase],
    weathers: Sequence[HourlyWeather],
    sets: Mapping[str, tuple[float, float]],
    threshold_pct: float,
    spin_up_years: int,
    history_h: int | None,
    hours: int,
) -> None:
    if not 1 <= len(cases) <= _MOST_CASES:
        raise InputError(Problem("cases", len(cases), f"must be 1 to {_MOST_CASES:,}."))
    if not weathers:
        raise InputError(Problem("weathers", None, "needs at least one year of hourly weather."))
    problems = []
    if len({weather.years for weather in weathers}) > 1:
        problems.append(Problem("weathers", None, "must have equally many years each."))
    shape = {(c.section.thickness_m, c.section.cell_count, c.section.first_cell) for c in cases}
    if len(shape) > 1:
        said = "must share thickness, cells and first cell."
        problems.append(
            Problem("cases", None, said, "Run timbers of other thickness in a batch of their own.")
        )
    if not 0 <= spin_up_years <= 50 or int(spin_up_years) != spin_up_years:
        problems.append(Problem("spin_up_years", spin_up_years, "must be a whole number from 0 to 50."))
    if not 0.0 <= threshold_pct <= 300.0:
        problems.append(Problem("threshold_pct", threshold_pct, "must be a number between 0 and 300 %."))
    if history_h is not None and (history_h < hours or history_h % hours or history_h > HOURS_A_YEAR):
        said = f"must be a multiple of the step, {hours} to {HOURS_A_YEAR:,} hours."
        problems.append(Problem("history_h", history_h, said))
    for name, (steep, half) in sets.items():
        if not (0.0 < steep <= 100.0 and 0.0 <= half <= 300.0):
            said = "needs a steepness of more than 0 to 100 and a half moisture of 0 to 300 %."
            problems.append(Problem(f"responses[{name}]", (steep, half), said))
    problems += [p for i, case in enumerate(cases) for p in _case_problems(i, case, weathers)]
    if problems:
        raise InputError(*problems)


def _case_problems(i: int, case: MoistureCase, weathers: Sequence[HourlyWeather]) -> list[Problem]:
    if not 0 <= case.weather < len(weathers):
        return [Problem(f"cases[{i}].weather", case.weather, f"must be 0 to {len(weathers) - 1}.")]
    problems = []
    most = float(most_moisture_pct(case.section.specific_gravity))
    if case.start_pct is not None and not 0.0 < case.start_pct <= most:
        said = f"must be more than 0 and at most {most:.0f} %, all that wood of this density can hold."
        problems.append(Problem(f"cases[{i}].start_pct", case.start_pct, said))
    for side, face in (("front", case.front), ("back", case.back)):
        if face.hold_kg_m2_s_pct > 0.0 and not face.held_pct <= most:
            said = f"must be at most {most:.0f} %, all that wood of this density can hold."
            problems.append(Problem(f"cases[{i}].{side}.held_pct", face.held_pct, said))
        if face.catch_share > 0.0 and weathers[case.weather].rain_mm is None:
            do = "Draw rain from monthly values, or take a face that catches none."
            problems.append(Problem(f"weather[{case.weather}].rain_mm", None, "is needed by this face.", do))
    return problems


def _check_weather(where: str, weather: HourlyWeather) -> None:
    problems = []
    for name, least, most, unit in (
        ("temperature_c", -95.0, 75.0, "deg C"),
        ("relative_humidity_pct", 0.0, 100.0, "%"),
        ("rain_mm", 0.0, 500.0, "mm in an hour"),
        ("sun_w_m2", 0.0, 2000.0, "W/m2"),
    ):
        series = getattr(weather, name)
        if series is None:
            continue
        bad = np.flatnonzero(~((series >= least) & (series <= most)))
        if bad.size:
            said = f"must be a number between {least:g} and {most:g} {unit} ({bad.size:,} hours are not)."
            at = f"{where}.{name}[{bad[0]}]"
            problems.append(Problem(at, float(series[bad[0]]), said, "Fill gaps before the simulation."))
    if problems:
        raise InputError(*problems)


def _air_key(face: FaceExposure) -> tuple[object, ...]:
    """What tells the air of a face from another's."""
    if face.temperature_c is None or face.relative_humidity_pct is None:
        return (None,)
    return tuple(
        np.asarray(value, dtype=float).tobytes() for value in (face.temperature_c, face.relative_humidity_pct)
    )


def _records(face: FaceExposure, weather: HourlyWeather, hours: int, where: str) -> Row:
    """Per record: air temperature [deg C], vapour pressure [Pa], rain [kg/(m2 s)], sun less sky [W/m2]."""
    law = load_toml("wood/transport.toml")["saturation"]
    size = weather.temperature_c.size
    outdoors = face.temperature_c is None or face.relative_humidity_pct is None
    told = (
        (weather.temperature_c, weather.relative_humidity_pct)
        if face.temperature_c is None or face.relative_humidity_pct is None
        else (face.temperature_c, face.relative_humidity_pct)
    )
    for value in told:
        if np.ndim(value) and np.shape(value) != (size,):
            said = f"needs one figure, or one for each of {size:,} hours."
            raise InputError(Problem(f"{where}.temperature_c, relative_humidity_pct", np.shape(value), said))
    temperature = np.broadcast_to(np.asarray(told[0], dtype=float), (size,))
    humidity = np.broadcast_to(np.asarray(told[1], dtype=float), (size,))
    pressure = humidity / 100.0 * law["e0_pa"] * np.exp(law["a"] * temperature / (law["b_c"] + temperature))
    nothing = np.zeros(size)
    rain = weather.rain_mm / _HOUR_S if weather.rain_mm is not None and outdoors else nothing
    radiation = nothing
    if weather.sun_w_m2 is not None and outdoors:
        radiation = radiation_w_m2(temperature, pressure / 100.0, weather.sun_w_m2, weather.months())
    columns = np.stack([temperature, pressure, rain, radiation], axis=1)
    return np.ascontiguousarray(columns.reshape(-1, hours, 4).mean(axis=1))


def _parameters(case: MoistureCase, front: Row, back: Row) -> list[float]:
    section = case.section
    start = case.start_pct
    if start is None:
        start = 0.5 * (_rest_moisture(case.front, front) + _rest_moisture(case.back, back))
    liquid = liquid_diffusivity_m2_s(section.absorption, section.specific_gravity, section.filled_pct)
    timber = [
        section.dry_density_kg_m3, section.specific_gravity, section.bound_factor, liquid, section.filled_pct,
        section.after_rain, start,
    ]  # fmt: skip
    faces = [
        [
            face.film_m_s, face.catch_share, face.keeps_mm, face.sun_warming_c / 1000.0,
            face.liquid_kg_m2_s_pct, face.hold_kg_m2_s_pct, face.held_pct, face.film_over_coat_m_s,
        ]
        for face in (case.front, case.back)
    ]  # fmt: skip
    return [*timber, *faces[0], *faces[1]]


def _rest_moisture(face: FaceExposure, records: Row) -> float:
    """Rest moisture of the mean climate [%], or the ground's."""
    if face.hold_kg_m2_s_pct > 0.0:
        return face.held_pct
    law = load_toml("wood/transport.toml")["saturation"]
    celsius, pressure = records[:, 0].mean(), records[:, 1].mean()
    full = law["e0_pa"] * np.exp(law["a"] * celsius / (law["b_c"] + celsius))
    fitted_pct = load_toml("wood/sorption.toml")["fitted"]["relative_humidity_pct"]
    humidity = np.clip(100.0 * pressure / full, *fitted_pct)
    return float(equilibrium_moisture_pct(max(celsius, evaluable_temperature_c()[0]), humidity))


def _energy(told: float | None) -> float:
    """Activation energy [J/mol], 0 where none is asked for."""
    if told is None:
        return 0.0
    return 1000.0 * float(checked("activation_energy_kj_mol", told, 0.0, 100.0, "kJ/mol"))


def _law(energy_j_mol: float = 0.0) -> Row:
    from longhold.wood.kernel import GAS, KELVIN

    table, sorption = load_toml("wood/transport.toml"), load_toml("wood/sorption.toml")["celsius"]
    bound, free, full = table["bound_water"], table["free_water"], table["saturation"]
    cooling, reference_c = table["cooling"], load_toml("wood/rate_rules.toml")["arrhenius"]["reference_c"]
    return np.array(
        [
            bound["d0_m2_s"], bound["energy_j_mol"], bound["slope_j_mol_pct"], bound["pore0"], bound["pore1"],
            free["from_pct"], free["blend_pct"], table["frozen"]["below_c"], full["e0_pa"], full["a"],
            full["b_c"], evaluable_temperature_c()[0], cooling["latent_j_kg"] / cooling["heat_w_m2_k"],
            energy_j_mol, 1.0 / (GAS * (reference_c + KELVIN)),
            *sorption["W"], *sorption["K"], *sorption["K1"], *sorption["K2"],
        ]
    )  # fmt: skip
