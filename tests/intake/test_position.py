"""A position that is typed is understood, or refused: never taken for another place."""

from __future__ import annotations

import pytest

from longhold.base.errors import InputError
from longhold.intake.position import read_named_position


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
