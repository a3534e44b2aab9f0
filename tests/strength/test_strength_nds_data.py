import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.strength.nds_data import (
    fastener_rules,
    fe_steel_grade_psi,
    fe_steel_psi,
    fe_wood_psi,
    fyb_psi,
    hankinson,
)
from longhold.strength.nds_sizes import (
    lag_screw,
    wood_screw,
    wood_screw_gauge,
)


@pytest.mark.parametrize(("g", "printed"), [(0.50, 4650.0), (0.55, 5550.0), (0.42, 3350.0)])
def test_thin_fasteners_bear_alike_at_any_angle(g, printed):
    assert float(fe_wood_psi(g, 0.148, 0.0)) == float(fe_wood_psi(g, 0.148, 90.0)) == printed


def test_rounding_is_to_the_nearest_fifty():
    exact = fe_wood_psi(np.linspace(0.31, 0.73, 200), 0.131, rounded=False)
    rounded = fe_wood_psi(np.linspace(0.31, 0.73, 200), 0.131)
    assert np.all(np.abs(exact - rounded) <= 25.0)
    assert np.all(rounded % 50.0 == 0.0)


def test_bearing_falls_from_along_to_across_the_grain():
    angles = np.linspace(0.0, 90.0, 19)
    strengths = [float(fe_wood_psi(0.5, 0.5, angle)) for angle in angles]
    assert np.all(np.diff(strengths) < 0.0)
    assert float(hankinson(5600.0, 3150.0, 30.0)) == pytest.approx(5600 * 3150 / (5600 * 0.25 + 3150 * 0.75))


def test_steel_bears_by_forming():
    assert fe_steel_psi(45_000.0, "cold_formed") == 61_875.0
    assert fe_steel_grade_psi("A36") == fe_steel_psi(58_000.0, "hot_rolled")


@pytest.mark.parametrize(
    ("fastener", "diameter", "fyb"),
    [
        ("nail", 0.099, 100e3),
        ("nail", 0.142, 100e3),
        ("nail", 0.148, 90e3),
        ("nail", 0.192, 80e3),
        ("nail", 0.263, 70e3),
        ("nail", 0.375, 45e3),
        ("hardened_nail", 0.120, 130e3),
        ("post_frame_nail", 0.207, 80e3),
        ("wood_screw", 0.138, 100e3),
        ("wood_screw", 0.190, 80e3),
        ("wood_screw", 0.268, 70e3),
        ("lag_screw", 0.25, 70e3),
        ("lag_screw", 0.3125, 60e3),
        ("lag_screw", 0.375, 45e3),
        ("bolt", 1.0, 45e3),
    ],
)
def test_bending_yield_strength(fastener, diameter, fyb):
    assert fyb_psi(fastener, diameter) == fyb


@pytest.mark.parametrize(
    ("fastener", "diameter"), [("nail", 0.09), ("nail", 0.4), ("lag_screw", 0.2), ("bolt", 1.1)]
)
def test_bending_yield_strength_ends_with_its_table(fastener, diameter):
    with pytest.raises(InputError, match="table of bending yield strength"):
        fyb_psi(fastener, diameter)


def test_unknown_fasteners_are_refused_with_the_known_ones():
    with pytest.raises(InputError, match="known are nail"):
        fyb_psi("rivet", 0.2)
    with pytest.raises(InputError, match="must be one of nail"):
        fastener_rules("rivet")


def test_sizes():
    assert (lag_screw(0.25).root_diameter_in, lag_screw(0.25).tip_in) == (0.173, 0.15625)
    assert lag_screw(12.7 / 25.4).root_diameter_in == 0.371
    assert wood_screw(4.83 / 25.4).root_diameter_in == wood_screw_gauge(10).root_diameter_in == 0.152


@pytest.mark.parametrize(
    "ask",
    [
        lambda: lag_screw(0.6),
        lambda: wood_screw(5.0 / 25.4),
        lambda: wood_screw_gauge(11),
    ],
)
def test_unknown_sizes_and_species_are_refused(ask):
    with pytest.raises(InputError):
        ask()


def test_roots_are_thinner_than_shanks_and_rise_with_size():
    for size, diameters in ((lag_screw, [0.25, 0.3125, 0.375, 0.4375, 0.5, 0.625, 0.75, 0.875, 1.0]),):
        roots = [size(d).root_diameter_in for d in diameters]
        assert np.all(np.diff(roots) > 0.0)
        assert all(r < d for r, d in zip(roots, diameters, strict=True))
