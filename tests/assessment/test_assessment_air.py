"""The air of a place on earth, from its position: what is found, what overrides it, what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.assessment.air_line import assess_air
from longhold.assessment.line import assess
from longhold.assessment.located import locate
from longhold.base.errors import InputError
from longhold.model.site import Air, Nearby, Site, Weather

KURE_BEACH = {"latitude": 33.97, "longitude": -77.917}  # a beach town: the ocean is within a kilometre
DENVER = {"latitude": 39.74, "longitude": -104.99}


def site(**fields):
    return Site.model_validate({"name": "somewhere", **fields})


def test_a_position_is_enough():
    found = locate(site(**KURE_BEACH))
    assert 0.0 <= found.distance_to_salt_m < 1_000.0
    assert 15.0 < np.mean(found.climate.temperature_c) < 20.0
    assert {"site.climate", "site.distance_to_salt_water"} <= {one.where for one in found.assumptions}
    assert found.air_load.chloride_mg_m2_d.median > 20.0


def test_what_is_given_overrides_what_is_found():
    found = locate(
        site(
            **KURE_BEACH,
            distance_to_salt_water="2 km",
            climate={"station": "Phoenix"},
        )
    )
    assert found.distance_to_salt_m == 2000.0
    assert found.climate.temperature_c[6] > 30.0
    assert "site.distance_to_salt_water" not in {one.where for one in found.assumptions}


def test_a_measured_chloride_needs_no_shore():
    found = locate(site(climate={"station": "Boston"}, air={"chloride": "25 mg/m2/d"}))
    assert found.air_load.chloride_mg_m2_d.median == pytest.approx(25.0)
    assert found.distance_to_salt_m is None


def test_far_inland_the_ocean_counts_and_a_salt_lake_does_not():
    assert locate(site(**DENVER)).distance_to_salt_m > 900_000.0


def test_beside_an_inland_sea_the_answer_is_refer():
    with pytest.raises(InputError, match="Great Salt Lake"):
        locate(site(latitude=40.75, longitude=-112.2))


@pytest.mark.parametrize(
    "place", [{"latitude": 95.0, "longitude": 0.0}, {"latitude": 10.0, "longitude": 200.0}]
)
def test_a_position_that_is_none_is_refused(place):
    with pytest.raises(ValueError, match="less than or equal"):
        site(**place)


def test_nothing_is_guessed_at_the_open_sea():
    with pytest.raises(InputError):
        locate(site(latitude=0.0, longitude=-30.0))


def test_a_site_needs_somewhere_to_be():
    with pytest.raises(ValueError, match="latitude and longitude together"):
        site(latitude=10.0, climate={"station": "Boston"}, distance_to_salt_water="1 km")
    with pytest.raises(ValueError, match="needs a climate"):
        site(distance_to_salt_water="1 km")


def test_beside_a_manure_store_the_outdoor_air_is_referred():
    air = Air(near=[Nearby(setting="fertiliser_or_manure_store")])
    one = Site(name="farm", climate=Weather(station="Chicago"), distance_to_salt_water="1000 km", air=air)
    assert "ammonia" in locate(one).refer[0]


def test_a_salted_road_adds_salt_and_less_from_afar():
    plain, near, far = (
        locate(site(**DENVER, air={"near": near})).air_load.chloride_mg_m2_d.median
        for near in (
            [],
            [{"setting": "salted_road", "distance": "5 m"}],
            [{"setting": "salted_road", "distance": "200 m"}],
        )
    )
    assert plain < far < near


@pytest.fixture(scope="module")
def shore():
    return assess_air(site(**KURE_BEACH), draws=800)


def test_open_air_lies_between_inside_and_cover_at_the_shore(shore):
    zinc = {one.place.name: one.first_year_um.p50 for one in shore.losses if one.metal == "zinc"}
    assert zinc["dry_inside"] < zinc["damp_inside"] < zinc["open_to_rain"] < zinc["under_cover"]


def test_both_laws_are_shown_and_the_switch_works(shore):
    printed = assess_air(site(**KURE_BEACH), draws=800, air_law="printed")
    assert printed.site.printed_first_year_um == shore.site.printed_first_year_um
    middle = printed.site.first_year_um["zinc"].p50
    assert middle == pytest.approx(printed.site.printed_first_year_um["zinc"], rel=0.2)
    assert shore.site.first_year_um["zinc"].p50 > middle
    moved = assess_air(site(**KURE_BEACH), draws=800, air_law="calibrated")
    assert moved.site.first_year_um["zinc"].p50 > shore.site.first_year_um["zinc"].p50


def test_category_probabilities_add_up(shore):
    for shares in shore.site.categories.values():
        assert sum(shares.values()) == pytest.approx(1.0)


def test_the_ranking_names_each_input_and_adds_up_to_about_one(shore):
    assert {one.name for one in shore.ranking} == {
        "temperature",
        "humidity",
        "chloride",
        "sulphur",
        "air_model_zinc",
        "air_calibration",
        "surroundings",
    }
    assert 0.9 < sum(one.with_others for one in shore.ranking) < 1.2
    assert "%" in shore.narrows_most


def test_measuring_the_salt_takes_it_off_the_top(shore):
    measured = assess_air(site(**KURE_BEACH, air={"chloride": "60 mg/m2/d"}), draws=800)
    share = {one.name: one.with_others for one in measured.ranking}
    before = {one.name: one.with_others for one in shore.ranking}
    assert share["chloride"] < 0.2 * before["chloride"]


def test_what_stands_near_and_is_not_stated_shrinks_as_it_is_stated(shore):
    def spread(found, metal="carbon_steel"):
        band = found.site.first_year_um[metal]
        return np.log(band.p90 / band.p10)

    described = (
        {"setting": "rural"},
        {"setting": "rural", "chloride": "60 mg/m2/d"},
        {"chloride": "60 mg/m2/d", "sulphur_deposition": "0.8 mg/m2/d"},
    )
    found = [shore, *(assess_air(site(**KURE_BEACH, air=air), draws=800) for air in described)]
    spreads = [spread(one) for one in found]
    assert spreads == sorted(spreads, reverse=True)
    medians = [one.site.first_year_um["carbon_steel"].p50 for one in found[:2]]
    assert medians[0] == pytest.approx(medians[1], rel=0.15)
    assert "surroundings" not in {one.name for one in found[-1].ranking}
    told = [[one.value for one in answer.assumptions if one.where == "site.air"] for answer in found]
    assert told == [["what stands near is not stated"]] * 3 + [[]]


def test_what_is_not_stated_is_never_what_to_measure():
    inland = assess_air(site(**DENVER), draws=200)
    assert "not stated" not in inland.narrows_most
    if "sulphur" in inland.narrows_most:
        assert "rural, urban or industrial" in inland.narrows_most


def test_the_map_holds_the_shore(shore):
    assert shore.site.shore.map.lines
    longitudes = np.concatenate([line[:, 0] for line in shore.site.shore.map.lines])
    assert np.abs(longitudes - KURE_BEACH["longitude"]).min() < 0.05


def test_a_structure_may_stand_at_a_position(tmp_path):
    from longhold.intake.load import load
    from longhold.intake.starter_file import starter

    text = starter()
    head, _, rest = text.partition("[site]")
    timbers = rest[rest.index("[timbers.joist]") :]
    here = f'[site]\nname = "here"\nlatitude = 33.97\nlongitude = -77.917\n\n{timbers}'
    path = tmp_path / "deck.toml"
    path.write_text(head + here, encoding="utf-8")
    answer = assess(load(path), draws=200)
    assert answer.site.distance_to_salt_m < 1_000.0


def test_wetness_comes_from_hours_and_a_desert_has_little():
    desert = assess_air(site(latitude=33.45, longitude=-112.07), draws=200)
    shore = assess_air(site(**KURE_BEACH), draws=200)
    assert (
        desert.wetness_hours < 1_500.0 < shore.wetness_hours < 8_760.0
    )  # ISO 9223: 250 to 5,500 h are T3, T4
    assert 0.0 < desert.wet_hours < shore.wet_hours
