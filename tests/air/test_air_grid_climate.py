"""The offline climate interpolates, follows height, tells its errors, refuses where it knows nothing."""

from __future__ import annotations

import inspect
import io
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air import grid_climate
from longhold.air.grid_climate import climate_at, has_grid, map_height_m
from longhold.base.errors import InputError, TableError
from longhold.base.marks import Mark

LAND = [(33.43, -112.01), (51.5, -0.1), (-41.3, 174.8), (4.7, -74.13), (62.97, -141.93), (1.35, 103.8)]


def test_the_table_is_installed():
    assert has_grid()


@pytest.mark.parametrize(("latitude", "longitude"), LAND)
def test_every_place_has_a_possible_year_and_says_where_it_comes_from(latitude, longitude):
    site = climate_at(latitude, longitude)
    climate = site.climate
    assert climate.rain_mm is not None
    assert climate.rain_days is not None
    assert site.rain_hours is not None
    for month in range(12):
        assert -60 < climate.temperature_c[month] < 45
        assert 5 <= climate.relative_humidity_pct[month] <= 98
        assert climate.rain_mm[month] >= 0
        assert 0 <= climate.rain_days[month] <= 31
        assert site.rain_hours[month] <= 744
    assert climate.source == "climate-grid"
    assert climate.mark is Mark.OWN
    assert site.hourly is None
    assert site.temperature_sd_c > 0
    assert any("map's" in note for note in site.notes)


@settings(deadline=None, max_examples=60)
@given(latitude=st.floats(-55, 70), longitude=st.floats(-180, 180), step=st.floats(1e-6, 1e-4))
def test_a_small_step_changes_little(latitude, longitude, step):
    try:
        here, there = climate_at(latitude, longitude), climate_at(latitude + step, longitude)
    except InputError:
        return
    a, b = np.array(here.climate.temperature_c), np.array(there.climate.temperature_c)
    kept = {tuple(grid_climate._corner(lat, longitude).rows) for lat in (latitude, latitude + step)}
    if len(kept) == 1:  # the same nodes
        assert np.abs(a - b).max() <= 0.2


def test_a_node_gives_its_own_values():
    assert map_height_m(40.0, -105.5) == pytest.approx(float(_node("height", 40.0, -105.5)))
    t = climate_at(40.0, -105.5).climate.temperature_c[0]
    assert t == pytest.approx(float(_node("temperature", 40.0, -105.5)[0]) / 20.0, abs=0.051)


def _node(layer, latitude, longitude):
    with np.load(io.BytesIO(files("longhold_places").joinpath("climate.npz").read_bytes())) as raw:
        index = raw["index"][int((latitude + 90) * 2), int((longitude + 180) * 2)]
        return np.cumsum(raw[layer].astype(np.int64), axis=-1)[..., index]


def test_both_sides_of_the_date_line_are_one_place():
    a, b = climate_at(66.5, 180.0), climate_at(66.5, -180.0)
    assert a.climate.temperature_c == b.climate.temperature_c
    near = climate_at(66.5, 179.99).climate.temperature_c
    assert np.abs(np.array(near) - np.array(a.climate.temperature_c)).max() < 0.5


@settings(deadline=None, max_examples=40)
@given(low=st.floats(0, 3000), rise=st.floats(50, 2000))
def test_higher_is_colder_by_the_lapse_rate_and_less_certain(low, rise):
    below, above = climate_at(47.0, 10.0, low), climate_at(47.0, 10.0, low + rise)
    drop = np.array(below.climate.temperature_c) - np.array(above.climate.temperature_c)
    assert drop == pytest.approx(6.3 * rise / 1000, abs=0.11)
    far = max((low, low + rise), key=lambda m: abs(m - map_height_m(47.0, 10.0)))
    least, most = sorted((below.temperature_sd_c, above.temperature_sd_c))
    assert (above if far == low + rise else below).temperature_sd_c == most >= least >= 1.4


def test_the_map_height_asked_for_is_nearly_the_map_itself():
    free, told = climate_at(51.5, -0.1), climate_at(51.5, -0.1, map_height_m(51.5, -0.1))
    assert np.array(told.climate.temperature_c) == pytest.approx(free.climate.temperature_c, abs=0.11)
    assert np.array(told.climate.relative_humidity_pct) == pytest.approx(
        free.climate.relative_humidity_pct, abs=0.6
    )


def test_wind_is_known_near_the_sea_only():
    shore, inland = climate_at(19.72, -155.05), climate_at(39.1, -94.6)
    assert shore.wind_speed_m_s is not None
    assert shore.wind_from_deg is not None
    assert all(45 < deg < 110 for deg in shore.wind_from_deg)  # the trade wind of Hawaii
    assert inland.wind_speed_m_s is None
    assert inland.wind_from_deg is None
    assert any("wind is unknown" in note for note in inland.notes)


@pytest.mark.parametrize(
    ("latitude", "longitude", "words"),
    [
        (91.0, 0.0, "latitude"),
        (0.0, 181.0, "longitude"),
        (float("nan"), 0.0, "latitude"),
        (0.0, -30.0, "open sea"),
        (-80.0, 30.0, "Antarctica"),
        (-90.0, 0.0, "Antarctica"),
        (90.0, 0.0, "open sea"),
    ],
)
def test_positions_without_a_climate_are_refused(latitude, longitude, words):
    with pytest.raises(InputError, match=words):
        climate_at(latitude, longitude)


@pytest.mark.parametrize("elevation_m", [-500.0, 7000.0, float("nan")])
def test_impossible_elevations_are_refused(elevation_m):
    with pytest.raises(InputError, match="elevation"):
        climate_at(51.5, -0.1, elevation_m)


def test_without_the_package_the_message_says_what_to_install(monkeypatch):
    monkeypatch.setattr(grid_climate, "_grid", inspect.unwrap(grid_climate._grid))  # nothing is kept of it
    monkeypatch.setattr(grid_climate, "_PACKAGE", "longhold_places_that_is_not_there")
    assert not has_grid()
    with pytest.raises(InputError, match=r"longhold\[places\]"):
        climate_at(51.5, -0.1)


def test_a_table_of_another_layout_is_refused():
    file = io.BytesIO()
    np.savez(file, index=np.zeros((2, 2), int), temperature=np.zeros((12, 3)), height=np.zeros(3))
    file.seek(0)
    with pytest.raises(TableError, match="layout"):
        grid_climate._arrays(file)
