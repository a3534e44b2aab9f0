import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.documents.figures import (
    calendar,
    chance,
    figure,
    film,
    loss,
    percent,
    quantity,
    share,
    years,
    years_middle,
)
from longhold.forecast.summary import Band

INF = float("inf")
BUILT = datetime.date(2026, 4, 1)


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (0.0996, 2, "0.10"),
        (9.96, 2, "10"),
        (999.7, 2, "1,000"),
        (-3.21, 2, "−3.2"),
        (0.5, 3, "0.500"),
        (INF, 2, "without limit"),
        (float("nan"), 2, "not known"),
    ],
)
def test_figures_keep_their_digits(value, digits, shown):
    assert figure(value, digits) == shown


@given(st.floats(1e-6, 1e6))
@settings(deadline=None)
def test_a_figure_reads_back_to_its_digits(value):
    assert float(figure(value, 3).replace(",", "")) == pytest.approx(value, rel=0.005)


@pytest.mark.parametrize(
    ("band", "beyond", "shown"),
    [
        (Band(9.4, 12, 15.6), 200, "9 to 16 years"),
        (Band(0.4, 0.7, 0.9), 200, "within a year"),
        (Band(0.4, 0.7, 3.2), 200, "within 3 years, perhaps in the first"),
        (Band(1.04, 1.1, 1.04), 200, "about 1 year"),
        (Band(61, 90, INF), 100, "more than 61 years"),
        (Band(INF, INF, INF), 100, "more than 100 years"),
        (Band(250, 300, 400), 200, "more than 200 years"),
        (Band(1200, 1300, 1400), 1e4, "1,200 to 1,400 years"),
    ],
)
def test_years_in_words(band, beyond, shown):
    assert years(band, beyond) == shown


@given(st.lists(st.floats(0, 1000) | st.just(INF), min_size=3, max_size=3).map(sorted))
@settings(deadline=None)
def test_years_never_promise_more_than_the_early_end(ends):
    told = years(Band(*ends))
    if told.startswith("more than "):
        promised = float(told.removeprefix("more than ").split()[0].replace(",", ""))
        assert promised <= max(ends[0] + 0.5, 0)
    assert "inf" not in told
    assert "nan" not in told


def test_middle_age_past_the_horizon_is_not_invented():
    assert years_middle(Band(9, INF, INF), 100) == "more than 100 years"
    assert years_middle(None) == "not computed"


@pytest.mark.parametrize(
    ("band", "beyond", "shown"),
    [
        (Band(9.0, 12, 15.7), 200, "2035 to 2041"),
        (Band(0.1, 0.2, 0.3), 200, "about 2026"),
        (Band(61, 90, INF), 100, "after 2087"),
        (Band(INF, INF, INF), 100, "after 2126"),
        (None, 100, ""),
    ],
)
def test_calendar_years(band, beyond, shown):
    assert calendar(band, BUILT, beyond) == shown


def test_no_calendar_without_a_build_date():
    assert calendar(Band(1, 2, 3), None) == ""


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0.0, "under 1 %"), (1.0, "over 99 %"), (0.352, "35 %"), (0.0049, "under 1 %"), (None, "not computed")],
)
def test_a_chance_from_draws_is_never_certain(value, shown):
    assert chance(value) == shown


def test_a_share_may_be_whole():
    assert share(1.0) == "100 %"
    assert percent(Band(0.0, 0.41, 0.58)) == "41 % (0 to 58 %)"
    assert percent(Band(0.995, 0.999, 1.0)) == "over 99 % (over 99 to 100 %)"


@pytest.mark.parametrize(
    ("band", "system", "shown"),
    [
        (Band(8, 12, 17), "si", ("12 µm (8 to 17)",)),
        (Band(0.0, 0.0, 15.102), "si", ("0 µm (0 to 15)",)),
        (Band(0.0, 0.0, 0.0), "us", ("0 mil", "0 µm")),
        (Band(25.4, 254.0, 2540.0), "us", ("10 mil (1 to 100)", "254 µm (25 to 2,540)")),
    ],
)
def test_losses_in_both_systems(band, system, shown):
    assert loss(band, system) == shown


@pytest.mark.parametrize(
    ("value", "dimension", "system", "shown"),
    [
        (45.72, "distance_m", "us", "150 ft"),
        (1779.3, "force_n", "us", "400 lb (1,779 N)"),
        (1779.3, "force_n", "si", "1.78 kN"),
        (889.6, "force_n", "si", "890 N"),
        (20.0, "temperature_c", "us", "68 °F"),
        (564.5, "coating_g_m2", "us", "1.85 oz/ft²"),
        (None, "force_n", "us", "not given"),
    ],
)
def test_measures_in_both_systems(value, dimension, system, shown):
    assert quantity(value, dimension, system) == shown


def test_films_in_both_systems():
    assert film(25.4, "us") == "1.0 mil (25 µm)"
    assert film(25.4, "si") == "25 µm"
    assert film(None, "si") == "not given"
