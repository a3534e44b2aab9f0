from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.model.surroundings import Climate, places
from longhold.wood.moisture import MoistureStates, moisture_states
from longhold.wood.sorption import equilibrium_moisture_pct, fibre_saturation_pct
from longhold.wood.wetting import WettingParameters, wetting_bands

MILD = Climate(
    temperature_c=(2, 3, 6, 9, 13, 16, 18, 18, 15, 11, 6, 3),
    relative_humidity_pct=(85, 82, 78, 72, 70, 70, 70, 72, 77, 82, 85, 87),
    rain_mm=(60, 45, 50, 45, 55, 60, 65, 60, 60, 70, 70, 65),
    rain_days=(15, 11, 13, 11, 12, 11, 11, 11, 11, 13, 15, 15),
    how="made up",
    source="own",
    mark=Mark.OWN,
)
OUTSIDE = ("open_to_rain", "under_cover", "ground_contact")
COMPUTED = [name for name, place in places().items() if place.computed]


def _states(name, climate=MILD, **given):
    given.setdefault("trapped", False)
    return moisture_states(climate, places()[name], **given)


@pytest.mark.parametrize("name", COMPUTED)
@pytest.mark.parametrize("trapped", [True, False])
def test_every_computed_place_has_states_that_fill_the_year(name, trapped):
    states = _states(name, trapped=trapped)
    assert states.share_of_year.sum() == pytest.approx(1.0, abs=1e-12)
    assert states.moisture_pct.shape == states.temperature_c.shape == states.share_of_year.shape
    assert states.wet.shape == states.moisture_pct.shape[-1:]
    assert np.isfinite(states.moisture_pct).all()
    assert (states.moisture_pct[~states.wet] <= fibre_saturation_pct()).all()


@pytest.mark.parametrize("name", [name for name, place in places().items() if not place.computed])
def test_a_place_that_is_not_computed_is_refused_with_its_reason(name):
    with pytest.raises(InputError) as caught:
        _states(name)
    assert places()[name].why_not in str(caught.value)


def test_under_cover_is_at_the_equilibrium_of_the_air_and_never_wet():
    states = _states("under_cover", trapped=True)
    expected = equilibrium_moisture_pct(MILD.temperature_c, MILD.relative_humidity_pct)
    assert states.moisture_pct.tolist() == expected.tolist()
    assert float(states.wet_share_of_year) == 0.0
    assert states.share_of_year[1] == pytest.approx(28.25 / 365.25)


def test_wet_share_by_hand():
    states = _states("open_to_rain")
    january = 15 * (4 + 18) / (31 * 24)
    assert states.share_of_year[12] == pytest.approx(january * 31 / 365.25)
    assert states.share_of_year[0] == pytest.approx((1 - january) * 31 / 365.25)
    assert (states.moisture_pct[12:] == 30.0).all()
    assert (
        states.temperature_c[:12].tolist() == states.temperature_c[12:].tolist() == list(MILD.temperature_c)
    )


def test_a_face_that_cannot_drain_stays_wet_longer_until_the_month_is_full():
    few = replace(MILD, rain_days=(3.0,) * 12)
    free, held = (float(_states("open_to_rain", few, trapped=t).wet_share_of_year) for t in (False, True))
    assert held == pytest.approx(float(WettingParameters.medians().trap_factor) * free)
    many = replace(MILD, rain_days=(25.0,) * 12)
    assert float(_states("open_to_rain", many, trapped=True).wet_share_of_year) == pytest.approx(1.0)


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


def test_rain_days_are_estimated_from_rain_and_the_estimate_is_listed():
    states = _states("open_to_rain", replace(MILD, rain_days=None))
    told = _states("open_to_rain")
    assert any("estimated from rain" in line for line in states.assumptions)
    assert told.assumptions == ()
    ratio = float(states.wet_share_of_year / told.wet_share_of_year)
    assert 1 / 1.8 < ratio < 1.8


def test_neither_rain_days_nor_rain_is_an_error_only_where_rain_matters():
    dry = replace(MILD, rain_days=None, rain_mm=None)
    with pytest.raises(InputError, match="rain_days or rain_mm"):
        _states("open_to_rain", dry)
    assert _states("under_cover", dry).moisture_pct.shape == (12,)


def test_a_climate_without_twelve_months_or_with_nonsense_is_refused():
    with pytest.raises(InputError, match="twelve"):
        _states("under_cover", replace(MILD, temperature_c=(10.0,)))
    with pytest.raises(InputError, match="rain_days"):
        _states("open_to_rain", replace(MILD, rain_days=(40.0,) * 12))
    with pytest.raises(InputError, match="relative_humidity"):
        _states("open_to_rain", replace(MILD, relative_humidity_pct=(float("nan"),) * 12))


def test_arctic_months_are_taken_at_the_coldest_that_can_be_evaluated_and_it_is_said():
    cold = replace(MILD, temperature_c=(-45.0, *MILD.temperature_c[1:]))
    states = _states("under_cover", cold)
    assert states.temperature_c[0] == -45.0
    assert states.moisture_pct[0] == float(equilibrium_moisture_pct(-30.0, 85.0))
    assert any("-30" in line for line in states.assumptions)


@pytest.mark.parametrize("name", COMPUTED)
def test_draws_have_the_states_of_each_draw(name):
    rng = np.random.default_rng(7)
    z = {key: rng.normal(size=(5, 1)) for key in wetting_bands()}
    drawn = _states(name, wetting=WettingParameters.at(z), trapped=True)
    assert drawn.moisture_pct.shape[0] == 5
    assert drawn.share_of_year.shape == drawn.temperature_c.shape == drawn.moisture_pct.shape
    for i in range(5):
        alone = _states(
            name, wetting=WettingParameters.at({key: float(v[i, 0]) for key, v in z.items()}), trapped=True
        )
        assert drawn.moisture_pct[i] == pytest.approx(alone.moisture_pct, rel=1e-12)
        assert drawn.share_of_year[i] == pytest.approx(alone.share_of_year, rel=1e-12)


@settings(deadline=None)
@given(st.lists(st.floats(0.0, 28.0), min_size=12, max_size=12), st.booleans())
def test_more_rain_days_never_dry_the_wood(days, trapped):
    less = replace(MILD, rain_days=tuple(days))
    more = replace(MILD, rain_days=tuple(min(28.0, day + 1.0) for day in days))
    first, second = (_states("open_to_rain", c, trapped=trapped) for c in (less, more))
    assert first.wet_share_of_year <= second.wet_share_of_year + 1e-12
    assert 0.0 <= float(first.wet_share_of_year) <= 1.0 + 1e-12


@settings(deadline=None)
@given(st.lists(st.floats(0.0, 28.0), min_size=12, max_size=12), st.booleans())
def test_the_same_days_spread_evenly_never_wet_less(days, trapped):
    crowded = replace(MILD, rain_days=tuple(days))
    lengths = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    even = replace(MILD, rain_days=tuple(sum(days) * lengths / lengths.sum()))
    first, second = (_states("open_to_rain", c, trapped=trapped) for c in (crowded, even))
    assert first.wet_share_of_year <= second.wet_share_of_year + 1e-12


@pytest.mark.parametrize("name", COMPUTED)
def test_states_are_traced_once(name):
    trace = Trace("wood")
    states = _states(name, trace=trace)
    (step,) = trace.root.steps()
    assert step.value == float(states.wet_share_of_year)
    assert states.how in step.note


def test_drawn_states_have_the_shape_of_the_draws_everywhere_and_are_not_traced():
    trace = Trace("wood")
    for name in COMPUTED:
        for figure in wetting_bands():
            wetting = WettingParameters.at({figure: [[0.0], [1.0]]})
            states = _states(name, wetting=wetting, trace=trace)
            assert states.moisture_pct.shape == states.share_of_year.shape == (2, states.wet.size)
    assert not list(trace.root.steps())


def test_states_whose_shares_do_not_fill_the_year_are_refused():
    with pytest.raises(InputError, match="sum to 1"):
        MoistureStates.of([10.0, 30.0], 20.0, [0.5, 0.4], [False, True], "made up")
    with pytest.raises(InputError, match="share_of_year"):
        MoistureStates.of([10.0, 30.0], 20.0, [1.5, -0.5], [False, True], "made up")
