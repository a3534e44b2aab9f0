"""Stainless held against EN 1993-1-4, Annex A.

Classes of grades and factors as the annex has them, recalled: up to 0.25 km from the sea F1 is -15, up to
1 km -7, up to 10 km -3; F3 is 0 where rain washes, -7 where neither rain nor cleaning does. 0 is class II, -7
class III, -15 class IV and -22 class V. 304 is of class II, 316 of III, 2205 (1.4462) of IV, 2507 of V.
"""

from __future__ import annotations

import datetime
import re
from typing import Any

import numpy as np
import pytest

import longhold
from longhold.assessment.alternatives import try_hardware
from longhold.assessment.annex_a import class_rank
from longhold.assessment.ends import left_out_words
from longhold.assessment.findings import JointFinding
from longhold.assessment.line import assess
from longhold.assessment.setting import setting_for
from longhold.assessment.short_of_class import class_asked
from longhold.documents.advice_rows import advice_view
from longhold.documents.choice_words import chance_words
from longhold.documents.report import report_html
from longhold.labels.alloys import alloys
from longhold.labels.read import read_label
from longhold.model.protection import Protection
from longhold.model.structure import Structure

CLASS_OF = {"304": 2, "316": 3, "2205": 4, "2507": 5}


def _deck(distance: str, label: str, place: str = "open_to_rain", **part: Any) -> Structure:
    strap = {"id": "strap", "kind": "strap", "size": "16 ga", "label": label, "faces": "sky_facing"} | part
    return Structure.model_validate(
        {
            "name": "a deck",
            "design_life": "50 years",
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {
                "name": "a shore",
                "distance_to_salt_water": distance,
                "climate": {"station": "Wilmington NC"},
            },
            "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}},
            "joints": [
                {
                    "id": "J",
                    "name": "a strap",
                    "place": place,
                    "main": "joist",
                    "parts": [strap],
                    "role": "other",
                }
            ],
        }
    )


def _found(*args: Any, **part: Any) -> JointFinding:
    return assess(_deck(*args, **part), draws=200).findings[0]


@pytest.mark.parametrize(
    ("distance", "faces", "asked", "enough"),
    [
        ("600 m", "sky_facing", "III", "316"),
        ("100 m", "sky_facing", "IV", "2205"),
        ("100 m", "wall", "V", "2507"),
    ],
)
def test_a_grade_short_of_its_class_is_referred_with_the_cheapest_that_is_enough(
    distance, faces, asked, enough
):
    found = _found(distance, "304 stainless", faces=faces)
    short = found.parts[0].stainless.short
    assert found.outcome == "refer"
    assert (short.asked, short.held) == (asked, "II")
    assert any(one.startswith(enough) for one in short.enough)
    for word in (f"class {asked}", "class II ", enough):
        assert word in found.answer


@pytest.mark.parametrize("grade", CLASS_OF)
@pytest.mark.parametrize(("distance", "asked"), [("50 km", 2), ("600 m", 3), ("100 m", 4)])
def test_no_clean_pass_below_the_class(grade, distance, asked):
    found = _found(distance, f"{grade} stainless")
    assert (found.parts[0].stainless.short is not None) is (CLASS_OF[grade] < asked)
    assert CLASS_OF[grade] >= asked or found.outcome != "holds"


def test_a_deviation_that_is_accepted_is_listed_and_lifts_the_doubt_about_the_class_only():
    reason = "looked at every spring"
    found = _found("100 m", "316 stainless", faces="wall", class_short_accepted=reason)
    assert found.parts[0].refer == ()
    assert found.outcome != "refer"
    assert reason in found.accepted[0]
    assert reason in found.answer
    assert "pits not computed" in left_out_words(found)
    by_surf = _found("60 m", "304 stainless", class_short_accepted=reason)
    assert by_surf.outcome == "refer"  # so much salt takes its film, whoever accepts the class


def test_the_words_lay_nothing_on_the_governing_code():
    found = _found("100 m", "316 stainless")
    assert found.parts[0].code.verdict != "fail"
    assert "does not allow" not in found.answer
    assert "beside the governing code" in found.parts[0].stainless.words


def test_advice_never_names_a_grade_too_low():
    """Mill-dipped straps within 300 ft of salt water fail by the code, which any stainless would pass."""
    found = _found("50 m", "G90", faces="wall")
    advised = [*found.parts[0].code.would_pass_with, found.enough]
    assert found.outcome == "fails"
    for low in ("304", "316", "2205"):
        assert not any(low in words for words in advised)
    assert any("2507" in words for words in advised)


def test_what_may_be_bought_as_a_class_is_accepted_is_told_beside_the_advice():
    """Choose may buy it: both name the same, and say that no chance counts its pits."""
    accepted = _found("100 m", "G90", class_short_accepted="looked at every spring")
    assert accepted.enough.startswith("2205")
    assert accepted.enough_if_accepted.startswith("316")
    assert "316 stainless" in accepted.answer
    assert "it may pit" in accepted.answer
    plain = _found("100 m", "G90")
    assert plain.enough_if_accepted == ""
    assert "316" not in plain.answer


def test_an_offer_short_of_class_has_no_forecast_unless_accepted():
    offered = read_label("316 stainless", item="strap", thickness_mm=1.5).readings[0].protection
    for accepted, computed in ((None, False), ("looked at every spring", True)):
        deck = _deck("100 m", "G90", faces="wall", class_short_accepted=accepted)
        setting = setting_for(deck, np.linspace(0.0, 100.0, 9), draws=20, seed=1)
        trial = try_hardware(deck.joints[0], [offered], setting)
        assert bool(trial.refer) is not computed
        assert ("pits not computed" in chance_words(trial)) is computed


def test_kinds_stand_in_for_grades_that_the_annex_does_not_list_and_never_above_a_listed_one():
    of_kind = {one.family: CLASS_OF[one.grade] for one in alloys() if one.grade in CLASS_OF}
    for one in alloys():
        if one.base_metal == "stainless" and one.family in of_kind:
            rank = class_rank(Protection("x", "stainless", grade=one.grade))
            assert rank is not None
            assert rank <= of_kind[one.family]


@pytest.mark.parametrize("label", ["201 stainless", "444 stainless"])
def test_a_grade_of_no_known_class_is_referred(label):
    found = _found("50 km", label)
    assert found.outcome == "refer"
    assert "of no class that is known" in found.answer


def test_the_face_that_rain_spares_decides_for_its_part_alone():
    deck = _deck("100 m", "2205 stainless")
    joint = deck.joints[0]
    screw = {"id": "screw", "kind": "wood_screw", "size": "#10 x 1-1/2 in", "label": "2205 stainless"}
    parts = [joint.parts[0].model_dump(), screw]
    both = Structure.model_validate(
        deck.model_dump(exclude={"joints"}) | {"joints": [joint.model_dump() | {"parts": parts}]}
    )
    strap, head = assess(both, draws=200).findings[0].parts
    assert head.stainless.f3_at == strap.stainless.f3_at == "F3 at faces facing the sky"
    assert head.stainless.class_asked == strap.stainless.class_asked == "IV"
    seat = _found("100 m", "2205 stainless", kind="hanger", faces=None).parts[0].stainless
    assert (seat.class_asked, "facing down" in seat.f3_at or "upright" in seat.f3_at) == ("V", True)


@pytest.mark.parametrize("label", ["G90", "ASTM A123", "304 stainless", "316 stainless", "2507 stainless"])
@pytest.mark.parametrize(
    ("distance", "faces", "low", "enough"),
    [
        ("100 m", "wall", ("304", "305", "316", "2205"), "2507"),
        ("600 m", "sky_facing", ("304", "305"), "316"),
    ],
)
def test_good_practice_says_the_class_and_never_a_grade_below_it(label, distance, faces, low, enough):
    found = _found(distance, label, faces=faces)
    view = advice_view(found.advice)
    (line,) = [one for one in (*view.open, *view.rest) if "salt water the metal is stainless" in one.says]
    assert not any(re.search(rf"\b{grade}\b", line.says) for grade in low)
    assert enough in line.says
    asked = {"2507": "class V", "316": "class III"}[enough]
    assert asked in line.says
    holds = label.split()[0] in CLASS_OF and CLASS_OF[label.split()[0]] >= CLASS_OF[enough]
    assert line.word == ("Met" if holds else "Not met")


def test_no_advice_on_the_page_or_in_the_terminal_names_a_grade_below_the_class():
    """Of the whole demonstration by the sea: the page's good practice, and what the answers advise."""
    deck = longhold.load("demo/boardwalk.toml")
    found = assess(deck, draws=200)
    setting = setting_for(deck, np.linspace(0.0, 100.0, 9), draws=20, seed=1)
    page = report_html([found], datetime.date(2026, 4, 1))
    seen = 0
    for one in found.findings:
        asked = [rank for part in one.joint.parts if (rank := class_asked(one.joint, part, setting))]
        low = [grade for grade, rank in CLASS_OF.items() if rank < min(asked, default=0)]
        section = page.split(f'id="joint-{one.joint.id}"')[1].split("</section>")[0]
        practice = section.split(">Good practice <")[-1].split("Assumed for this joint")[0]
        texts = [one.enough, practice if ">Good practice <" in section else ""]
        for part in one.parts:
            texts += part.code.would_pass_with
            texts += [text for verdict in part.code.verdicts for text in verdict.would_pass_with]
        seen += len(low)
        for text in texts:
            assert not any(re.search(rf"\b{grade}\b", text) for grade in low), (one.joint.id, text)
    assert seen


def test_the_factors_and_their_sum_stand_in_the_calculation_and_in_the_reason():
    """-15 by the sea, 0 for clean air, -7 where neither rain nor cleaning reaches: -22, class V."""
    found = _found("100 m", "316 stainless", faces="wall").parts[0].stainless
    steps = {step.symbol: step.value for step in found.calculation.steps()}
    assert steps == {"F1": -15, "F2": 0, "F3": -7, "CRF": -22, "CRC": "V"}
    assert "F1 -15, F2 0, F3 -7, sum -22" in found.short.words


def test_cleaning_is_asked_for_where_the_class_turns_on_it():
    """A written regime makes F3 -2: -17 is class IV, where never cleaned is -22 and class V."""
    upright = _found("100 m", "316 stainless", faces="wall")
    assert upright.parts[0].stainless.short.if_cleaned == "IV"
    assert [one.where for one in upright.assumptions if "clean" in one.where] == ["joints.J.strap.cleaning"]
    for settled in (
        _found("100 m", "316 stainless", faces="sky_facing"),  # rain washes it
        _found("100 m", "316 stainless", faces="wall", cleaning="specified"),
        _found("100 m", "316 stainless", faces="wall", cleaning="none"),
    ):
        assert not any("clean" in one.where for one in settled.assumptions)
    for said in (upright.answer, upright.assumptions[-1].because):
        assert "recalled, not read" in said
        assert "every three months" in said


def test_cleaning_is_neither_offered_nor_counted_where_nobody_reaches():
    """Annex A as recalled: cleaning of all parts, not of those reached easily alone. In concrete none is."""
    for cleaning, told in (("none", False), ("weekly", True)):
        part = _found("100 m", "316 stainless", faces="wall", contact="concrete", cleaning=cleaning).parts[0]
        assert part.stainless.short.if_cleaned == ""
        assert part.stainless.class_asked == "V"
        assert ("cleaning is not counted" in part.stainless.short.words) is told


def test_cleaning_is_not_offered_where_the_joint_is_hard_to_reach():
    deck = _deck("100 m", "316 stainless", faces="wall")
    hard = deck.model_copy(update={"joints": [deck.joints[0].model_copy(update={"access": "hard"})]})
    assert assess(hard, draws=200).findings[0].parts[0].stainless.short.if_cleaned == ""
