import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.wood import decay


@given(st.floats(0.0, 200.0), st.floats(-40.0, 60.0))
@settings(deadline=None)
def test_a_day_brings_at_most_one_day_and_nothing_in_dry_or_cold_wood(moisture, warm):
    dose = float(decay.daily_dose(moisture, warm))
    assert 0.0 <= dose <= 1.0
    if moisture < 25.0 or warm <= 0.0 or warm >= 40.0:
        assert dose == 0.0


def test_wetter_wood_takes_more_up_to_fifty_per_cent_and_warmer_up_to_thirty_degrees():
    assert np.all(np.diff(decay.moisture_dose(np.linspace(25.0, 50.0, 100))) > 0.0)
    assert np.all(np.diff(decay.temperature_dose(np.linspace(0.1, 30.0, 100))) > 0.0)


@given(st.floats(0.05, 3.95))
@settings(deadline=None)
def test_rating_and_dose_undo_each_other(rating):
    assert float(decay.rating_of_dose(decay.dose_to_rating(rating))) == pytest.approx(rating, rel=1e-9)


def test_the_rating_rises_from_nearly_sound_to_failed():
    rating = decay.rating_of_dose(np.linspace(0.0, 5000.0, 200))
    assert np.all(np.diff(rating) > 0.0)
    assert rating[0] < 0.02
    assert rating[-1] == pytest.approx(4.0, abs=1e-3)


@pytest.mark.parametrize("rating", [0.0, 4.0, -1.0])
def test_a_rating_out_of_range_is_refused(rating):
    with pytest.raises(InputError, match="between 0 and 4"):
        decay.dose_to_rating(rating)


def test_scalars_and_arrays_agree():
    moisture, warm = np.array([20.0, 30.0, 60.0]), np.array([10.0, 20.0, 35.0])
    both = decay.daily_dose(moisture, warm)
    assert both.tolist() == [float(decay.daily_dose(u, t)) for u, t in zip(moisture, warm, strict=True)]
