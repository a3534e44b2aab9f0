"""Movement of water in wood against figures, solvers and facts that are not ours.

The facts of decks are a published model's output (abstract read), not measurements. One constant is fitted,
the saturated rate, to Hilo alone; nothing else was chosen looking at the two places.
"""

from __future__ import annotations

import csv
import warnings
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from longhold.air.grid_climate import climate_at
from longhold.air.weather_generator import generate_weather
from longhold.base.marks import Mark
from longhold.model.weather import HourlyWeather
from longhold.wood import kernel
from longhold.wood.faces import face_exposure
from longhold.wood.simulation import MoistureCase, simulate, simulate_many
from longhold.wood.transport import WoodSection, bound_water_diffusivity_m2_s

DATA = Path(__file__).parent / "data"
SETS = ("early_plateau", "late_plateau")
PLACES = {"Phoenix": (33.43, -112.0), "Hilo": (19.72, -155.06)}
YEARS = 5
DEPTHS_MM = (0.5, 1, 3, 5, 10, 20, 30)
pytestmark = pytest.mark.skipif(not kernel.HAS_COMPILER, reason="years on plain arrays take minutes")


def rows(name):
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows("wood_diffusivity.csv"), ids=lambda row: row["input"])
def test_diffusivity_of_bound_water(row):
    celsius, moisture = (float(part.split("=")[1].strip("C%")) for part in row["input"].split())
    assert float(bound_water_diffusivity_m2_s(moisture, celsius)) == pytest.approx(
        float(row["value"]), rel=5e-4
    )


# --- another solver


@pytest.mark.slow
@pytest.mark.parametrize(("start", "held"), [(10.0, 26.0), (25.0, 8.0)])
def test_bound_water_against_an_independent_solver(start, held):
    """Diffusivity that grows fourfold from dry to wet; one face held, the other sealed; within 1 %."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it still uses names that numpy is about to drop
        import fipy

        cells, thick, gravity = 120, 0.02, 0.5
        mesh = fipy.Grid1D(nx=cells, dx=thick / cells)
        moisture = fipy.CellVariable(mesh=mesh, value=start, hasOld=True)
        moisture.constrain(held, mesh.facesLeft)
        at = moisture.faceValue
        pore = (1.0 - gravity * (0.667 + 0.01 * at)) ** 0.5
        wall = 7e-6 * fipy.numerix.exp(-(38500.0 - 290.0 * at) / (8.314462618 * 293.15))
        equation = fipy.TransientTerm() == fipy.DiffusionTerm(coeff=wall / ((1.0 - pore) * (1.0 - pore**2)))
        theirs = []
        for hour in range(240):
            moisture.updateOld()
            for _ in range(5):
                equation.sweep(var=moisture, dt=3600.0)
            if hour % 48 == 47:
                theirs.append(np.array(moisture.value))
    hours = np.zeros(8760)
    air = HourlyWeather(
        hours + 20.0, hours + 50.0, None, None, None, None, None, "steady", "own", Mark.INVENTED
    )
    ground = face_exposure("ground_contact", held_pct=held, hold_kg_m2_s_pct=1000.0)
    board = WoodSection(thick, gravity, cells=cells, first_cell_m=thick)
    ours = simulate(
        board, ground, face_exposure("sealed"), air, start_pct=start, spin_up_years=0, history_h=48
    ).history_pct[:5]
    for here, there in zip(ours, theirs, strict=True):
        uptake, expected = (here - start).sum(), (there - start).sum()
        print(f"water drawn in, against the other solver: {uptake / expected - 1.0:+.4%}")
        assert uptake == pytest.approx(expected, rel=0.01)
        np.testing.assert_allclose(here - start, there - start, atol=0.01 * abs(held - start))


# --- simulated decks


@cache
def decks(set_name):
    """Depth [mm] and loss [um/yr] of both decks, the rate fitted to Hilo's worst depth alone."""
    board, top, low = WoodSection(0.038, 0.5), face_exposure("open_above"), face_exposure("under_cover")
    air = [generate_weather(climate_at(*at), YEARS, np.random.default_rng(1)) for at in PLACES.values()]
    found = simulate_many([MoistureCase(board, top, low, weather=i) for i in range(2)], air)
    shares = {name: run.response[set_name] for name, run in zip(PLACES, found, strict=True)}
    rate = float(published("W002")["value_low"]) / shares["Hilo"].max()
    depth = 1000.0 * found[0].depth_m
    for name, share in shares.items():
        at = " ".join(f"{mm:g} mm {rate * np.interp(mm, depth, share):.1f}" for mm in DEPTHS_MM)
        print(
            f"{set_name}, A {rate:.0f}: {name} {rate * share.max():.2f} at {depth[share.argmax()]:.1f}; {at}"
        )
    return depth, {name: rate * share for name, share in shares.items()}


def published(row):
    return next(line for line in rows("wood_open.csv") if line["id"] == row)


@pytest.mark.slow
@pytest.mark.parametrize("set_name", SETS)
def test_one_rate_fits_the_desert_and_the_rain(set_name):
    """W001 and W002, 5 and 45 um a year: with the rate of Hilo, Phoenix comes out within a factor of 2."""
    _, loss = decks(set_name)
    there = float(published("W001")["value_low"])
    assert there / 2.0 <= loss["Phoenix"].max() <= there * 2.0


@pytest.mark.slow
@pytest.mark.parametrize(
    "set_name",
    [
        pytest.param(
            "early_plateau",
            marks=pytest.mark.xfail(
                strict=True,
                reason="the worst depth is 6 to 9 mm: wood near the face dries between showers to below the "
                "16 to 20 % where this set starts, the wood beneath does not",
            ),
        ),
        "late_plateau",
    ],
)
def test_w003_worst_depth_in_rain(set_name):
    depth, loss = decks(set_name)
    least, most = (float(published("W003")[key]) for key in ("value_low", "value_high"))
    assert least <= depth[loss["Hilo"].argmax()] <= most


@pytest.mark.slow
@pytest.mark.xfail(
    strict=True, reason="0.8 mm: a shower of the desert wets little more than a millimetre or two of wood"
)
@pytest.mark.parametrize("set_name", SETS)
def test_w003_worst_depth_in_the_desert(set_name):
    depth, loss = decks(set_name)
    least, most = (float(published("W003")[key]) for key in ("value_low", "value_high"))
    assert least <= depth[loss["Phoenix"].argmax()] <= most


@pytest.mark.slow
@pytest.mark.parametrize("set_name", SETS)
def test_loss_is_confined_to_the_outer_wood_in_the_desert(set_name):
    """Confined to the first 7 to 20 mm (abstract): less than a tenth of the worst loss beyond 20 mm."""
    depth, loss = decks(set_name)
    upper = (depth > 20.0) & (depth < 30.0)
    assert loss["Phoenix"][upper].max() < 0.1 * loss["Phoenix"].max()


@pytest.mark.slow
@pytest.mark.xfail(
    strict=True,
    reason="a third (late set) to two thirds (early set) of the worst loss is left at 20 mm: where the air "
    "itself brings wood to 16 % and rain falls on most days, the middle of a board stays near 18 %",
)
@pytest.mark.parametrize("set_name", SETS)
def test_loss_is_confined_to_the_outer_wood_in_rain(set_name):
    depth, loss = decks(set_name)
    upper = (depth > 20.0) & (depth < 30.0)
    assert loss["Hilo"][upper].max() < 0.1 * loss["Hilo"].max()


@pytest.mark.slow
@pytest.mark.parametrize("set_name", SETS)
def test_w005_evenly_spread_rain_is_worse(set_name):
    """The same year of Hilo with its rain moved into every fourth rainy day, four times as much of it."""
    air = generate_weather(climate_at(*PLACES["Hilo"]), 1, np.random.default_rng(1))
    daily = air.rain_mm.reshape(365, 24)
    rainy = np.flatnonzero(daily.sum(1))
    bunched = np.zeros_like(daily)
    for i in range(0, rainy.size, 4):
        bunched[rainy[i]] = daily[rainy[i : i + 4]].sum(0)
    clustered = HourlyWeather(
        air.temperature_c, air.relative_humidity_pct, bunched.ravel(), bunched.ravel() > 0.0, None, None,
        air.sun_w_m2, "bunched", "own", Mark.INVENTED,
    )  # fmt: skip
    board, top, low = WoodSection(0.038, 0.5), face_exposure("open_above"), face_exposure("under_cover")
    cases = [MoistureCase(board, top, low, weather=i) for i in range(2)]
    even, bursts = (run.response[set_name].max() for run in simulate_many(cases, [air, clustered]))
    print(f"{set_name}: evenly spread over clustered {even / bursts:.2f}")
    assert even / bursts > float(published("W005")["value_low"])
