"""Settings near a structure: each answers, or refers with its reason; road salt adds to the sea's."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.settings import near_setting, near_settings, road_salt, with_added
from longhold.air.sulphur import sulphur_from_setting
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.base.trace import Trace
from longhold.model.surroundings import Estimate

estimates = st.builds(
    Estimate, st.floats(0.1, 1000.0), st.floats(0.0, 1.5), st.just("x"), st.just("own"), st.just(Mark.OWN)
)


@pytest.mark.parametrize("name", near_settings())
def test_every_setting_says_why_and_has_a_source(name):
    answer = near_setting(name, 2.0)
    assert answer.why
    assert answer.source in register()
    assert answer.computed == (answer.chloride_added is not None or answer.sulphur is not None)


@pytest.mark.parametrize(
    "name", ["salt_water_splash", "outdoor_pool_edge", "indoor_pool_hall", "fertiliser_or_manure_store"]
)
def test_what_no_law_describes_is_referred(name):
    assert not near_setting(name).computed


def test_a_pool_adds_nothing_away_from_its_edge():
    assert not near_setting("outdoor_pool_edge", 3.0).computed
    far = near_setting("outdoor_pool_edge", 3.1)
    assert far.computed
    assert far.chloride_added is None
    assert "nothing is added" in far.why


def test_industry_takes_the_industrial_setting_and_says_when_to_measure():
    answer = near_setting("industrial_sulphur")
    assert answer.sulphur == sulphur_from_setting("industrial")
    assert "measure" in answer.why
    assert near_setting("industrial_sulphur", era="today").sulphur.median < answer.sulphur.median


def test_a_road_needs_its_distance_and_a_known_name():
    with pytest.raises(InputError, match="distance to the road"):
        near_setting("salted_road")
    with pytest.raises(InputError, match="salted_road"):
        near_setting("volcano")
    with pytest.raises(InputError, match="salted_road"):
        road_salt(-1.0)


@settings(deadline=None)
@given(one=st.floats(0.0, 1000.0), other=st.floats(0.0, 1000.0))
def test_road_salt_never_rises_with_distance(one, other):
    near, far = (road_salt(x) for x in sorted((one, other)))
    assert (near.median if near else 0.0) >= (far.median if far else 0.0)


@settings(deadline=None)
@given(first=estimates, second=estimates)
def test_a_sum_keeps_mean_and_variance(first, second):
    both = with_added(first, second)

    def mean(e):
        return e.median * np.exp(e.sd_ln**2 / 2)

    def variance(e):
        return mean(e) ** 2 * np.expm1(e.sd_ln**2)

    assert mean(both) == pytest.approx(mean(first) + mean(second), rel=1e-9)
    assert variance(both) == pytest.approx(variance(first) + variance(second), rel=1e-6, abs=1e-9)
    assert both.sd_ln <= max(first.sd_ln, second.sd_ln) + 1e-9


def test_nothing_added_leaves_the_estimate():
    one = Estimate(10.0, 0.5, "one", "own", Mark.OWN)
    assert with_added(one, None) is one


def test_road_salt_and_the_sum_leave_a_trace():
    trace = Trace("air")
    sea = Estimate(10.0, 0.5, "sea", "own", Mark.OWN)
    both = with_added(sea, road_salt(8.0, trace), trace)
    road, total = trace.root.steps()
    assert (road.value, total.value) == (150.0, both.median)
