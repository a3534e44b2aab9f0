"""Mixed metals in a joint: who loses, how much, what insulation does, what is not computed."""

from __future__ import annotations

import pytest

from longhold.assessment.couple_words import loss_words
from longhold.assessment.line import assess
from longhold.model.structure import Structure

DRAWS = 200
ANGLE = {"id": "angle", "kind": "angle", "size": "16 ga", "label": "G90"}
SCREW = {"id": "screw", "kind": "wood_screw", "size": "#10 x 1-1/2 in", "label": "316 stainless"}
NAIL = {"id": "nail", "kind": "nail", "size": "10d common x 1-1/2 in", "label": "A153"}
PLATE = {"id": "plate", "kind": "plate", "size": "16 ga", "label": "316 stainless"}


def _joint(*parts, place="under_cover", **more):
    structure = Structure.model_validate(
        {
            "name": "bracket",
            "units": "si",
            "design_life": "50 years",
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {
                "name": "inland",
                "distance_to_salt_water": "100 miles",
                "climate": {"station": "Wilmington NC"},
            },
            "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}},
            "joints": [
                {"id": "J", "name": "bracket", "place": place, "main": "joist", "parts": list(parts), **more}
            ],
        }
    )
    return assess(structure, draws=DRAWS).findings[0]


def _rates(finding, part):
    found = next(one for one in finding.parts if one.id == part)
    return [(face.zinc_rate_um_yr, face.base_rate_um_yr) for face in found.faces]


@pytest.fixture(scope="module")
def large_anode():
    return _joint(ANGLE, SCREW)


@pytest.fixture(scope="module")
def small_anode():
    return _joint(PLATE, NAIL)


def test_the_zinc_of_the_large_part_loses_a_little_more(large_anode):
    (loss,) = large_anode.galvanic
    assert loss.couple.suffers == "angle"
    assert not loss.small_anode
    assert {(one.face, one.metal) for one in loss.extras} == {
        ("outer", "zinc"), ("outer", "steel"), ("contact", "zinc"), ("contact", "steel"),
    }  # fmt: skip
    for one in loss.extras:
        assert 0.0 < one.um_yr.p10 < one.um_yr.p50 < one.um_yr.p90
        assert one.um_yr.p50 < one.own_um_yr.p50
        assert one.in_wood == (one.face == "contact")


def test_a_small_anode_beside_a_large_cathode_is_called_out(small_anode):
    (loss,) = small_anode.galvanic
    assert loss.couple.suffers == "nail"
    assert loss.small_anode
    head = next(one for one in loss.extras if (one.face, one.metal) == ("head", "zinc"))
    assert head.area_ratio.p50 > 1.0
    assert "A small anode beside a large cathode" in small_anode.answer
    assert "which is extrapolated" in small_anode.answer
    assert "loses more zinc" in small_anode.answer


def test_the_extra_loss_is_in_the_rates_and_the_calculation(small_anode):
    same_metal = _joint({**PLATE, "label": "G90"}, NAIL)
    for (zinc, base), (zinc_alone, base_alone) in zip(
        _rates(small_anode, "nail"), _rates(same_metal, "nail"), strict=True
    ):
        assert zinc.p50 > zinc_alone.p50
        assert base.p50 > base_alone.p50
    head = next(one for one in small_anode.parts if one.id == "nail").faces[0]
    assert any(step.symbol == "r_x" for step in head.calculation.steps())


def test_one_family_adds_nothing():
    same = _joint(ANGLE, NAIL)
    assert same.galvanic == ()
    assert same.couples == ()


@pytest.mark.parametrize("isolated", ["angle", "screw"])
def test_insulation_takes_the_extra_loss_away_and_must_be_kept_whole(large_anode, isolated):
    parts = [{**part, "isolated": True} if part["id"] == isolated else part for part in (ANGLE, SCREW)]
    apart = _joint(*parts)
    (loss,) = apart.galvanic
    assert loss.isolated
    assert loss.extras == ()
    assert "kept whole" in apart.answer
    assert apart.couples == ()
    alone = _joint(ANGLE, {**SCREW, "label": "A153"})
    assert _rates(apart, "angle") == _rates(alone, "angle")
    assert _rates(apart, "angle") != _rates(large_anode, "angle")


def test_a_washer_under_the_head_counts_and_is_served_near_it_only():
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 4 in", "label": "A153 Class C"}
    washer = {"id": "washer", "kind": "washer", "thickness": "3 mm", "label": "316 stainless"}
    found = _joint(bolt, washer, side="joist")
    (loss,) = found.galvanic
    assert loss.couple.suffers == "bolt"
    by_face = {(one.face, one.metal): one for one in loss.extras}
    assert ("head", "zinc") in by_face
    shank, line = by_face["shank", "zinc"], by_face["joint_line", "zinc"]
    assert line.um_yr.p50 < shank.um_yr.p50


@pytest.mark.parametrize(
    ("parts", "place", "reason"),
    [
        ((NAIL, {**SCREW}), "under_cover", "fasteners do not touch"),
        ((ANGLE, PLATE, NAIL), "under_cover", "two sheets"),
        ((ANGLE, SCREW), "pool_hall", "pool hall"),
    ],
)
def test_what_is_not_computed_says_why_and_gives_no_figure(parts, place, reason):
    found = _joint(*parts, place=place)
    said = [loss for loss in found.galvanic if loss.reason]
    assert any(reason in loss.reason for loss in said)
    assert all(loss.extras == () and loss.curves is None for loss in said)
    assert any("is not computed" in loss_words(loss, found, "si") for loss in said)


def test_the_picture_crosses_where_the_couple_stands(small_anode):
    curves = small_anode.galvanic[0].curves
    assert curves is not None
    assert curves.free[0] < curves.joined[0]
    assert curves.free[1] < curves.joined[1]
    assert curves.potential_v[0] < curves.free[0] < curves.joined[0] < curves.potential_v[-1]
    net = [out - into for out, into in zip(curves.dissolves, curves.takes_up_joined, strict=True)]
    crossing = sum(one <= 0.0 for one in net)
    assert curves.potential_v[crossing - 1] <= curves.joined[0] <= curves.potential_v[crossing]


STRAP = {"id": "strap", "kind": "strap", "size": "16 ga", "label": "G185"}
PLATED = {"id": "nail", "kind": "nail", "size": "10d common x 1-1/2 in", "label": "Fe/Zn 5"}


def _years(finding, part):
    return next(one for one in finding.parts if one.id == part).protection_years.p50


def test_a_plated_nail_whose_zinc_is_gone_is_steel_beside_the_strap_and_that_is_told():
    """Same family when new, so no couple is called; later its steel is a cathode to the strap's zinc."""
    joined = _joint(STRAP, PLATED)
    apart = _joint(STRAP, {**PLATED, "isolated": True})
    assert joined.couples == ()
    assert 0.8 * _years(apart, "nail") < _years(joined, "nail") < _years(apart, "nail")  # the rim of the hole
    assert _years(joined, "nail") < _years(joined, "strap") < _years(apart, "strap")
    (strap,) = (one for one in joined.parts if one.id == "strap")
    assert any("once the zinc of the nail beside it is gone" in one for one in strap.cautions)
    assert any(step.symbol == "k_l" for face in strap.faces for step in face.calculation.steps())
    new = [one.zinc_rate_um_yr for one in strap.faces]
    (whole,) = (one for one in apart.parts if one.id == "strap")
    assert new == [one.zinc_rate_um_yr for one in whole.faces]  # as long as both have zinc


def test_the_bare_rim_of_a_mill_coated_strap_is_counted_at_the_nail_and_told():
    """Sheet dipped after making has zinc at the rim: no extra; drilled on site it is as bare as any."""

    def nail(**told):
        finding = _joint({**STRAP, "label": "A123", **told}, {**PLATED, "label": "A153"})
        (part,) = (one for one in finding.parts if one.id == "nail")
        said = [one for one in part.cautions if "cut edges and bare spots of the strap" in one]
        return next(face.zinc_rate_um_yr.p50 for face in part.faces if face.face == "head"), said

    dipped, none = nail()
    assert not none
    for told in ({"label": "G185"}, {"damage": ["drilled_hole"]}):
        rate, said = nail(**told)
        assert 1.005 < rate / dipped < 1.3
        assert said
        assert "counted from the start" in said[0]
    thick = nail(label="G185", size="10 ga")[0]
    assert thick > nail(label="G185")[0]  # more bare steel at a thicker sheet
    assert nail(label="G185", isolated=True)[0] == pytest.approx(dipped)


def test_a_nail_that_outlasts_the_strap_takes_nothing_from_it():
    thick = {**PLATED, "label": "A153"}
    joined, apart = (
        _joint({**STRAP, "label": "G60"}, thick),
        _joint({**STRAP, "label": "G60", "isolated": True}, thick),
    )
    assert _years(joined, "strap") == pytest.approx(_years(apart, "strap"), rel=0.02)


def test_a_strap_ground_bare_is_steel_beside_the_nail_from_the_start():
    """In the air it takes as much from the nail's head as a strap that never had zinc; sound, much less."""
    nail, strap = {**NAIL, "label": "A153"}, {**STRAP, "label": "G185"}

    def head(**told):
        finding = _joint({**strap, **told}, nail, place="open_to_rain")
        (part,) = (one for one in finding.parts if one.id == "nail")
        return next(one.protection_years.p50 for one in part.faces if one.face == "head")

    ground, bare, sound = head(damage=["ground_bare"]), head(label="bare steel"), head()
    assert ground == pytest.approx(bare, rel=0.05)
    assert ground < 0.9 * sound


def test_several_nobler_parts_add():
    washer = {"id": "washer", "kind": "washer", "thickness": "3 mm", "label": "316 stainless"}
    plate = {**PLATE, "label": "copper"}
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 4 in", "label": "A153 Class C"}
    alone, one, other, both = (
        _rates(_joint(bolt, *near), "bolt")[0][0].p50 for near in ((), (washer,), (plate,), (washer, plate))
    )
    assert both > max(one, other) > min(one, other) > alone


@pytest.mark.parametrize("contact", ["soil", "concrete"])
@pytest.mark.parametrize("isolated", [False, True])
def test_soil_or_concrete_against_a_part_is_no_film_of_air_and_may_bridge_insulation(contact, isolated):
    found = _joint({**ANGLE, "contact": contact, "isolated": isolated}, SCREW)
    (loss,) = found.galvanic
    assert not loss.isolated
    assert all(one.in_wood for one in loss.extras)
    said = loss_words(loss, found, "si")
    assert contact in said
    assert "in the air" not in said
    assert found.outcome != "holds"
    assert len(found.couples) == 1
    if isolated:
        assert "may bridge it" in said
        assert loss.extras == ()


def test_a_face_in_soil_is_not_told_as_one_in_wood_or_air():
    found = _joint({**ANGLE, "contact": "soil", "label": "ZM310"}, NAIL)
    outer = next(one for one in found.parts if one.id == "angle").faces[0]
    assert outer.against == "soil"
    told = " ".join(f"{step.what} {step.note}" for step in outer.calculation.steps())
    assert "alloys in wood and against soil:" in told
    assert "in wood:" not in told
