import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.wood.sorption import equilibrium_moisture_pct
from longhold.wood.wetting import (
    WettingParameters,
    humidity_shift_pct,
    rain_from_rain_days,
    wetting_bands,
)

FIELDS = ("wet_moisture_pct", "moisture_offset_pct")


def test_every_figure_has_a_band_and_the_medians_are_the_defaults():
    medians = WettingParameters.medians()
    assert set(wetting_bands()) == {*FIELDS, "rain_hours_factor"}
    for name, band in wetting_bands().items():
        assert band.p05 < band.median < band.p95
        if name in FIELDS:
            assert float(getattr(medians, name)) == band.median
    assert wetting_bands()["rain_hours_factor"].median == 1.0


def test_quantiles_meet_the_band_and_stay_in_range():
    far = WettingParameters.at({name: [[-1.645], [1.645], [-30.0], [30.0]] for name in FIELDS})
    for name in FIELDS:
        band, values = wetting_bands()[name], getattr(far, name)[:, 0]
        assert values[:2] == pytest.approx([band.p05, band.p95], rel=1e-3)
    assert far.wet_moisture_pct.min() == 20.0
    assert far.moisture_offset_pct.max() == 20.0


def test_impossible_or_misshapen_figures_are_refused():
    for name, value in [("wet_moisture_pct", 500.0), ("moisture_offset_pct", float("nan"))]:
        with pytest.raises(InputError, match=name):
            WettingParameters(**{"wet_moisture_pct": 30.0, "moisture_offset_pct": 0.0, name: value})
    with pytest.raises(InputError, match="last axis"):
        WettingParameters(30.0, np.zeros(12))
    for name in ("wet_moistur", "rain_hours_factor"):
        with pytest.raises(InputError, match="wet_moisture_pct"):
            WettingParameters.at({name: 0.0})


def test_rain_rises_with_the_days_that_it_is_estimated_from():
    rain = rain_from_rain_days(np.linspace(0.0, 31.0, 60))
    assert rain[0] == 0.0
    assert (np.diff(rain) > 0.0).all()
    for days in (-1.0, 32.0, float("nan")):
        with pytest.raises(InputError, match="rain_days"):
            rain_from_rain_days(days)


@settings(deadline=None)
@given(st.floats(-10.0, 35.0), st.floats(30.0, 90.0), st.floats(-1.0, 1.0))
def test_a_shift_of_humidity_moves_the_moisture_by_the_offset(celsius, humidity, offset):
    shifted = humidity + float(humidity_shift_pct(celsius, humidity, offset))
    moved = equilibrium_moisture_pct(celsius, shifted) - equilibrium_moisture_pct(celsius, humidity)
    assert float(moved) == pytest.approx(offset, abs=0.25 * abs(offset) + 1e-9)
