import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.wood.embedded import (
    contact_bands,
    loss_rate_um_yr,
    metal_bands,
    saturated_rate_band,
    yearly_loss_um,
)
from longhold.wood.moisture import MoistureStates
from longhold.wood.preservatives import copper_kg_m3, find_preservative, reference_copper_kg_m3
from longhold.wood.treatments import retention_factor, treatment_bands

METALS = sorted(metal_bands())
MOISTURE = st.floats(0.0, 150.0)
SETS = st.sampled_from(["early_plateau", "late_plateau"])
COPPER = st.floats(0.0, 40.0)


def _states(moisture, temperature, share):
    wet = np.asarray(moisture) >= 28.0
    return MoistureStates.of(moisture, temperature, share, wet, "made up")


@settings(deadline=None)
@given(st.sampled_from(METALS), MOISTURE, MOISTURE, SETS)
def test_rate_rises_with_moisture_up_to_the_saturated_rate(metal, one, other, rate_set):
    moisture = np.array(sorted((one, other)))
    dry, damp = loss_rate_um_yr(metal, moisture, 20.0, rate_set=rate_set, treatment_multiplier=2.0)
    band = metal_bands()[metal]
    most = band.median if metal == "stainless" else 50.0 * band.median
    assert 0.0 <= dry <= damp <= most * (1.0 + 1e-12)


@settings(deadline=None)
@given(COPPER, COPPER, MOISTURE, SETS)
def test_rate_never_falls_with_more_copper(one, other, moisture, rate_set):
    factor = retention_factor(sorted((one, other)), 1.5)
    less, more = loss_rate_um_yr(
        "zinc", moisture, 20.0, rate_set=rate_set, treatment_multiplier=2.0, retention_factor=factor
    )
    assert less <= more


def test_more_retention_in_the_wood_means_more_loss():
    acq = find_preservative("ACQ-D")
    copper = copper_kg_m3(acq, retention_kg_m3=np.array([2.4, 4.0, 6.4]))
    factor = retention_factor(copper, reference_copper_kg_m3(acq))
    rate = loss_rate_um_yr(
        "zinc", 35.0, 20.0, rate_set="early_plateau", treatment_multiplier=2.0, retention_factor=factor
    )
    assert (np.diff(rate) > 0).all()


def test_acq_in_saturated_wood_is_the_stated_50_um_a_year():
    rate = loss_rate_um_yr(
        "carbon_steel",
        60.0,
        20.0,
        rate_set="late_plateau",
        treatment_multiplier=treatment_bands()["ACQ"].median,
    )
    assert float(rate) == pytest.approx(50.0)
    band = saturated_rate_band()
    assert band.median == 25.0
    assert band.p05 < band.median < band.p95


@pytest.mark.parametrize("metal", METALS)
def test_frozen_wood_takes_nothing(metal):
    assert (
        float(loss_rate_um_yr(metal, 40.0, -0.5, rate_set="early_plateau", treatment_multiplier=2.0)) == 0.0
    )


def test_stainless_keeps_its_film_whatever_the_treatment():
    terms = {
        "rate_set": "early_plateau",
        "species_factor": 2.0,
        "contact_factor": 2.0,
        "saturated_rate_um_yr": 1000.0,
    }
    mild, harsh = (
        float(loss_rate_um_yr("stainless", 40.0, 20.0, treatment_multiplier=p, **terms)) for p in (0.5, 6.0)
    )
    assert mild == harsh < 0.5
    drawn = loss_rate_um_yr(
        "stainless",
        40.0,
        20.0,
        rate_set="early_plateau",
        treatment_multiplier=2.0,
        metal_factor=[[0.02], [0.5]],
    )
    assert drawn[:, 0] == pytest.approx([0.02, 0.5], rel=1e-6)


def test_stainless_takes_the_shape_of_terms_it_does_not_use():
    draws = np.array([[1.0], [2.0], [3.0]])
    states = _states([40.0, 10.0], [20.0, 20.0], [0.5, 0.5])
    loss = yearly_loss_um(states, "stainless", rate_set="early_plateau", treatment_multiplier=draws)
    assert loss.shape == (3,)
    assert np.unique(loss).size == 1


def test_scalars_and_arrays_agree():
    moisture, temperature = np.array([8.0, 19.0, 30.0]), np.array([-5.0, 10.0, 25.0])
    multiplier, names = np.array([[0.5], [2.0]]), np.array([["early_plateau"], ["late_plateau"]])
    together = loss_rate_um_yr(
        "aluminium", moisture, temperature, rate_set=names, treatment_multiplier=multiplier
    )
    for i in range(2):
        for j in range(3):
            alone = loss_rate_um_yr(
                "aluminium",
                float(moisture[j]),
                float(temperature[j]),
                rate_set=str(names[i, 0]),
                treatment_multiplier=float(multiplier[i, 0]),
            )
            assert together[i, j] == alone


@settings(deadline=None)
@given(
    st.lists(st.tuples(MOISTURE, st.floats(-20.0, 40.0), st.floats(0.01, 1.0)), min_size=1, max_size=24),
    SETS,
)
def test_yearly_loss_lies_between_least_and_most_rate(states, rate_set):
    moisture, temperature, weight = (np.array(column) for column in zip(*states, strict=True))
    year = _states(moisture, temperature, weight / weight.sum())
    terms = {"rate_set": rate_set, "treatment_multiplier": 1.75}
    rates = loss_rate_um_yr("zinc", moisture, temperature, **terms)
    loss = float(yearly_loss_um(year, "zinc", **terms))
    assert rates.min() - 1e-9 <= loss <= rates.max() + 1e-9


def test_yearly_loss_of_draws_is_the_loss_of_each_draw():
    moisture = np.array([[40.0, 12.0], [30.0, 18.0], [28.0, 21.0]])
    share = np.array([[0.2, 0.8], [0.5, 0.5], [0.9, 0.1]])
    rate = np.array([[20.0], [30.0], [60.0]])
    states = MoistureStates.of(moisture, [15.0, 15.0], share, [True, False], "drawn")
    terms = {"rate_set": "late_plateau", "treatment_multiplier": 2.0}
    drawn = yearly_loss_um(states, "zinc", saturated_rate_um_yr=rate, **terms)
    assert drawn.shape == (3,)
    for i in range(3):
        one = MoistureStates.of(moisture[i], [15.0, 15.0], share[i], [True, False], "one")
        alone = yearly_loss_um(one, "zinc", saturated_rate_um_yr=float(rate[i, 0]), **terms)
        assert drawn[i] == pytest.approx(float(alone), rel=1e-12)


def test_a_term_lined_up_with_states_instead_of_draws_is_refused():
    states = _states([40.0, 10.0], [20.0, 20.0], [0.5, 0.5])
    with pytest.raises(InputError, match="retention_factor"):
        yearly_loss_um(
            states, "zinc", rate_set="early_plateau", treatment_multiplier=1.0, retention_factor=[1.0, 2.0]
        )


@pytest.mark.parametrize(
    ("metal", "terms", "words"),
    [
        ("lead", {}, "carbon_steel"),
        ("zinc", {"treatment_multiplier": -1.0}, "treatment_multiplier"),
        ("zinc", {"saturated_rate_um_yr": float("nan")}, "saturated_rate"),
        ("zinc", {"rate_set": "S9"}, "early_plateau, late_plateau"),
    ],
)
def test_what_cannot_be_used_is_refused(metal, terms, words):
    with pytest.raises(InputError, match=words):
        loss_rate_um_yr(
            metal, 20.0, 20.0, **{"rate_set": "early_plateau", "treatment_multiplier": 1.0, **terms}
        )


def test_a_rate_is_traced_with_its_factors():
    trace = Trace("wood")
    rate = loss_rate_um_yr(
        "zinc", 19.0, 20.0, rate_set="early_plateau", treatment_multiplier=2.0, trace=trace
    )
    saturated, step = trace.root.steps()
    assert saturated.value == 50.0
    assert saturated.inputs["A"] == "25 um/yr"
    assert step.value == float(rate) == pytest.approx(25.0)
    assert step.mark is Mark.OWN


@pytest.mark.parametrize("metal", ["zinc", "stainless"])
def test_a_year_is_traced_with_its_wet_part(metal):
    trace = Trace("wood")
    states = _states([40.0, 10.0], [20.0, 20.0], [0.25, 0.75])
    loss = yearly_loss_um(states, metal, rate_set="late_plateau", treatment_multiplier=2.0, trace=trace)
    _, step = trace.root.steps()
    assert step.value == float(loss)
    assert set(step.inputs) >= {"of it while wet", "of it at other times"}


def test_draws_are_not_traced():
    trace = Trace("wood")
    states = _states([40.0, 10.0], [20.0, 20.0], [0.25, 0.75])
    yearly_loss_um(states, "zinc", rate_set="late_plateau", treatment_multiplier=[[1.0], [2.0]], trace=trace)
    assert not list(trace.root.steps())


def test_a_plate_of_zinc_coated_sheet_is_as_a_shank_within_its_band():
    band = contact_bands()["zinc_coated_plate"]
    assert band.p05 < contact_bands()["shank"].median == band.median < band.p95
