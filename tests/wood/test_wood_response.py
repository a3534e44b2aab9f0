import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.wood.response import moisture_at_share, moisture_response, rate_sets, temperature_response

MOISTURE = st.floats(0.0, 200.0)


@pytest.mark.parametrize(
    ("rate_set", "moisture", "share"),
    [
        ("early_plateau", 16.0, 0.05),
        ("early_plateau", 22.0, 0.95),
        ("late_plateau", 18.0, 0.05),
        ("late_plateau", 28.0, 0.95),
    ],
)
def test_sets_pass_through_the_anchors_that_define_them(rate_set, moisture, share):
    assert float(moisture_response(moisture, rate_set)) == pytest.approx(share, abs=0.001)


@settings(deadline=None)
@given(MOISTURE, MOISTURE, st.sampled_from(sorted(rate_sets())))
def test_response_rises_with_moisture_and_is_a_share(one, other, rate_set):
    low, high = moisture_response(sorted((one, other)), rate_set)
    assert 0.0 <= low <= high <= 1.0


def test_sets_may_be_drawn():
    names = np.array([["early_plateau"], ["late_plateau"], ["early_plateau"]])
    drawn = moisture_response([15.0, 22.0], names)
    assert drawn.shape == (3, 2)
    for row, name in zip(drawn, names[:, 0], strict=True):
        assert row.tolist() == moisture_response([15.0, 22.0], str(name)).tolist()


def test_unknown_set_and_impossible_moisture_are_refused():
    with pytest.raises(InputError, match="early_plateau, late_plateau"):
        moisture_response(20.0, "S3")
    with pytest.raises(InputError, match="moisture_pct"):
        moisture_response(-1.0, "early_plateau")
    with pytest.raises(InputError, match="moisture_pct"):
        moisture_response(float("nan"), "early_plateau")


def test_no_loss_in_frozen_wood_and_no_further_dependence_unless_asked():
    assert temperature_response([-20.0, -0.01, 0.0, 5.0, 40.0]).tolist() == [0, 0, 1, 1, 1]


@settings(deadline=None)
@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0), st.floats(10.0, 60.0))
def test_warmth_speeds_up_where_an_energy_is_given(one, other, energy):
    cold, warm = temperature_response(sorted((one, other)), energy)
    assert 0.0 < cold <= warm
    assert float(temperature_response(27.0, energy)) == pytest.approx(1.0)


@pytest.mark.parametrize(("energy", "kelvin"), [(25.0, 21.0), (40.0, 13.0)])
def test_the_stated_doubling(energy, kelvin):
    assert float(temperature_response(27.0 + kelvin, energy)) == pytest.approx(2.0, abs=0.08)


def test_an_impossible_energy_is_refused():
    with pytest.raises(InputError, match="activation_energy"):
        temperature_response(20.0, -5.0)


@settings(deadline=None)
@given(st.floats(0.001, 0.999), st.sampled_from(["early_plateau", "late_plateau"]))
def test_moisture_at_a_share_is_the_inverse_of_the_response(share, rate_set):
    assert float(moisture_response(moisture_at_share(share, rate_set), rate_set)) == pytest.approx(share)


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, float("nan")])
def test_a_share_that_is_never_reached_is_refused(share):
    with pytest.raises(InputError, match="share"):
        moisture_at_share(share, "early_plateau")
