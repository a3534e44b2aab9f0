import pytest
from hypothesis import given
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.labels.alloys import alloys, pitting_number
from longhold.labels.conversions import convert, ratio

UNITS = ("oz/ft2", "g/m2", "um", "mil", "mm", "in")


@given(
    st.floats(0.01, 5000.0),
    st.sampled_from(UNITS),
    st.sampled_from(UNITS),
    st.sampled_from([None, 3.8, 7.067, 7.2]),
)
def test_there_and_back(value, unit, other, tie):
    there = convert(value, unit, other, g_m2_per_um=tie)
    assert convert(there, other, unit, g_m2_per_um=tie) == pytest.approx(value)


@given(st.floats(0.01, 1e3), st.floats(0.01, 1e3))
def test_more_mass_is_more_thickness(a, b):
    assert (convert(a, "oz/ft2", "um") < convert(b, "oz/ft2", "um")) == (a < b) or a == pytest.approx(b)


def test_the_ratio_is_the_standards_own():
    assert convert(100, "um", "g/m2", g_m2_per_um=ratio("A123")) == pytest.approx(706.7)
    assert convert(75, "g/m2", "um", g_m2_per_um=ratio("EN10346 AZ")) == pytest.approx(19.7, abs=0.05)


def test_an_unknown_unit_is_refused():
    with pytest.raises(InputError, match="oz/ft2"):
        convert(1, "stone", "um")


def test_pitting_number_bounds():
    with pytest.raises(InputError, match="mass per cent"):
        pitting_number(-1)
    with pytest.raises(InputError, match="mass per cent"):
        pitting_number(18, 200)


def test_more_alloying_is_never_a_lower_number():
    assert (
        pitting_number(18)
        < pitting_number(18, 2)
        < pitting_number(18, 2, 0.1)
        < pitting_number(18, 2, 0.1, 1)
    )


def test_alloys_stand_from_least_to_most_resistant():
    """The order of the table agrees with the printed numbers of the austenitic and duplex grades."""
    order = ["304", "316", "317L", "317LMN", "904L", "2205", "2507"]
    places = {alloy.grade: alloy.order for alloy in alloys()}
    assert [places[grade] for grade in order] == sorted(places[grade] for grade in order)
