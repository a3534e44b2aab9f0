"""Salt and sulphur: estimates fall with distance, say where they come from, refuse what cannot be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.salt import chloride_from_distance, onshore_factor, shore_factor
from longhold.air.sulphur import deposition_from_concentration, sulphur_from_setting
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace

distances = st.floats(0.0, 2e6)
shores = st.sampled_from(["surf", "sheltered", "not_told"])


@settings(deadline=None)
@given(shore=shores, one=distances, other=distances)
def test_chloride_never_rises_with_distance(shore, one, other):
    near, far = sorted((one, other))
    assert chloride_from_distance(near, shore).median >= chloride_from_distance(far, shore).median * (
        1 - 1e-12
    )


@settings(deadline=None)
@given(distance=distances)
def test_surf_is_never_milder_than_shelter_and_a_told_shore_never_narrows_the_band(distance):
    surf, untold, sheltered = (chloride_from_distance(distance, s) for s in ("surf", "not_told", "sheltered"))
    assert surf.median >= untold.median >= sheltered.median > 0
    assert min(surf.sd_ln, sheltered.sd_ln) >= untold.sd_ln


def test_the_ends_are_held_and_said():
    nearest, beach = chloride_from_distance(0.0), chloride_from_distance(10.0)
    assert nearest.median == beach.median
    assert "held at the value for 10 m" in nearest.how
    assert "held" not in beach.how
    assert chloride_from_distance(3e6).median == chloride_from_distance(9e5).median
    assert chloride_from_distance(3e6).how == (
        "estimated from 3,000 km (1,864 miles) to salt water, held at the value for 900 km (559 miles)"
    )


def test_the_shore_factor_is_off_unless_told_and_said_when_on():
    assert shore_factor(50.0, "not_told") == 1.0
    assert "not stated" in chloride_from_distance(50.0).how
    assert "shore" not in chloride_from_distance(20_000.0).how  # there it makes no difference
    surf = chloride_from_distance(50.0, "surf")
    assert surf.median == pytest.approx(2 * chloride_from_distance(50.0).median)
    assert "our own factor" in surf.how
    assert surf.mark is Mark.OWN


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf")])
def test_an_impossible_distance_is_refused(bad):
    with pytest.raises(InputError, match="distance_to_salt_water"):
        chloride_from_distance(bad)


def test_another_shore_is_refused():
    with pytest.raises(InputError, match="surf, sheltered, not_told"):
        chloride_from_distance(50.0, "cliff")


def test_settings_get_worse_from_countryside_to_industry():
    rural, urban, industrial = (sulphur_from_setting(s).median for s in ("rural", "urban", "industrial"))
    assert rural < urban < industrial
    assert rural < sulphur_from_setting(None).median < urban


@pytest.mark.parametrize("setting", ["rural", "urban", "industrial", None])
def test_a_setting_says_that_air_is_cleaner_today(setting):
    estimate = sulphur_from_setting(setting)
    assert "cleaner" in estimate.how
    assert estimate.mark is Mark.OWN
    assert 0.5 < estimate.sd_ln < 1.5


def test_the_band_of_rural_air_is_that_of_the_stations():
    rural = sulphur_from_setting("rural")
    assert np.exp(2 * 1.28155 * rural.sd_ln) == pytest.approx(14 / 1.1, rel=1e-3)


def test_another_setting_and_a_negative_concentration_are_refused():
    with pytest.raises(InputError, match="rural, urban or industrial"):
        sulphur_from_setting("marine")
    with pytest.raises(InputError, match="sulphur_dioxide_ug_m3"):
        deposition_from_concentration(-1.0)


def test_estimates_leave_a_trace():
    trace = Trace("air")
    salt, sulphur = chloride_from_distance(250.0, "surf", trace), sulphur_from_setting("urban", trace)
    first, second = trace.root.steps()
    assert (first.value, second.value) == (salt.median, sulphur.median)
    n = {symbol: float(text.split()[0]) for symbol, text in first.inputs.items()}
    assert np.exp(n["a"] + n["n"] * np.log(n["x"])) * n["s"] == pytest.approx(salt.median)


@settings(deadline=None)
@given(distance=distances, value=st.floats(0.01, 500.0))
def test_the_salt_field_scales_chloride_within_its_range_and_narrows_the_band(distance, value):
    known, unknown = chloride_from_distance(distance, sea_salt_value=value), chloride_from_distance(distance)
    held = min(max(value, 7.71), 76.68)
    at_pivot = chloride_from_distance(distance, sea_salt_value=30.0)
    assert known.median == pytest.approx(at_pivot.median * held / 30.0)
    assert known.sd_ln < unknown.sd_ln
    assert ("the end of the stations" in known.how) == (held != value)


@settings(deadline=None)
@given(distance=distances, share=st.floats(0.0, 1.0))
def test_onshore_wind_moves_chloride_by_no_more_than_its_factor_and_widens_the_band(distance, share):
    told, untold = chloride_from_distance(distance, onshore_share=share), chloride_from_distance(distance)
    factor = onshore_factor(distance, share)
    assert 0.5 <= factor <= 2.0
    assert told.median == pytest.approx(untold.median * factor)
    assert told.sd_ln == pytest.approx(np.hypot(untold.sd_ln, np.log(factor)))


def test_what_is_untold_is_off():
    assert onshore_factor(50.0, None) == shore_factor(50.0, "not_told") == 1.0
    assert onshore_factor(20_000.0, 1.0) == 1.0


@pytest.mark.parametrize("bad", [{"sea_salt_value": 0.0}, {"sea_salt_value": -1.0}, {"onshore_share": 1.1}])
def test_impossible_extras_are_refused(bad):
    with pytest.raises(InputError, match=next(iter(bad))):
        chloride_from_distance(50.0, **bad)


def test_the_trace_with_a_salt_field_gives_the_value_again():
    trace = Trace("air")
    salt = chloride_from_distance(250.0, trace=trace, sea_salt_value=45.0)
    (step,) = trace.root.steps()
    n = {symbol: float(text.split()[0]) for symbol, text in step.inputs.items()}
    again = np.exp(n["a"] + n["n"] * np.log(n["x"]) + np.log(n["m"] / n["m0"])) * n["s"]
    assert again == pytest.approx(salt.median)


@pytest.mark.parametrize("setting", ["rural", "urban", "industrial", None])
def test_air_is_cleaner_today_in_every_setting(setting):
    then, now = sulphur_from_setting(setting), sulphur_from_setting(setting, era="today")
    assert now.median < then.median
    assert "recent years" in now.how


def test_another_era_is_refused():
    with pytest.raises(InputError, match="era"):
        sulphur_from_setting("rural", era="tomorrow")
