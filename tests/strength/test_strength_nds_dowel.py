import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.strength.nds_data import fe_wood_psi
from longhold.strength.nds_dowel import (
    MODES,
    mode_forces_lb,
    mode_names,
    reduction_terms,
    yield_load_lb,
    yield_loads_by_mode_lb,
)

LENGTHS = st.floats(0.03, 8.0)
STRENGTHS = st.floats(500.0, 90_000.0)
DIAMETERS = st.floats(0.05, 1.0)
FYB = st.floats(30_000.0, 130_000.0)
CASES = st.tuples(DIAMETERS, LENGTHS, LENGTHS, STRENGTHS, STRENGTHS, FYB)


def closed_form(d, lm, ls, fem, fes, fyb):
    """The six modes as NDS Table 12.3.1A prints them, without Rd: an independent way to the same forces."""
    re, rt = fem / fes, lm / ls
    k1 = (np.sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3) - re * (1 + rt)) / (1 + re)
    k2 = -1 + np.sqrt(2 * (1 + re) + 2 * fyb * (1 + 2 * re) * d**2 / (3 * fem * lm**2))
    k3 = -1 + np.sqrt(2 * (1 + re) / re + 2 * fyb * (2 + re) * d**2 / (3 * fem * ls**2))
    return np.array(
        [
            d * lm * fem,
            d * ls * fes,
            k1 * d * ls * fes,
            k2 * d * lm * fem / (1 + 2 * re),
            k3 * d * ls * fem / (2 + re),
            d**2 * np.sqrt(2 * fem * fyb / (3 * (1 + re))),
        ]
    )


def forces(d, lm, ls, fem, fes, fyb, **changes):
    arguments = {
        "main_bearing_length_in": lm,
        "side_bearing_length_in": ls,
        "fem_psi": fem,
        "fes_psi": fes,
        "fyb_psi": fyb,
        "bearing_diameter_in": d,
        "hinge_diameter_in": d,
    }
    return mode_forces_lb(**{**arguments, **changes})


@given(CASES)
@settings(deadline=None)
def test_general_form_is_the_closed_form_for_one_diameter(case):
    assert forces(*case) == pytest.approx(closed_form(*case), rel=1e-9)


REAL = itertools.product(
    [0.113, 0.148, 0.371, 0.5], [1.3, 3.5], [0.5, 1.5], [3350.0, 5600.0], [3150.0, 61_850.0], [45e3, 9e4]
)


@pytest.mark.parametrize("case", list(REAL))
def test_general_form_is_the_closed_form_for_real_joints(case):
    assert forces(*case) == pytest.approx(closed_form(*case), rel=1e-9)


def plastic_limit(d, lm, ls, fem, fes, fyb):
    """Least work of any mechanism with at most one hinge in each member, by search from coarse to fine.

    The main member moves by 1 against the side member. Either the dowel stays with one of them, or it turns:
    it crosses the side member's position at depth c and the main member's at depth d, with hinges at depths a
    and b (or none, at the ends), beyond which it is carried along without turning. No yield mode is assumed.
    """
    qs, qm, moment = fes * d, fem * d, fyb * d**3 / 6.0
    best = min(qs * ls, qm * lm)
    for side_hinge, main_hinge in itertools.product([False, True], repeat=2):
        best = min(best, turning_work(qs, qm, moment, ls, lm, side_hinge, main_hinge))
    return best


def turning_work(qs, qm, moment, ls, lm, side_hinge, main_hinge):
    low, high = np.zeros(4), np.array([ls, lm, ls, lm])
    low[:2] = np.where([side_hinge, main_hinge], 0.0, [ls, lm])
    start, end, best = low.copy(), high.copy(), np.inf
    for _ in range(45):
        axes = [
            np.linspace(lo, hi, 9) if hi > lo else np.array([lo]) for lo, hi in zip(low, high, strict=True)
        ]
        a, b, c, d = np.meshgrid(*axes, indexing="ij", sparse=True)
        slope = 1.0 / np.maximum(c + d, 1e-9)
        in_side = area((c - a) * slope, c * slope, a) + np.abs(c - a) * slope * (ls - a)
        in_main = area(-d * slope, (b - d) * slope, b) + np.abs(b - d) * slope * (lm - b)
        work = qs * in_side + qm * in_main + moment * slope * (side_hinge + main_hinge)
        at = np.unravel_index(np.argmin(work), work.shape)
        best = min(best, float(work[at]))
        centre = np.array([axis[i] for axis, i in zip(axes, at, strict=True)])
        half = (high - low) * 0.33
        low, high = np.maximum(centre - half, start), np.minimum(centre + half, end)
    return best


def area(first, last, length):
    """Integral of the magnitude of a straight line between two values over a length."""
    total = np.abs(first) + np.abs(last)
    crossing = (first**2 + last**2) / np.where(total > 0.0, 2.0 * total, 1.0)
    return length * np.where(first * last < 0.0, crossing, total / 2.0)


@pytest.mark.parametrize(
    ("case", "mode"),
    [
        ((0.5, 0.25, 3.5, 3150.0, 5600.0, 45e3), "Im"),
        ((0.75, 3.5, 0.75, 5600.0, 2600.0, 45e3), "Is"),
        ((0.5, 1.5, 1.5, 5600.0, 5600.0, 45e3), "II"),
        ((0.5, 1.5, 3.5, 5600.0, 5600.0, 45e3), "IIIm"),
        ((0.148, 1.33, 0.06, 5550.0, 61_850.0, 90e3), "IIIs"),
        ((0.5, 3.5, 1.5, 5600.0, 3150.0, 45e3), "IIIs"),
        ((0.148, 1.33, 1.5, 5550.0, 5550.0, 90e3), "IV"),
        ((0.371, 4.0, 1.5, 5600.0, 5600.0, 45e3), "IV"),
    ],
)
def test_least_mode_is_the_plastic_limit_load(case, mode):
    force = forces(*case)
    assert MODES[int(np.argmin(force))] == mode
    searched = plastic_limit(*case)
    assert searched >= force.min() * (1.0 - 1e-12)
    assert searched == pytest.approx(force.min(), rel=2e-4)


def test_hinge_alone_gives_the_power_of_one_and_a_half_in_mode_iv():
    new = forces(0.148, 1.3, 1.5, 5550.0, 5550.0, 9e4)[5]
    thin = forces(0.148, 1.3, 1.5, 5550.0, 5550.0, 9e4, hinge_diameter_in=0.074)[5]
    assert thin / new == pytest.approx(0.5**1.5, rel=1e-12)


def test_a_gap_only_takes_away():
    gaps = np.linspace(0.0, 0.5, 11)
    with_gap = forces(0.148, 1.3, 1.5, 5550.0, 5550.0, 9e4, gap_in=gaps)
    assert np.all(np.diff(with_gap[2:], axis=1) < 0.0)


def load(shear="single", **changes):
    arguments = {
        "nominal_diameter_in": 0.5,
        "main_bearing_length_in": 3.5,
        "side_bearing_length_in": 1.5,
        "fem_psi": 5600.0,
        "fes_psi": 5600.0,
        "fyb_psi": 45e3,
    }
    return yield_load_lb(shear=shear, **{**arguments, **changes})


@given(st.floats(0.1, 0.5), st.floats(0.0, 0.2), st.floats(0.0, 0.2), st.sampled_from(["single", "double"]))
@settings(deadline=None)
def test_load_never_rises_as_either_diameter_falls(diameter, bearing_loss, hinge_loss, shear):
    def at(bearing, hinge):
        return float(load(shear, bearing_diameter_in=bearing, hinge_diameter_in=hinge).load_lb)

    left_b, left_h = max(diameter - bearing_loss, 0.0), max(diameter - hinge_loss, 0.0)
    slack = 1.0 + 1e-12
    assert at(left_b, left_h) <= at(diameter, left_h) * slack
    assert at(left_b, left_h) <= at(left_b, diameter) * slack
    assert 0.0 <= at(left_b, left_h) <= at(diameter, diameter) * slack


@pytest.mark.parametrize("theta", [0.0, 90.0])
@pytest.mark.parametrize("diameters", [(0.10, 0.17), (0.1701, 0.2499), (0.25, 1.0)])
def test_load_rises_with_diameter_and_density(diameters, theta):
    # Within one class of Rd and at one Fyb: the standard itself steps down from class to class.
    def at(d, g):
        fe = fe_wood_psi(g, d, theta, rounded=False)
        return float(load(nominal_diameter_in=d, fem_psi=fe, fes_psi=fe, theta_main_deg=theta).load_lb)

    by_diameter = [at(d, 0.5) for d in np.linspace(*diameters, 30)]
    assert np.all(np.diff(by_diameter) > 0.0)
    by_density = [at(diameters[0], g) for g in np.linspace(0.31, 0.73, 30)]
    assert np.all(np.diff(by_density) > 0.0)


@pytest.mark.parametrize("shear", ["single", "double"])
def test_scalar_and_array_are_the_same_numbers(shear):
    rng = np.random.default_rng(7)
    bearing, hinge = rng.uniform(-0.05, 0.5, (40, 3)), rng.uniform(-0.05, 0.5, (40, 3))
    side = rng.uniform(-0.1, 1.5, (40, 1))
    whole = load(shear, bearing_diameter_in=bearing, hinge_diameter_in=hinge, side_bearing_length_in=side)
    assert whole.load_lb.shape == (40, 3)
    for i, j in np.ndindex(40, 3):
        one = load(
            shear,
            bearing_diameter_in=float(bearing[i, j]),
            hinge_diameter_in=float(hinge[i, j]),
            side_bearing_length_in=float(side[i, 0]),
        )
        assert float(one.load_lb) == whole.load_lb[i, j]
        assert int(one.mode_index) == whole.mode_index[i, j]


def test_double_shear_has_neither_ii_nor_iiim_and_counts_two_planes():
    common = {
        "nominal_diameter_in": 0.5,
        "effective_diameter_in": 0.5,
        "main_bearing_length_in": 3.5,
        "side_bearing_length_in": 1.5,
        "fem_psi": 5600.0,
        "fes_psi": 5600.0,
        "fyb_psi": 45e3,
        "bearing_diameter_in": 0.5,
        "hinge_diameter_in": 0.5,
        "theta_deg": 0.0,
    }
    single = yield_loads_by_mode_lb(**common)
    double = yield_loads_by_mode_lb(**common, shear="double")
    assert (double / single).tolist() == [1.0, 2.0, np.inf, np.inf, 2.0, 2.0]


@pytest.mark.parametrize("gone", ["bearing_diameter_in", "hinge_diameter_in", "side_bearing_length_in"])
@pytest.mark.parametrize("value", [0.0, -0.3, -np.inf])
def test_what_is_used_up_carries_nothing(gone, value):
    result = load(**{gone: value})
    assert float(result.load_lb) == 0.0
    assert str(mode_names(result.mode_index)) == "none"


def test_reduction_terms_by_class():
    assert reduction_terms(0.5, 0.5, 45.0) == pytest.approx(np.array([4, 4, 3.6, 3.2, 3.2, 3.2]) * 1.125)
    assert reduction_terms(0.2, 0.2, 90.0) == pytest.approx(np.full(6, 2.5))
    assert reduction_terms(0.19, 0.152) == pytest.approx(np.full(6, 2.2))
    # A 1/4 in lag bears on a root below 1/4 in: K_D of the root, but with the angle.
    assert reduction_terms(0.25, 0.173, 90.0) == pytest.approx(np.full(6, 2.23 * 1.25))


@pytest.mark.parametrize(
    ("nominal", "effective"), [(1.25, 1.25), (0.5, 0.6), (0.5, 0.0), (float("nan"), 0.3)]
)
def test_diameters_outside_the_equations_are_refused(nominal, effective):
    with pytest.raises(InputError, match="up to 1 in"):
        reduction_terms(nominal, effective)
