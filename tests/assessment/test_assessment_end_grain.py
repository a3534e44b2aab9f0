"""Metal in end grain and coated timber, asked for in a structure."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from longhold.assessment.assumptions import joint_defaults
from longhold.assessment.facings import end_grain_assumptions
from longhold.assessment.line import assess
from longhold.assessment.prepare import prepare
from longhold.forecast.wood_rate import WoodContact, kind_of
from longhold.model.structure import Structure
from longhold.model.surroundings import places
from longhold.wood.timber_runs import end_grain_length_mm

TIMBER = {"species": "southern pine", "preservative": "MCA", "use_category": "UC4A", "size": "2x8"}
LAG = {"id": "lag", "kind": "lag_screw", "size": "3/8 in x 5 in", "label": "HDG ASTM A153 Class D"}
NAIL = {"id": "nail", "kind": "nail", "size": "16d common", "label": "HDG ASTM A153 Class D"}


def structure(coat=None, part=LAG, place="dry_inside", **told):
    """Indoors no hour is simulated; what is asked for reaches strength and assumptions all the same."""
    joint = {"id": "J1", "name": "Joint", "place": place, "main": "joist", "side": "joist"}
    return Structure.model_validate(
        {
            "name": "Frame",
            "design_life": "30 years",
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {"name": "Yard", "climate": {"station": "Atlanta"}, "distance_to_salt_water": "400 km"},
            "timbers": {"joist": TIMBER if coat is None else {**TIMBER, "coat": coat}},
            "joints": [{**joint, "demand": "50 lb", "parts": [part], **told}],
        }
    )


def capacity_n(asked):
    (found,) = assess(asked, draws=200).findings
    return found.parts[0].strength.capacity_new_n


def test_a_long_face_is_an_assumption_and_end_grain_has_its_own():
    side, end = structure().joints[0], structure(main_end_grain=True).joints[0]
    assert "joints.J1.main_end_grain" in {one.where for one in joint_defaults(side)}
    assert not end_grain_assumptions(side, "us")
    told = {one.where for one in joint_defaults(end)}
    assert not told & {"joints.J1.main_end_grain", "joints.J1.load_to_grain_main_deg"}
    (pulled,) = end_grain_assumptions(end, "us")
    assert "75 %" in pulled.because
    outside = structure(place="open_to_rain", main_end_grain=True).joints[0]
    assert len(end_grain_assumptions(outside, "us")) == 2


def test_a_thin_nail_in_end_grain_carries_two_thirds_and_a_lag_screw_less_as_the_load_crosses_the_grain():
    nail = [capacity_n(structure(part=NAIL, **told)) for told in ({}, {"main_end_grain": True})]
    assert nail[1] / nail[0] == pytest.approx(0.67)
    along = capacity_n(structure())
    across = capacity_n(structure(load_to_grain_main_deg=90.0))
    end = capacity_n(structure(main_end_grain=True))
    assert end / across == pytest.approx(0.67)
    assert across < along


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"load_to_grain_main_deg": 30.0}, "across the grain"),
        ({"part": {**LAG, "kind": "bolt", "size": "1/2 in x 8 in"}}, "passes through long faces"),
    ],
)
def test_what_end_grain_cannot_be_is_refused(told, words):
    with pytest.raises(ValidationError, match=words):
        structure(main_end_grain=True, **told)


def test_one_timber_met_in_its_end_and_in_its_face_is_two():
    for told, count in (({}, 1), ({"main_end_grain": True}, 2)):
        asked = structure(**told)
        assert len(prepare(asked).timbers_met(asked.joints[0])) == count


def test_coat_and_end_grain_reach_what_is_simulated_and_every_key():
    place = places()["open_to_rain"]
    kinds, keys = set(), set()
    for coat in (None, "paint", "stain"):
        for end in (False, True):
            asked = structure(coat, main_end_grain=end)
            timber = prepare(asked).main_timber(asked.joints[0])
            contact = WoodContact(place, timber, False, "side", "shank")
            kind = kind_of(contact)
            assert (kind.coat, kind.end_grain) == (coat or "", end)
            assert kind.thickness_mm == (end_grain_length_mm() if end else timber.thickness_mm)
            kinds.add(kind)
            keys.add(contact.key)
    assert len(kinds) == len(keys) == 6


def test_a_coat_is_an_assumption_that_says_where_it_does_not_help():
    told = [one for one in prepare(structure("paint")).assumptions if one.where == "timbers.joist.coat"]
    assert len(told) == 1
    assert "gaps" in told[0].because
    assert "ends" in told[0].because
