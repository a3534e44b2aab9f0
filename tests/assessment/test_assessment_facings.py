"""How a part's faces lie reaches its answer, and what was taken is listed."""

from __future__ import annotations

import pytest

from longhold.assessment.findings import JointFinding
from longhold.assessment.line import assess


@pytest.fixture
def found(small_structure):
    """The finding of one strap at a distance from salt water."""

    def assessed(
        distance: str | None = "100 ft",
        place: str = "open_to_rain",
        chloride: str | None = None,
        **part: object,
    ) -> JointFinding:
        site = {"distance_to_salt_water": distance, "air": chloride and {"chloride": chloride}}
        return assess(small_structure(part, places=(place,), site=site), draws=300).findings[0]

    return assessed


def _outer(found: JointFinding):
    return next(face for face in found.parts[0].faces if face.touches == "air")


def _assumed(found: JointFinding) -> list[tuple[str, str]]:
    return [(one.where, one.value) for one in found.assumptions if one.where.endswith(".faces")]


def test_near_salt_a_face_that_rain_misses_loses_more(found) -> None:
    sky, wall, down = (_outer(found(faces=one)) for one in ("sky_facing", "wall", "underside"))
    assert sky.zinc_rate_um_yr.p50 < wall.zinc_rate_um_yr.p50 < down.zinc_rate_um_yr.p50
    assert (sky.lies, wall.lies, down.lies) == ("facing the sky", "upright", "facing down")


def test_far_from_salt_the_way_a_face_lies_changes_nothing_and_is_not_listed(found) -> None:
    usual, down = found("50 miles"), found("50 miles", faces="underside")
    assert _outer(usual).zinc_rate_um_yr == _outer(down).zinc_rate_um_yr
    assert _assumed(usual) == _assumed(down) == []


def test_what_is_usual_is_listed_and_what_is_stated_is_not(found) -> None:
    assert _assumed(found()) == [("joints.open_to_rain.p.faces", "upright")]
    assert _assumed(found(faces="wall")) == []
    assert _assumed(found(place="under_cover")) == []
    assert _assumed(found(None, chloride="100 mg/m2/d")) == [("joints.open_to_rain.p.faces", "upright")]


def test_a_part_whose_way_is_uncertain_keeps_a_range(found) -> None:
    strap, hanger = (_outer(found(kind=kind, size="16 ga")).zinc_rate_um_yr for kind in ("strap", "hanger"))
    assert hanger.p90 > strap.p90
    assert hanger.p50 > strap.p50
    assert _assumed(found(kind="hanger")) == [("joints.open_to_rain.p.faces", "upright or facing down")]


@pytest.mark.parametrize("place", ["open_to_rain", "under_cover"])
def test_the_calculation_of_a_face_in_air_says_how_it_lies_what_that_does_and_what_is_published(
    found,
    place,
) -> None:
    steps = list(_outer(found(place=place)).calculation.steps())
    lies = next(step for step in steps if step.what == "how this face lies to rain")
    assert lies.value == ("upright" if place == "open_to_rain" else "kept from rain")
    factors = [step for step in steps if step.symbol == "r_f"]
    assert factors
    assert all(" to " in step.inputs["k"] and step.source == "own" for step in factors)
    published = {step.source for step in steps if step.symbol == "loss"}
    assert "shelter-observations" in published
    assert ("iso9223-2012-cautions" in published) == (place == "under_cover")


def test_faces_in_timber_and_indoors_have_no_way_to_lie(found) -> None:
    outdoors, inside = found(), found(place="damp_inside")
    assert [face.lies for face in outdoors.parts[0].faces] == ["upright", ""]
    assert all(face.lies == "" for face in inside.parts[0].faces)
    room = [step for step in _outer(inside).calculation.steps() if "RH" in step.inputs and step.symbol == "r"]
    assert any(step.inputs["RH"] == "77.5 %" for step in room)


def test_stainless_that_rain_never_rinses_is_beyond_what_is_computed_sooner(found) -> None:
    label, salt = "304 stainless", "30 mg/m2/d"
    rinsed = found(chloride=salt, label=label, faces="wall").parts[0]
    below = found(chloride=salt, label=label, faces="underside").parts[0]
    assert rinsed.faces
    assert not below.faces
    assert any("rain does not rinse it" in reason for reason in below.refer)
