from dataclasses import replace

import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.model.surroundings import Climate, places
from longhold.wood.moisture import MoistureStates, steady_moisture
from longhold.wood.sorption import fibre_saturation_pct
from longhold.wood.wetting import WettingParameters

MILD = Climate(
    temperature_c=(2, 3, 6, 9, 13, 16, 18, 18, 15, 11, 6, 3),
    relative_humidity_pct=(85, 82, 78, 72, 70, 70, 70, 72, 77, 82, 85, 87),
    rain_mm=(60, 45, 50, 45, 55, 60, 65, 60, 60, 70, 70, 65),
    rain_days=(15, 11, 13, 11, 12, 11, 11, 11, 11, 13, 15, 15),
    how="made up",
    source="own",
    mark=Mark.OWN,
)
FIELDS = ("wet_moisture_pct", "moisture_offset_pct")
STEADY = ("dry_inside", "damp_inside", "ground_contact")


def _states(name, climate=MILD, **given):
    return steady_moisture(climate, places()[name], **given)


@pytest.mark.parametrize("name", STEADY)
def test_every_steady_place_has_states_that_fill_the_year(name):
    states = _states(name)
    assert states.share_of_year.sum() == pytest.approx(1.0, abs=1e-12)
    assert states.moisture_pct.shape == states.temperature_c.shape == states.share_of_year.shape
    assert states.wet.shape == states.moisture_pct.shape[-1:]
    assert np.isfinite(states.moisture_pct).all()
    assert (states.moisture_pct[~states.wet] <= fibre_saturation_pct()).all()


def test_every_other_computed_place_has_no_steady_moisture():
    others = {name for name, place in places().items() if place.computed} - set(STEADY)
    assert others == {"open_to_rain", "under_cover"}
    for name in others:
        with pytest.raises(InputError, match="simulate it"):
            _states(name)


@pytest.mark.parametrize("name", [name for name, place in places().items() if not place.computed])
def test_a_place_that_is_not_computed_is_refused_with_its_reason(name):
    with pytest.raises(InputError) as caught:
        _states(name)
    assert places()[name].why_not in str(caught.value)


def test_ground_contact_is_wet_all_the_year():
    states = _states("ground_contact")
    assert float(states.wet_share_of_year) == pytest.approx(1.0)
    assert (states.moisture_pct >= fibre_saturation_pct()).all()
    low = WettingParameters.at({"wet_moisture_pct": -2.0})
    assert (_states("ground_contact", wetting=low).moisture_pct >= fibre_saturation_pct()).all()


def test_inside_the_climate_of_the_site_does_not_matter():
    tropics = replace(MILD, temperature_c=(28.0,) * 12, relative_humidity_pct=(90.0,) * 12)
    for name in ("dry_inside", "damp_inside"):
        here, there = _states(name), _states(name, tropics)
        assert here.moisture_pct.tolist() == there.moisture_pct.tolist()
        assert any("indoor climate" in line for line in here.assumptions)
    assert _states("dry_inside").moisture_pct.max() < 10.0
    assert 14.0 < _states("damp_inside").moisture_pct.min() < 18.0


def test_a_climate_without_twelve_months_or_with_nonsense_is_refused():
    with pytest.raises(InputError, match="twelve"):
        _states("ground_contact", replace(MILD, temperature_c=(10.0,)))
    with pytest.raises(InputError, match="temperature_c"):
        _states("ground_contact", replace(MILD, temperature_c=(float("nan"),) * 12))


@pytest.mark.parametrize("name", STEADY)
def test_draws_have_the_states_of_each_draw(name):
    rng = np.random.default_rng(7)
    z = {key: rng.normal(size=(5, 1)) for key in FIELDS}
    drawn = _states(name, wetting=WettingParameters.at(z))
    assert drawn.moisture_pct.shape[0] == 5
    assert drawn.share_of_year.shape == drawn.temperature_c.shape == drawn.moisture_pct.shape
    for i in range(5):
        alone = _states(name, wetting=WettingParameters.at({key: float(v[i, 0]) for key, v in z.items()}))
        assert drawn.moisture_pct[i] == pytest.approx(alone.moisture_pct, rel=1e-12)
        assert drawn.share_of_year[i] == pytest.approx(alone.share_of_year, rel=1e-12)


@pytest.mark.parametrize("name", STEADY)
def test_states_are_traced_once(name):
    trace = Trace("wood")
    states = _states(name, trace=trace)
    (step,) = trace.root.steps()
    assert step.value == float(states.wet_share_of_year) == (1.0 if name == "ground_contact" else 0.0)
    assert states.how in step.note


def test_drawn_states_have_the_shape_of_the_draws_everywhere_and_are_not_traced():
    trace = Trace("wood")
    for name in STEADY:
        for figure in FIELDS:
            wetting = WettingParameters.at({figure: [[0.0], [1.0]]})
            states = _states(name, wetting=wetting, trace=trace)
            assert states.moisture_pct.shape == states.share_of_year.shape == (2, states.wet.size)
    assert not list(trace.root.steps())


def test_states_whose_shares_do_not_fill_the_year_are_refused():
    with pytest.raises(InputError, match="sum to 1"):
        MoistureStates.of([10.0, 30.0], 20.0, [0.5, 0.4], [False, True], "made up")
    with pytest.raises(InputError, match="share_of_year"):
        MoistureStates.of([10.0, 30.0], 20.0, [1.5, -0.5], [False, True], "made up")
