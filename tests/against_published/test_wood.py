"""Wood room against published figures: moisture, copper, orders and ratios of loss rates.

Rows come from data files that name source and mark. Rows marked verified were read in an abstract, a
handbook page or a page quoting one; none of them is a measured loss rate. The wetting figures, both rate
sets and the multipliers were chosen with several of these facts in view: passing shows agreement with the
literature, not power to predict.
"""

import csv
import re
from pathlib import Path

import numpy as np
import pytest

from longhold.base.marks import Mark
from longhold.model.surroundings import Climate, places
from longhold.wood.depth import depth_profile
from longhold.wood.embedded import contact_bands, loss_rate_um_yr, metal_bands, yearly_loss_um
from longhold.wood.moisture import moisture_states
from longhold.wood.preservatives import copper_kg_m3, find_preservative
from longhold.wood.response import moisture_response, rate_sets
from longhold.wood.sorption import equilibrium_moisture_pct, equilibrium_moisture_pct_f
from longhold.wood.treatments import treatment, treatment_bands

DATA = Path(__file__).parent / "data"
SETS = ("early_plateau", "late_plateau")


def _rows(name):
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


OPEN = {row["id"]: row for row in _rows("wood_open.csv")}
CHECKS = _rows("wood_checks.csv")


def _celsius(temperature_f):
    return (temperature_f - 32.0) / 1.8


# --- equilibrium moisture


@pytest.fixture(scope="module")
def table_42():
    cells = _rows("wood_emc_table42.csv")
    names = ("temperature_f", "relative_humidity_pct", "moisture_pct")
    return tuple(np.array([float(cell[name]) for cell in cells]) for name in names)


def test_all_342_cells_of_the_handbook_table(table_42):
    """Wood Handbook table 4-2 (verified), printed to 0.1 %: the Celsius form within 0.06 % moisture."""
    temperature_f, humidity, printed = table_42
    assert printed.size == 342
    off = np.abs(equilibrium_moisture_pct(_celsius(temperature_f), humidity) - printed)
    print(f"Celsius form: max {off.max():.3f}, mean {off.mean():.4f} % moisture")
    assert off.max() < 0.06
    assert off.mean() < 0.03


def test_the_fahrenheit_form_agrees_with_the_table_and_with_the_celsius_form(table_42):
    temperature_f, humidity, printed = table_42
    fahrenheit = equilibrium_moisture_pct_f(temperature_f, humidity)
    off = np.abs(fahrenheit - printed)
    print(f"Fahrenheit form: max {off.max():.3f}, mean {off.mean():.4f} % moisture")
    assert off.max() < 0.07
    between = np.abs(fahrenheit - equilibrium_moisture_pct(_celsius(temperature_f), humidity))
    assert between.max() < 0.03


def _emc_checks():
    for row in CHECKS:
        if not row["quantity"].startswith("EMC"):
            continue
        # 97 % lies outside the fitted range, where the curve is steep; the page's humidity may be rounded
        beyond = "RH=97%" in row["input"]
        reason = (
            "known departure: 25.6 here, 25.0 printed, at 97 % humidity, beyond the relation's range of 95 %"
        )
        marks = [pytest.mark.xfail(strict=True, reason=reason)] if beyond else []
        yield pytest.param(row, id=f"{row['quantity']} {row['input']}", marks=marks)


@pytest.mark.parametrize("row", list(_emc_checks()))
def test_published_equilibrium_moisture(row):
    """Single figures on public pages within 0.2 % moisture; handbook cells within 0.06."""
    temperature_f, humidity = (float(n) for n in re.findall(r"([\d.]+)(?:F|%)", row["input"]))
    within = 0.06 if "Table 4-2" in row["quantity"] else 0.2
    computed = float(equilibrium_moisture_pct(_celsius(temperature_f), humidity))
    assert computed == pytest.approx(float(row["value"]), abs=within)


# --- copper


@pytest.mark.parametrize(
    "row", [r for r in CHECKS if r["quantity"] == "Cu in wood"], ids=lambda r: r["input"]
)
def test_copper_in_wood(row):
    """Printed composition times printed retention, worked out apart from this code; to the third figure."""
    name, amount = row["input"].split()
    given = {"use_category": amount} if amount.startswith("UC") else {"retention_kg_m3": float(amount)}
    assert float(copper_kg_m3(find_preservative(name), **given)) == pytest.approx(
        float(row["value"]), abs=0.0015
    )


# --- simulated decks


def _climate(like):
    months = [row for row in _rows("wood_two_climates.csv") if row["like"] == like]
    columns = ("temperature_c", "relative_humidity_pct", "rain_days")
    series = {name: tuple(float(month[name]) for month in months) for name in columns}
    return Climate(**series, rain_mm=None, how="recalled normals", source="own", mark=Mark.OWN)


@pytest.mark.parametrize("rate_set", SETS)
@pytest.mark.parametrize(("row", "like"), [("W001", "Phoenix"), ("W002", "Hilo")])
def test_worst_depth_of_simulated_decks(row, like, rate_set):
    """W001, W002: 5 and 45 um a year (a published model's output, not a measurement), within a factor of 1.3.

    A = 60 um/yr. The wetting figures were chosen looking at this pair, with no figure for either place.
    """
    states = moisture_states(_climate(like), places()["open_to_rain"], trapped=False)
    loss = float(
        yearly_loss_um(
            states, "carbon_steel", rate_set=rate_set, treatment_multiplier=1.0, saturated_rate_um_yr=60.0
        )
    )
    published = float(OPEN[row]["value_low"])
    wet = float(states.wet_share_of_year)
    print(f"{row} {like} {rate_set}: {loss:.1f} um, published {published:g}; wet {wet:.3f} of the year")
    assert published / 1.3 < loss < published * 1.3


def test_w003_loss_is_worst_at_1_to_5_mm():
    least, most = float(OPEN["W003"]["value_low"]), float(OPEN["W003"]["value_high"])
    depth = np.linspace(0.0, 50.0, 501)
    inside = (depth >= least) & (depth <= most)
    assert depth_profile(depth[inside]).min() == depth_profile(depth).max() == 1.0
    assert depth_profile(depth[depth > most + 0.05]).max() < 1.0


def test_w004_loss_is_confined_to_the_first_7_to_20_mm():
    least, most = float(OPEN["W004"]["value_low"]), float(OPEN["W004"]["value_high"])
    depth = np.linspace(0.0, 50.0, 501)
    length = depth[depth_profile(depth) > 0.05].max()
    assert least <= length <= most


def test_w005_evenly_spread_rain_is_worse():
    """W005 on a face that holds water; on a free face both come out equal, a limit of the monthly model."""
    even, crowded = (10.0,) * 12, (0.0,) * 8 + (30.0,) * 4
    loss = {}
    for name, days in (("even", even), ("crowded", crowded)):
        climate = Climate((20.0,) * 12, (60.0,) * 12, None, days, "same days a year", "own", Mark.OWN)
        states = moisture_states(climate, places()["open_to_rain"], trapped=True)
        loss[name] = float(yearly_loss_um(states, "zinc", rate_set="early_plateau", treatment_multiplier=2.0))
    print("W005 ratio", loss["even"] / loss["crowded"])
    assert loss["even"] / loss["crowded"] > float(OPEN["W005"]["value_low"])


# --- orders, ratios, zeros


def _rate(metal, family, rate_set, **terms):
    """Rate in wood at 100 % humidity and 27 deg C, the state of the one-year tests."""
    moisture = equilibrium_moisture_pct(27.0, 100.0)
    multiplier = treatment_bands()[family].median
    return float(
        loss_rate_um_yr(metal, moisture, 27.0, rate_set=rate_set, treatment_multiplier=multiplier, **terms)
    )


def _holds(row, ratio):
    low, high = OPEN[row]["value_low"], OPEN[row]["value_high"]
    print(f"{row}: {ratio:.3g} (published: {low or '-'} to {high or '-'})")
    assert not low or ratio > float(low)
    assert not high or ratio < float(high)


ORDERS = [
    ("W006", ("zinc", "ACQ"), ("zinc", "CCA")),
    ("W008", ("aluminium", "ACQ"), ("aluminium", "CCA")),
    ("W009", ("carbon_steel", "ACQ"), ("carbon_steel", "CCA")),
    ("W011", ("aluminium", "ACQ"), ("zinc", "ACQ")),
    ("W012", ("aluminium", "ACZA"), ("zinc", "ACZA")),  # the row's ACA is the parent of ACZA
    ("W014", ("aluminium", "CCA"), ("zinc", "CCA")),
    ("W015", ("aluminium", "CCA"), ("zinc", "CCA")),
    ("W056", ("carbon_steel", "none"), ("brass", "none")),
    ("W057", ("carbon_steel", "none"), ("aluminium", "none")),
    ("W066", ("carbon_steel", "CCA"), ("carbon_steel", "none")),
]


@pytest.mark.parametrize("rate_set", SETS)
@pytest.mark.parametrize(("row", "this", "other"), ORDERS, ids=[row for row, _, _ in ORDERS])
def test_order(row, this, other, rate_set):
    _holds(row, _rate(*this, rate_set) / _rate(*other, rate_set))


@pytest.mark.parametrize("family", ["CCA", "micronized", "copper azole", "ACQ", "ACZA"])
def test_w066_rust_is_quicker_in_every_copper_treatment(family):
    _holds(
        "W066",
        _rate("carbon_steel", family, "early_plateau") / _rate("carbon_steel", "none", "early_plateau"),
    )


@pytest.mark.parametrize(("row", "metal"), [("W019", "carbon_steel"), ("W020", "zinc")])
def test_acq_against_cca_in_embedded_nails(row, metal):
    """W019, W020: 1.5 to 2, with retentions for outdoors above ground."""
    ratio = []
    for name in ("ACQ-D", "CCA-C"):
        wood = treatment(name, "radiata pine", use_category="UC3B")
        ratio.append(
            _rate(metal, wood.preservative.family, "early_plateau", retention_factor=wood.retention_factor)
        )
    low, high = float(OPEN[row]["value_low"]), float(OPEN[row]["value_high"])
    print(f"{row}: {ratio[0] / ratio[1]:.3f}, without retention {treatment_bands()['ACQ'].median:g}")
    assert low <= ratio[0] / ratio[1] <= high
    assert low <= treatment_bands()["ACQ"].median <= high


def test_w018_acq_against_cca_in_coupon_sandwiches():
    """W018: 1 to 5; the band of a bare plate times the band of ACQ must stay inside and not reach past it."""
    plate, acq = contact_bands()["bare_steel_plate"], treatment_bands()["ACQ"]
    _holds(
        "W018",
        _rate("carbon_steel", "ACQ", "early_plateau", contact_factor=plate.median)
        / _rate("carbon_steel", "CCA", "early_plateau"),
    )
    assert plate.p95 * acq.median <= float(OPEN["W018"]["value_high"])


STAINLESS = [
    ("W021", ("CCA",)),
    ("W023", ("ACQ",)),
    ("W026", ("CCA", "micronized", "copper azole", "ACQ", "ACZA")),
    ("W027", ("none",)),
    ("W081", tuple(treatment_bands())),
]


@pytest.mark.parametrize("rate_set", SETS)
@pytest.mark.parametrize(("row", "families"), STAINLESS, ids=[row for row, _ in STAINLESS])
def test_stainless_is_near_zero(row, families, rate_set):
    """Also at the largest retention factor. Bounds are ours: sources say 'no corrosion' or 'very well'."""
    for family in families:
        rate = _rate("stainless", family, rate_set, retention_factor=2.0)
        assert 0.0 <= rate < float(OPEN[row]["value_high"])
        assert rate < _rate("aluminium", family, rate_set)


# --- thresholds


@pytest.mark.parametrize("row", ["W047", "W048"])
def test_plateau_from_22_pct(row, capsys):
    """No dependence on moisture above 22 % (CCA radiata pine): one set is built on it, one contradicts it."""
    at = float(OPEN[row]["value_low"])
    shown = {name: float(moisture_response(at, name)) for name in rate_sets()}
    with capsys.disabled():
        print(
            f"\n{row}: share of saturated rate at {at:g} %:",
            {name: round(one, 2) for name, one in shown.items()},
        )
    assert 1.0 - shown["early_plateau"] < 0.06
    assert shown["late_plateau"] < shown["early_plateau"]


@pytest.mark.parametrize("row", ["W050", "W051"])
def test_little_loss_up_to_18_pct(row, capsys):
    """Stay below 18 % to avoid corrosion: late_plateau is built on it, early_plateau contradicts it."""
    at = float(OPEN[row]["value_low"])
    shown = {name: float(moisture_response(at, name)) for name in rate_sets()}
    with capsys.disabled():
        print(
            f"\n{row}: share of saturated rate at {at:g} %:",
            {name: round(one, 2) for name, one in shown.items()},
        )
    assert shown["late_plateau"] < 0.06
    assert shown["early_plateau"] < 0.5


def test_every_row_of_the_data_is_used():
    used = {row for row, *_ in ORDERS} | {row for row, _ in STAINLESS}
    used |= {"W001", "W002", "W003", "W004", "W005", "W018", "W019", "W020", "W047", "W048", "W050", "W051"}
    assert used == set(OPEN)
    assert set(metal_bands()) >= {
        "carbon_steel",
        "zinc",
        "aluminium",
        "copper",
        "silicon_bronze",
        "stainless",
    }
