"""Potential along a wet path against its closed forms, and against another solver."""

from itertools import combinations

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from longhold.metal.electrolyte import film, wet_wood
from longhold.metal.mixed_potential import free_potential_v
from longhold.metal.polarization import cathode_of_metal, curve_of_metal
from longhold.metal.profile import potential_along
from longhold.metal.reach import reach_m


@pytest.mark.parametrize("length", [0.05, 0.3, 2.0])
@pytest.mark.parametrize("resistance", [0.2, 5.0])
def test_linear_polarization_gives_a_hyperbolic_cosine(length, resistance):
    """E - E_0 falls as cosh((l - x) / s) / cosh(l / s), s = sqrt(k h R): the textbook fin."""
    kh, start, free = 1e-3, -0.3, -0.1
    found = potential_along(lambda e: (free - e) / resistance, start, free, kh, length)
    s = np.sqrt(kh * resistance)
    exact = free + (start - free) * np.cosh((length - found.from_m) / s) / np.cosh(length / s)
    assert found.potential_v == pytest.approx(exact, abs=2e-4)
    assert found.current_a_m == pytest.approx((free - start) / resistance * s * np.tanh(length / s), rel=1e-2)


def test_a_limit_that_holds_everywhere_gives_the_parabola_of_the_reach():
    """u'' = L / (k h), u = u' = 0 at w = sqrt(2 k h dE / L): u = dE (1 - x / w)^2."""
    kh, limit, start, free = 1e-4, 0.4, -0.9, -0.3
    reach = np.sqrt(2 * kh * (free - start) / limit)
    found = potential_along(
        lambda e: limit * np.clip((free - e) / 1e-4, 0.0, 1.0), start, free, kh, 1.5 * reach
    )
    exact = free - (free - start) * np.maximum(1.0 - found.from_m / reach, 0.0) ** 2
    assert found.potential_v == pytest.approx(exact, abs=5e-3)
    assert found.current_a_m == pytest.approx(limit * reach, rel=0.02)


@pytest.mark.parametrize("chloride", [5.0, 300.0])
def test_the_curve_of_stainless_agrees_with_a_collocation_solver(chloride):
    water, curve = film(chloride), curve_of_metal("stainless")
    limit, kh = float(water.oxygen_limit_a_m2), float(water.conductivity_s_m) * float(water.height_m)
    free = float(free_potential_v(curve, limit))

    def net(e):
        return curve.takes_up_a_m2(e, limit) - curve.dissolves_a_m2(e)

    start = free - 0.4
    length = 2.0 * np.sqrt(2 * kh * 0.4 / limit)
    found = potential_along(net, start, free, kh, length)
    other = solve_bvp(
        lambda _, y: np.vstack([y[1], -net(y[0]) / kh]),
        lambda a, b: np.array([a[0] - start, b[1]]),
        found.from_m,
        np.vstack([found.potential_v, np.gradient(found.potential_v, found.from_m)]) * 0.999,
        tol=1e-6,
        max_nodes=20_000,
    )
    assert other.success
    assert found.potential_v == pytest.approx(other.sol(found.from_m)[0], abs=1e-3)
    assert np.all(np.diff(found.potential_v) >= -1e-12)
    assert np.all(np.diff(found.takes_up_a_m2) <= 1e-9)


LESS_NOBLE_FIRST = [*combinations(["zinc", "steel", "copper", "stainless"], 2)]
LESS_NOBLE_FIRST += [("aluminium", nobler) for nobler in ("steel", "copper", "stainless")]


@pytest.mark.parametrize("water", [film(3.0), film(300.0), wet_wood()], ids=["rain", "sea", "wood"])
@pytest.mark.parametrize(("anode", "cathode"), LESS_NOBLE_FIRST)
def test_a_long_path_takes_up_what_its_first_integral_says_and_never_more_than_the_reach(
    water, anode, cathode
):
    """Along an endless path k h E'^2 / 2 is the integral of i over E: its current needs no profile."""
    limit, kh = float(water.oxygen_limit_a_m2), float(water.conductivity_s_m) * float(water.height_m)
    curve = cathode_of_metal(cathode)
    start, free = (float(free_potential_v(one, limit)) for one in (curve_of_metal(anode), curve))

    def net(e):
        return curve.takes_up_a_m2(e, limit) - curve.dissolves_a_m2(e)

    reach = float(reach_m(1.0, kh, free - start, limit))
    between = np.linspace(start, free, 20_001)
    endless = np.sqrt(2.0 * kh * np.trapezoid(net(between), between))
    found = potential_along(net, start, free, kh, 20.0 * reach)
    assert found.current_a_m == pytest.approx(endless, rel=0.03)
    assert endless <= limit * reach
