"""Measured chloride: the wet candle as it is, the dry plate converted, gauze refused."""

from __future__ import annotations

import pytest

from longhold.air.salt_methods import measured_chloride
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace


def test_the_wet_candle_stands_as_measured():
    estimate = measured_chloride(12.0)
    assert (estimate.median, estimate.sd_ln, estimate.mark) == (12.0, 0.1, Mark.VERIFIED)


def test_the_dry_plate_is_converted_with_a_wider_band_and_a_weaker_mark():
    estimate = measured_chloride(12.0, "dry_plate")
    assert estimate.median == pytest.approx(28.8)
    assert estimate.sd_ln > measured_chloride(12.0).sd_ln
    assert estimate.mark is Mark.MEMORY


def test_gauze_is_refused_with_its_reason():
    with pytest.raises(InputError, match="hydrogen chloride"):
        measured_chloride(12.0, "gauze")


@pytest.mark.parametrize(("value", "method"), [(0.0, "wet_candle"), (-1.0, "wet_candle"), (5.0, "spoon")])
def test_what_is_no_measurement_is_refused(value, method):
    with pytest.raises(InputError, match=r"air\.chloride"):
        measured_chloride(value, method)


@pytest.mark.parametrize("method", ["wet_candle", "dry_plate"])
def test_a_measurement_leaves_a_trace(method):
    trace = Trace("air")
    estimate = measured_chloride(7.0, method, trace)
    assert [step.value for step in trace.root.steps()] == [estimate.median]
