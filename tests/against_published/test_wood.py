"""Wood room against published figures: moisture, copper, orders and ratios of loss rates.

Rows come from data files that name source and mark. Rows marked verified were read in an abstract, a
handbook page or a page quoting one; none of them is a measured loss rate. The saturated rate is fitted to one
row (W002), and both rate sets and the multipliers were chosen with several of these facts in view: passing
shows agreement with the literature, not power to predict. Decks are simulated, see also test_wood_moisture.
"""

import csv
import re
from pathlib import Path

import numpy as np
import pytest

from longhold.validate import validate_file
from longhold.wood import kernel
from longhold.wood.embedded import (
    coat_bands,
    contact_bands,
    loss_rate_um_yr,
    metal_bands,
)
from longhold.wood.response import moisture_at_share, moisture_response, rate_sets
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


# modified wood, plated zinc: (metal, coat, what the timber is) on both sides
PINE, ASH, OAK, SPRUCE = "southern pine", "white ash", "white oak", "Norway spruce"
HEATED = {"modification": "heat_treated"}
ACETYLATED = {"modification": "acetylated"}
STEEL, HOT_DIP, PLATED = ("carbon_steel", ""), ("zinc", "hot_dip"), ("zinc", "electroplate")
COPPER_TREATED = ("CCA-C", "MCA", "CA-C", "ACQ-D", "ACZA")
TIMBER_ORDERS = [
    ("W017", (PLATED, "ACA", PINE, {}), (HOT_DIP, "ACA", PINE, {})),
    ("W029", (STEEL, "none", ASH, HEATED), (STEEL, "none", ASH, {})),
    ("W030", (HOT_DIP, "none", ASH, HEATED), (STEEL, "none", ASH, HEATED)),
    *(("W032", (STEEL, "none", OAK, HEATED), (STEEL, name, PINE, {})) for name in COPPER_TREATED),
    ("W033", (STEEL, "none", OAK, HEATED), (STEEL, "none", OAK, {})),
    ("W035", (STEEL, "none", OAK, HEATED | {"oiled": True}), (STEEL, "none", OAK, HEATED)),
    ("W036", (STEEL, "none", PINE, ACETYLATED), (STEEL, "ACQ", PINE, {})),
    ("W038", (STEEL, "none", PINE, ACETYLATED), (STEEL, "CCA", PINE, {})),
    ("W039", (HOT_DIP, "none", PINE, ACETYLATED), (HOT_DIP, "ACQ", PINE, {})),
    ("W041", (HOT_DIP, "none", PINE, ACETYLATED), (HOT_DIP, "CCA", PINE, {})),
    ("W042", (STEEL, "none", SPRUCE, HEATED), (STEEL, "none", SPRUCE, {})),
    ("W045", (STEEL, "none", SPRUCE, HEATED), (("stainless", ""), "none", SPRUCE, HEATED)),
]


def _timber_rate(side, rate_set):
    (metal, coat), preservative, species, changed = side
    wood = treatment(preservative, species, **changed)
    acid, finish = wood.species_factor, wood.finish_factor
    return float(
        loss_rate_um_yr(
            metal,
            equilibrium_moisture_pct(27.0, 100.0),
            27.0,
            rate_set=rate_set,
            treatment_multiplier=wood.multiplier_for(metal).median,
            species_factor=acid.median if acid else 1.0,
            finish_factor=finish.median if finish else 1.0,
            coat_factor=coat_bands()[coat].median if coat else 1.0,
        )
    )


@pytest.mark.parametrize("rate_set", SETS)
@pytest.mark.parametrize(
    ("row", "this", "other"), TIMBER_ORDERS, ids=[f"{row}-{other[1]}" for row, _, other in TIMBER_ORDERS]
)
def test_order_of_modified_wood_and_plated_zinc(row, this, other, rate_set):
    _holds(row, _timber_rate(this, rate_set) / _timber_rate(other, rate_set))


@pytest.mark.parametrize("species", [ASH, OAK])
def test_zinc_too_loses_more_in_heat_treated_wood(species):
    """The abstract behind W029 says it of zinc as of steel (verified); no row of the open file does."""
    heated, plain = (
        _timber_rate((HOT_DIP, "none", species, changed), "early_plateau") for changed in (HEATED, {})
    )
    assert heated > plain


@pytest.mark.parametrize(("row", "species"), [("W024", ASH), ("W044", SPRUCE)])
def test_stainless_is_near_zero_in_heat_treated_wood(row, species):
    rate = _timber_rate((("stainless", ""), "none", species, HEATED), "early_plateau")
    assert 0.0 <= rate < float(OPEN[row]["value_high"])


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


THRESHOLDS = [row for row in OPEN.values() if row["kind"] == "threshold" and row["unit"] == "% MC"]
CONFLICT = {
    (
        "22",
        "late_plateau",
    ): "the brief's rows conflict: this set is built on the rule of 18 %, not on the plateau",
    (
        "18",
        "early_plateau",
    ): "the brief's rows conflict: this set is built on the plateau of 22 %, not on the rule",
}


@pytest.mark.parametrize(
    ("row", "rate_set"),
    [
        pytest.param(
            row,
            rate_set,
            id=f"{row['id']}-{rate_set}",
            marks=[pytest.mark.xfail(strict=True, reason=CONFLICT[row["value_low"], rate_set])]
            if (row["value_low"], rate_set) in CONFLICT
            else [],
        )
        for row in THRESHOLDS
        for rate_set in SETS
    ],
)
def test_threshold_by_each_parameter_set(row, rate_set):
    """95 % of the saturated rate where it is said to be reached, or 5 % where loss is said to begin."""
    share = 0.95 if "no longer" in row["quantity"] else 0.05
    assert moisture_at_share(share, rate_set) == pytest.approx(float(row["value_low"]), abs=0.5)


# --- the same rows, handed in as a file


@pytest.fixture(scope="module")
def validated():
    if not kernel.HAS_COMPILER:
        pytest.skip("years on plain arrays take minutes")
    result = validate_file("wood", DATA / "wood_open.csv")
    return result, {detail.row: detail for detail in result.details}


def _of(*kinds):
    return [name for name, row in OPEN.items() if row["kind"] in kinds]


STRENGTH = [
    name
    for name, row in OPEN.items()
    if re.search("withdrawal|strength|capacity", row["quantity"]) and row["kind"] != "order"
]
WRONG = {
    "W001": "2.7 and 1.8 um a year in Phoenix, 5 published, with the rate that gives 45 in Hilo",
    "W003": "8 mm in Hilo, 0.8 and 1.4 mm in Phoenix, 1 to 5 published: see test_wood_moisture",
    "W004": "the whole board in Hilo, whose middle stays above 20 %; 7 to 8 mm in Phoenix",
}
SURVEYS_OF_NO_NAMED_PLACE = ["W059", "W060"]


@pytest.mark.parametrize("row", _of("order"))
def test_order_row_of_the_file(row, validated):
    assert validated[1][row].right is True, validated[1][row]


@pytest.mark.parametrize("row", [name for name in _of("ratio") if name not in STRENGTH])
def test_ratio_row_of_the_file(row, validated):
    assert validated[1][row].right is True, validated[1][row]


@pytest.mark.parametrize("row", _of("zero"))
def test_zero_row_of_the_file(row, validated):
    assert validated[1][row].right is True, validated[1][row]


@pytest.mark.parametrize("row", [row["id"] for row in THRESHOLDS])
def test_threshold_row_of_the_file_is_met_by_one_set_and_not_by_the_other(row, validated):
    result, details = validated
    assert details[row].right is True
    assert sum(name in details[row].why for name in SETS) == 1
    assert any("the rows conflict" in table.title for table in result.tables)


@pytest.mark.parametrize("row", STRENGTH)
def test_strength_row_of_the_file_is_not_answered_with_a_reason(row, validated):
    detail = validated[1][row]
    assert detail.right is None
    assert re.match("not modeled|not credited by design", detail.why)


def _in_the_weather():
    for name in _of("sim", "sim-order", "qual"):
        marks = [pytest.mark.xfail(strict=True, reason=WRONG[name])] if name in WRONG else []
        yield pytest.param(name, marks=marks)


@pytest.mark.parametrize("row", list(_in_the_weather()))
def test_row_of_a_place_in_the_weather(row, validated):
    """Decks within a factor of 1.3; surveys by depths of our own; one of no named place has no answer."""
    detail = validated[1][row]
    if row in SURVEYS_OF_NO_NAMED_PLACE:
        assert detail.right is None
        assert "names no one place" in detail.why
    else:
        assert detail.right is True, detail


@pytest.mark.parametrize("row", _of("envelope"))
def test_envelope_row_of_the_file_is_printed_and_not_asserted(row, validated):
    """Recalled with little confidence: our rates lie above nearly all of them, and are not tuned to them."""
    result, details = validated
    assert details[row].right is None
    assert "um/yr" in details[row].got
    assert sum(len(table.rows) for table in result.tables if "Envelopes" in table.title) == len(
        _of("envelope")
    )


def test_every_row_of_the_file_is_counted_as_what_it_is(validated):
    result, details = validated
    unanswered = {name for name, detail in details.items() if detail.right is None}
    assert unanswered == {*STRENGTH, *_of("envelope"), *SURVEYS_OF_NO_NAMED_PLACE}
    assert {name for name, detail in details.items() if detail.right is False} == set(WRONG)
    assert result.rows == len(OPEN) == 62
    assert result.answered == 62 - len(unanswered)
    assert result.right == result.answered - len(WRONG)


def test_sheltered_wood_outdoors_is_near_the_recalled_moistures(tmp_path):
    """49 stations of the handbook's table 13-1 (memory): yearly means within 1.5 % at four of five."""
    rows = _rows("climate_wood_moisture.csv")
    path = tmp_path / "stations.csv"
    with path.open("w", newline="", encoding="utf-8") as stream:
        head = ["city", "state", *(name for name in rows[0] if name != "station")]
        writer = csv.DictWriter(stream, head)
        writer.writeheader()
        for row in rows:
            city, _, state = row.pop("station").rpartition(" ")
            writer.writerow({"city": city, "state": state, **row})
    result = validate_file("wood", path)
    print(dict(result.figures))
    for table in result.tables:
        print(table.title, *table.rows, sep="\n  ")
    assert result.answered == result.rows == 49
    assert result.figures["yearly_means_within_1.5_pct"] >= 0.80
    assert abs(result.figures["bias_pct_moisture"]) < 0.5
    assert [row[0] for row in result.tables[0].rows] == ["Los Angeles CA"]


def test_metals_of_the_rows_have_a_rate():
    assert set(metal_bands()) >= {
        "carbon_steel",
        "zinc",
        "aluminium",
        "copper",
        "silicon_bronze",
        "stainless",
    }
