import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.wood.treatments import retention_factor, treatment, treatment_bands

COPPER = st.floats(0.0, 40.0)


@settings(deadline=None)
@given(COPPER, COPPER, st.floats(0.1, 10.0))
def test_retention_factor_is_bounded_and_rises_with_copper(one, other, reference):
    less, more = retention_factor(sorted((one, other)), reference)
    assert 0.5 <= less <= more <= 2.0
    assert float(retention_factor(reference, reference)) == pytest.approx(1.0)


def test_scalars_and_arrays_agree():
    copper = np.array([0.0, 1.0, 2.5])
    assert retention_factor(copper, 1.5).tolist() == [float(retention_factor(c, 1.5)) for c in copper]


def test_ground_contact_wood_takes_more_than_above_ground_wood():
    above, ground = (treatment("ACQ-D", "SYP", use_category=u).retention_factor for u in ("UC3B", "UC4A"))
    assert above < 1.0 < ground
    assert above * ground == pytest.approx(1.0)


def test_the_end_tag_comes_before_the_use_category():
    tagged = treatment("CCA", "SYP", retention_kg_m3=4.0, use_category="UC4B")
    assert tagged.copper_kg_m3 == pytest.approx(0.591, abs=0.001)


def test_retention_that_is_not_told_is_an_assumption():
    found = treatment("CA", "SYP")
    assert (found.copper_kg_m3, found.retention_factor) == (None, 1.0)
    assert len(found.assumptions) == 2
    assert treatment("none", "SYP").assumptions == ()


def test_a_stand_in_is_an_assumption():
    assert any("UC2" in line for line in treatment("MCA", "SPF", use_category="UC2").assumptions)


def test_acid_species_matter_in_wood_without_copper_only():
    bare = treatment("none", "white oak")
    assert bare.species_factor is not None
    assert bare.species_factor.median > treatment("none", "western red cedar").species_factor.median > 1.0
    assert treatment("none", "SYP").species_factor is None
    assert treatment("ACQ-D", "white oak", use_category="UC3B").species_factor is None
    unjudged = treatment("none", "Japanese oaks")
    assert unjudged.species_factor is None
    assert any("not judged" in line for line in unjudged.assumptions)


def test_refusals_say_where():
    with pytest.raises(InputError, match=r"timbers\.joist\.preservative"):
        treatment("unobtainium", "SYP", where="timbers.joist")
    with pytest.raises(InputError, match=r"timbers\.joist\.species"):
        treatment("CCA", "plastic", where="timbers.joist")
    with pytest.raises(InputError, match=r"timbers\.joist\.use_category"):
        treatment("CCA", "SYP", use_category="UC5B", where="timbers.joist")


def test_multipliers_hold_their_order():
    bands = treatment_bands()
    order = ["none", "CCA", "micronized", "copper azole", "ACQ"]
    medians = [bands[family].median for family in order]
    assert medians == sorted(medians)
    assert bands["CCA"].median == 1.0
    assert bands["ACQ"].p05 == bands["ACQ"].p95 == 2.0, (
        "the constant is tied to ACQ: its band is in the constant"
    )


def test_trace_gives_the_product_of_the_factors():
    trace = Trace("wood")
    found = treatment("none", "white oak", trace=trace)
    (step,) = trace.root.steps()
    assert step.value == found.multiplier.median * found.species_factor.median
    assert step.mark is found.mark is Mark.OWN
