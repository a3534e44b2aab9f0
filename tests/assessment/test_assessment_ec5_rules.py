"""Rules of EN 1995-1-1 that a joint has to meet before its equations hold; values by hand from the clause."""

from __future__ import annotations

import json

import pytest

from longhold.assessment.line import assess
from longhold.model.structure import Structure

ZINC = "hot-dip galvanized, 50 um"
BOARD = {"species": "Norway spruce", "preservative": "none", "thickness": "38 mm", "strength_class": "C24"}
BEAM = {**BOARD, "thickness": "71 mm"}

NAIL = {"id": "nail", "kind": "nail", "label": ZINC, "diameter": "3.4 mm", "length": "90 mm"}
THICK_STRAP = {"id": "strap", "kind": "strap", "label": "Z275", "thickness": "4 mm", "width": "60 mm"}
PLATED = {"id": "nail", "kind": "nail", "label": ZINC, "diameter": "4 mm", "length": "60 mm"}
# fh d by (8.15) and My by (8.14) of a 4 mm nail of 600 N/mm2 in C24
BEARING = 0.082 * 350.0 * 4.0**0.7
MOMENT = 0.3 * 600.0 * 4.0**2.6


def found(part, *, board=BOARD, beam=BEAM, more=(), **joint):
    """The finding of one joint of a board on a beam in dry air, of its one part and what is beside it."""
    made = {"id": "J", "name": "j", "place": "dry_inside", "main": "beam", "side": "board", **joint}
    site = {"name": "x", "jurisdiction": "EU", "distance_to_salt_water": "5 km"}
    whole = {
        "name": "deck",
        "units": "si",
        "design_life": "50 years",
        "strength_standard": "en1995",
        "code": {"pack": "eu_ec5", "edition": "2004+A2"},
        "site": {**site, "climate": {"station": "Wilmington NC"}},
        "timbers": {"board": board, "beam": beam},
        "joints": [{**made, "parts": [part, *more]}],
    }
    return assess(Structure.model_validate_json(json.dumps(whole)), draws=200).findings[0]


def capacity(part, **joint):
    strength = found(part, **{"demand": "300 N", **joint}).parts[0].strength
    assert strength is not None
    return strength.capacity_new_n


def said(finding):
    return {one.where: one for one in finding.assumptions}


@pytest.mark.parametrize(
    ("hole", "factor"),
    [  # 8.2.3(1): thick only with a hole that is wider by less than 0.1 d; (8.9) thin, (8.10) thick
        ("4.2 mm", 2.3),
        ("4.4 mm", 1.15 * 2.0**0.5),
        ("5 mm", 1.15 * 2.0**0.5),
    ],
)
def test_a_thick_plate_with_wide_holes_counts_as_a_thin_one(hole, factor):
    strap = {**THICK_STRAP, "hole_diameter": hole}
    expected = factor * (MOMENT * BEARING) ** 0.5 * 0.8 / 1.3
    assert capacity(PLATED, side=None, more=[strap]) == pytest.approx(expected, rel=1e-4)


def test_the_fit_of_a_hole_is_listed_where_it_is_not_stated_and_counts():
    listed = said(found(PLATED, side=None, more=[THICK_STRAP]))["joints.J.strap.hole_diameter"]
    assert listed.value == "below 4.4 mm for nail"
    thin = {**THICK_STRAP, "thickness": "2 mm"}
    stated = {**THICK_STRAP, "hole_diameter": "5 mm"}
    for strap in (thin, stated):
        assert "joints.J.strap.hole_diameter" not in said(found(PLATED, side=None, more=[strap]))


THIN_BOARD = {**BOARD, "thickness": "18 mm"}
LONG_NAIL = {**PLATED, "length": "100 mm"}


def test_nails_in_thin_timber_are_listed_as_drilled_or_refused():
    """(8.18): 4 mm nails in C24 ask for max(28 mm, 22 x 350/400 = 19.25 mm) where holes are not drilled."""
    where = "joints.J.nail.predrilled"
    listed = said(found(LONG_NAIL, board=THIN_BOARD))[where]
    assert listed.value == "yes"
    assert "28 mm" in listed.because
    refused = found({**LONG_NAIL, "predrilled": False}, board=THIN_BOARD).parts[0]
    assert refused.strength is None
    assert "nail: hole drilled first is False" in refused.refer[0]
    for stated in (True, False):
        enough = {**BOARD, "thickness": "28 mm"}
        assert found({**LONG_NAIL, "predrilled": stated}, board=enough).parts[0].strength is not None
    assert where not in said(found({**LONG_NAIL, "predrilled": True}, board=THIN_BOARD))


@pytest.mark.parametrize(("species", "least_mm"), [("Norway spruce", 28), ("Douglas-fir", 56)])
def test_species_that_split_easily_ask_for_holes_in_thicker_timber(species, least_mm):
    """(8.19) of 8.3.1.2(7), Douglas-fir by the French annex: max(14 x 4 mm, 22 x 350/200 = 38.5 mm)."""
    nail, where = {**LONG_NAIL, "length": "140 mm"}, "joints.J.nail.predrilled"
    for thickness, listed in ((least_mm - 1, True), (least_mm, False)):
        timber = {**BOARD, "species": species, "thickness": f"{thickness} mm"}
        finding = found(nail, board=timber, beam={**timber, "thickness": "120 mm"})
        assert (where in said(finding)) == listed
        undrilled = found({**nail, "predrilled": False}, board=timber, beam={**timber, "thickness": "120 mm"})
        assert (undrilled.parts[0].strength is None) == listed
        if listed and species == "Douglas-fir":
            assert "splits easily" in said(finding)[where].because


def test_a_hole_that_only_thin_timber_asks_for_credits_nothing():
    """Mode a of the board, fh t d with (8.15), not the larger (8.16) of a drilled hole."""
    thin = {**BOARD, "thickness": "10 mm"}
    assert capacity(LONG_NAIL, board=thin) <= BEARING * 10.0 * 0.8 / 1.3 * (1.0 + 1e-6)
    drilled = {**LONG_NAIL, "predrilled": True}
    assert capacity(drilled, board=thin) > capacity(LONG_NAIL, board=thin)


def test_dense_timber_that_is_thin_too_is_listed_once():
    hard = {**THIN_BOARD, "strength_class": "D30"}
    finding = found(LONG_NAIL, board=hard, beam={**hard, "thickness": "71 mm"})
    [listed] = [one for one in finding.assumptions if one.where == "joints.J.nail.predrilled"]
    assert "dense" in listed.because


STAPLE = {"id": "nail", "kind": "staple", "label": ZINC, "diameter": "1.8 mm", "length": "70 mm"}


@pytest.mark.parametrize(("label", "fu"), [(ZINC, 600.0), ("1.4401 stainless", 500.0)])
def test_a_staple_bends_as_its_wire_does(label, fu):
    """Mode f of two legs, 1.15 sqrt(2 My fh d), My 0.3 fu d^2.6; (8.29)'s 240 d^2.6 is wire of 800 N/mm2."""
    finding = found({**STAPLE, "label": label}, demand="100 N")
    bearing, moment = 0.082 * 350.0 * 1.8**0.7, 0.3 * fu * 1.8**2.6
    expected = 2.0 * 1.15 * (2.0 * moment * bearing) ** 0.5 * 0.8 / 1.3
    strength = finding.parts[0].strength
    assert strength.mode_new == "mode f: two hinges"
    assert strength.capacity_new_n == pytest.approx(expected, rel=1e-4)
    assert said(finding)["joints.J.nail, tensile strength"].value == f"{fu:g} MPa"


def test_the_crown_of_a_staple_is_listed():
    listed = said(found(STAPLE))["joints.J.nail, crown"]
    assert listed.value == "30 degrees or more to the grain"
    assert "0.7" in listed.because


@pytest.mark.parametrize(("length", "reaches"), [("63 mm", False), ("64 mm", True)])
def test_a_staple_reaches_fourteen_diameters_for_a_capacity(length, reaches):
    strength = found({**STAPLE, "length": length}, demand="100 N").parts[0].strength  # 14 x 1.8 = 25.2 mm
    assert (strength.capacity_new_n is not None) is reaches


ALONG = {"load_to_grain_main_deg": 0.0, "load_to_grain_side_deg": 0.0}
ACROSS = {"load_to_grain_main_deg": 90.0, "load_to_grain_side_deg": 90.0}


@pytest.mark.parametrize(
    ("turned", "field", "least_mm"),
    [  # Table 8.3, crown at 30 degrees or more: (10 + 5 cos a) d, (15 + 5 cos a) d, (15 + 5 sin a) d
        (ALONG, "row_spacing", 27.0),
        (ALONG, "end_distance", 36.0),
        (ALONG, "edge_distance", 27.0),
        (ACROSS, "end_distance", 27.0),
        (ACROSS, "edge_distance", 36.0),
    ],
)
def test_staples_keep_distances_of_their_own(turned, field, least_mm):
    row = {**STAPLE, "count": 4}
    close = found(row, layout={"in_row": 4, field: f"{least_mm - 0.2} mm"}, **turned).parts[0]
    assert close.strength is None
    assert f"{field.replace('_', ' ')} is " in close.refer[0]
    assert found(row, layout={"in_row": 4, field: f"{least_mm} mm"}, **turned).parts[0].strength is not None


def test_a_row_of_staples_takes_their_own_least_spacing():
    listed = said(found({**STAPLE, "count": 4}, layout={"in_row": 4}, **ALONG))
    assert listed["joints.J.layout.row_spacing"].value == "27 mm"


DISTANCES = "joints.J.layout, distances"
LEAST = {"end_distance": "60 mm", "edge_distance": "30 mm"}


@pytest.mark.parametrize(
    ("count", "layout", "taken"),
    [
        (4, None, "full distances to ends, edges and each other"),
        (1, None, "full distances to ends and edges"),
        (4, {**LEAST, "in_row": 4}, "full distances to each other"),
        # how far rows stand apart is not asked
        (4, {**LEAST, "in_row": 2, "row_spacing": "40 mm"}, "full distances to each other"),
        (4, {**LEAST, "in_row": 4, "row_spacing": "40 mm"}, None),
    ],
)
def test_distances_that_nobody_stated_are_listed(count, layout, taken):
    listed = said(found({**NAIL, "count": count}, layout=layout)).get(DISTANCES)
    assert (listed and listed.value) == taken


def test_distances_of_staples_are_listed_like_those_of_nails():
    assert said(found(STAPLE))[DISTANCES].value == "full distances to ends and edges"


def test_a_single_nail_is_listed_as_short_of_the_two_that_are_asked_for():
    assert "two at least" in said(found(NAIL))["joints.J.nail.count"].because
    assert "joints.J.nail.count" not in said(found({**NAIL, "count": 2}))
    assert "joints.J.nail.count" not in said(found(NAIL, more=[{**NAIL, "id": "more"}]))


def test_block_shear_under_steel_is_listed_as_not_checked():
    strap = {**THICK_STRAP, "hole_diameter": "4.2 mm"}
    under_steel = {"side": None, "more": [strap], "load_to_grain_main_deg": 0.0}
    listed = "joints.J.layout, block shear"
    assert said(found({**PLATED, "count": 4}, **under_steel))[listed].value == "not checked"
    assert listed not in said(found(PLATED, **under_steel))
    assert listed not in said(
        found({**PLATED, "count": 4}, **{**under_steel, "load_to_grain_main_deg": 90.0})
    )
    assert listed not in said(found({**NAIL, "count": 4}, **ALONG))


HANGER = {"id": "hanger", "kind": "hanger", "label": "Z275", "thickness": "1.2 mm"}


@pytest.mark.parametrize(
    ("length", "why"),
    [  # through the board of 38 mm: 35 mm miss the beam; 60 mm reach 22 mm into it, 8 d are 27.2 mm
        ("35 mm", "does not reach"),
        ("60 mm", "27.2 mm"),
    ],
)
def test_a_way_that_does_not_count_is_named(length, why):
    finding = found({**NAIL, "length": length}, more=[HANGER])
    listed = said(finding)["joints.J.nail, board into beam"]
    assert listed.value == "taken as no way of it"
    assert why in listed.because
    assert "joints.J.nail, board into beam" not in said(found(NAIL, more=[HANGER]))


SCREW = {
    "id": "nail",
    "kind": "wood_screw",
    "label": ZINC,
    "diameter": "6 mm",
    "length": "100 mm",
    "root_diameter": "4 mm",
    "thread_length": "55 mm",
    "head_diameter": "22 mm",
}
PULLED = {"demand": None, "demand_withdrawal": "50 N"}
# above 6 mm by its thread, below by 1.1 times its root, 5.28 mm: held to the rules of bolts and of nails
BETWEEN = {**SCREW, "diameter": "8 mm", "root_diameter": "4.8 mm", "predrilled": True, "count": 4}


def test_a_screw_between_nails_and_bolts_is_held_to_both():
    """Table 8.1: kef 0.5 + 0.2/3 at 5 d, less than (8.34) leaves; (7 + 5 cos a) d from the end, not 80 mm."""
    alone = capacity(BETWEEN, layout={"in_row": 1}, **ALONG)
    rowed = capacity(BETWEEN, layout={"in_row": 4, "row_spacing": "40 mm"}, **ALONG)
    assert rowed / alone == pytest.approx(4.0 ** (0.5 + 0.2 / 3.0) / 4.0, rel=1e-6)
    close = found(BETWEEN, layout={"end_distance": "95 mm"}, **ALONG).parts[0]
    assert "end distance is " in close.refer[0]
    assert found(BETWEEN, layout={"end_distance": "96 mm"}, **ALONG).parts[0].strength is not None


def test_pulled_screws_keep_distances_of_their_own():
    """Table 8.6: 10 d from the end, 60 mm, where (7 + 5 cos 90) d, 42 mm, would do for a load across."""
    screw, near = {**SCREW, "predrilled": True}, {"end_distance": "50 mm"}
    assert found(screw, layout=near, **ACROSS).parts[0].strength is not None
    assert "end distance is " in found(screw, layout=near, **ACROSS, **PULLED).parts[0].refer[0]
    thin = "joints.J.layout, distances in thin timber"  # 12 d are 72 mm
    assert said(found(screw, **PULLED))[thin].because.startswith("beam and board are thinner than 72 mm")
    deep = {**BEAM, "thickness": "100 mm"}
    assert said(found(screw, beam=deep, **PULLED))[thin].because.startswith("board is thinner")
    assert thin not in said(found(screw))


def test_pulled_screws_are_counted_over_the_whole_joint():
    """(8.41) n^0.9: ten and ten in two parts are twenty; a nail beside them is no screw."""
    alone = capacity({**SCREW, "count": 20}, **PULLED)
    split = capacity({**SCREW, "count": 10}, more=[{**SCREW, "id": "more", "count": 10}], **PULLED)
    assert 2.0 * split == pytest.approx(alone, rel=1e-6)
    assert alone / capacity(SCREW, **PULLED) == pytest.approx(20.0**0.9, rel=1e-6)
    beside = capacity(SCREW, more=[{**NAIL, "id": "more", "count": 5, "head_diameter": "8 mm"}], **PULLED)
    assert beside == pytest.approx(capacity(SCREW, **PULLED), rel=1e-6)


@pytest.mark.parametrize("part", [NAIL, SCREW, STAPLE])
def test_what_is_driven_at_a_slant_is_refused(part):
    one = found(part, layout={"toe_nailed": True}).parts[0]
    assert one.strength is None
    assert "nailed at a slant" in one.refer[0]


@pytest.mark.parametrize(
    ("part", "joint", "effective"),
    [  # (5 + 5 cos 80) d = 5.87 d, Table 8.1 begins with 7 d and kef 0.7; drilled under steel 0.7 x 5 d,
        # where it begins with 4 d and 0.5
        (PLATED, {"load_to_grain_main_deg": 80.0, "load_to_grain_side_deg": 80.0}, 3.0**0.7),
        (
            {**PLATED, "predrilled": True},
            {"load_to_grain_main_deg": 0.0, "side": None, "more": [{**THICK_STRAP, "hole_diameter": "5 mm"}]},
            3.0**0.5,
        ),
    ],
)
def test_a_spacing_that_nobody_stated_is_never_refused_as_if_it_were(part, joint, effective):
    three = {**part, "length": "75 mm", "count": 3}
    finding = found(three, layout={"in_row": 3}, demand="300 N", **joint)
    strength = finding.parts[0].strength
    assert strength is not None, finding.parts[0].refer
    alone = capacity(three, layout={"in_row": 1}, **joint)
    assert strength.capacity_new_n / alone == pytest.approx(effective / 3.0, rel=1e-4)
    assert "Table 8.1" in said(finding)["joints.J.layout.row_spacing"].because


@pytest.mark.parametrize(("duration", "design"), [("instantaneous", 1.0 / 1.25), ("medium_term", 0.8 / 1.3)])
def test_a_torn_shank_never_counts_more_than_its_own_steel_allows(duration, design):
    """A screw whose thread and head hold more than its root: 400 N/mm2 on 3.6 mm, gammaM2 1.25 at most."""
    deep = {**SCREW, "root_diameter": "3.6 mm", "length": "180 mm", "thread_length": "130 mm"}
    strong = {**BEAM, "thickness": "160 mm", "strength_class": "C30"}
    finding = found(deep, beam=strong, load_duration=duration, **PULLED)
    strength = finding.parts[0].strength
    assert strength.mode_new == "its shank torn"
    torn = 400.0 * 3.141592653589793 / 4.0 * 3.6**2
    assert strength.capacity_new_n == pytest.approx(torn * design, rel=1e-4)
