"""Strength in the line: withdrawal, both sheets, every element, factors, decay; by hand where it can be."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians
from pathlib import Path

import numpy as np
import pytest

from longhold.assessment.line import assess
from longhold.documents.part_rows import remarks
from longhold.intake.load import load
from longhold.model.layout import Layout
from longhold.model.parts import Part

DEMO = Path(__file__).resolve().parents[2] / "demo"
DRAWS = 200
LB = 4.4482216152605
NAIL = {"id": "nail", "kind": "nail", "size": "10d common", "label": "ASTM A153 Class D"}
STRAP = {"id": "strap", "kind": "strap", "size": "16 ga", "label": "G90"}


@pytest.fixture(scope="module")
def deck():
    return load(DEMO / "boardwalk.toml")


def case(deck, parts, joint_id="J12", **changes):
    """One joint of the deck with other parts, in dry air unless a place is given."""
    joint = next(one for one in deck.joints if one.id == joint_id)
    known = {"place": "dry_inside", "role": "structural", "demand": None, **changes}
    made = joint.model_copy(update={**known, "parts": [Part(**one) for one in parts]})
    return assess(deck.model_copy(update={"joints": [made]}), draws=DRAWS).findings[0]


def strength(found, part=0):
    return found.parts[part].strength


def test_a_nail_pulled_out_of_dry_wood_as_computed_by_hand(deck):
    """A 0.148 x 3 in smooth nail through 1.5 in into southern pine, G 0.55: 1380 G^2.5 D 1.5 in = 68.7 lb."""
    found = case(deck, [NAIL], demand_withdrawal=10.0 * LB, main="ledger", side="joist")
    capacity = strength(found).capacity_new_n / LB
    assert capacity == pytest.approx(1380 * 0.55**2.5 * 0.148 * 1.5, rel=1e-3)
    assert strength(found).mode_new == "withdrawal from the wood"
    assert strength(found).ends_at == pytest.approx(10.0 / capacity)


def test_shear_and_pull_together_use_both_as_the_equation_says(deck):
    pull, shear, both = (
        strength(case(deck, [NAIL], main="ledger", side="joist", **load)).capacity_new_n
        for load in (
            {"demand_withdrawal": 100.0},
            {"demand": 100.0},
            {"demand": 100.0, "demand_withdrawal": 100.0},
        )
    )
    assert both == pytest.approx(pull * shear / ((pull + shear) * cos(radians(45.0))), rel=1e-6)


def test_a_thin_board_lets_the_head_through_before_the_nail_pulls(deck):
    nail = {**NAIL, "shank": "ring", "length": "6 in"}
    found = case(deck, [nail], demand_withdrawal=100.0, main="post", side="board")
    expected = 690 * pi * 0.312 * 0.55**2 * min(1.0, 2.5 * 0.312)
    assert strength(found).mode_new == "its head pulled through the wood"
    assert strength(found).capacity_new_n / LB == pytest.approx(expected, rel=2e-3)


def test_stainless_smooth_nails_are_held_less(deck):
    stainless = {**NAIL, "label": "316 stainless"}
    carbon, bright = (
        strength(case(deck, [one], demand_withdrawal=10.0, main="ledger", side="joist")).capacity_new_n
        for one in (NAIL, stainless)
    )
    assert bright / carbon == pytest.approx(465 / 1380 / 0.55, rel=1e-6)


def test_a_joint_without_withdrawal_says_nothing_of_it(deck):
    found = case(deck, [NAIL], main="ledger", side="joist", demand=100.0)
    assert all("yield mode" in one.words for one in strength(found).modes)
    assert not any("shank" in one.where for one in found.assumptions)


def test_a_smooth_nail_in_rain_keeps_a_quarter_in_withdrawal_and_that_is_listed(deck):
    dry, wet = (
        case(deck, [NAIL], demand_withdrawal=10.0, main="ledger", side="joist", place=place)
        for place in ("dry_inside", "open_to_rain")
    )
    assert strength(wet).capacity_new_n / strength(dry).capacity_new_n == pytest.approx(0.25)
    told = next(one for one in wet.assumptions if one.where.endswith("nail.rated_load"))
    assert "pulled out, wet service factor 0.25" in told.because
    assert "load duration of ten years" in told.because


def test_pulled_nails_never_gain_with_rust(deck):
    found = case(deck, [NAIL], demand_withdrawal=10.0, main="ledger", side="joist", place="open_to_rain")
    curve = strength(found).curve
    assert curve.p90[0] == pytest.approx(1.0)
    assert (np.diff(curve.p90) <= 1e-9).all()
    assert (np.diff(curve.p10) <= 1e-9).all()


@pytest.mark.parametrize("kind", ["dowel", "staple"])
def test_what_holds_nothing_along_its_axis_is_referred(deck, kind):
    part = {"id": "x", "kind": kind, "size": "1/2 in x 6 in", "label": "plain steel"}
    found = case(deck, [part], demand_withdrawal=10.0, main="ledger", side="joist")
    assert strength(found) is None
    assert f"no withdrawal value of a {kind}" in found.parts[0].refer[0] or kind == "staple"


def test_stated_layout_is_used_and_replaces_what_was_taken(deck):
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 8 in", "label": "ASTM A153 Class C", "count": 4}
    load = {"main": "ledger", "side": "joist", "demand": 100.0}
    plain = case(deck, [bolt], **load)
    layout = Layout(in_row=4, row_spacing="2 in", end_distance="1.75 in", edge_distance="2 in")
    stated = case(deck, [bolt], **load, layout=layout, load_duration="ten_minutes")
    told = next(one.because for one in stated.assumptions if one.where.endswith("bolt.rated_load"))
    group = float(told.split("group action factor ")[1].split(";")[0].split(",")[0])
    assert 0.9 < group < 1.0
    ratio = strength(stated).capacity_new_n / strength(plain).capacity_new_n
    assert ratio == pytest.approx(1.6 * 0.5 * group, rel=1e-2)
    assert "taken" in next(one.because for one in plain.assumptions if one.where.endswith("bolt.rated_load"))


def test_a_distance_that_is_not_allowed_refers_the_joint(deck):
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 8 in", "label": "ASTM A153 Class C"}
    found = case(deck, [bolt], main="ledger", side="joist", demand=100.0, layout=Layout(end_distance="1 in"))
    assert strength(found) is None
    assert "end_distance" in found.parts[0].refer[0]


def test_both_sheets_of_a_joint_count_for_its_nails(deck):
    thin = {**STRAP, "id": "thin", "size": "20 ga"}
    alone, other, both = (
        case(deck, [*sheets, NAIL], side=None, main="ledger", demand=50.0)
        for sheets in ([STRAP], [thin], [STRAP, thin])
    )
    least = min(strength(alone, 1).capacity_new_n, strength(other, 1).capacity_new_n)
    assert strength(both, 2).capacity_new_n == pytest.approx(least)
    assert {one.words for one in both.weakest.elements} == {"the strap strap", "the strap thin", "the nail"}


def test_a_hanger_between_two_timbers_counts_its_sheet(deck):
    hanger = {"id": "hanger", "kind": "hanger", "size": "18 ga", "label": "G90"}
    short = {**NAIL, "size": "10d common x 1-1/2 in"}
    found = case(deck, [hanger, short], main="ledger", side="joist", demand=50.0)
    alone = case(deck, [hanger, short], main="ledger", side=None, demand=50.0)
    assert strength(found, 1).capacity_new_n == pytest.approx(strength(alone, 1).capacity_new_n)
    assert any("through hanger hanger into ledger" in one.value for one in found.assumptions)


def test_a_strap_of_known_shape_gives_by_what_its_shape_says(deck):
    shaped = {
        **STRAP,
        "width": "1.25 in",
        "hole_diameter": "0.171 in",
        "tensile_strength": "45 ksi",
        "yield_strength": "33 ksi",
        "thickness": "0.0566 in",
    }
    nails = {**NAIL, "count": 40}
    found = case(deck, [shaped, nails], side=None, main="ledger", demand=100.0)
    assert strength(found).mode_new == "tearing across its holes"
    assert strength(found).capacity_new_n / LB == pytest.approx(1374.1, abs=0.5)
    rated = case(deck, [{**shaped, "rated_load": "900 lb"}, nails], side=None, main="ledger", demand=100.0)
    assert strength(rated).capacity_new_n / LB == pytest.approx(900.0)


def test_without_a_shape_the_drawn_exponents_stay_and_are_listed(deck):
    found = case(deck, [STRAP, NAIL], side=None, main="ledger", demand=100.0)
    assert "not known which" in strength(found).mode_new
    assert any("third of draws" in one.because for one in found.assumptions)


def test_the_weakest_element_is_never_above_any_other(deck):
    found = case(
        deck,
        [STRAP, {**NAIL, "count": 6}],
        side=None,
        main="ledger",
        demand=100.0,
        place="open_to_rain",
    )
    weakest = found.weakest
    assert found.strength_chance <= min(one.chance for one in weakest.elements) + 1e-9
    for ages in zip(*(one.weakest_share for one in weakest.elements), strict=True):
        assert sum(ages) == pytest.approx(1.0)
    for ages in zip(*(one.share for one in weakest.modes), strict=True):
        assert sum(ages) == pytest.approx(1.0)
    assert (np.diff(weakest.chance_below) >= 0.0).all()
    life = weakest.years.index(50.0)
    assert weakest.chance_below[life] == pytest.approx(1.0 - found.strength_chance, abs=0.02)
    assert f"Its weakest element is then {weakest.words}" in found.answer


def test_every_mode_is_named_with_its_share_at_every_age(deck):
    found = case(deck, [NAIL], main="ledger", side="joist", demand=50.0, place="open_to_rain")
    modes = strength(found).modes
    assert len(modes) >= 2
    for i in range(len(strength(found).curve.years)):
        assert sum(one.share[i] for one in modes) == pytest.approx(1.0)


def test_decay_is_flagged_in_wet_wood_and_taken_off_nothing(deck):
    wet = case(deck, [NAIL], main="band", side="ledger", place="open_to_rain")
    flag = wet.decay
    assert flag.timber == "band"
    assert not flag.treated
    assert 0.0 < flag.dose_days_a_year <= 365.0
    assert flag.moderate_years > flag.slight_years > 0.0
    assert "Decay is not counted" in flag.words
    treated = case(deck, [NAIL], main="ledger", side="ledger", place="open_to_rain")
    assert treated.decay.treated
    assert "is not computed" in treated.decay.words
    assert case(deck, [NAIL], main="band", side="ledger").decay is None


def test_a_ledger_pulled_on_is_still_rated_by_its_ratio_to_new(deck):
    lag = {"id": "lag", "kind": "lag_screw", "size": "1/2 in x 5 in", "label": "ASTM A153 Class C"}
    found = case(
        deck, [lag], joint_id="J01", demand=1.0e6, demand_withdrawal=1.0e6, application="deck_ledger"
    )
    assert not strength(found).below_when_new
    assert strength(found).ends_at == deck.strength_fraction


@pytest.mark.parametrize(
    ("layout", "factor"),
    [
        ({"toe_nailed": True}, 0.83),
        ({"diaphragm": True}, 1.1),
        ({"warmest": "110 F"}, 0.8),
        ({"end_distance": "0.2 in"}, 1.0),  # a thin nail needs no distance of the standard
    ],
)
def test_each_stated_circumstance_brings_its_factor(deck, layout, factor):
    load = {"main": "ledger", "side": "joist", "demand": 50.0}
    plain, stated = case(deck, [NAIL], **load), case(deck, [NAIL], **load, layout=Layout(**layout))
    ratio = strength(stated).capacity_new_n / strength(plain).capacity_new_n
    assert ratio == pytest.approx(factor)


def test_a_bolt_in_wood_that_dries_keeps_two_fifths_unless_it_stands_alone(deck):
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 8 in", "label": "ASTM A153 Class C"}
    wet = {"main": "ledger", "side": "joist", "demand": 50.0, "layout": Layout(wet_when_made=True)}
    alone, four = case(deck, [bolt], **wet), case(deck, [{**bolt, "count": 4}], **wet)
    assert strength(four).capacity_new_n == pytest.approx(4 * 0.4 * strength(alone).capacity_new_n)


@pytest.mark.parametrize(
    ("in_row", "main_deg", "side_deg", "kept"),
    [
        (4, 0.0, 0.0, 1.0),  # the row runs along the grain of both: nothing holds the wood apart
        (4, 0.0, 90.0, 0.4),  # it runs across the grain of the side timber
        (1, 90.0, 90.0, 1.0),  # side by side across a load that crosses the grain: a row along the grain
        (1, 0.0, 0.0, 0.4),
    ],
)
def test_one_row_is_one_along_the_grain_whatever_the_load(deck, in_row, main_deg, side_deg, kept):
    """Table 11.3.3 (nds-2018, recalled) spares one row parallel to grain; in_row counts along the load."""
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 8 in", "label": "ASTM A153 Class C", "count": 4}
    angles = {"load_to_grain_main_deg": main_deg, "load_to_grain_side_deg": side_deg}
    known = {"main": "ledger", "side": "joist", "demand": 50.0, **angles}
    dry, wet = (
        case(deck, [bolt], **known, layout=Layout(in_row=in_row, wet_when_made=made))
        for made in (False, True)
    )
    assert strength(wet).capacity_new_n == pytest.approx(kept * strength(dry).capacity_new_n)


def test_no_angle_is_taken_for_a_side_timber_that_is_not_there(deck):
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 8 in", "label": "ASTM A153 Class C", "count": 4}
    joint = next(one for one in deck.joints if one.id == "J12")
    told = joint.model_copy(update={"side": None, "parts": [Part(**STRAP), Part(**bolt)], "demand": 50.0})
    told.model_fields_set.difference_update({"load_to_grain_side_deg", "load_to_grain_main_deg"})
    found = assess(deck.model_copy(update={"joints": [told]}), draws=DRAWS).findings[0]
    assert not any("load_to_grain_side" in one.where for one in found.assumptions)
    assert any("load_to_grain_main" in one.where for one in found.assumptions)


def test_a_lag_screw_holds_by_the_thread_in_the_main_timber(deck):
    """1/2 x 4 in lag, 1.5 in side: 4/2 + 1/2 in of thread, less a tip of 5/16 in: 2.1875 in (AWC E2.3)."""
    lag = {"id": "lag", "kind": "lag_screw", "size": "1/2 in x 4 in", "label": "ASTM A153 Class C"}
    found = case(deck, [lag], main="post", side="joist", demand_withdrawal=10.0)
    by_hand = 1800 * 0.55**1.5 * 0.5**0.75 * 2.1875
    assert strength(found).capacity_new_n / LB == pytest.approx(by_hand, rel=1e-3)


@pytest.fixture(scope="module")
def european(deck):
    return deck.model_copy(update={"strength_standard": "en1995"})


def test_by_eurocode_both_sheets_count_and_the_sheet_has_its_own_equations(european):
    shaped = {**STRAP, "width": "32 mm", "hole_diameter": "4.4 mm", "tensile_strength": "360 MPa"}
    thin = {**STRAP, "id": "thin", "size": "20 ga"}
    nails = {**NAIL, "count": 40}
    found = case(european, [shaped, thin, nails], side=None, main="ledger", demand=100.0)
    thickness = found.joint.parts[0].measures.thickness_mm
    assert strength(found).mode_new == "yielding of the sheet"
    assert strength(found).capacity_new_n == pytest.approx(thickness * 32.0 * 140.0, rel=2e-3)
    strong = case(
        european, [{**shaped, "yield_strength": "355 MPa"}, nails], side=None, main="ledger", demand=100.0
    )
    assert strength(strong).mode_new == "tearing across its holes"
    assert strength(strong).capacity_new_n == pytest.approx(thickness * (32.0 - 4.4) * 360.0 / 1.25, rel=1e-3)
    alone = [
        strength(case(european, [one, nails], side=None, main="ledger", demand=100.0), 1).capacity_new_n
        for one in (shaped, thin)
    ]
    assert strength(found, 2).capacity_new_n == pytest.approx(min(alone))
    assert len(found.weakest.elements) == 3


def test_the_wood_under_a_sheet_is_no_steel_and_that_is_listed(deck, european):
    shaped = {**STRAP, "width": "4 in", "hole_diameter": "0.171 in"}
    for structure, standard in ((deck, "AISI S100"), (european, "EN 1993-1-3")):
        found = case(structure, [shaped, {**NAIL, "count": 4}], side=None, main="ledger")
        assert strength(found).mode_new == "fasteners tilting or tearing their holes longer"
        assert any(
            standard in one.because and "nails count as such screws" in one.because
            for one in found.assumptions
        )
        step = next(one for one in strength(found).calculation.steps() if one.symbol == "R_bearing")
        assert step.mark.value == "own"
        assert "for screws in sheets of steel" in step.note


def test_few_fasteners_in_a_sheet(deck):
    """One nail is not half of itself, and less than one for each piece has no load path."""
    shaped = {**STRAP, "width": "4 in", "hole_diameter": "0.171 in"}

    def told(nails, **strap):
        return case(deck, [{**shaped, **strap}, {**NAIL, "count": nails}], side=None, main="ledger")

    def on_one_side(found):
        return next(one for one in found.assumptions if one.where.endswith("strap, fasteners"))

    assert "one fastener holds the part" in on_one_side(told(1)).because
    assert [on_one_side(told(count)).value for count in (1, 2, 3, 5)] == ["1", "1", "1", "2"]
    few = told(1, count=2)
    assert any("no load path is known" in one.because for one in few.assumptions)


def test_only_one_kind_of_fastener_counts_for_a_sheet(deck):
    shaped = {**STRAP, "width": "4 in", "hole_diameter": "0.171 in"}
    screw = {
        "id": "few",
        "kind": "wood_screw",
        "size": "#10 x 1-1/2 in",
        "label": "316 stainless",
        "count": 2,
    }
    alone, mixed = (
        case(deck, [shaped, {**NAIL, "count": 10}, *more], side=None, main="ledger") for more in ([], [screw])
    )
    assert strength(mixed).capacity_new_n == pytest.approx(strength(alone).capacity_new_n)
    assert any("few not counted" in one.because for one in mixed.assumptions)


def test_unlike_fasteners_are_not_added(deck, european):
    """NDS leaves unlike fasteners in one connection to tests: the stronger kind alone carries the demand."""
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 8 in", "label": "ASTM A153 Class C", "count": 2}
    nails = {**NAIL, "count": 4}
    for structure in (deck, european):
        load = {"main": "post", "side": "joist", "demand": 1000.0}
        alone, mixed = (case(structure, parts, **load) for parts in ([bolt], [bolt, nails]))
        assert strength(mixed).ends_at == pytest.approx(strength(alone).ends_at)
        assert strength(mixed).counted
        assert not strength(mixed, 1).counted
        assert mixed.weakest.words == "the bolts alone"
        assert mixed.strength_chance == pytest.approx(alone.strength_chance, abs=1e-9)
        told = [one for one in mixed.assumptions if one.where.endswith(".demand")]
        assert len(told) == 1
        assert "nail not counted" in told[0].because


def test_fasteners_of_one_kind_still_share(deck):
    load = {"main": "post", "side": "joist", "demand": 500.0}
    one, two = (
        case(deck, [{**NAIL, "count": 4}, *more], **load)
        for more in ([], [{**NAIL, "id": "other", "size": "16d common", "count": 4}])
    )
    assert strength(two).ends_at < 0.6 * strength(one).ends_at
    assert {element.words for element in two.weakest.elements} == {"the fasteners together"}


def test_a_load_that_is_not_checked_leaves_the_joint_undecided(deck):
    """No capacity is claimed of a nail too short for the yield equations: a load is then nobody's yes."""
    short = {**NAIL, "label": "316 stainless", "size": "10d common x 2 in"}
    free, loaded = (case(deck, [short], main="post", side="joist", **load) for load in ({}, {"demand": 9e5}))
    assert strength(loaded).capacity_new_n is None
    assert free.outcome == "holds"
    assert loaded.outcome == "refer"
    assert "the stated load is not checked" in loaded.answer


def test_a_timber_has_one_dose_at_all_its_joints_and_one_sentence_in_a_report(deck):
    """A nail from above and a bolt through the side of one joist: it rots as one piece."""
    joint = next(one for one in deck.joints if one.id == "J12")
    bolt = {"id": "bolt", "kind": "bolt", "size": "1/2 in x 8 in", "label": "ASTM A153"}
    joints = [
        joint.model_copy(
            update={"id": name, "main": "band", "side": "band", "place": "open_to_rain", "rain_from": rain}
            | {"parts": [Part(**part)]}
        )
        for name, rain, part in (("side", "side", bolt), ("above", "above", NAIL))
    ]
    alone = assess(deck.model_copy(update={"joints": joints[:1]}), draws=DRAWS).findings[0].decay
    side, above = assess(deck.model_copy(update={"joints": joints}), draws=DRAWS).findings
    assert alone.dose_days_a_year < above.decay.dose_days_a_year
    assert side.decay.dose_days_a_year == above.decay.dose_days_a_year
    assert side.decay.at == above.decay.at == "above"
    assert (side.decay.told_at, above.decay.told_at) == ("", "side")
    unsaid = [replace(one, answer="", why="") for one in (side, above)]
    told = [one.text for found in unsaid for one in remarks(found) if "ecay" in one.text]
    assert len(told) == 1


@pytest.mark.parametrize("standard", ["nds", "en1995"])
def test_why_strength_is_not_computed_names_the_field_as_people_do(deck, standard):
    deck = deck.model_copy(update={"strength_standard": standard})
    found = case(deck, [NAIL], main="ledger", side=None)
    assert any(
        one.startswith("strength is not computed: timber under the head: a side timber")
        for one in found.parts[0].refer
    ), found.parts[0].refer
