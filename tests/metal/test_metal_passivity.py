"""Stainless: kept, lost, or a stop; never a life."""

from __future__ import annotations

from dataclasses import replace

import pytest

from longhold.base.errors import InputError
from longhold.metal.anodic_index import anodic_index_v, gap_verdicts
from longhold.metal.passivity import StainlessSetting, passivity
from longhold.metal.rust_grades import rust_grade

AUSTENITIC = "austenitic"
INLAND = StainlessSetting(True, False, 1.0, washed=True, structural=True, distance_to_salt_m=200_000.0)
SHELTERED = replace(INLAND, chloride_mg_m2_d=100.0, washed=False, distance_to_salt_m=200.0)


def test_a_plain_grade_inland_keeps_its_film_and_nobody_says_it_does_not_corrode():
    found = passivity("304", "304 family", AUSTENITIC, INLAND, 2, 2)
    assert (found.rule, found.state, found.stops) == ("kept", "kept", False)
    assert "not corrode" not in found.reasons[0].words


def test_load_kept_from_rain_in_salt_is_a_stop_for_plain_grades_only():
    assert passivity("316", "316 family", AUSTENITIC, SHELTERED, 3, 5).rule == "crack_sheltered"
    assert passivity("2205", "duplex", "duplex", SHELTERED, 4, 5).rule == "class_short"


@pytest.mark.parametrize("change", [{"structural": False}, {"washed": True}])
def test_without_load_or_washed_by_rain_it_is_no_stop(change):
    assert not passivity("316", "316 family", AUSTENITIC, replace(SHELTERED, **change), 3, 5).stops


@pytest.mark.parametrize("cleaning", ["specified", "weekly"])
@pytest.mark.parametrize(
    ("rank", "asked", "stops"),
    [
        (3, 4, True),  # 316 within 0.25 km of the sea, cleaned: F1 + F3 = -15 - 2, class IV is asked for
        (2, 3, True),  # 304 within 1 km, cleaned: -7 - 2, class III
        (3, 3, False),  # 316 there
        (None, 3, True),
        (3, None, True),
    ],
)
def test_cleaning_lifts_a_stop_only_where_the_class_is_met_with_it(cleaning, rank, asked, stops):
    """EN 1993-1-4, Annex A, credits a cleaning regime with F3 = -2 in place of -7 (recalled), no more."""
    cleaned = replace(SHELTERED, cleaning=cleaning)
    assert passivity("316", "316 family", AUSTENITIC, cleaned, rank, asked).stops is stops


ORDER = ("may_crack", "lost", "not_decided", "stained", "kept")


@pytest.mark.parametrize(
    ("form", "family", "change", "state"),
    [
        ("martensitic", "410 family", {"contact": "soil"}, "lost"),
        (AUSTENITIC, "316 family", {"contact": "pool_chemicals", "washed": True}, "not_decided"),
        ("austenitic, free-machining", "303 family", {}, "may_crack"),
        ("martensitic", "410 family", {"pool_hall": True, "outdoors": False, "structural": False}, "lost"),
        (AUSTENITIC, "", {"pool_hall": True, "outdoors": False, "structural": False}, "not_decided"),
        ("martensitic", "410 family", {"pool_hall": True, "outdoors": False, "cleaning": "weekly"}, "lost"),
    ],
)
def test_of_all_that_speaks_the_worst_state_decides(form, family, change, state):
    found = passivity("x", family, form, replace(SHELTERED, **change), 1, 5)
    assert found.state == state
    assert len(found.reasons) > 1 or state == "not_decided"


def test_a_grade_allowed_in_a_pool_hall_is_not_kept_where_chemicals_lie_against_it():
    hall = StainlessSetting(False, True, 0.0, False, True, contact="pool_chemicals")
    found = passivity("1.4547", "6 % Mo", "super austenitic, 6 % Mo", hall)
    assert found.state == "not_decided"
    assert len(found.reasons) == 2


def test_a_higher_grade_never_gives_a_worse_state_for_its_class_alone():
    states = [passivity("x", "316 family", AUSTENITIC, SHELTERED, rank, 5).state for rank in range(1, 6)]
    ranks = [ORDER.index(state) for state in states]
    assert ranks == sorted(ranks)


@pytest.mark.parametrize(
    ("family", "form", "rule"),
    [
        ("303 family", "austenitic, free-machining", "free_machining"),
        ("410 family", "martensitic", "martensitic"),
        ("430 family", "ferritic, 17 Cr", "ferritic"),
    ],
)
def test_weak_kinds_lose_their_film_outdoors_even_inland(family, form, rule):
    found = passivity("x", family, form, replace(INLAND, structural=False))
    assert (found.rule, found.state) == (rule, "lost")
    assert found.reasons[0].do


def test_an_untold_grade_is_asked_for():
    assert passivity("", "", "", INLAND).state == "not_decided"


def test_an_untold_grade_may_be_one_that_cracks():
    """The stop of a plain grade under load in salt that nothing washes off stands until the grade is told."""
    untold = passivity("", "", "", SHELTERED)
    assert untold.stops
    assert any("grade is not told" in one.words for one in untold.reasons)


@pytest.mark.parametrize(
    ("at", "words"),
    [
        ({"distance_to_salt_m": 4_000.0}, "about 5 km"),
        ({"distance_to_salt_m": 15_000.0}, "up to 20 km"),
        ({"distance_to_salt_m": 300.0, "sheltered_shore": True}, "a few hundred meters"),
    ],
)
def test_tea_staining_by_distance_is_cosmetic(at, words):
    (note,) = passivity("316", "316 family", AUSTENITIC, replace(INLAND, **at)).notes
    assert words in note.words
    assert "strength is not touched" in note.words


def test_no_tea_staining_far_inland_nor_beside_a_far_sheltered_bay():
    assert passivity("316", "316 family", AUSTENITIC, INLAND).notes == ()
    bay = replace(INLAND, distance_to_salt_m=3_000.0, sheltered_shore=True)
    assert passivity("316", "316 family", AUSTENITIC, bay).notes == ()


def test_a_hidden_shank_is_a_crevice():
    (note,) = passivity("316", "316 family", AUSTENITIC, replace(INLAND, hidden_shank=True)).notes
    assert "crevice" in note.words


def test_weekly_cleaning_in_a_pool_hall_goes_to_a_specialist():
    hall = StainlessSetting(False, True, 0.0, washed=False, structural=True, cleaning="weekly")
    assert passivity("316", "316 family", AUSTENITIC, hall).state == "not_decided"


def test_weekly_cleaning_in_a_pool_hall_frees_no_fastener():
    """EN 1993-1-4, Table A.4 (recalled): fixings and threads are of the three grades, cleaned or not."""
    hall = StainlessSetting(False, True, 0.0, False, True, cleaning="weekly", fastens=True)
    assert passivity("316", "316 family", AUSTENITIC, hall, 3).stops
    assert passivity("1.4462", "duplex", "duplex", hall, 4).rule == "pool_fastener"
    assert passivity("1.4529", "6 % Mo", "super austenitic, 6 % Mo", hall, 5).state == "kept"


def test_rust_grades_close_at_their_upper_end():
    assert [rust_grade(share) for share in (0.0, 0.01, 0.011, 3.0, 3.1, 100.0)] == [10, 10, 9, 5, 4, 0]
    assert [rust_grade(share, "Ri") for share in (0.0, 0.05, 1.0, 8.0, 60.0)] == [0, 1, 3, 4, 5]
    for wrong in (-1.0, 101.0):
        with pytest.raises(InputError):
            rust_grade(wrong)


def test_the_index_names_what_it_holds():
    assert gap_verdicts(anodic_index_v("Galvanized"), anodic_index_v("18Cr stainless"))[0] == 0.7
    with pytest.raises(InputError, match="magnesium"):
        anodic_index_v("unobtainium")
