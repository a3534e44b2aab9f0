"""First-year loss: it grows with what harms, is continuous, and refuses what is no climate."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.dose_response import first_year_loss_um, model_scatter, outside_validity
from longhold.air.metals import METALS
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Step, Trace

temperatures = st.floats(-17.1, 28.7)
humidities = st.floats(34.0, 93.0)
sulphurs = st.floats(0.7, 150.4)
chlorides = st.floats(0.4, 760.5)
metals = st.sampled_from(METALS)
climates = st.tuples(temperatures, humidities, sulphurs, chlorides)


@pytest.mark.parametrize("which", [1, 2, 3], ids=["humidity", "sulphur dioxide", "chloride"])
@settings(deadline=None)
@given(metal=metals, climate=climates, more=st.floats(1e-3, 50.0))
def test_loss_rises_with(which, metal, climate, more):
    worse = list(climate)
    worse[which] = min(worse[which] + more, 100.0) if which == 1 else worse[which] + more
    assert first_year_loss_um(metal, *worse) > first_year_loss_um(metal, *climate) > 0


@settings(deadline=None)
@given(metal=metals, climate=climates)
def test_loss_is_continuous_at_10_c(metal, climate):
    _, *rest = climate
    below, at, above = (float(first_year_loss_um(metal, t, *rest)) for t in (10 - 1e-7, 10.0, 10 + 1e-7))
    assert below == pytest.approx(at, rel=1e-6)
    assert above == pytest.approx(at, rel=1e-6)


@pytest.mark.parametrize("metal", METALS)
def test_the_dry_term_peaks_at_10_c(metal):
    at = np.array([5.0, 9.0, 10.0, 11.0, 15.0])
    loss = first_year_loss_um(metal, at, 75.0, 10.0, 0.0)  # without chloride the dry term stands alone
    assert (np.diff(loss[:3]) > 0).all()
    assert (np.diff(loss[2:]) < 0).all()


@settings(deadline=None)
@given(metal=metals, several=st.lists(climates, min_size=1, max_size=5))
def test_numbers_and_arrays_go_through_the_same_function(metal, several):
    columns = np.array(several).T
    alone = [float(first_year_loss_um(metal, *climate)) for climate in several]
    assert first_year_loss_um(metal, *columns) == pytest.approx(alone, rel=1e-12)


def test_shapes_broadcast():
    assert first_year_loss_um("zinc", 10.0, 75.0, [[5.0], [10.0]], [1.0, 2.0, 3.0]).shape == (2, 3)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("lead", 10, 75, 5, 3), "carbon_steel, zinc, copper, aluminium"),
        (("zinc", 10, 101, 5, 3), "between 0 and 100"),
        (("zinc", 10, -1, 5, 3), "below zero"),
        (("zinc", 10, 75, -5, 3), "sulphur_dioxide_mg_m2_d"),
        (("zinc", 10, 75, 5, [3, -3]), "chloride_mg_m2_d"),
        (("zinc", float("nan"), 75, 5, 3), "finite"),
    ],
)
def test_what_is_no_climate_is_refused(arguments, said):
    with pytest.raises(InputError, match=said):
        first_year_loss_um(*arguments)


def test_nothing_is_outside_in_the_middle_and_at_the_ends_of_the_range():
    assert outside_validity(10, 75, 5, 3) == ()
    assert outside_validity(-17.1, 34, 0.7, 0.4) == ()
    assert outside_validity(28.7, 93, 150.4, 760.5) == ()


def test_every_input_outside_is_named():
    found = outside_validity(30, 95, 0.5, [60.0, 800.0])
    assert [out.name for out in found] == [
        "temperature_c",
        "relative_humidity_pct",
        "sulphur_dioxide_mg_m2_d",
        "chloride_mg_m2_d",
    ]
    assert found[3].share == 0.5
    assert "in 50% of the cases" in found[3].words
    assert {out.mark for out in found} == {Mark.MEMORY}


def test_the_trace_holds_the_equation_with_numbers_that_give_the_value_again():
    trace = Trace("air")
    loss = float(first_year_loss_um("zinc", 15, 80, 10, 60, trace))
    (step,) = trace.root.steps()
    assert isinstance(step, Step)
    assert (step.value, step.unit, step.mark) == (loss, "um", Mark.VERIFIED)
    n = {symbol: float(text.split()[0]) for symbol, text in step.inputs.items()}
    again = n["A"] * n["Pd"] ** n["a"] * np.exp(n["b"] * n["RH"] + n["k"] * (n["T"] - 10))
    again += n["B"] * n["Sd"] ** n["c"] * np.exp(n["d"] * n["RH"] + n["e"] * n["T"])
    assert again == pytest.approx(loss)


def test_the_trace_of_aluminium_says_that_its_unit_is_disputed():
    trace = Trace("air")
    first_year_loss_um("aluminium", 15, 80, 10, 60, trace)
    (step,) = trace.root.steps()
    assert step.mark is Mark.MEMORY
    assert "disputed" in step.note


def test_arrays_leave_no_trace():
    trace = Trace("air")
    first_year_loss_um("zinc", [15, 16], 80, 10, 60, trace)
    assert list(trace.root.steps()) == []


def test_scatter_says_its_basis_and_mark():
    ours, theirs = model_scatter("carbon_steel"), model_scatter("carbon_steel", "annex_a")
    assert (ours.median, ours.mark) == (1.0, Mark.OWN)
    assert "measured sites" in ours.how
    assert theirs.mark is Mark.MEMORY
    assert model_scatter("zinc", "calibrated").median > 1.0
    with pytest.raises(InputError):
        model_scatter("lead")
