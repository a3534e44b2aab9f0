"""Moisture of a timber hour by hour through years of weather, and what a metal in it meets at each depth.

Water moves along one line from the front face to the back face: bound water with a diffusivity that depends
on moisture, temperature and density, free water above some 28 %. Faces exchange vapour with the air through
the sorption relation and draw in rain no faster than it falls and no faster than the wood takes it.
Temperature lies on a straight line between the two faces: a board evens out within minutes. Evaporation cools
a damp face and so slows its own drying; the sun warms a face and the sky cools it.

Left out: hysteresis of sorption, checks that open and let rain in, liquid flow that slows as wood empties,
swelling, dew beyond what wood takes up as vapour, wind by the hour, and moisture moved by a difference of
temperature inside the wood.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError
from longhold.base.extras import lacking
from longhold.base.tables import load_csv, number
from longhold.model.weather import HourlyWeather
from longhold.wood import taken
from longhold.wood.faces import FaceExposure
from longhold.wood.response import by_temperature
from longhold.wood.simulation_input import Prepared, prepare
from longhold.wood.simulation_records import FaceWater, MoistureCase, MoistureNotConverged, MoistureRun
from longhold.wood.transport import WoodSection

__all__ = ["FaceWater", "MoistureCase", "MoistureNotConverged", "MoistureRun", "simulate", "simulate_many"]

Array = NDArray[np.float64]


def simulate(
    section: WoodSection,
    front: FaceExposure,
    back: FaceExposure,
    weather: HourlyWeather,
    *,
    responses: Mapping[str, tuple[float, float]] | None = None,
    threshold_pct: float | None = None,
    step_s: int = 3600,
    spin_up_years: int = 1,
    start_pct: float | None = None,
    history_h: int | None = None,
    activation_energy_kj_mol: float | None = None,
    compiled: bool | None = None,
) -> MoistureRun:
    """Moisture of one timber through whole years of hourly weather.

    Parameters
    ----------
    section, front, back : the timber and what its faces meet
    weather : whole years, hour by hour; rain is needed where a face catches any, sun is left out where absent
    responses : name -> (B [1/%], C [%]) of the moisture response; None takes the room's two sets
    threshold_pct : moisture that hours are counted above [%]; None takes the table's
    step_s : 300 to 21,600 s; divides the hour, or is 2, 3, 4 or 6 hours
    spin_up_years : how often the first year is run before anything is counted, 0 to 50
    start_pct : moisture at the start [%]
    history_h : keep the moisture every so many hours
    activation_energy_kj_mol : also tells each response under the name of ``by_temperature``, times the factor
        of ``response.temperature_response`` with this energy, hour by hour [kJ/mol]; 0 to 100
    compiled : None compiles where numba is installed; False takes plain arrays

    Raises
    ------
    InputError : for what cannot be simulated
    MoistureNotConverged : where a step finds no answer

    >>> from longhold.base.marks import Mark
    >>> from longhold.wood.faces import face_exposure
    >>> hours = np.full(8760, 20.0), np.full(8760, 65.0)
    >>> weather = HourlyWeather(*hours, None, None, None, None, None, "steady", "own", Mark.OWN)
    >>> board, free = WoodSection(0.038, 0.5), face_exposure("under_cover")
    >>> run = simulate(board, free, free, weather, step_s=21600, compiled=False, spin_up_years=0)
    >>> round(float(run.mean_pct[0]), 2), run.balance_error_share < 1e-9
    (12.0, True)
    """
    return simulate_many(
        [MoistureCase(section, front, back, 0, start_pct)],
        [weather],
        responses=responses,
        threshold_pct=threshold_pct,
        step_s=step_s,
        spin_up_years=spin_up_years,
        history_h=history_h,
        activation_energy_kj_mol=activation_energy_kj_mol,
        compiled=compiled,
    )[0]


def simulate_many(
    cases: Sequence[MoistureCase],
    weathers: Sequence[HourlyWeather],
    *,
    responses: Mapping[str, tuple[float, float]] | None = None,
    threshold_pct: float | None = None,
    step_s: int = 3600,
    spin_up_years: int = 1,
    history_h: int | None = None,
    activation_energy_kj_mol: float | None = None,
    compiled: bool | None = None,
    threads: int | None = None,
) -> tuple[MoistureRun, ...]:
    """A batch of cases on one grid; arguments as for ``simulate``, results in the cases' order.

    Parameters
    ----------
    cases : they share thickness, cells and first cell of the section
    weathers : equally many years each; a case tells its own by place
    threads : of the compiled loop; None takes one for each processor

    Raises
    ------
    InputError, MoistureNotConverged : as for ``simulate``; the case is told
    """
    from longhold.wood import kernel

    told = dict(_rate_sets() if responses is None else responses)
    counted_above = taken.threshold_pct() if threshold_pct is None else threshold_pct
    ready = prepare(
        cases,
        weathers,
        sets=told,
        threshold_pct=counted_above,
        step_s=step_s,
        spin_up_years=spin_up_years,
        history_h=history_h,
        activation_energy_kj_mol=activation_energy_kj_mol,
    )
    names = [*told, *map(by_temperature, told if activation_energy_kj_mol is not None else ())]
    if compiled and not kernel.HAS_COMPILER:
        do = "Or leave compiled unsaid."
        raise InputError(lacking("compiled", "fast", value=compiled, otherwise=do))
    out = _Out(ready, len(names))
    if kernel.HAS_COMPILER if compiled is None else compiled:
        _compiled(ready, out, spin_up_years, counted_above, threads)
    else:
        _plain(ready, out, spin_up_years, counted_above)
    return tuple(_result(i, ready, out, tuple(names)) for i in range(len(cases)))


class _Out:
    """Arrays that the loop writes into, run by run."""

    def __init__(self, ready: Prepared, sets: int) -> None:
        runs, cells = ready.par.shape[0], ready.width_m.size
        self.water, self.totals = np.zeros((runs, 2)), np.zeros((runs, 2, 7))
        self.stored = np.zeros((runs, 6))
        self.response, self.above = np.zeros((runs, sets, cells)), np.zeros((runs, cells))
        self.monthly, self.mean = np.zeros((runs, 12, cells)), np.zeros((runs, cells))
        self.history = np.zeros((runs, ready.kept, cells))
        self.failed = np.full((runs, 2), -1, dtype=np.int64)

    def arrays(self) -> tuple[NDArray[Any], ...]:
        """In the order that the loop takes them."""
        return (
            self.water, self.totals, self.stored, self.response, self.above, self.monthly, self.mean,
            self.history, self.failed,
        )  # fmt: skip


def _compiled(ready: Prepared, out: _Out, spin: int, threshold_pct: float, threads: int | None) -> None:
    from longhold.wood import kernel

    def one(run: int) -> None:
        work = np.zeros((24, max(ready.width_m.size + 2, kernel.FACE_SIZE)))
        nodes = ready.width_m.size + 2
        kernel.run_one(
            ready.front[ready.series[run]], ready.back[ready.series[run]], ready.month, ready.place,
            ready.store[run], ready.link[run], ready.par[run], ready.law, ready.sets, threshold_pct,
            ready.dt, ready.parts, ready.a_year, spin, ready.every, work, nodes,
            *(array[run] for array in out.arrays()),
        )  # fmt: skip

    workers = min(ready.par.shape[0], threads or os.cpu_count() or 1)
    if workers == 1:
        for run in range(ready.par.shape[0]):
            one(run)
        return
    one(0)  # compiles in one thread
    with ThreadPoolExecutor(workers) as pool:
        list(pool.map(one, range(1, ready.par.shape[0])))


def _plain(ready: Prepared, out: _Out, spin: int, threshold_pct: float) -> None:
    from longhold.wood.vectorised import run_batch

    with np.errstate(all="ignore"):
        run_batch(
            np.stack(ready.front), np.stack(ready.back), ready.series, ready.month, ready.place, ready.store,
            ready.link, ready.par, ready.law, ready.sets, threshold_pct, ready.dt, ready.parts, ready.a_year,
            spin, ready.every, *out.arrays(),
        )  # fmt: skip


def _result(i: int, ready: Prepared, out: _Out, names: tuple[str, ...]) -> MoistureRun:
    if out.failed[i, 1] >= 0:
        hour = float(out.failed[i, 0]) * ready.dt * ready.parts / 3600.0
        raise MoistureNotConverged(i, hour, float(ready.place[out.failed[i, 1]] * ready.width_m.sum()))
    steps = ready.month.size * ready.parts
    years = ready.month.size / ready.a_year
    in_month = np.bincount(ready.month, minlength=12) * ready.parts
    arrived, taken, run_off, evaporated, condensed, held, dried = out.totals[i].sum(axis=0)
    wood0, wood1, *thin = out.stored[i]
    missed = abs(wood1 - wood0 - taken - held - condensed + evaporated)
    missed += abs(thin[2] + thin[3] - thin[0] - thin[1] - arrived + taken + run_off + dried)
    passed = max(arrived + taken + evaporated + condensed + abs(held), 1e-3 * wood1)
    return MoistureRun(
        depth_m=ready.place[1:-1] * ready.width_m.sum(),
        width_m=ready.width_m,
        response={name: out.response[i, k] / steps for k, name in enumerate(names)},
        share_above=out.above[i] / steps,
        monthly_pct=out.monthly[i] / in_month[:, None],
        mean_pct=out.mean[i] / steps,
        front=_water(out.totals[i, 0] / years),
        back=_water(out.totals[i, 1] / years),
        balance_error_share=float(missed / passed),
        history_pct=out.history[i] if ready.every else None,
        years=ready.month.size // ready.a_year,
    )


def _water(totals: Array) -> FaceWater:
    arrived, taken, run_off, evaporated, condensed, held, dried = (float(x) for x in totals)
    return FaceWater(arrived, taken, run_off, evaporated, dried, condensed, held)


def _rate_sets() -> dict[str, tuple[float, float]]:
    rows = load_csv(
        "wood/rate_sets.csv",
        {"name": str, "steepness_per_pct": number, "half_moisture_pct": number, "words": str},
        key=("name",),
    )
    return {row["name"]: (row["steepness_per_pct"], row["half_moisture_pct"]) for row in rows}
