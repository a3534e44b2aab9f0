import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.wood.sorption import (
    equilibrium_moisture_pct,
    equilibrium_moisture_pct_f,
    evaluable_temperature_c,
    fibre_saturation_pct,
)

TEMPERATURE = st.floats(*evaluable_temperature_c())
HUMIDITY = st.floats(0.0, 100.0)


@settings(deadline=None)
@given(TEMPERATURE, HUMIDITY, HUMIDITY)
def test_moisture_rises_with_humidity_and_stays_below_fibre_saturation(temperature, one, other):
    dry, damp = sorted((one, other))
    low, high = equilibrium_moisture_pct(temperature, np.array([dry, damp]))
    assert 0.0 <= low <= high <= fibre_saturation_pct()
    if damp - dry > 0.01:
        assert low < high


@settings(deadline=None)
@given(st.floats(-1.0, 99.0), HUMIDITY)
def test_both_forms_agree(temperature_c, humidity):
    celsius = float(equilibrium_moisture_pct(temperature_c, humidity))
    fahrenheit = float(equilibrium_moisture_pct_f(32.0 + 1.8 * temperature_c, humidity))
    assert celsius == pytest.approx(fahrenheit, abs=0.15)


def test_scalars_and_arrays_agree():
    temperature, humidity = np.array([[-5.0], [20.0]]), np.array([30.0, 65.0, 99.0])
    together = equilibrium_moisture_pct(temperature, humidity)
    assert together.shape == (2, 3)
    for i, t in enumerate(temperature[:, 0]):
        for j, h in enumerate(humidity):
            assert together[i, j] == equilibrium_moisture_pct(float(t), float(h))


@pytest.mark.parametrize(
    ("temperature", "humidity", "where"),
    [
        (-31.0, 50.0, "temperature_c"),
        (100.0, 50.0, "temperature_c"),
        (20.0, -0.1, "relative_humidity_pct"),
        (20.0, 100.1, "relative_humidity_pct"),
        (float("nan"), 50.0, "temperature_c"),
        (20.0, [50.0, float("nan")], "relative_humidity_pct"),
    ],
)
def test_what_is_out_of_range_is_refused(temperature, humidity, where):
    with pytest.raises(InputError) as caught:
        equilibrium_moisture_pct(temperature, humidity)
    assert caught.value.problems[0].where == where


def test_trace_within_the_fitted_range_keeps_the_mark_of_the_source():
    trace = Trace("wood")
    moisture = equilibrium_moisture_pct(20.0, 65.0, trace=trace)
    (step,) = trace.root.steps()
    assert (step.value, step.unit, step.mark, step.note) == (float(moisture), "%", Mark.VERIFIED, "")
    assert list(step.inputs) == ["T", "RH", "W", "K", "K1", "K2"]


@pytest.mark.parametrize(("temperature", "humidity"), [(-5.0, 50.0), (20.0, 98.0), (20.0, 2.0)])
def test_trace_outside_the_fitted_range_says_so(temperature, humidity):
    trace = Trace("wood")
    equilibrium_moisture_pct(temperature, humidity, trace=trace)
    (step,) = trace.root.steps()
    assert step.mark is Mark.OWN
    assert step.note


def test_arrays_are_not_traced():
    trace = Trace("wood")
    equilibrium_moisture_pct([10.0, 20.0], 50.0, trace=trace)
    assert not list(trace.root.steps())
