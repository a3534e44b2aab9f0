from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.tables import load_toml
from longhold.wood.faces import face_bands
from longhold.wood.radiation import radiation_w_m2, sky_loss_w_m2

celsius = st.floats(-40.0, 50.0)
pressure = st.floats(0.0, 50.0)
share = st.floats(0.0, 1.0)


def test_the_law_worked_by_hand():
    """20 deg C, 10 hPa, a clear day: 418.7 W/m2 times 0.34 - 0.14; half as clear: 0.325 of that."""
    clear, half = (float(sky_loss_w_m2(*(np.array(x) for x in (20.0, 10.0, c)))) for c in (1.0, 0.5))
    assert clear == pytest.approx(418.8 * 0.2, rel=1e-3)
    assert half / clear == pytest.approx(0.325)


@settings(deadline=None)
@given(celsius, pressure, pressure, share, share)
def test_damp_and_cloudy_skies_take_less_and_none_gives(t, wet, dry, cloudy, clear):
    dry, wet = sorted((wet, dry))
    cloudy, clear = sorted((cloudy, clear))
    most, damp, dull = (
        float(sky_loss_w_m2(np.array(t), np.array(p), np.array(c)))
        for p, c in ((dry, clear), (wet, clear), (dry, cloudy))
    )
    assert 0.0 <= damp <= most
    assert 0.0 <= dull <= most < 250.0


def test_what_is_out_of_range_is_refused():
    with pytest.raises(InputError, match="clear_share"):
        sky_loss_w_m2(np.array(10.0), np.array(9.0), np.array(1.2))


def test_a_cloudy_day_is_told_by_its_sun_and_polar_night_counts_as_clear():
    hours, noon = np.full(240, 10.0), np.where(np.arange(240) % 24 == 12, 600.0, 0.0)
    noon[5 * 24 : 6 * 24] *= 0.4
    told = radiation_w_m2(hours, 0.8 * hours, noon, np.zeros(240, dtype=np.int64))
    night = told[::24]
    assert (night < 0.0).all()
    assert night[5] == pytest.approx(night[0] * (1.35 * 0.4 - 0.35))
    dark = radiation_w_m2(hours, 0.8 * hours, 0.0 * noon, np.zeros(240, dtype=np.int64))
    np.testing.assert_allclose(dark, night[0])


def test_the_warming_of_a_face_is_what_it_absorbs_over_what_air_and_sky_take_back():
    """A sixth goes by way of the lower face: 38 mm of wood at 0.13 W/(m K), and 15 W/(m2 K) beneath."""
    table = load_toml("wood/transport.toml")
    back = table["cooling"]["heat_w_m2_k"]
    through = 1.0 / (1.0 / back + 0.038 / 0.13)
    warming = 1000.0 * table["radiation"]["absorbs"] / (back + through)
    assert face_bands("open_above")["sun_warming_c"].median == pytest.approx(warming, abs=0.5)
    assert face_bands("open_side")["sun_warming_c"].median == pytest.approx(warming / 2.0, abs=0.5)
