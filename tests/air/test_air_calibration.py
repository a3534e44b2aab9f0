"""The calibrated law: within the data a shift, beyond it none, and more room for error."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.calibration import calibrated_first_year_loss_um, calibration
from longhold.air.dose_response import first_year_loss_um
from longhold.air.metals import METALS
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace

metals = st.sampled_from(METALS)
inside = st.tuples(
    st.floats(-13.6, 18.56), st.floats(58.0, 90.0), st.floats(0.8, 71.0), st.floats(1.0, 183.0)
)
anywhere = st.tuples(
    st.floats(-40.0, 45.0), st.floats(0.0, 100.0), st.floats(0.0, 500.0), st.floats(0.0, 3000.0)
)


@settings(deadline=None)
@given(metal=metals, climate=anywhere)
def test_the_shift_stays_bounded_and_the_band_between_its_two_ends(metal, climate):
    loss = calibrated_first_year_loss_um(metal, *climate)
    salted = first_year_loss_um(metal, *climate[:3], max(climate[3], 1.0))
    assert 0.0 <= loss.weight_share <= 1.0
    assert 0.3 <= loss.sd_ln <= 1.2
    assert salted / 1.5 <= loss.median_um <= salted * 4.0
    assert bool(loss.words) == bool(loss.weight_share < 1.0)


@pytest.mark.parametrize("which", [1, 2, 3], ids=["humidity", "sulphur dioxide", "chloride"])
@settings(deadline=None)
@given(metal=metals, climate=inside, share=st.floats(0.01, 1.0))
def test_loss_rises_within_the_data_with(which, metal, climate, share):
    ends = {1: 90.0, 2: 71.65, 3: 183.5}
    worse = list(climate)
    worse[which] += share * (ends[which] - worse[which])
    low, high = (calibrated_first_year_loss_um(metal, *at) for at in (climate, worse))
    if low.weight_share == high.weight_share == 1.0:
        assert high.median_um >= low.median_um * (1.0 - 1e-12)


@settings(deadline=None)
@given(metal=metals, several=st.lists(anywhere, min_size=1, max_size=5))
def test_numbers_and_arrays_go_through_the_same_function(metal, several):
    together = calibrated_first_year_loss_um(metal, *np.array(several).T)
    for index, climate in enumerate(several):
        alone = calibrated_first_year_loss_um(metal, *climate)
        for name in ("median_um", "sd_ln", "printed_um", "weight_share"):
            assert getattr(together, name)[index] == pytest.approx(float(getattr(alone, name)), rel=1e-12)


@pytest.mark.parametrize("metal", METALS)
@pytest.mark.parametrize(
    "far", [(60.0, 75, 5, 20), (10.0, 25, 5, 20), (10.0, 75, 0.05, 20), (10.0, 75, 5, 6000.0)]
)
def test_far_outside_the_printed_loss_stands_with_the_wider_band(metal, far):
    loss = calibrated_first_year_loss_um(metal, *far)
    middle = calibrated_first_year_loss_um(metal, 8.0, 75, 5, 20)
    assert loss.weight_share == 0.0
    assert float(loss.median_um) == pytest.approx(float(loss.printed_um))
    assert loss.sd_ln > middle.sd_ln
    assert any("measured sites" in words for words in loss.words)


@settings(deadline=None)
@given(metal=metals, chloride=st.floats(0.0, 1.0))
def test_less_than_1_of_chloride_is_taken_as_1(metal, chloride):
    loss, at_one = (calibrated_first_year_loss_um(metal, 0.0, 75, 2.0, x) for x in (chloride, 1.0))
    assert float(loss.median_um) == float(at_one.median_um)
    assert float(loss.printed_um) == pytest.approx(float(first_year_loss_um(metal, 0.0, 75, 2.0, chloride)))


def test_without_shift_the_law_is_the_printed_one():
    none = {name: replace(of, level_ln=0.0) for name, of in calibration().metals.items()}
    plain = replace(calibration(), slope_ratio=0.0, metals=none)
    moved = plain.shifted("zinc", (5.0, 75.0, 2.0, 3.0))
    assert float(moved.median_um) == pytest.approx(float(moved.printed_um))


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("lead", 10, 75, 5, 3), "carbon_steel"),
        (("zinc", 10, 101, 5, 3), "100"),
        (("zinc", 10, 75, -1, 3), "below zero"),
    ],
)
def test_what_is_no_climate_is_refused(arguments, said):
    with pytest.raises(InputError, match=said):
        calibrated_first_year_loss_um(*arguments)


def test_the_trace_holds_the_printed_equation_and_the_shift():
    trace = Trace("air")
    loss = calibrated_first_year_loss_um("zinc", 5.0, 75.0, 2.0, 3.0, trace=trace)
    printed, moved = trace.root.steps()
    assert printed.value == pytest.approx(float(loss.printed_um))
    assert moved.value == pytest.approx(float(loss.median_um))
    assert moved.mark is Mark.OWN
    assert float(moved.inputs["k"]) == pytest.approx(moved.value / printed.value, rel=1e-3)


def test_arrays_leave_no_trace_of_the_shift():
    trace = Trace("air")
    calibrated_first_year_loss_um("zinc", [5.0, 6.0], 75.0, 2.0, 3.0, trace=trace)
    assert list(trace.root.steps()) == []
