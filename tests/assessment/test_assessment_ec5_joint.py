"""What a structure states of a joint under EN 1995-1-1: used, refused or listed; by hand where it can be."""

from __future__ import annotations

import json
from math import cos, pi, radians

import pytest
from pydantic import ValidationError

from longhold.assessment.line import assess
from longhold.model.parts import Part
from longhold.model.structure import Structure
from longhold.strength.ec5_capacity import ec5_capacity_n
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member

ZINC = "hot-dip galvanized, 50 um"
NAIL = {
    "id": "nail",
    "kind": "nail",
    "label": ZINC,
    "diameter": "3.4 mm",
    "length": "90 mm",
    "head_diameter": "8 mm",
}
BOARD = {"species": "Norway spruce", "preservative": "none", "thickness": "38 mm", "strength_class": "C24"}
BEAM = {**BOARD, "thickness": "71 mm"}
BOLT = {"id": "one", "kind": "bolt", "label": ZINC, "diameter": "12 mm", "count": 6}
SCREW = {
    "id": "one",
    "kind": "wood_screw",
    "label": ZINC,
    "diameter": "6 mm",
    "length": "100 mm",
    "root_diameter": "4 mm",
    "thread_length": "55 mm",
    "head_diameter": "22 mm",
}
HARD = {**BOARD, "strength_class": "D30"}


def found(part, *, timbers=None, standard="en1995", **joint):
    """The finding of one joint of a board on a beam, its part given, in dry air unless told."""
    made = {"id": "J", "name": "j", "place": "dry_inside", "main": "beam", "side": "board", **joint}
    sheets = made.pop("sheets", [])
    whole = {
        "name": "deck",
        "units": "si",
        "design_life": "50 years",
        "strength_standard": standard,
        "code": {"pack": "eu_ec5", "edition": "2004+A2"},
        "site": {
            "name": "x",
            "jurisdiction": "EU",
            "distance_to_salt_water": "5 km",
            "climate": {"station": "Wilmington NC"},
        },
        "timbers": timbers or {"board": BOARD, "beam": BEAM},
        "joints": [{**made, "parts": [part, *sheets]}],
    }
    return assess(Structure.model_validate_json(json.dumps(whole)), draws=200).findings[0]


def capacity(part, **joint):
    strength = found(part, **{"demand": "300 N", **joint}).parts[0].strength
    assert strength is not None
    return strength.capacity_new_n


def said(finding):
    return {one.where: one for one in finding.assumptions}


@pytest.mark.parametrize(
    ("stated", "kmod"),
    [  # kmod of service class 1 by EN 1995-1-1 Table 3.1 as printed in a manual of structural design
        ("permanent", 0.60),
        ("ten_years", 0.70),
        ("two_months", 0.80),
        ("seven_days", 0.80),
        ("ten_minutes", 0.90),
        ("instantaneous", 1.10),
    ],
)
def test_a_stated_load_duration_sets_kmod_and_is_no_assumption(stated, kmod):
    finding = found(NAIL, load_duration=stated, demand="300 N")
    assert finding.parts[0].strength.capacity_new_n == pytest.approx(988.79 * kmod / 1.3, abs=0.02)
    assert "joints.J.load_duration" not in said(finding)
    assert f"kmod {kmod:g} " in said(finding)["joints.J.nail.rated_load"].because


def test_a_class_of_the_eurocode_means_the_next_slower_one_of_the_nds():
    year, week = (capacity(NAIL, standard="nds", load_duration=one) for one in ("medium_term", "short_term"))
    assert week / year == pytest.approx(1.25)


FOUR = {**NAIL, "count": 4}


@pytest.mark.parametrize(
    ("part", "layout", "angle", "effective"),
    [
        # Table 8.1: kef 0.85 at 10 d, 1.0 from 14 d on
        (FOUR, {"in_row": 4, "row_spacing": "34 mm"}, 0.0, 4**0.85),
        (FOUR, {"in_row": 4, "row_spacing": "48 mm"}, 0.0, 4.0),
        # a spacing that is not stated is the least that is allowed, (5 + 5 cos a) d
        (FOUR, {"in_row": 4}, 0.0, 4**0.85),
        # (8.34): 3^0.9 (60 / (13 x 10))^0.25 = 2.2154, a hand value read second hand
        ({**BOLT, "diameter": "10 mm", "count": 3}, {"in_row": 3, "row_spacing": "60 mm"}, 0.0, 2.2154),
        ({**BOLT, "diameter": "10 mm", "count": 3}, {"in_row": 3, "row_spacing": "60 mm"}, 90.0, 3.0),
        ({**BOLT, "diameter": "10 mm", "count": 3}, {"in_row": 3, "row_spacing": "60 mm"}, 45.0, 2.6077),
    ],
)
def test_fasteners_in_a_row_carry_as_many_as_are_effective(part, layout, angle, effective):
    turned = {"load_to_grain_main_deg": angle, "load_to_grain_side_deg": angle}
    alone, rowed = capacity(part, **turned), capacity(part, layout=layout, **turned)
    assert rowed / alone == pytest.approx(effective / part["count"], rel=1e-4)


def test_a_row_and_splitting_that_nobody_stated_are_listed_plainly():
    listed = said(found(FOUR))["joints.J.layout"]
    assert listed.value == "one row not reduced, no splitting check"
    along = {"load_to_grain_main_deg": 0.0, "load_to_grain_side_deg": 0.0}
    assert "joints.J.layout" not in said(found(FOUR, layout={"in_row": 1}, **along))


ACROSS = {"load_to_grain_main_deg": 90.0, "load_to_grain_side_deg": 0.0}


def test_a_beam_splits_before_its_bolts_give():
    """F90,Rk = 8116 N for h 200, b 71, he 50 mm: a hand value read second hand; kmod 0.8, gammaM 1.3."""
    timbers = {"board": BOARD, "beam": {**BEAM, "width": "200 mm"}}
    layout = {"in_row": 1, "edge_distance": "50 mm"}
    finding = found(BOLT, demand="3 kN", layout=layout, timbers=timbers, **ACROSS)
    strength = finding.parts[0].strength
    assert strength.capacity_new_n == pytest.approx(8116.0 * 0.8 / 1.3, rel=1e-4)
    assert strength.mode_new == "the timber split along its grain"
    assert "joints.J.layout" not in said(finding)
    assert "F_v,ef,Rk" in {step.symbol for step in strength.calculation.steps()}


def test_splitting_that_cannot_be_checked_says_what_it_needs():
    listed = said(found(BOLT, layout={"in_row": 1}, **ACROSS))["joints.J.layout"]
    assert listed.value == "no splitting check"
    assert "layout.edge_distance and timbers.beam.width" in listed.because


@pytest.mark.parametrize(
    ("part", "layout", "words"),
    [  # Tables 8.2 and 8.4: driven nails 10 d apart and 15 d from the loaded end; bolts 80 mm and 3 d
        (FOUR, {"in_row": 4, "row_spacing": "30 mm"}, "row spacing is '30 mm'"),
        (FOUR, {"end_distance": "50 mm"}, "end distance is '50 mm'"),
        (BOLT, {"end_distance": "79 mm"}, "end distance is '79 mm'"),
        (BOLT, {"edge_distance": "35 mm"}, "edge distance is '35 mm'"),
        (FOUR, {"toe_nailed": True}, "nailed at a slant"),
        (FOUR, {"warmest": "70 C"}, "warmest it gets is '70 C'"),
    ],
)
def test_a_layout_outside_the_standard_is_referred_by_its_field(part, layout, words):
    one = found(part, layout=layout).parts[0]
    assert one.strength is None
    assert words in one.refer[0]


@pytest.mark.parametrize(
    ("layout", "field"), [({"diaphragm": True}, "diaphragm"), ({"warmest": "45 C"}, "warmest")]
)
def test_what_of_a_layout_does_not_count_is_listed(layout, field):
    assert said(found(FOUR, layout=layout))[f"joints.J.layout.{field}"].value == "not counted"


def test_both_standards_put_the_same_losses_in():
    def losses(standard):
        finding = found(NAIL, standard=standard, place="open_to_rain")
        [step] = [one for one in finding.parts[0].strength.calculation.steps() if one.symbol == "x_h, x_b"]
        return [float(one) for one in step.value.split(",")]

    # the NDS leaves the tip out of what bears, so the mean along it differs a little
    (hinge, bearing), (hinge_nds, bearing_nds) = losses("en1995"), losses("nds")
    assert hinge == pytest.approx(hinge_nds, rel=1e-6)
    assert bearing == pytest.approx(bearing_nds, rel=0.05)


@pytest.mark.parametrize("kind", ["nail", "lag_screw", "wood_screw"])
def test_whether_holes_are_drilled_can_be_stated_of_what_is_driven(kind):
    assert Part(id="a", kind=kind, label="x", diameter="4 mm", predrilled=True).predrilled
    with pytest.raises(ValidationError, match="no bolt has predrilled"):
        Part(id="a", kind="bolt", label="x", diameter="4 mm", predrilled=True)


def test_drilled_holes_that_dense_timber_needs_are_listed_and_can_be_stated():
    hard = {"board": HARD, "beam": {**HARD, "thickness": "71 mm"}}
    assert said(found(NAIL, timbers=hard))["joints.J.nail.predrilled"].value == "yes"
    assert "joints.J.nail.predrilled" not in said(found({**NAIL, "predrilled": True}, timbers=hard))
    refused = found({**NAIL, "predrilled": False}, timbers=hard).parts[0]
    assert refused.strength is None
    assert "drilled holes" in refused.refer[0]


def test_a_drilled_hole_in_soft_wood_counts_where_it_is_stated():
    board, beam = Ec5Member(38.0, 350.0), Ec5Member(71.0, 350.0)
    nail = Ec5Connection("nail", 3.4, board, beam, length_mm=90.0, head_diameter_mm=8.0, predrilled=True)
    expected = float(ec5_capacity_n(nail, 0.0, 0.0).capacity_n) * 0.8 / 1.3
    assert capacity({**NAIL, "predrilled": True}) == pytest.approx(expected, rel=1e-6)
    assert "joints.J.nail.predrilled" not in said(found(NAIL))


def test_the_nds_lists_the_drilled_hole_of_a_screw_and_refuses_one_without():
    lag = {"id": "one", "kind": "lag_screw", "label": ZINC, "size": "1/2 in x 4 in"}
    assert said(found(lag, standard="nds"))["joints.J.one.predrilled"].value == "yes"
    assert "joints.J.one.predrilled" not in said(found({**lag, "predrilled": True}, standard="nds"))
    assert found({**lag, "predrilled": False}, standard="nds").parts[0].strength is None


WET = "joints.J.layout.wet_when_made"


def test_the_nds_lists_that_wood_was_dry_when_made_where_that_matters():
    """Four bolts in wood that dries keep two fifths (NDS-2018 Table 11.3.3); a thin nail keeps all."""
    four = {**BOLT, "count": 4}
    assert "0.4 times" in said(found(four, standard="nds"))[WET].because
    assert WET not in said(found(four, standard="nds", layout={"wet_when_made": False}))
    assert WET not in said(found(four, standard="nds", place="open_to_rain"))
    assert WET not in said(found(NAIL, standard="nds"))
    assert "0.25 times" in said(found(NAIL, standard="nds", demand_withdrawal="50 N"))[WET].because


def test_a_nail_made_dry_in_wood_that_stays_wet_holds_a_quarter():
    pulled = {"standard": "nds", "place": "ground_contact", "demand": None, "demand_withdrawal": "5 N"}
    dry, wet = (capacity(NAIL, layout={"wet_when_made": one}, **pulled) for one in (False, True))
    assert dry / wet == pytest.approx(0.25)


def test_a_nail_in_wood_that_dries_loses_a_third_of_its_hold():
    pulled = {"demand": None, "demand_withdrawal": "50 N"}
    dry, drying = (capacity(NAIL, layout={"wet_when_made": one}, **pulled) for one in (False, True))
    assert drying / dry == pytest.approx(2.0 / 3.0)
    assert said(found(NAIL))[WET].value == "no"


def test_a_ring_nail_counts_as_a_smooth_one_and_stainless_wire_as_soft():
    ring = {**NAIL, "shank": "ring", "label": "1.4401 stainless"}
    listed = said(found(ring))
    assert listed["joints.J.nail.shank"].value == "as smooth"
    assert listed["joints.J.nail, tensile strength"].value == "500 MPa"
    assert "stainless" in listed["joints.J.nail, tensile strength"].because
    assert capacity(ring) < capacity(NAIL)


def test_the_rope_effect_is_left_out_under_a_sheet():
    strap = {"id": "strap", "kind": "strap", "label": "Z275", "thickness": "2 mm"}
    finding = found({**NAIL, "length": "60 mm"}, side=None, sheets=[strap])
    assert said(finding)["joints.J.nail, rope effect"].value == "none"
    # 1.15 sqrt(2 My fh d), My 0.3 x 600 x 3.4^2.6, fh 0.082 x 350 x 3.4^-0.3; thin plate up to 1.7 mm,
    # thick from 3.4 mm
    thin, thick = (
        factor * (0.3 * 600 * 3.4**2.6 * 0.082 * 350 * 3.4**0.7) ** 0.5 for factor in (1.626346, 2.3)
    )
    expected = (thin + (2.0 / 3.4 - 0.5) / 0.5 * (thick - thin)) * 0.8 / 1.3
    assert finding.parts[0].strength.capacity_new_n == pytest.approx(expected, rel=1e-4)


def test_a_hanger_between_two_timbers_counts_its_sheet():
    """A short nail misses the far timber through the near one: it passes the sheet into either."""
    hanger = {"id": "hanger", "kind": "hanger", "label": "Z275", "thickness": "1.2 mm"}
    short = {**NAIL, "length": "35 mm"}
    finding = found(short, sheets=[hanger])
    listed = said(finding)["joints.J.nail"]
    assert listed.value == "through hanger hanger into beam, hanger hanger into board"
    # thin plate: 0.4 fh t d and 1.15 sqrt(2 My fh d) over 33.8 mm in C24
    bearing = 0.082 * 350 * 3.4**0.7
    least = min(0.4 * bearing * 33.8, 1.15 * (2 * 0.3 * 600 * 3.4**2.6 * bearing) ** 0.5)
    assert finding.parts[0].strength.capacity_new_n == pytest.approx(least * 0.8 / 1.3, rel=1e-4)


def test_distances_refused_by_one_way_are_not_lost_by_another():
    """Driven nails stand 10 d apart in timber, 7 d under steel: the timber's distance still holds."""
    hanger = {"id": "hanger", "kind": "hanger", "label": "Z275", "thickness": "1.2 mm"}
    one = found(FOUR, sheets=[hanger], layout={"in_row": 4, "row_spacing": "28 mm"}).parts[0]
    assert one.strength is None
    assert "row spacing is '28 mm'" in one.refer[0]


def test_a_nail_pulled_out_holds_the_hand_value():
    """Fax,Rk = 433.16 N of a 3.4 x 90 nail in C24: a hand value read second hand."""
    pulled = capacity(NAIL, demand=None, demand_withdrawal="50 N")
    assert pulled == pytest.approx(433.16 * 0.8 / 1.3, rel=1e-4)


def test_a_screw_pulled_out_holds_the_hand_value_and_lists_its_head():
    """Fax,Rk = 3817 N of a 6 mm screw, thread 55 mm, C24: a hand value read second hand."""
    alone = {"demand": None, "demand_withdrawal": "50 N"}
    one, ten = capacity(SCREW, **alone), capacity({**SCREW, "count": 10}, **alone)
    assert one == pytest.approx(3817.0 * 0.8 / 1.3, rel=2e-4)
    assert ten / one == pytest.approx(7.943, rel=1e-4)
    assert "safe side" in said(found(SCREW, **alone))["joints.J.one, head strength"].because


def test_a_bolt_pulled_presses_its_washers_into_the_timber():
    """8.5.2 with 10.4.3: 3 fc,90 on the ring of a washer 3 d wide about a hole of d + 1 mm, by hand."""
    alone = {"demand": None, "demand_withdrawal": "50 N"}
    softer = {"board": {**BOARD, "strength_class": "C16"}, "beam": BEAM}
    pressed = 6.0 * 3.0 * pi / 4.0 * (36.0**2 - 13.0**2) * 0.8 / 1.3
    assert capacity(BOLT, **alone) == pytest.approx(2.5 * pressed, rel=1e-4)
    assert capacity(BOLT, timbers=softer, **alone) == pytest.approx(2.2 * pressed, rel=1e-4)
    assert said(found(BOLT, **alone))["joints.J.one, washers"].value == "36 mm wide"


@pytest.mark.parametrize(("part", "power"), [(NAIL, 1), (SCREW, 2)])
def test_shear_and_pull_together_add_their_uses(part, power):
    """(8.27) and (8.28); the rope effect is left out, so the nail has 880.5 N across, its hand value."""
    pull = capacity(part, demand=None, demand_withdrawal="100 N")
    both = capacity(part, demand="100 N", demand_withdrawal="100 N")
    across = 880.5 * 0.8 / 1.3 if part is NAIL else capacity(part)
    use = (cos(radians(45.0)) * both / pull) ** power + (cos(radians(45.0)) * both / across) ** power
    assert use == pytest.approx(1.0, rel=1e-3)


@pytest.mark.parametrize(
    ("part", "joint", "why"),
    [
        (NAIL, {"load_duration": "ten_years"}, "smooth nails carry no long term pull"),
        (BOLT, {"demand": "50 N"}, "no rule for both"),
        (BOLT, {"timbers": {"board": HARD, "beam": BEAM}}, "across the grain"),
        ({**SCREW, "thread_length": None}, {}, "one: thread length: is needed"),
        ({**SCREW, "diameter": "5 mm", "root_diameter": "3.5 mm"}, {}, "from 6 to 12 mm"),
        ({**SCREW, "thread_length": "30 mm"}, {}, "36 mm"),
        ({**NAIL, "length": "64 mm"}, {}, "penetration"),
        ({**NAIL, "length": "140 mm"}, {"double_shear": True}, "double shear"),
    ],
)
def test_what_cannot_be_pulled_out_by_the_eurocode_is_referred(part, joint, why):
    one = found(part, demand_withdrawal="50 N", **joint).parts[0]
    assert one.strength is None
    assert why in one.refer[0]


def test_a_load_across_the_grain_is_not_told_of_rows_along_it():
    angles = {"load_to_grain_main_deg": 90.0, "load_to_grain_side_deg": 90.0}
    listed = said(found({**BOLT, "count": 3}, **angles))["joints.J.layout"]
    assert listed.value == "no splitting check"
    assert "along the grain" not in listed.because
