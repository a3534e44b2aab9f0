"""Rows about metal in wood are read by the meaning of their columns, and answered or left with a reason."""

import csv

import numpy as np
import pytest

from longhold.air.grid_climate import has_grid
from longhold.base.marks import Mark
from longhold.model.weather import HourlyWeather
from longhold.validate import validate_file
from longhold.validate.area import UnansweredError
from longhold.validate.wood_answers import answer_question
from longhold.validate.wood_area import WOOD
from longhold.validate.wood_decks import in_clusters
from longhold.validate.wood_rows import read_question
from longhold.validate.wood_words import Wood, metals_in, metals_of, retention_in, state_in, wood_in
from longhold.wood import kernel

needs_compiler = pytest.mark.skipif(not kernel.HAS_COMPILER, reason="years on plain arrays take minutes")
ROW = {
    "kind": "order",
    "metal": "carbon steel",
    "coating": "none",
    "wood_treatment": "ACQ",
    "retention": "",
    "condition": "27C 100% RH",
    "duration_yr": "1",
    "quantity": "rate ACQ / rate CCA",
    "value_low": "1.0",
    "value_high": "",
    "unit": "ratio >",
    "compared_with": "same metal in CCA",
}


def validated(tmp_path, *changes, head=None):
    path = tmp_path / "rows.csv"
    rows = [{**ROW, **change} for change in changes]
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, head or list(ROW))
        writer.writeheader()
        writer.writerows(rows)
    return validate_file("wood", path)


def answered(**change):
    return answer_question(read_question({**ROW, **change}))


@pytest.mark.parametrize(
    ("text", "metals"),
    [
        ("hot-dip galvanised", [("zinc", "hot_dip")]),
        ("galvanized", [("zinc", "hot_dip")]),
        ("electrogalvanized steel", [("zinc", "electroplate")]),
        ("EG", [("zinc", "electroplate")]),
        ("zinc-coated (mass n/s)", [("zinc", "hot_dip"), ("zinc", "electroplate")]),
        ("stainless 304/316", [("stainless", "")]),
        ("Al", [("aluminium", "")]),
        ("aluminum", [("aluminium", "")]),
        ("silicon bronze", [("silicon_bronze", "")]),
        ("brass", [("brass", "")]),
        ("copper", [("copper", "")]),
        ("copper azole", []),
        ("micronised copper", []),
        ("mild steel", [("carbon_steel", "")]),
        ("same metal in CCA", []),
    ],
)
def test_metals(text, metals):
    assert metals_in(text) == tuple(metals)


def test_the_coating_is_what_meets_the_wood():
    assert metals_of("steel", "hot-dip galvanised") == (("zinc", "hot_dip"),)
    assert metals_of("screw", "stainless") == (("stainless", ""),)
    assert metals_of("bright nail", "none") == (("carbon_steel", ""),)
    for metal, coating in (("lead", "none"), ("steel", "epoxy"), ("steel", "ceramic over zinc"), ("", "")):
        with pytest.raises(UnansweredError, match="no rate in wood is known"):
            metals_of(metal, coating)


@pytest.mark.parametrize(
    ("text", "preservatives", "modification", "oiled", "species"),
    [
        ("CuAz / ACQ", ("CA-C", "ACQ-D"), None, False, "southern pine"),
        ("CCA radiata pine", ("CCA-C",), None, False, "radiata pine"),
        ("ACA", ("ACZA",), None, False, "southern pine"),
        ("untreated", ("none",), None, False, "southern pine"),
        ("heat-treated (220C, 5 h) spruce", ("none",), "heat_treated", False, "Norway spruce"),
        ("thermally modified + oil oak", ("none",), "heat_treated", True, "white oak"),
        ("acetylated wood", ("none",), "acetylated", False, "southern pine"),
        ("oil-borne copper naphthenate", ("CuN",), None, False, "southern pine"),
        ("MCA-treated ash", ("MCA",), None, False, "white ash"),
    ],
)
def test_timbers(text, preservatives, modification, oiled, species):
    found = wood_in(text, Wood())
    assert (found.preservatives, found.modification, found.oiled) == (preservatives, modification, oiled)
    assert found.species.startswith(species)


def test_a_timber_takes_from_the_other_side_what_its_text_leaves_out():
    oiled = Wood(("none",), "heat_treated", True, "white oak")
    assert wood_in("un-oiled TM wood", oiled) == Wood(("none",), "heat_treated", False, "white oak")
    assert wood_in("same species unmodified", oiled) == Wood(("none",), None, False, "white oak")
    assert wood_in("stainless same wood", oiled) is None
    treated, both = wood_in("preservative-treated pine", oiled), wood_in("untreated and treated wood", oiled)
    assert treated.modification is None
    assert "none" not in treated.preservatives
    assert both.preservatives == ("none", *treated.preservatives)
    with pytest.raises(UnansweredError, match="furfurylated"):
        wood_in("furfurylated pine", oiled)


def test_retention_and_moisture():
    assert retention_in("NZ H3.2") == (None, "UC3B")
    assert retention_in("0.40 pcf")[0] == pytest.approx(6.41, abs=0.01)
    assert retention_in("several") == (None, None)
    assert state_in("19% MC").moisture_pct == 19.0
    assert state_in("100% RH (26.7C memory)").temperature_c == 26.7
    assert state_in("water-saturated").moisture_pct > 30.0
    assert state_in("12% / 19% MC") is None


@pytest.mark.parametrize(
    ("change", "right"),
    [
        ({}, True),
        ({"value_low": "2.5"}, False),
        ({"value_low": "", "value_high": "1.0", "unit": "ratio <"}, False),
        ({"compared_with": "ACQ-D", "quantity": "rate CCA / rate ACQ", "wood_treatment": "CCA"}, False),
        ({"compared_with": "", "quantity": "rate ACQ / rate CCA"}, True),
        # the same rate on both sides is no order
        ({"compared_with": "hot-dip galvanised in same wood", "quantity": "rate steel / rate HDG"}, False),
        (
            {
                "compared_with": "hot-dip galvanised in same wood",
                "quantity": "rate steel / rate HDG",
                "unit": "ratio >=",
            },
            True,
        ),
        ({"metal": "aluminium", "compared_with": "electroplated zinc in same wood"}, False),
        ({"retention": "6.4 kg/m3", "compared_with": "ACQ 2.4 kg/m3"}, True),
        ({"compared_with": "lower retention"}, True),
        ({"compared_with": "higher loading"}, False),
        ({"compared_with": "80% RH"}, True),
        # a row whose sides differ in temperature asks what temperature does: 1.6 to 2.1 in 15 K
        ({"condition": "saturated, 27 C", "compared_with": "saturated, 12 C"}, True),
        ({"condition": "saturated, 12 C", "compared_with": "saturated, 27 C"}, False),
        ({"condition": "saturated, 27 C", "compared_with": "saturated, 12 C", "value_low": "1.8"}, False),
        ({"condition": "saturated, 27 C", "compared_with": "saturated, -5 C"}, None),
        ({"wood_treatment": "western red cedar", "compared_with": "pine"}, True),
        ({"wood_treatment": "CCA western red cedar", "compared_with": "CCA southern pine"}, True),
        ({"kind": "ratio", "value_low": "1.5", "value_high": "2.0"}, True),
        ({"kind": "ratio", "value_low": "2.1", "value_high": "2.2"}, False),
    ],
)
def test_orders_and_ratios_are_right_or_wrong_by_their_own_numbers(tmp_path, change, right):
    (detail,) = validated(tmp_path, change).details
    assert detail.right is right, detail


@pytest.mark.parametrize(
    ("change", "right"),
    [
        ({"metal": "stainless 316", "value_high": "0.5"}, True),
        ({"metal": "stainless 316", "value_high": "0.05"}, False),
        ({"metal": "stainless 316", "value_high": "0.0005", "unit": "mm/yr"}, True),
        ({"metal": "stainless 316", "value_high": "0.5", "unit": "furlong"}, None),
        ({"metal": "mild steel", "value_high": "0.5"}, False),
        ({"metal": "mild steel", "value_high": "0.5", "condition": "10% MC"}, True),
    ],
)
def test_a_rate_near_zero(tmp_path, change, right):
    row = {
        "kind": "zero",
        "quantity": "rate",
        "compared_with": "",
        "value_low": "0",
        "unit": "um/yr",
        **change,
    }
    (detail,) = validated(tmp_path, row).details
    assert detail.right is right, detail


THRESHOLD = {"kind": "threshold", "compared_with": "", "unit": "% MC"}


@pytest.mark.parametrize(
    ("quantity", "value", "right", "met"),
    [
        ("MC above which rate no longer depends on MC", "22", True, "met by early_plateau"),
        ("MC above which rate no longer depends on MC", "28", True, "met by late_plateau"),
        ("MC above which rate no longer depends on MC", "25", False, "met by no parameter set"),
        ("MC to stay below to avoid corrosion", "18", True, "met by late_plateau"),
        ("MC to stay below to avoid corrosion", "12", False, "met by no parameter set"),
        ("MC of something else", "18", None, "not understood"),
        ("RH above which it starts", "80", None, "thresholds are of wood moisture"),
    ],
)
def test_thresholds_are_met_by_a_named_parameter_set(tmp_path, quantity, value, right, met):
    row = {**THRESHOLD, "quantity": quantity, "value_low": value, "value_high": value}
    (detail,) = validated(tmp_path, row).details
    assert detail.right is right
    assert met in detail.why


def test_the_conflict_of_thresholds_is_told(tmp_path):
    plateau = {
        **THRESHOLD,
        "quantity": "MC above which rate no longer depends on MC",
        "value_low": "22",
        "value_high": "22",
    }
    avoid = {
        **THRESHOLD,
        "quantity": "MC to stay below to avoid corrosion",
        "value_low": "18",
        "value_high": "18",
    }
    (both,) = validated(tmp_path, plateau, avoid).tables
    assert "conflict" in both.title
    assert sum("not met" in cell for row in both.rows for cell in row) == 2
    (alone,) = validated(tmp_path, plateau).tables
    assert "early_plateau meets every row" in alone.title


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"quantity": "withdrawal strength ratio", "condition": "rusted nails"}, "not credited by design"),
        (
            {"quantity": "remaining withdrawal", "wood_treatment": "radiata, brown rot"},
            "not modeled: strength lost to decay",
        ),
        ({"quantity": "withdrawal treated / untreated"}, "not modeled"),
        ({"quantity": "pH of extract"}, "not modeled: 'pH of extract'"),
        ({"wood_treatment": "unobtainium"}, "timber 'unobtainium' is not known"),
        ({"metal": "unobtainium"}, "no rate in wood is known for metal"),
        ({"compared_with": "something", "quantity": "rate / rate"}, "compared with is not understood"),
        ({"metal": "brass", "quantity": "rate Al / rate EG"}, "name different metals"),
        (
            {"kind": "sim", "quantity": "depth below surface where loss is largest"},
            "names no one place",
        ),
        (
            {"kind": "sim-order", "quantity": "evenly spread rain / clustered rain"},
            "names no one place",
        ),
        (
            {"kind": "sim", "quantity": "max annual depth", "condition": "deck; Atlantis"},
            "names no one place",
        ),
        (
            {"kind": "sim", "quantity": "max annual depth", "condition": "deck; Hilo HI and Phoenix AZ"},
            "names no one place",
        ),
        (
            {"kind": "sim", "quantity": "color of the rust", "condition": "deck; Hilo HI"},
            "what is asked of a deck is not understood",
        ),
        ({"kind": "qual", "quantity": "corrosion odd (1=yes)"}, "no depth is set"),
        ({"value_low": "", "value_high": ""}, "cannot be read"),
        ({"value_low": "many"}, "cannot be read"),
        (dict.fromkeys(ROW, ""), "not modeled"),
        (dict.fromkeys(ROW, "?%/(["), "not modeled"),
    ],
)
def test_what_cannot_be_answered_is_never_right_and_says_why(tmp_path, change, why):
    result = validated(tmp_path, change)
    assert (result.rows, result.answered, result.right) == (1, 0, 0)
    assert why in result.details[0].why


def test_an_envelope_is_printed_and_not_asserted(tmp_path):
    row = {"kind": "envelope", "quantity": "rate", "compared_with": "", "unit": "um/yr"}
    inside, outside = (
        {**row, "value_low": "40", "value_high": "70"},
        {**row, "value_low": "10", "value_high": "40"},
    )
    result = validated(tmp_path, inside, outside)
    assert [one.right for one in result.details] == [None, None]
    assert all("50 um/yr" in one.got for one in result.details)
    assert result.figures["envelope_inside"] == 1
    assert [row[-1] for row in result.tables[0].rows] == [
        "inside the recalled envelope",
        "outside the recalled envelope",
    ]


DECK = {
    "kind": "sim",
    "metal": "steel/galv fastener",
    "wood_treatment": "solid wood deck",
    "condition": "deck; Hilo HI",
    "quantity": "max annual depth",
    "value_low": "45",
    "value_high": "45",
    "unit": "um",
    "compared_with": "",
}


@needs_compiler
def test_a_simulated_deck_is_right_within_its_factor(tmp_path):
    far = {"value_low": "90", "value_high": "90"}
    near, far = validated(tmp_path, DECK, {**DECK, **far}).details
    assert (near.right, far.right) == (True, False)
    assert "simulated hour by hour" in near.why
    assert "fitted to the published deck in Hilo" in near.why


@needs_compiler
def test_depths_in_a_board_are_told_by_place_and_set(tmp_path):
    worst = {**DECK, "quantity": "depth below surface where loss is largest", "unit": "mm"}
    length = {**worst, "quantity": "length of shank that corrodes"}
    wide = {"value_low": "0", "value_high": "38.1"}
    cities = {"condition": "deck; 9 US cities"}
    details = validated(
        tmp_path,
        {**worst, **wide},
        {**worst, **wide, **cities},
        {**length, **wide, "condition": "deck; Phoenix AZ"},
        {**length, **cities, "value_low": "0", "value_high": "20"},
        {**worst, "unit": "in"},
    ).details
    assert [one.right for one in details] == [True, True, True, False, None]
    assert "Hilo, Hawaii: " in details[0].why
    assert "Phoenix" not in details[0].why
    assert "the decks whose figures are published one by one" in details[1].why
    assert "less than a tenth of the worst loss remains" in details[2].why
    assert "unit 'in' is not mm" in details[4].why


@needs_compiler
def test_spread_rain_against_the_same_rain_in_clusters(tmp_path):
    row = {**DECK, "kind": "sim-order", "quantity": "evenly spread rain / clustered rain", "unit": "ratio >"}
    row |= {"condition": "deck; Phoenix AZ", "value_high": ""}
    worse, far_worse = validated(tmp_path, {**row, "value_low": "1.0"}, {**row, "value_low": "3"}).details
    assert (worse.right, far_worse.right) == (True, False)
    assert "every fourth rainy day" in worse.why


@needs_compiler
def test_sheet_on_the_wood_meets_a_trap_and_years_count():
    shank, plate = (answered(**{**DECK, "metal": metal}) for metal in ("nail", "galvanised hanger"))
    assert plate.high != shank.high
    ten = answered(**{**DECK, "duration_yr": "10"})
    assert ten.high == pytest.approx(10.0 * answered(**DECK).high)
    assert ten.low < 10.0 * answered(**DECK).low


def test_clusters_hold_the_same_rain_on_a_quarter_of_the_days():
    hours = np.zeros(8760)
    rain = np.where(np.arange(8760) % 120 < 3, 1.5, 0.0)
    air = HourlyWeather(
        hours, hours + 50.0, rain, rain > 0.0, None, None, None, "made up", "own", Mark.INVENTED
    )
    found = in_clusters(air)
    daily = found.rain_mm.reshape(365, 24).sum(axis=1)
    assert daily.sum() == pytest.approx(rain.sum())
    assert (daily > 0.0).sum() == 19
    assert daily[0] == pytest.approx(4 * 4.5)
    assert (found.wet == (found.rain_mm > 0.0)).all()


def test_a_flag_follows_the_loss_and_the_time():
    row = {
        "kind": "qual",
        "quantity": "corrosion significant (1=yes)",
        "compared_with": "",
        "condition": "40% MC",
    }
    assert answered(**row).low == 1.0
    assert answered(**row, metal="stainless").high == 0.0
    with pytest.raises(UnansweredError, match="spans 10 um"):
        answered(**{**row, "condition": "19% MC", "duration_yr": "1"})


def test_the_unit_is_not_given_to_the_answer():
    assert "unit" not in WOOD.given


def test_every_figure_of_a_kind_adds_up(tmp_path):
    result = validated(tmp_path, {}, {"value_low": "9"}, {"wood_treatment": "unobtainium"})
    assert result.figures == {"order_rows": 3, "order_answered": 2, "order_right": 1}


# --- moisture of sheltered wood outdoors

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@pytest.mark.skipif(not has_grid(), reason="needs the places package")
def test_a_file_of_stations_is_recognized(tmp_path):
    def station(city, state, moisture):
        return {"city": city, "state": state, **dict.fromkeys(MONTHS, str(moisture))}

    path = tmp_path / "stations.csv"
    rows = [
        station("Phoenix", "AZ", 7.2),
        station("Phoenix", "AZ", 15.0),
        station("Los Angeles", "CA", 13.7),
        station("Atlantis", "XX", 12.0),
        {**station("Burlington", "VT", ""), "jan": ""},
    ]
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    result = validate_file("wood", path)
    assert [one.right for one in result.details] == [True, False, True, None]
    assert (result.rows, result.answered, result.right) == (4, 3, 2)
    assert "position of 'Atlantis' is not known" in result.details[3].why
    assert [one.row for one in result.skipped] == ["5"]
    cold, off, _ = result.tables
    assert cold.rows[0][0] == "Los Angeles CA"
    assert off.rows[0][0] == "Phoenix AZ"
    assert result.figures["stations"] == 3
    assert -4.0 < result.figures["bias_pct_moisture"] < -1.0
