"""The map that is pressed to choose a place."""

from __future__ import annotations

import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from longhold.documents.world_map import HEIGHT, WIDE, WIDTH, MapView, map_svg, wider_with_coast

VIEWS = st.builds(
    MapView,
    latitude=st.floats(-70, 70),
    longitude=st.floats(-180, 180),
    span_deg=st.floats(0.1, 120.0),
)


@given(view=VIEWS, x=st.floats(0, WIDTH), y=st.floats(0, HEIGHT))
def test_a_pressed_point_is_the_place_that_is_drawn_there(view: MapView, x: float, y: float) -> None:
    latitude, longitude = view.at(x, y)
    if abs(latitude) < 90:
        assert view.pixel(latitude, longitude) == pytest.approx((x, y), abs=1e-3)


def test_both_edges_of_the_world_are_the_date_line() -> None:
    world = MapView(0.0, 0.0)
    assert abs(world.at(0, HEIGHT / 2)[1]) == abs(world.at(WIDTH, HEIGHT / 2)[1]) == 180.0


def test_a_coast_is_drawn_where_there_is_one_and_none_far_inland() -> None:
    """Land's End in England lies at 50.07 N 5.72 W; Kansas is a thousand kilometers from any sea."""
    assert 'class="land"' in map_svg(MapView(50.07, -5.72, 1.0), None).split(' d="M')[-1]
    assert ' d="M' not in map_svg(MapView(38.5, -98.0, 1.0), None).split('class="grid"')[-1]


def test_the_scale_is_as_long_as_it_says() -> None:
    """A degree of longitude at 60 N is half of one at the equator, 111.3 km (any table of degrees)."""
    view = MapView(60.0, 10.0, 4.0)
    drawn = re.search(r'points="([\d.]+),.* ([\d.]+),[\d.]+" class="bar"', map_svg(view, None, "si"))
    words = re.search(r">(\d+) km<", map_svg(view, None, "si"))
    assert drawn is not None
    assert words is not None
    degrees = (float(drawn[2]) - float(drawn[1])) / view.width * view.span_deg
    assert degrees * 55.7 == pytest.approx(float(words[1]), rel=0.01)


@settings(deadline=None, max_examples=20)  # the first loads the shoreline
@example(latitude=0.0, longitude=-1.1796875, span=1.0, times=1)
@given(
    latitude=st.floats(-85, 85),
    longitude=st.floats(-180, 180),
    span=st.floats(0.1, 360.0),
    times=st.sampled_from([1, WIDE]),
)
def test_degrees_along_the_foot_never_run_together(
    latitude: float, longitude: float, span: float, times: int
) -> None:
    """A digit of a wide font is 0.64 of its size of 10.5 px; one line at least keeps its degrees."""
    view = MapView(latitude, longitude, span, times)
    foot = re.findall(rf'<text x="([\d.]+)" y="{view.height - 3}"[^>]*>([^<]+)<', map_svg(view, None))
    assert foot
    places = sorted((float(x), len(words) * 0.64 * 10.5) for x, words in foot)
    ends = [x + width for x, width in places]
    assert all(end < x for end, (x, _) in zip(ends, places[1:], strict=False))
    assert ends[-1] <= view.width


def test_a_map_without_a_shore_has_a_wider_one_beside_it() -> None:
    """Kansas lies some 1,000 km from any sea; Land's End is on it, and so is the whole world's picture."""
    for span in (0.1, 1.4, 5.6):
        wider = wider_with_coast(MapView(38.5, -98.0, span))
        assert wider is not None
        assert wider.span_deg * 111.3 > 1000.0
        assert wider_with_coast(wider) is None
    assert wider_with_coast(MapView(50.07, -5.72, 1.0)) is None
    assert wider_with_coast(MapView()) is None


def test_the_map_is_a_picture_of_any_address(client: object) -> None:
    asking = client.get  # type: ignore[attr-defined]
    for query in ("", "?latitude=90&span=0", "?longitude=1e9&span=-4", "?at=nowhere"):
        assert asking(f"/map.svg{query}").text.startswith("<svg")
    for query in ("?latitude=nan", "?longitude=inf", "?span=wide"):
        assert asking(f"/map.svg{query}").status_code == 422
    assert asking("/map.svg").headers["content-type"].startswith("image/svg+xml")
