"""The coast: answers at places anybody can look up, poles and date line, refusals, laws of distance."""

from __future__ import annotations

import sys
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Geod

from longhold.air.coast import Coast, coordinates
from longhold.base.errors import InputError

GEOD = Geod(ellps="WGS84")
LATITUDES, LONGITUDES = st.floats(-90.0, 90.0), st.floats(-180.0, 180.0)


@pytest.fixture(scope="module")
def coast() -> Coast:
    return Coast.load()


# --- nearest shore -----------------------------------------------------------------------------------


def test_a_number_and_an_array_get_the_same_answers(coast):
    lat, lon = np.array([[34.0, 60.39], [-33.89, 0.0]]), np.array([[-77.91, 5.32], [151.27, -30.0]])
    together = coast.nearest_shore(lat, lon)
    for at in np.ndindex(lat.shape):
        alone = coast.nearest_shore(lat[at], lon[at])
        for field in fields(alone):
            assert getattr(alone, field.name) == getattr(together, field.name)[at]
    assert together.distance_m.shape == (2, 2)
    assert np.isscalar(coast.nearest_shore(34.0, -77.91).distance_m)


def test_one_latitude_goes_with_many_longitudes(coast):
    assert coast.nearest_shore(50.0, np.array([0.0, 10.0, 20.0])).distance_m.shape == (3,)


def test_no_places_no_answers(coast):
    assert coast.nearest_shore([], []).distance_m.shape == (0,)


@settings(deadline=None)
@given(LATITUDES, LONGITUDES)
def test_the_shore_point_lies_where_distance_and_bearing_say(coast, lat, lon):
    found = coast.nearest_shore(lat, lon)
    to_lon, to_lat, _ = GEOD.fwd(lon, lat, found.bearing_deg, found.distance_m)
    assert GEOD.inv(to_lon, to_lat, found.longitude, found.latitude)[2] < 0.01
    assert 0.0 <= found.bearing_deg < 360.0
    assert found.distance_m < 2_750_000.0  # no point on earth is farther from a shore


@settings(deadline=None)
@given(LATITUDES, LONGITUDES, st.floats(0.0, 360.0), st.floats(0.0, 500_000.0))
def test_distance_changes_no_faster_than_one_walks(coast, lat, lon, bearing, walk):
    to_lon, to_lat, _ = GEOD.fwd(lon, lat, bearing, walk)
    here, there = coast.nearest_shore(lat, lon), coast.nearest_shore(to_lat, to_lon)
    assert abs(here.distance_m - there.distance_m) <= walk + 1.0
    if here.at_sea != there.at_sea:  # one has crossed a shore on the way
        assert here.distance_m + there.distance_m <= walk + 1.0


@settings(deadline=None)
@given(LATITUDES, LONGITUDES)
def test_the_ocean_is_no_nearer_than_any_salt_water(coast, lat, lon):
    any_water, ocean = coast.nearest_shore(lat, lon), coast.nearest_shore(lat, lon, ocean_only=True)
    assert any_water.distance_m <= ocean.distance_m + 0.01
    assert ocean.kind == "ocean"
    assert not ocean.refer


@settings(deadline=None)
@given(LATITUDES)
def test_the_date_line_is_no_special_place(coast, lat):
    east, west = coast.nearest_shore(lat, 180.0), coast.nearest_shore(lat, -180.0)
    assert east.distance_m == pytest.approx(west.distance_m, abs=0.01)
    if east.distance_m > 0.01:  # on the line itself either side is right
        assert east.at_sea == west.at_sea


def test_cuts_of_the_line_along_the_date_line_are_no_shore(coast):
    inland = coast.nearest_shore(67.5, 179.9999)  # Chukotka, which the date line crosses
    assert not inland.at_sea
    assert inland.distance_m > 20_000.0
    assert coast.nearest_shore(-89.0, 0.0).distance_m > 500_000.0


def test_poles_answer_whatever_the_longitude(coast):
    for lat, at_sea in ((90.0, True), (-90.0, False)):
        found = coast.nearest_shore(lat, np.array([-180.0, 0.0, 77.0]))
        assert found.distance_m == pytest.approx(found.distance_m[0], abs=0.01)
        assert (found.at_sea == at_sea).all()
        assert np.isfinite(found.bearing_deg).all()


@pytest.mark.parametrize(
    ("where", "lat", "lon", "at_sea"),
    [
        ("Paris", 48.857, 2.352, False),
        ("Denver", 39.739, -104.99, False),
        ("mid Atlantic", 30.0, -40.0, True),
        ("English Channel", 50.2, -0.5, True),
        ("Sydney Harbour", -33.853, 151.26, True),
        ("Corpus Christi Bay", 27.78, -97.3, True),
        ("Manhattan, Central Park", 40.78, -73.966, False),
        ("Isle of Wight", 50.68, -1.3, False),
        ("Lake Michigan, fresh", 43.0, -87.0, False),
        ("Lake Geneva, fresh", 46.45, 6.5, False),
        ("Black Sea", 43.0, 34.0, True),
    ],
)
def test_land_sea_and_lake(coast, where, lat, lon, at_sea):
    found = coast.nearest_shore(lat, lon)
    assert found.at_sea == at_sea
    assert (found.to_salt_water_m == 0.0) == at_sea
    assert found.distance_m > 0.0


@pytest.mark.parametrize(
    ("water", "lat", "lon", "at_sea"),
    [
        ("Caspian Sea", 40.37, 49.85, False),
        ("Caspian Sea", 42.0, 51.0, True),
        ("Dead Sea", 31.55, 35.48, True),
        ("Great Salt Lake", 40.77, -112.1, False),
        ("Aral Sea", 45.0, 59.0, True),
    ],
)
def test_inland_seas_are_named_and_referred(coast, water, lat, lon, at_sea):
    found = coast.nearest_shore(lat, lon)
    assert (found.kind, found.water, found.at_sea) == ("inland_sea", water, at_sea)
    assert found.refer
    assert coast.nearest_shore(lat, lon, ocean_only=True).distance_m > 50_000.0


# --- directions --------------------------------------------------------------------------------------


def test_directions_at_a_beach_facing_south_east(coast):
    found = coast.distance_by_direction(33.99684, -77.90721)
    assert found.distance_m.shape == found.bearing_deg.shape == (36,)
    seaward = found.distance_m[(found.bearing_deg >= 80) & (found.bearing_deg <= 160)]
    assert (seaward < 500.0).all()


@settings(deadline=None, max_examples=30)
@given(LATITUDES, LONGITUDES)
def test_no_direction_is_nearer_than_the_nearest_shore(coast, lat, lon):
    nearest = coast.nearest_shore(lat, lon)
    found = coast.distance_by_direction(lat, lon, n=12)
    assert found.distance_m.min() >= nearest.distance_m - 1.0
    if nearest.distance_m > 100_000.0:
        assert np.isinf(found.distance_m).all()


@settings(deadline=None, max_examples=30)
@given(st.floats(-80.0, 80.0), LONGITUDES)
def test_a_ray_at_the_nearest_shore_ends_there(coast, lat, lon):
    nearest = coast.nearest_shore(lat, lon)
    if not 100.0 < nearest.distance_m < 90_000.0:
        return
    # a hair to either side, for the nearest point may be the tip of a cape
    lengths = [
        coast.distance_by_direction(lat, lon, n=3600).distance_m[
            (int(nearest.bearing_deg * 10) + turn) % 3600
        ]
        for turn in (0, 1)
    ]
    assert min(lengths) == pytest.approx(nearest.distance_m, rel=0.05)


def test_directions_of_several_places(coast):
    lat, lon = np.array([34.0, 50.0]), np.array([-77.91, -0.3])
    found = coast.distance_by_direction(lat, lon, n=8, reach_m=20_000.0)
    assert found.distance_m.shape == (2, 8)
    assert (found.distance_m[0] == coast.distance_by_direction(34.0, -77.91, 8, 20_000.0).distance_m).all()
    assert (found.distance_m[np.isfinite(found.distance_m)] <= 20_001.0).all()


@pytest.mark.parametrize(("n", "reach_m"), [(0, 1e5), (3601, 1e5), (36, 0.0), (36, 2e6), (36, float("nan"))])
def test_directions_out_of_range_are_refused(coast, n, reach_m):
    with pytest.raises(InputError, match="must"):
        coast.distance_by_direction(34.0, -77.9, n, reach_m)


# --- kinds of shore ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("where", "lat", "lon", "kind"),
    [
        ("Bondi Beach", -33.8915, 151.2767, "surf"),
        ("Ocean Beach, San Francisco", 37.76, -122.505, "surf"),
        ("Zandvoort, North Sea", 52.375, 4.53, "surf"),
        ("Galveston sea wall", 29.285, -94.79, "surf"),
        ("St Kilda, Port Phillip Bay", -37.868, 144.974, "sheltered"),
        ("Naples", 40.83, 14.25, "sheltered"),
        ("Rose Bay, Sydney Harbour", -33.8705, 151.265, "inlet"),
        ("Venice, Saint Mark's", 45.434, 12.339, "inlet"),
        ("Bergen harbour", 60.394, 5.326, "inlet"),
        ("Southampton Water", 50.897, -1.405, "inlet"),
    ],
)
def test_kinds_of_well_known_shores(coast, where, lat, lon, kind):
    assert coast.shore_type(lat, lon).kind == kind


def test_the_user_overrules_the_rule(coast):
    found = coast.shore_type(-33.8915, 151.2767, told="sheltered")
    assert (found.kind, found.told) == ("sheltered", True)
    assert found.fetch_m == coast.shore_type(-33.8915, 151.2767).fetch_m
    with pytest.raises(InputError, match="surf, sheltered, inlet"):
        coast.shore_type(0.0, 0.0, told="beach")  # type: ignore[arg-type]


def test_on_a_barrier_island_the_surf_is_found_behind_the_creek(coast):
    lat, lon = 27.978, -82.829  # Clearwater Beach
    assert coast.shore_type(lat, lon).kind == "inlet"
    found = {shore.kind: shore for shore in coast.shores_about(lat, lon, 2_000.0)}
    assert found["surf"].distance_m < 600.0
    assert found["inlet"].distance_m < found["surf"].distance_m
    assert found["surf"].seaward_deg == pytest.approx(270.0, abs=45.0)


def test_no_shores_about_an_inland_place(coast):
    assert coast.shores_about(48.857, 2.352, 50_000.0) == ()
    with pytest.raises(InputError, match="reach_m"):
        coast.shores_about(48.857, 2.352, 200_000.0)


def test_the_fetch_is_the_weighted_mean_of_its_rays(coast):
    found = coast.shore_type(-37.868, 144.974)
    turn = (found.bearing_deg - found.seaward_deg + 180.0) % 360.0 - 180.0
    assert np.abs(turn).max() == pytest.approx(45.0)
    weight = np.cos(np.radians(turn))
    assert found.fetch_m == pytest.approx((found.open_water_m * weight).sum() / weight.sum())
    assert found.open_water_m.max() <= 100_000.0


# --- lines for pictures ------------------------------------------------------------------------------


@pytest.mark.parametrize(("radius_m", "tolerance_m"), [(5e3, 20.0), (50e3, 200.0), (500e3, 2000.0)])
def test_lines_lie_about_the_place_and_on_the_shore(coast, radius_m, tolerance_m):
    lines = coast.coast_lines(60.39, 5.32, radius_m, tolerance_m)
    assert lines
    points = np.concatenate(lines)
    one = np.ones(len(points))
    away = np.asarray(GEOD.inv(5.32 * one, 60.39 * one, points[:, 0], points[:, 1])[2])
    assert away.max() < radius_m + 20 * tolerance_m + 10_000.0
    # vertices of the small file stand on a grid of 0.0055 degree
    off = coast.nearest_shore(points[:, 1], points[:, 0]).distance_m
    assert off.max() < (1.0 if tolerance_m < 1000.0 else 400.0)


def test_a_finer_tolerance_draws_more(coast):
    many = [sum(map(len, coast.coast_lines(60.39, 5.32, 30e3, t))) for t in (0.0, 50.0, 500.0, 5000.0)]
    assert many == sorted(many, reverse=True)
    assert many[0] > 4 * many[2]


def test_land_lies_to_the_right_of_lines(coast):
    (line, *_) = sorted(coast.coast_lines(34.0, -77.9, 20e3, 50.0), key=len, reverse=True)
    middle = (line[1:] + line[:-1]) / 2
    east, north = (line[1:] - line[:-1]).T
    wide = np.cos(np.radians(34.0))
    length = np.hypot(east * wide, north)
    step = 0.001
    right = middle + step * np.stack([north / length / wide, -east * wide / length], axis=-1)
    assert np.mean(~coast.nearest_shore(right[:, 1], right[:, 0]).at_sea) > 0.8


def test_lines_run_on_across_the_date_line(coast):
    points = np.concatenate(coast.coast_lines(-16.8, 179.95, 60e3, 100.0))  # Taveuni and Vanua Levu, Fiji
    assert points[:, 0].max() > 180.0
    assert np.ptp(points[:, 0]) < 3.0


def test_no_lines_far_from_any_shore(coast):
    assert coast.coast_lines(46.0, 100.0, 50e3, 100.0) == []
    with pytest.raises(InputError, match="radius_m"):
        coast.coast_lines(0.0, 0.0, 0.0, 10.0)


# --- refusals ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lat", "lon", "words"),
    [
        (91.0, 0.0, "latitude is 91.0.*swapped"),
        (0.0, 282.1, "longitude is 282.1.*give -77.9"),
        (float("nan"), 0.0, "latitude is nan"),
        (0.0, float("inf"), "longitude is inf"),
        (95.0, 500.0, "latitude(.|\n)*longitude"),
        ([0.0, 91.0, 92.0], 0.0, "2 such values"),
        ([0.0, 1.0], [0.0, 1.0, 2.0], "as many"),
    ],
)
def test_coordinates_that_are_none_are_refused_in_words(lat, lon, words):
    with pytest.raises(InputError, match=words):
        coordinates(lat, lon)


def test_questions_about_one_place_take_one_place(coast):
    with pytest.raises(InputError, match="one place"):
        coast.shore_type(np.array([0.0, 1.0]), 0.0)


def test_without_the_data_package_the_distance_is_asked_for(monkeypatch):
    monkeypatch.setitem(sys.modules, "longhold_places", None)
    with pytest.raises(InputError, match=r"needs the extra places.*Or give distance_to_salt_water"):
        Coast.load()


def test_a_folder_without_the_shoreline_asks_for_the_distance(tmp_path):
    with pytest.raises(InputError, match="Or give distance_to_salt_water"):
        Coast.load(tmp_path)
