"""Two versions of a structure: what differs, which findings moved, and what each change has in it."""

import itertools
from json import dumps

import hypothesis
import numpy as np
import pytest
from hypothesis import strategies as st

from longhold.assessment.changes import versions_of
from longhold.assessment.line import assess
from longhold.assessment.moved import moved
from longhold.assessment.shares import alone, coalitions, shares
from longhold.base.errors import InputError
from longhold.intake import starter
from longhold.intake.load import loads

DRAWS = 200


def given(structure):
    """What was stated of a structure, as its file has it."""
    return structure.model_dump(mode="json", exclude_unset=True)


def altered(structure, joint=None, **update):
    """The structure with some fields changed, validated as a file is."""
    told = given(structure)
    for name, value in update.items():
        at = told if joint is None else told["joints"][joint]
        *path, last = name.split("__")
        for step in path:
            at = at[int(step) if step.isdigit() else step]
        at[last] = value
    return loads(dumps(told), "json")


@pytest.fixture(scope="module")
def deck(small_structure):
    return small_structure(
        {}, {"id": "n", "kind": "nail", "size": "10d common", "label": "ASTM A153 class D"}
    )


def numbers(finding):
    bands = (finding.protection_years, finding.strength_years, finding.strength_ratio)
    ends = [getattr(band, end) for band in bands if band for end in ("p10", "p50", "p90")]
    return [*ends, finding.protection_chance, finding.strength_chance]


def test_the_same_file_twice_moves_nothing_and_computes_nothing(deck):
    found = moved(deck, deck, draws=DRAWS)
    assert (found.changes, found.joints, found.removed, found.added) == ((), (), (), ())
    assert found.untouched == ("open_to_rain",)


@pytest.mark.slow
def test_a_joint_told_to_be_untouched_has_the_same_answer_in_both_files(small_structure):
    old = small_structure(places=("open_to_rain", "under_cover"))
    new = altered(old, 0, parts__0__label="G60")
    found = moved(old, new, draws=DRAWS)
    assert found.untouched == ("under_cover",)
    before, after = (assess(one, draws=DRAWS).findings[1] for one in (old, new))
    assert numbers(before) == numbers(after)


@pytest.mark.slow
def test_before_and_after_are_what_assess_says_of_each_file(deck):
    new = altered(deck, site__distance_to_salt_water="100 ft")
    move = moved(deck, new, draws=DRAWS).joints[0]
    for said, structure in ((move.before, deck), (move.after, new)):
        assert numbers(said) == numbers(assess(structure, draws=DRAWS).findings[0])


def test_a_single_change_has_the_whole_move(deck):
    move = moved(deck, altered(deck, 0, parts__0__label="G60"), draws=DRAWS).joints[0]
    (share,) = move.shares
    assert share.causes == ("part:p",)
    assert move.measures
    for name, (was, now) in move.measures.items():
        assert share.moves[name] == pytest.approx(now - was, abs=1e-12)
        assert move.left_over[name] == pytest.approx(0.0, abs=1e-12)
    assert move.measures["protection_years_p50"][1] < move.measures["protection_years_p50"][0]


def test_shares_add_up_to_the_move_to_a_billionth(deck):
    new = altered(deck, site__distance_to_salt_water="100 ft", design_life="30 years")
    new = altered(new, 0, parts__0__label="G60", place="under_cover")
    move = moved(deck, new, draws=DRAWS).joints[0]
    assert move.way == "every order"
    assert {one.causes[0] for one in move.shares} == {"site", "asked", "joint", "part:p"}
    for name, (was, now) in move.measures.items():
        assert sum(one.moves[name] for one in move.shares) == pytest.approx(now - was, abs=1e-9)


def test_more_than_four_causes_are_tried_one_at_a_time_and_the_rest_is_told(deck):
    new = altered(deck, site__distance_to_salt_water="100 ft", design_life="30 years")
    new = altered(new, code__edition="2018", timbers__joist__preservative="ACQ-D")
    new = altered(new, 0, parts__0__label="G60", parts__1__label="ASTM B695 class 55")
    move = moved(deck, new, draws=DRAWS).joints[0]
    assert move.way == "one at a time"
    assert ("part:p", "part:n") in [one.causes for one in move.shares]
    for name, (was, now) in move.measures.items():
        parts = sum(one.moves[name] for one in move.shares)
        assert parts + move.left_over[name] == pytest.approx(now - was, abs=1e-9)
        assert all(one.moves[name] == one.alone[name] for one in move.shares)


def test_changes_that_no_finding_hangs_on_move_nothing_and_are_told(deck):
    new = altered(deck, name="other", note="said", units="si", build_date="2030-01-01")
    new = altered(new, 0, quantity=7, name="otherwise")
    found = moved(deck, new, draws=DRAWS)
    assert not found.joints
    wheres = {one.where for one in found.changes}
    assert {"name", "note", "units", "build_date", "joints.open_to_rain.quantity"} <= wheres
    assert all(found.moved_by(one) == () for one in found.changes)
    before, after = (assess(one, draws=DRAWS).findings[0] for one in (deck, new))
    assert numbers(before) == numbers(after)


def test_a_default_that_is_stated_now_is_told_and_moves_nothing(deck):
    found = moved(deck, altered(deck, 0, role="structural"), draws=DRAWS)
    (change,) = found.changes
    assert (change.where, change.was, change.now) == ("joints.open_to_rain.role", "structural", "structural")
    assert (change.was_assumed, change.now_assumed) == (True, False)
    assert not found.joints[0].moved
    assert found.moved_by(change) == ()


def test_a_stated_surrounding_narrows_the_band_and_has_that_move(deck):
    """Air that was taken as rural and is now stated to be so is less uncertain: see the band of the site."""
    found = moved(deck, altered(deck, site__air={"setting": "rural"}), draws=DRAWS)
    (change,) = found.changes
    assert change.where == "site.air.setting"
    assert found.moved_by(change) == ("open_to_rain",)


def test_another_edition_is_told_by_what_it_does(deck):
    new = altered(deck, code={"pack": "us_ibc", "edition": "2021"})
    move = moved(deck, new, draws=DRAWS).joints[0]
    assert not move.measures
    for turn in move.turns:
        assert turn.what in ("code", "outcome")
        assert all(one.enough and one.needed for one in move.shares[0].told)


def test_joints_that_came_and_went_are_told_with_their_findings(small_structure):
    old, new = small_structure(places=("open_to_rain", "under_cover")), small_structure()
    came, went = moved(new, old, draws=DRAWS), moved(old, new, draws=DRAWS)
    assert [one.joint.id for one in came.added] == [one.joint.id for one in went.removed] == ["under_cover"]
    assert not came.removed
    assert not went.added
    assert numbers(came.added[0]) == numbers(went.removed[0])


def test_new_ids_alone_are_found_and_move_nothing(deck):
    told = given(deck)
    told["timbers"]["beam"] = told["timbers"].pop("joist")
    told["joints"][0] |= {"id": "A1", "main": "beam"}
    told["joints"][0]["parts"][1]["id"] = "nail"
    new = loads(dumps(told), "json")
    found = moved(deck, new, draws=DRAWS)
    assert {(one.kind, one.was, one.now) for one in found.versions.renames} == {
        ("timber", "joist", "beam"),
        ("joint", "open_to_rain", "A1"),
        ("part", "n", "nail"),
    }
    assert (found.changes, found.joints, found.untouched) == ((), (), ("A1",))


def test_two_that_fit_are_not_guessed():
    old = loads(starter())
    told = given(old)
    joint = told["joints"][0]
    told["joints"] = [joint | {"id": "X1"}, joint | {"id": "X2"}]
    versions = versions_of(old, loads(dumps(told), "json"))
    assert joint["id"] in versions.removed
    assert versions.added == ("X1", "X2")
    assert any("more than one fits" in line for line in versions.doubts)


@pytest.mark.slow
def test_changes_that_make_no_joint_by_themselves_are_told_together(small_structure):
    lag = {"id": "s", "kind": "lag_screw", "size": "1/2 in x 4 in", "label": "ASTM A153 class C"}
    old = altered(small_structure(lag), 0, main_end_grain=True)
    bolt = lag | {"kind": "bolt", "size": "1/2 in x 8 in"}
    told = given(old)
    told["joints"][0] |= {"main_end_grain": False}
    told["joints"][0]["parts"] = [bolt]
    move = moved(old, loads(dumps(told), "json"), draws=DRAWS).joints[0]
    assert move.way == "not apart"
    (share,) = move.shares
    assert set(share.causes) == {"joint", "part:s"}
    for name, (was, now) in move.measures.items():
        if was is not None and now is not None:
            assert share.moves[name] == pytest.approx(now - was)


def test_a_label_that_cannot_be_read_is_refused(deck):
    with pytest.raises(InputError, match="parts"):
        moved(deck, altered(deck, 0, parts__0__label="shiny"), draws=DRAWS)


@hypothesis.given(st.lists(st.floats(-10, 10), min_size=16, max_size=16), st.integers(1, 4))
def test_shares_add_up_whatever_the_changes_do(values, count):
    keys = "abcd"[:count]
    game = dict(zip(map(frozenset, coalitions(keys)), values, strict=False))
    found = shares(keys, lambda some: np.array([game[some]]))
    total = game[frozenset(keys)] - game[frozenset()]
    assert sum(float(one[0]) for one in found.values()) == pytest.approx(total, abs=1e-9)


@hypothesis.given(st.lists(st.floats(-10, 10), min_size=8, max_size=8))
def test_shares_are_the_mean_over_every_order_of_three(values):
    game = dict(zip(map(frozenset, coalitions("abc")), values, strict=True))
    found = shares("abc", lambda some: np.array([game[some]]))
    for key in "abc":
        gains = []
        for order in itertools.permutations("abc"):
            before = frozenset(order[: order.index(key)])
            gains.append(game[before | {key}] - game[before])
        assert float(found[key][0]) == pytest.approx(float(np.mean(gains)), abs=1e-9)


def test_the_glove_game_has_the_shares_in_print():
    """Two left gloves and one right: 1/6, 1/6, 2/3 (the textbook example of the value of Shapley 1953)."""
    pairs = {frozenset("ac"), frozenset("bc"), frozenset("abc")}
    found = shares("abc", lambda some: np.array([float(some in pairs)]))
    assert [float(found[key][0]) for key in "abc"] == pytest.approx([1 / 6, 1 / 6, 2 / 3])


def test_changes_that_do_not_meet_have_the_same_share_in_every_way():
    gains = {"a": 1.0, "b": -2.0, "c": 0.5}

    def value(some):
        return np.array([sum(gains[key] for key in some)])

    for found in (shares("abc", value), alone("abc", value)):
        assert {key: float(one[0]) for key, one in found.items()} == pytest.approx(gains)
