"""Rounding of sites: the rule keeps its limits, and a site's answers lie between those of its rungs."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.portfolio.between import shares_between
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


def inputs(facts):
    return np.array(
        [
            (one.temperature_c, one.humidity_pct, np.log(one.rain_mm), one.swing_c, np.log(one.zinc_um))
            for one in facts
        ]
    )


def of_rungs(found, facts):
    """Inputs of every rung: the climate of its class, and the air of its own."""
    own = inputs(facts)
    return np.column_stack([own[found.weather_of[found.rung_class], :4], own[found.rungs, 4]])


def test_a_site_lies_between_rungs_of_its_own_class_where_nothing_is_widened():
    facts = invented_sites(60)
    found = classify(facts, 2, 1, Limits(400, 5000))
    assert found.widened == (1.0, 1.0)
    counts = found.share > 0.0
    own = np.broadcast_to(found.climate_of[:, None], counts.shape)
    assert np.all(found.rung_class[found.stand_ins][counts] == own[counts])
    np.testing.assert_allclose(found.share.sum(axis=1), 1.0)


def test_the_mean_of_the_rungs_has_the_climate_and_the_air_of_the_site():
    facts = invented_sites(800)
    found = classify(facts, 5, 4, Limits.usual())
    assert found.widened[0] > 1.0
    np.testing.assert_allclose(found.share.sum(axis=1), 1.0)
    assert np.all(found.share >= 0.0)
    assert np.all(np.diff(found.share, axis=1) <= 0.0)
    mean = (of_rungs(found, facts)[found.stand_ins] * found.share[..., None]).sum(axis=1)
    alone = of_rungs(found, facts)[found.stand_ins[:, 0]]
    off, off_alone = (np.sqrt(((one - inputs(facts)) ** 2).mean(axis=0)) for one in (mean, alone))
    # the temperature and the swing hardly move a life: they are met less closely
    assert np.all(off[[1, 2, 4]] < 0.5 * off_alone[[1, 2, 4]])
    assert np.all(off < off_alone)


def test_shares_are_those_of_barycentric_coordinates():
    corners = np.array([[0.0, 0.0], [2.0, 0.0], [0.0, 4.0]])
    every = np.arange(3, dtype=np.int32)
    # by hand: 1 - x/2 - y/4, x/2, y/4; outside of the triangle the nearest point of it
    at = np.array([[0.5, 1.0], [2.0, 0.0], [1.0, -3.0]])
    numbers, share = shares_between(at, corners, [every] * 3, nearest=3, pull=1e-6, least=0.01)
    found = np.zeros((3, 3))
    for site in range(3):
        np.add.at(found[site], numbers[site], share[site])
    np.testing.assert_allclose(found, [[0.5, 0.25, 0.25], [0.0, 1.0, 0.0], [0.5, 0.5, 0.0]], atol=1e-4)


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
    own = np.flatnonzero(found.weather_of[found.climate_of[found.rungs]] == found.rungs)
    assert own.size
    assert np.all(found.share[found.rungs[own], 0] == 1.0)
    assert np.all(found.stand_ins[found.rungs[own], 0] == own)
