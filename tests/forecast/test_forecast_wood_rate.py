from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from longhold.air.climates import station
from longhold.air.weather import site_weather
from longhold.assessment.line import assess
from longhold.base.trace import Trace
from longhold.forecast.causes import Causes, MiddleCauses
from longhold.forecast.wood_rate import (
    TimberFacts,
    WoodContact,
    loss_by_depth_um,
    loss_profile,
    situation_of,
    wood_rate_um,
)
from longhold.forecast.wood_runs import WoodRuns
from longhold.model.surroundings import places
from longhold.wood import kernel
from longhold.wood.simulation import MoistureNotConverged
from longhold.wood.treatments import treatment

pytestmark = pytest.mark.skipif(not kernel.HAS_COMPILER, reason="too long on plain arrays")
CLIMATE = station("Wilmington NC")
TIMBER = TimberFacts("joist", treatment("ACQ-D", "southern pine"), (), 38.1, 0.51)
SHANK = WoodContact(places()["open_to_rain"], TIMBER, False, "above", "shank")


@pytest.fixture(scope="module")
def runs():
    return WoodRuns(site_weather(CLIMATE))


def rate(contact, runs, metal="zinc", causes=None, trace=None):
    return wood_rate_um(metal, contact, CLIMATE, runs, causes or Causes(1, 500), {}, trace)


def at(name, **changed):
    return replace(SHANK, place=places()[name], **changed)


def test_the_situation_follows_place_face_and_trap():
    assert situation_of(SHANK) == "level"
    assert situation_of(replace(SHANK, rain_from="side")) == "upright"
    assert situation_of(replace(SHANK, trapped=True)) == "trapped_level"
    assert situation_of(replace(SHANK, trapped=True, rain_from="side")) == "trapped_upright"
    for trapped in (False, True):
        assert situation_of(at("under_cover", trapped=trapped)) == "covered"
        for name in ("dry_inside", "damp_inside", "ground_contact"):
            assert situation_of(at(name, trapped=trapped)) is None


def test_every_draw_is_a_loss_and_the_wetter_place_loses_more(runs):
    order = [at("dry_inside"), at("under_cover"), replace(SHANK, rain_from="side"), SHANK]
    order += [replace(SHANK, trapped=True), at("ground_contact")]
    medians = []
    for contact in order:
        draws = rate(contact, runs)
        assert draws.shape == (500,)
        assert (draws >= 0.0).all()
        assert np.isfinite(draws).all()
        medians.append(np.median(draws))
    assert medians == sorted(medians)
    assert medians[0] < 0.1 * medians[-1]


def test_a_plate_meets_the_wood_at_the_face_and_no_more_than_a_shank(runs):
    plate = replace(SHANK, contact="zinc_coated_plate")
    causes = MiddleCauses()
    assert 0.0 < rate(plate, runs, causes=causes)[0] < rate(SHANK, runs, causes=causes)[0]


def test_metals_in_one_timber_share_its_moisture(runs):
    causes, shares = Causes(1, 500), {}
    args = (SHANK, CLIMATE, runs, causes, shares)
    steel, zinc = (wood_rate_um(metal, *args) for metal in ("carbon_steel", "zinc"))
    assert len(shares) == 1
    (share,) = shares.values()
    for draws in (steel, zinc):
        assert ((draws / share)[share > 0.0] > 0.0).all()
    assert np.corrcoef(np.log(steel), np.log(zinc))[0, 1] > 0.8


@pytest.mark.parametrize(
    "contact",
    [SHANK, replace(SHANK, contact="zinc_coated_plate"), at("dry_inside"), at("ground_contact")],
    ids=["shank", "plate", "room", "ground"],
)
def test_the_middle_is_traced_and_what_is_traced_is_what_is_told(contact, runs):
    trace = Trace("wood")
    told = rate(contact, runs, causes=MiddleCauses(), trace=trace)
    steps = list(trace.root.steps())
    assert steps[-1].value == pytest.approx(float(told[0]))
    simulated = [step for step in steps if step.what.startswith("moisture hour by hour")]
    assert len(simulated) == (situation_of(contact) is not None)
    for step in simulated:
        assert 0.0 < step.value < 1.0
        assert "% of the year" in step.inputs["hours above 18 %"]


@pytest.mark.parametrize("contact", [SHANK, at("ground_contact")], ids=["weather", "ground"])
def test_half_of_the_draws_follow_the_temperature_and_the_middle_does_not(contact, runs):
    """Wilmington is cooler than Hilo, where both laws agree: 17 against 23 deg C."""
    causes = Causes(1, 4000)
    draws, warm = rate(contact, runs, causes=causes), causes.either("wood_temperature", "structure")
    assert 0.45 < warm.mean() < 0.55
    assert 0.6 < np.median(draws[warm]) / np.median(draws[~warm]) < 0.95
    middle = MiddleCauses()
    assert not middle.either("wood_temperature", "structure")[0]


def test_the_profile_of_a_shank_is_1_at_its_worst_depth(runs):
    depth, relative = loss_profile(SHANK, runs)
    assert depth.shape == relative.shape
    assert 0.9 < relative.max() <= 1.0
    assert (relative > 0.0).all()
    assert [one.tolist() for one in loss_profile(at("ground_contact"), runs)] == [[0.0], [1.0]]


def test_loss_by_depth_is_in_the_same_draws_and_largest_at_what_governs(runs):
    causes = Causes(1, 100)
    depth, loss = loss_by_depth_um("zinc", SHANK, runs, causes)
    assert loss.shape == (100, depth.size)
    assert loss.max(axis=1) == pytest.approx(rate(SHANK, runs, causes=causes))
    assert loss_by_depth_um("zinc", at("ground_contact"), runs, causes) is None


def test_a_moisture_that_is_not_found_refers_the_joint_and_no_other(monkeypatch, small_structure):
    def lost(*_):
        raise MoistureNotConverged(3, 77.0, 0.002)

    monkeypatch.setattr(WoodRuns, "surfaces", lost)
    structure = small_structure(places=("open_to_rain", "dry_inside"))
    findings = {one.joint.id: one for one in assess(structure, draws=200).findings}
    outside, inside = findings["open_to_rain"], findings["dry_inside"]
    assert outside.outcome == "refer"
    assert any("did not converge in hour 77, 2.00 mm deep" in why for why in outside.parts[0].refer)
    assert outside.protection_years is None
    assert not inside.parts[0].refer
    assert inside.protection_years is not None
