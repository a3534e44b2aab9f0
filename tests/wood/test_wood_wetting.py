import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.wood.wetting import WettingParameters, rain_days_from_rain, wetting_bands


def test_every_figure_has_a_band_and_the_medians_are_the_defaults():
    medians = WettingParameters.medians()
    for name, band in wetting_bands().items():
        assert float(getattr(medians, name)) == band.median
        assert band.p05 < band.median < band.p95


def test_quantiles_meet_the_band_and_stay_in_range():
    far = WettingParameters.at({name: [[-1.645], [1.645], [-30.0], [30.0]] for name in wetting_bands()})
    for name, band in wetting_bands().items():
        values = getattr(far, name)[:, 0]
        assert values[:2] == pytest.approx([band.p05, band.p95], rel=1e-3)
    assert far.trap_factor.min() == 1.0
    assert far.rain_hours_per_day.max() == 24.0


def test_impossible_or_misshapen_figures_are_refused():
    good = {"drying_hours": 18, "rain_hours_per_day": 4, "wet_moisture_pct": 30}
    good |= {"trap_factor": 3, "side_share": 0.4}
    WettingParameters(**good, moisture_offset_pct=0.0)
    for name, value in [("trap_factor", 0.5), ("rain_hours_per_day", 25.0), ("drying_hours", float("nan"))]:
        with pytest.raises(InputError, match=name):
            WettingParameters(**{**good, name: value}, moisture_offset_pct=0.0)
    with pytest.raises(InputError, match="last axis"):
        WettingParameters(**good, moisture_offset_pct=np.zeros(12))
    with pytest.raises(InputError, match="drying_hours"):
        WettingParameters.at({"dryng": 0.0})


def test_estimated_rain_days_rise_with_rain_and_fit_the_month():
    rain = np.linspace(0.0, 2000.0, 200)
    days = rain_days_from_rain(rain, 30.0)
    assert days[0] == 0.0
    assert (np.diff(days) >= 0).all()
    assert days.max() == 30.0
    with pytest.raises(InputError, match="rain_mm"):
        rain_days_from_rain(-1.0, 30.0)
