"""Rounding of sites: the rule keeps its limits, and a site's answers lie between those of its rungs."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.portfolio.classes import Limits, classify
from longhold.portfolio.sites import SiteFacts


def invented_sites(count, seed=1):
    rng = np.random.default_rng(seed)
    return [
        SiteFacts(
            temperature_c=rng.uniform(0, 25),
            humidity_pct=rng.uniform(50, 85),
            rain_mm=float(np.exp(rng.uniform(5, 8))),
            swing_c=rng.uniform(5, 30),
            zinc_um=float(np.exp(rng.normal(0, 0.7))),
            apart=("US", bool(rng.random() < 0.3)),
        )
        for _ in range(count)
    ]


@pytest.mark.parametrize(("kinds", "timbers", "limits"), [(20, 8, Limits.usual()), (3, 2, Limits(30, 60))])
def test_no_more_is_computed_than_the_limits_allow(kinds, timbers, limits):
    found = classify(invented_sites(3000), kinds, timbers, limits)
    assert len(found.weather_of) * timbers <= limits.exposures
    assert len(found.rungs) * kinds <= limits.combinations


def test_a_site_lies_between_two_rungs_of_its_own_class():
    facts = invented_sites(800)
    found = classify(facts, 5, 2, Limits.usual())
    air = np.log([one.zinc_um for one in facts])
    low, high = air[found.rungs[found.below]], air[found.rungs[found.above]]
    assert np.all(low <= air + 1e-12)
    assert np.all(air <= high + 1e-12)
    np.testing.assert_allclose((1 - found.share) * low + found.share * high, air)
    assert np.all(found.rung_class[found.below] == found.climate_of)
    assert np.all(found.rung_class[found.above] == found.climate_of)


def test_sites_of_different_sorts_never_share_a_class():
    facts = invented_sites(500)
    found = classify(facts, 5, 2, Limits(4, 20))
    for number in range(len(found.weather_of)):
        sorts = {facts[at].apart for at in np.flatnonzero(found.climate_of == number).tolist()}
        assert len(sorts) == 1


def test_the_narrowest_limits_still_end():
    facts = [one._replace(temperature_c=one.temperature_c - 15.0) for one in invented_sites(200)]
    found = classify(facts, 500, 50, Limits(1, 1))
    assert len(found.weather_of) == 2  # one for each sort of site
    assert len(found.rungs) == 4


def test_a_rung_is_drawn_for_itself():
    found = classify(invented_sites(300), 5, 2, Limits.usual())
    assert np.all(found.share[found.rungs] * (1 - found.share[found.rungs]) == 0.0)
