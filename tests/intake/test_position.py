"""A position that is typed is understood, or refused: never taken for another place."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.intake.position import read_named_position, read_position


@pytest.mark.parametrize(
    "typed",
    [
        "33,97 -77,92",
        "33,97, -77,92",
        "51,5 0,1",
        "51,5;0,1",
        "48,137 11,575",
        "48,137 11,575 Munich",
        "33,97 \u221277,92",
        "48,137 .5",
    ],
)
def test_commas_for_decimals_are_refused_and_the_point_is_told(typed: str) -> None:
    with pytest.raises(InputError, match="latitude, then longitude"):
        read_named_position(typed, "position")


@pytest.mark.parametrize(
    ("typed", "place", "name"),
    [
        ("33.97 -77.92", (33.97, -77.92), ""),
        ("33.97, -77.92", (33.97, -77.92), ""),
        ("48.137 N, 11.575 E Munich", (48.137, 11.575), "Munich"),
        ("39.74,-104.99, Denver 2", (39.74, -104.99), "Denver 2"),
    ],
)
def test_points_for_decimals_are_understood(typed: str, place: tuple[float, float], name: str) -> None:
    assert read_named_position(typed, "position") == (place, name)


def _angle(value: float, letters: str, *, seconds: bool) -> str:
    """An angle as people write it, rounded to a whole minute or second."""
    whole = round(abs(value) * (3600 if seconds else 60))
    letter = letters[value < 0]
    if not seconds:
        return f"{whole // 60}°{whole % 60:02d}'{letter}"
    return f"{whole // 3600}°{whole // 60 % 60:02d}'{whole % 60:02d}\"{letter}"


@given(st.floats(-89.9, 89.9), st.floats(-179.9, 179.9), st.booleans(), st.sampled_from([" ", ", ", ""]))
def test_degrees_and_minutes_are_the_same_place(
    latitude: float, longitude: float, seconds: bool, between: str
) -> None:
    typed = between.join([_angle(latitude, "NS", seconds=seconds), _angle(longitude, "EW", seconds=seconds)])
    found, name = read_named_position(typed, "position")
    assert found == pytest.approx((latitude, longitude), abs=0.5 / (3600 if seconds else 60) + 1e-9)
    assert name == ""


@pytest.mark.parametrize(
    "typed",
    [
        "33°58'N 77°55'W",
        "33° 58' N, 77° 55' W",
        "33°58\u2032N 77°55\u2032W Pier",
        "33°58'00\"N 77°55'00\"W",
        "33°58.0'n 77°55.0'w",
        "33\u00ba58\u2019N 77\u00ba55\u2019W",
    ],
)
def test_degrees_and_minutes_as_charts_write_them(typed: str) -> None:
    found, name = read_named_position(typed, "position")
    assert found == pytest.approx((33.9666667, -77.9166667), abs=1e-6)
    assert name == ("Pier" if "Pier" in typed else "")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("33°58' 77°55'", "letters N or S, then E or W"),
        ("77°55'W 33°58'N", "letters N or S, then E or W"),
        ("33:58 77:55:10", "letters N or S, then E or W"),
        ("33°58N 77°55W", "letters N or S, then E or W"),
        ("33°68'N 77°55'W", "below 60"),
        ("33°58'61\"N 77°55'W", "below 60"),
        ("33°58.5'10\"N 77°55'W", "one of them is meant"),
        ("95°00'N 77°55'W", "between -90 and 90"),
        ("-33°58'N 77°55'W", "letters N or S, then E or W"),
    ],
)
def test_angles_that_leave_something_open_are_refused_with_help(typed: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_named_position(typed, "position")
    with pytest.raises(InputError, match=said):
        read_position([typed], "LAT LON")


def test_a_number_that_is_no_latitude_and_no_longitude_is_not_told_swapped() -> None:
    with pytest.raises(InputError) as refused:
        read_named_position("95 200", "position")
    assert "swapped" not in str(refused.value)
    with pytest.raises(InputError, match="swapped"):
        read_named_position("-104.99 39.74", "position")
