"""The index on small made worlds: packed by the build script, read back, and searched against plain loops."""

from __future__ import annotations

import importlib.util
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.coast_index import Shoreline, earth_xyz, latitude_longitude
from longhold.air.coast_lines import joined, simplify
from longhold.base.errors import TableError

ROOT = Path(__file__).resolve().parents[2]


def _build_script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("build_coast", ROOT / "tools" / "build_coast.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


BUILD = _build_script()


def circle(lat: float, lon: float, radius_deg: float, many: int = 40) -> np.ndarray:
    """A round island, clockwise, as (longitude, latitude)."""
    angle = np.linspace(0.0, -2.0 * np.pi, many + 1)
    wide = np.cos(np.radians(lat))
    return np.stack([lon + radius_deg * np.cos(angle) / wide, lat + radius_deg * np.sin(angle)], axis=-1)


def world(folder: Path, lines: list[tuple[int, np.ndarray]]) -> Shoreline:
    path = folder / "coast.npz"
    np.savez_compressed(path, **BUILD.coast([(body, BUILD.rounded(line)) for body, line in lines]))
    return Shoreline(path)


@pytest.fixture(scope="module")
def islands(tmp_path_factory):
    rng = np.random.default_rng(3)
    lines = [
        (0, circle(lat, lon, size, many))
        for lat, lon, size, many in zip(
            rng.uniform(-70, 70, 60),
            rng.uniform(-170, 170, 60),
            10 ** rng.uniform(-2, 0.5, 60),
            rng.integers(6, 300, 60),
            strict=True,
        )
    ]
    lines.append((1, circle(10.0, 20.0, 1.0)[::-1]))
    return world(tmp_path_factory.mktemp("world"), lines), lines


def test_what_is_packed_is_read_back(islands):
    shoreline, lines = islands
    vertices, count = shoreline.lines(np.arange(len(shoreline.count)))
    assert len(vertices) == count.sum()
    kept = {tuple(np.round(np.stack(latitude_longitude(point)), 5)) for point in vertices}
    for _, line in lines:
        for lon, lat in BUILD.rounded(line) / 1e5:
            assert (round(lat, 5), round(lon, 5)) in kept


def test_pieces_are_as_wide_as_they_say(islands):
    shoreline, _ = islands
    for piece in range(len(shoreline.count)):
        vertices, _ = shoreline.lines(np.array([piece]))
        chord = np.sqrt(((vertices - shoreline.centre[piece]) ** 2).sum(axis=1))
        assert chord.max() <= shoreline.radius_m[piece]
        assert chord.min() < 0.05


@settings(deadline=None, max_examples=30)
@given(st.floats(-89.0, 89.0), st.floats(-180.0, 180.0))
def test_the_nearest_is_that_of_a_loop_over_all_segments(islands, lat, lon):
    shoreline, _ = islands
    point = earth_xyz(lat, lon)
    least, body = np.inf, -1
    for piece in range(len(shoreline.count)):
        vertices, _ = shoreline.lines(np.array([piece]))
        a, along = vertices[:-1], np.diff(vertices, axis=0)
        share = np.clip(((point - a) * along).sum(axis=1) / (along**2).sum(axis=1), 0.0, 1.0)
        away = np.sqrt(((a + share[:, None] * along - point) ** 2).sum(axis=1)).min()
        if away < least:
            least, body = away, shoreline.body[piece]
    found = shoreline.nearest(point[None])
    assert found.chord_m[0] == pytest.approx(least, abs=1e-3)
    assert found.body[0] == body
    assert shoreline.nearest(point[None], ocean_only=True).body[0] == 0


@pytest.mark.parametrize("size", [0.01, 0.5, 3.0])
def test_inside_an_island_is_land_and_inside_a_lake_is_water(tmp_path, size):
    shoreline = world(tmp_path, [(0, circle(40.0, 20.0, size)), (1, circle(-40.0, 20.0, size)[::-1])])
    rng = np.random.default_rng(5)
    turn, away = rng.uniform(0, 2 * np.pi, 500), size * rng.uniform(0, 2, 500)
    for lat, inside_is_sea in ((40.0, False), (-40.0, True)):
        points = np.stack(
            [lat + away * np.sin(turn), 20.0 + away * np.cos(turn) / np.cos(np.radians(lat))], axis=-1
        )
        found = shoreline.nearest(earth_xyz(points[:, 0], points[:, 1]))
        clear = np.abs(away / size - 1.0) > 0.02
        assert (found.at_sea[clear] == ((away < size) == inside_is_sea)[clear]).all()


def test_the_sharp_tip_of_a_cape_tells_its_sides_apart(tmp_path):
    needle = np.array([[0.0, 0.0], [0.001, 0.1], [0.002, 0.0], [0.0, 0.0]])  # clockwise, tip to the north
    shoreline = world(tmp_path, [(0, needle)])
    beyond = shoreline.nearest(earth_xyz([0.101, 0.1001, 0.12], [0.001, 0.0015, -0.01]))
    assert beyond.at_sea.all()
    assert not shoreline.nearest(earth_xyz([0.05], [0.001])).at_sea[0]


def test_cuts_go_and_the_rest_stays_in_order():
    ring = np.array([[170.0, 10], [180, 10], [180, 0], [170, 0], [170.0, 10]])
    (part,) = BUILD.without_cuts(ring)
    assert part.tolist() == [[180.0, 0.0], [170.0, 0.0], [170.0, 10.0], [180.0, 10.0]]
    whole = ring - [5.0, 0.0]
    assert len(BUILD.without_cuts(whole)[0]) == 5


def test_long_steps_are_filled():
    line = BUILD.rounded(np.array([[0.0, 0.0], [1.0, 0.5]]))
    assert np.abs(np.diff(line, axis=0)).max() <= 5000
    assert line[0].tolist() == [0, 0]
    assert line[-1].tolist() == [100_000, 50_000]


def test_a_file_of_another_format_is_refused(tmp_path):
    np.savez(tmp_path / "coast.npz", format=np.array(99))
    with pytest.raises(TableError, match="format 99"):
        Shoreline(tmp_path / "coast.npz")


@settings(deadline=None)
@given(st.integers(0, 10_000), st.floats(0.0, 50.0))
def test_thinning_keeps_within_its_tolerance(seed, tolerance):
    points = np.cumsum(np.random.default_rng(seed).normal(0, 10, (60, 3)), axis=0)
    kept = simplify(points, tolerance)
    assert kept[0] == 0
    assert kept[-1] == 59
    for first, last in pairwise(kept):
        along = points[last] - points[first]
        for point in points[first + 1 : last]:
            share = np.clip((point - points[first]) @ along / (along @ along), 0, 1)
            assert np.linalg.norm(point - points[first] - share * along) <= tolerance + 1e-9


def test_lines_are_joined_whatever_their_order():
    line = np.random.default_rng(1).normal(size=(30, 3))
    parts = [line[20:], line[:11], line[10:21]]
    (whole,) = joined(parts)
    assert (whole == line).all()
    ring = np.concatenate([line, line[:1]])
    (closed,) = joined([ring[10:], ring[:11]])
    assert len(closed) == 31
    assert joined([]) == []
