import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.wood.surface import design_points, fit_surface

Z = design_points(32, 3)
FINITE = st.floats(-1e3, 1e3)


def logistic(told):
    return 1.0 / (1.0 + np.exp(-told))


@pytest.mark.parametrize("runs", [4, 8, 32, 64])
def test_a_design_is_even_bounded_and_the_same_at_every_call(runs):
    points = design_points(runs, 5)
    assert points.shape == (runs, 5)
    assert np.abs(points).max() <= 2.0
    for column in points.T:
        # one point in each of as many cells of equal probability as there are runs
        ordered = np.sort(column)
        assert (np.diff(ordered[np.abs(ordered) < 2.0]) > 0.0).all()
        assert np.abs(ordered + ordered[::-1]).max() < 1e-9
    np.testing.assert_array_equal(points, design_points(runs, 5))


@pytest.mark.parametrize(("runs", "causes"), [(3, 2), (2, 2), (12, 2), (0, 1), (-8, 1), (8, 0)])
def test_other_designs_are_refused(runs, causes):
    with pytest.raises(InputError, match="power of 2"):
        design_points(runs, causes)


def test_too_few_runs_for_the_causes_are_refused():
    with pytest.raises(InputError, match="at least 11 runs"):
        fit_surface(design_points(8, 3), np.full(8, 0.5))


@settings(deadline=None)
@given(
    st.integers(0, 10**6),
    st.lists(st.lists(FINITE, min_size=3, max_size=3), min_size=1, max_size=6),
)
def test_shares_stay_between_0_and_1_however_far_the_draws(seed, z):
    rng = np.random.default_rng(seed)
    surface = fit_surface(Z, rng.uniform(0.0, 1.0, (32, 4)))
    for noise in (None, np.full(len(z), 3.0), np.full(len(z), -3.0)):
        shares = surface.at(np.array(z), noise)
        assert shares.shape == (len(z), 4)
        assert (shares >= 0.0).all()
        assert (shares <= 1.0).all()


@settings(deadline=None)
@given(st.lists(st.floats(-0.5, 0.5), min_size=7, max_size=7), st.lists(FINITE, min_size=3, max_size=3))
def test_a_surface_of_its_own_kind_is_found_again_and_held_beyond_the_design(coefficients, z):
    a, b, c = coefficients[0], np.array(coefficients[1:4]), np.array(coefficients[4:])
    surface = fit_surface(Z, logistic(a + Z @ b + Z**2 @ c))
    held = np.clip(np.array([z]), -2.0, 2.0)
    assert surface.at(np.array([z])) == pytest.approx(logistic(a + held @ b + held**2 @ c), abs=1e-9)
    assert float(surface.unseen_sd) < 1e-6


@settings(deadline=None)
@given(st.integers(0, 10**6), st.floats(0.0, 0.5))
def test_the_stated_error_is_no_less_than_that_at_the_design_points(seed, rough):
    rng = np.random.default_rng(seed)
    told = 0.5 * Z[:, 0] - Z[:, 1] * Z[:, 2] + rough * rng.standard_normal(32)
    surface = fit_surface(Z, logistic(told))
    seen = surface.at(Z)
    off = np.log(seen / (1.0 - seen)) - told
    assert np.sqrt((off**2).mean()) <= float(surface.unseen_sd) + 1e-12


def test_the_stated_error_is_that_of_refits_without_one_run():
    rng = np.random.default_rng(4)
    told = np.sin(2.0 * Z[:, 0]) - Z[:, 1] + 0.2 * rng.standard_normal(32)
    off = []
    for run in range(32):
        others = np.delete(np.arange(32), run)
        seen = fit_surface(Z[others], logistic(told[others])).at(Z[run : run + 1])[0]
        off.append(np.log(seen / (1.0 - seen)) - told[run])
    assert float(fit_surface(Z, logistic(told)).unseen_sd) == pytest.approx(np.sqrt(np.mean(np.square(off))))


def test_noise_widens_by_the_stated_error():
    rng = np.random.default_rng(5)
    surface = fit_surface(Z, rng.uniform(0.2, 0.8, (32, 2)))
    middle, moved = surface.at(np.zeros((1, 3))), surface.at(np.zeros((1, 3)), np.ones(1))
    ln = np.log(moved / (1 - moved)) - np.log(middle / (1 - middle))
    assert ln[0] == pytest.approx(surface.unseen_sd)


def test_shares_at_the_ends_are_taken_in():
    surface = fit_surface(Z, np.tile([0.0, 1.0], (32, 1)))
    assert surface.at(Z)[:, 0] == pytest.approx(1e-5)
    assert surface.at(Z)[:, 1] == pytest.approx(1.0 - 1e-5)
