"""Movement of water in wood against figures, solvers and facts that are not ours.

The facts of decks are a published model's output (abstract read), not measurements. One constant is fitted,
the saturated rate, to Hilo alone; nothing else was chosen looking at the two places. Both have the monthly
normals of the built-in stations: the half-degree grid smooths the rain of Hilo, which lies on the wet side of
steep mountains, to less than the town is known to get.
"""

from __future__ import annotations

import csv
import warnings
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from longhold.air.climates import station, stations
from longhold.air.weather import site_weather
from longhold.air.weather_generator import generate_weather
from longhold.base.marks import Mark
from longhold.model.weather import HourlyWeather
from longhold.validate.wood_decks import in_clusters
from longhold.wood import kernel
from longhold.wood.embedded import saturated_rate_band
from longhold.wood.faces import face_exposure
from longhold.wood.response import activation_energy_band, by_temperature, by_temperature_factor
from longhold.wood.simulation import MoistureCase, simulate, simulate_many
from longhold.wood.transport import WoodSection, bound_water_diffusivity_m2_s
from longhold.wood.treatments import treatment_bands

DATA = Path(__file__).parent / "data"
SETS = ("early_plateau", "late_plateau")
PLACES = ("Phoenix", "Hilo")
BOARD, TOP, LOW = WoodSection(0.0381, 0.51), face_exposure("open_above"), face_exposure("under_cover")
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
    """Diffusivity that grows fourfold from dry to wet; one face held, the other sealed; within 1 %.

    Neither face meets air, so evaporation, and the cooling that comes with it, has no part here.
    """
    assert face_exposure("ground_contact").film_m_s == face_exposure("sealed").film_m_s == 0.0
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


def generated(place, years):
    found = next(one for one in stations() if one.name == place)
    site = site_weather(station(place), found.latitude, found.longitude)
    return generate_weather(site, years, np.random.default_rng(1))


@cache
def decks(set_name):
    """Depth [mm] and loss of steel in ACQ [um/yr] across both decks."""
    air = [generated(place, YEARS) for place in PLACES]
    found = simulate_many([MoistureCase(BOARD, TOP, LOW, weather=i) for i in range(2)], air)
    shares = {name: run.response[set_name] for name, run in zip(PLACES, found, strict=True)}
    rate = saturated_rate_band().median * treatment_bands()["ACQ"].median
    depth = 1000.0 * found[0].depth_m
    for name, share in shares.items():
        at = " ".join(f"{mm:g} mm {rate * np.interp(mm, depth, share):.1f}" for mm in DEPTHS_MM)
        print(
            f"{set_name}, A {rate:.0f}: {name} {rate * share.max():.2f} at {depth[share.argmax()]:.1f}; {at}"
        )
    return depth, {name: rate * share for name, share in shares.items()}


def published(row):
    return next(line for line in rows("wood_open.csv") if line["id"] == row)


def within(row, loss, factor):
    there = float(published(row)["value_low"])
    return there / factor <= loss.max() <= there * factor


@pytest.mark.slow
@pytest.mark.parametrize("set_name", SETS)
def test_w002_the_rate_is_that_of_the_deck_in_rain(set_name):
    """45 um a year within a factor of 1.3: no proof, for the one constant is fitted to it."""
    assert within("W002", decks(set_name)[1]["Hilo"], 1.3)


@pytest.mark.slow
def test_both_laws_of_temperature_give_the_same_loss_in_hilo():
    """The factor on the saturated rate is what this deck asks for, and Phoenix has no part in it."""
    energy = activation_energy_band().median
    case = MoistureCase(BOARD, TOP, LOW)
    (found,) = simulate_many([case], [generated("Hilo", YEARS)], activation_energy_kj_mol=energy)
    for name in SETS:
        ratio = found.response[name].max() / found.response[by_temperature(name)].max()
        assert ratio == pytest.approx(by_temperature_factor(), rel=0.01)


DESERT = (
    "2.9 (early set) and 2.1 um a year (late set), 5 published: a shower of the desert wets a millimeter or "
    "two of wood, which dries within a day; the published model takes in more, or keeps it longer"
)


@pytest.mark.slow
@pytest.mark.xfail(strict=True, reason=DESERT)
@pytest.mark.parametrize("set_name", SETS)
def test_w001_the_same_rate_in_the_desert(set_name):
    """5 um a year within a factor of 1.3, with the rate of the wet deck."""
    assert within("W001", decks(set_name)[1]["Phoenix"], 1.3)


@pytest.mark.slow
@pytest.mark.parametrize(
    "set_name",
    ["early_plateau", pytest.param("late_plateau", marks=pytest.mark.xfail(strict=True, reason=DESERT))],
)
def test_w001_within_a_factor_of_two(set_name):
    assert within("W001", decks(set_name)[1]["Phoenix"], 2.0)


@pytest.mark.slow
@pytest.mark.xfail(
    strict=True,
    reason="8 mm (late set) to 12 mm (early set): wood near the face dries between showers, the wood beneath "
    "does not, and so much rain keeps it beyond where either set is full",
)
@pytest.mark.parametrize("set_name", SETS)
def test_w003_worst_depth_in_rain(set_name):
    depth, loss = decks(set_name)
    least, most = (float(published("W003")[key]) for key in ("value_low", "value_high"))
    assert least <= depth[loss["Hilo"].argmax()] <= most


@pytest.mark.slow
@pytest.mark.parametrize(
    "set_name",
    [
        "early_plateau",
        pytest.param(
            "late_plateau",
            marks=pytest.mark.xfail(
                strict=True, reason="0.8 mm: only the outermost wood gets as wet as this set asks for"
            ),
        ),
    ],
)
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
    reason="four fifths (late set) to all (early set) of the worst loss is left at 20 mm: where the air "
    "itself brings wood to 16 % and it rains on most days, the middle of a board stays above 20 %",
)
@pytest.mark.parametrize("set_name", SETS)
def test_loss_is_confined_to_the_outer_wood_in_rain(set_name):
    depth, loss = decks(set_name)
    upper = (depth > 20.0) & (depth < 30.0)
    assert loss["Hilo"][upper].max() < 0.1 * loss["Hilo"].max()


@pytest.mark.slow
@pytest.mark.parametrize("set_name", SETS)
@pytest.mark.parametrize("place", PLACES)
def test_w005_evenly_spread_rain_is_worse(place, set_name):
    """The same year with its rain moved into every fourth rainy day, hour by hour of the day."""
    air = generated(place, 1)
    clustered = in_clusters(air)
    assert clustered.rain_mm.sum() == pytest.approx(air.rain_mm.sum())
    rainy, left = ((one.rain_mm.reshape(365, 24).sum(1) > 0.0).sum() for one in (air, clustered))
    assert left == -(-rainy // 4)
    cases = [MoistureCase(BOARD, TOP, LOW, weather=i) for i in range(2)]
    even, bursts = (run.response[set_name].max() for run in simulate_many(cases, [air, clustered]))
    print(f"{place}, {set_name}: evenly spread over clustered {even / bursts:.2f}")
    assert even / bursts > float(published("W005")["value_low"])
