"""The whole line on described structures: what must come out, reasoned without the code under test."""

from __future__ import annotations

from json import dumps
from pathlib import Path

import numpy as np
import pytest

from longhold.assessment.line import assess
from longhold.base.errors import InputError
from longhold.intake.load import load, load_site, loads
from longhold.model.structure import Structure

DEMO = Path(__file__).resolve().parents[2] / "demo"
DRAWS = 400


@pytest.fixture(scope="module")
def deck():
    return load(DEMO / "boardwalk.toml")


@pytest.fixture(scope="module")
def seaside(deck):
    return assess(deck, draws=DRAWS)


@pytest.fixture(scope="module")
def inland(deck):
    return assess(deck.at(load_site(DEMO / "inland_site.toml")), draws=DRAWS)


def by_id(assessment):
    return {finding.joint.id: finding for finding in assessment.findings}


def with_joint(structure: Structure, joint_id: str, part: int = 0, **changes) -> Structure:
    """The structure with one joint only, that joint changed; part fields are prefixed with ``part_``."""
    joint = next(one for one in structure.joints if one.id == joint_id)
    parts = list(joint.parts)
    for name in [name for name in changes if name.startswith("part_")]:
        parts[part] = parts[part].model_copy(update={name.removeprefix("part_"): changes.pop(name)})
    joint = joint.model_copy(update={**changes, "parts": parts})
    return structure.model_copy(update={"joints": [joint]})


def test_the_air_takes_more_zinc_at_the_sea(seaside, inland):
    for metal in ("zinc", "carbon_steel"):
        assert seaside.site.first_year_um[metal].p50 > 3 * inland.site.first_year_um[metal].p50


def test_every_outdoor_head_and_outer_face_lasts_longer_inland(seaside, inland):
    there = by_id(inland)
    for finding in seaside.findings:
        for part, other in zip(finding.parts, there[finding.joint.id].parts, strict=True):
            if not part.faces:  # stainless beyond its salt at the sea is referred there
                continue
            for face, same in zip(part.faces, other.faces, strict=True):
                if face.touches == "air" and face.zinc_years is not None:
                    assert same.zinc_years.p50 > face.zinc_years.p50


def test_the_salt_water_note_decides_at_the_sea_and_not_inland(seaside, inland):
    for finding, elsewhere in zip(seaside.findings, inland.findings, strict=True):
        clauses = {v.clause for part in finding.parts for v in part.code.deciding if v.verdict == "fail"}
        away = {v.clause for part in elsewhere.parts for v in part.code.deciding if v.verdict == "fail"}
        assert "Table R507.2.3 note b" not in away
        if finding.joint.id == "J03":  # G185 hanger with hot-dip nails: lawful but for the salt
            assert clauses == {"Table R507.2.3 note b"}
            assert away == set()


def test_structural_joints_are_decided_by_strength_and_others_by_protection(seaside):
    for finding in seaside.findings:
        stainless_only = all(part.protection.base_metal == "stainless" for part in finding.parts)
        expected = "strength" if finding.joint.role == "structural" or stainless_only else "protection"
        assert finding.decides == expected


def test_mixed_metals_are_flagged_and_nothing_else_is(seaside):
    flagged = {finding.joint.id for finding in seaside.findings if finding.couples}
    assert flagged == {"J11"}


def test_a_label_without_a_standard_is_asked_about_and_every_reading_is_shown(seaside):
    part = by_id(seaside)["J12"].parts[0]
    assert part.question
    assert len(part.other_readings) >= 2
    assert len(part.other_years) == len(part.other_readings)


def test_no_answer_depends_on_the_order_or_number_of_joints(deck, seaside):
    turned = deck.model_copy(update={"joints": list(reversed(deck.joints))[:5]})
    for finding in assess(turned, draws=DRAWS).findings:
        same = by_id(seaside)[finding.joint.id]
        assert finding.answer == same.answer
        assert finding.strength_years == same.strength_years


def test_the_same_seed_gives_the_same_and_another_seed_nearly_the_same(deck, seaside):
    one = with_joint(deck, "J03")
    again, other = assess(one, draws=DRAWS), assess(one, draws=4000, seed=9)
    assert again.findings[0].protection_years == by_id(seaside)["J03"].protection_years
    assert other.findings[0].protection_years.p50 == pytest.approx(
        again.findings[0].protection_years.p50, rel=0.35
    )


@pytest.mark.parametrize("place", ["pool_hall", "splash", "immersed"])
def test_a_place_that_is_not_computed_is_referred_with_its_reason(deck, place):
    finding = assess(with_joint(deck, "J09", place=place), draws=DRAWS).findings[0]
    assert finding.outcome in {"refer", "fails"}
    assert all(part.refer and not part.faces for part in finding.parts)
    assert finding.strength_years is None


def test_dry_inside_the_same_hardware_lasts(deck):
    finding = assess(with_joint(deck, "J09", place="dry_inside"), draws=DRAWS).findings[0]
    assert finding.strength_chance > 0.99
    assert finding.protection_years.p10 > 50


def test_a_demand_beyond_the_new_strength_is_said(deck):
    finding = assess(with_joint(deck, "J02", demand=1.0e6), draws=DRAWS).findings[0]
    assert finding.outcome == "fails"
    assert finding.strength_chance == 0.0
    assert "than the hanger can carry when new" in finding.answer


def test_a_rated_part_keeps_its_load_times_its_ratio(deck):
    strength = assess(with_joint(deck, "J02"), draws=DRAWS).findings[0].parts[0].strength
    assert strength.capacity_new_n == pytest.approx(850 * 4.4482216, rel=1e-6)
    assert strength.ends_at == pytest.approx(400 / 850)


def test_a_ledger_is_never_failed_on_the_yield_equations(deck):
    finding = assess(with_joint(deck, "J01", demand=1.0e6), draws=DRAWS).findings[0]
    strength = finding.parts[0].strength
    assert not strength.below_when_new
    assert strength.ends_at == deck.strength_fraction


def test_curves_start_whole_and_only_fall(seaside):
    for finding in seaside.findings:
        for part in finding.parts:
            if part.strength is not None:
                assert part.strength.curve.p50[0] == pytest.approx(1.0)
                assert (np.diff(part.strength.curve.p50) <= 1e-9).all()
            for face in part.faces:
                assert (np.diff(face.base_loss.p50) >= -1e-9).all()
                assert face.base_loss.p10 <= face.base_loss.p90


def test_every_face_and_strength_carries_its_calculation_with_sources(seaside):
    known = {source.id for source, _ in seaside.sources}
    for finding in seaside.findings:
        for part in finding.parts:
            sections = [face.calculation for face in part.faces]
            sections += [part.strength.calculation] if part.strength else []
            for section in sections:
                steps = list(section.steps())
                assert steps
                assert {step.source for step in steps} <= known


def test_assumed_defaults_are_listed(deck, seaside):
    bare = deck.model_copy(update={})
    assert any(one.where == "strength_fraction" for one in seaside.assumptions)
    assert any(one.where == "target_chance" for one in assess(with_joint(bare, "J05"), draws=200).assumptions)
    told = {one.where for one in by_id(seaside)["J06"].assumptions}
    assert not any("load_to_grain" in where for where in told)  # both angles are given there


def test_every_unreadable_name_is_reported_with_its_place(deck):
    broken = with_joint(deck, "J02", part_label="G158")
    with pytest.raises(InputError) as caught:
        assess(broken)
    (problem,) = caught.value.problems
    assert problem.where.startswith("joints[0].parts[0].label")
    assert "G158" in str(problem)


def test_what_would_be_enough_is_enough(deck):
    finding = assess(with_joint(deck, "J03"), draws=DRAWS).findings[0]
    # washed as said, class IV; 316 is of class III (EN 1993-1-4:2015, Annex A)
    assert finding.enough.startswith("2205 duplex stainless")
    joint = finding.joint
    parts = [part.model_copy(update={"label": "2507 stainless"}) for part in joint.parts]
    better = deck.model_copy(update={"joints": [joint.model_copy(update={"parts": parts})]})
    again = assess(better, draws=DRAWS).findings[0]
    assert again.outcome == "holds"


def test_stainless_beyond_its_salt_is_referred_and_not_praised(deck):
    near = assess(with_joint(deck, "J05", part=0, part_label="410 stainless"), draws=200).findings[0]
    assert near.outcome == "refer"
    assert "410" in near.parts[0].refer[0]
    kind = assess(with_joint(deck, "J07"), draws=200).findings[0]
    assert kind.outcome == "refer"
    assert "304 kind" in kind.answer


def test_an_undecided_joint_says_why_first(deck):
    at = next(at for at, joint in enumerate(deck.joints) if joint.id == "J05")
    told = deck.model_dump(mode="json", exclude_unset=True)
    del told["joints"][at]["parts"][0]["class_short_accepted"]
    found = assess(with_joint(loads(dumps(told), "json"), "J05"), draws=200).findings[0]
    assert found.outcome == "refer"
    assert found.answer.startswith("The strap is undecided: grade 316 is of class III")


def test_two_chances_of_one_joint_are_told_apart(deck):
    found = assess(with_joint(deck, "J12"), draws=DRAWS).findings[0]
    assert found.decides == "protection"
    assert "the chance that this nail still has" in found.answer
    assert "what decides here is the chance that the protection lasts 50 years" in found.answer


def test_the_code_asks_about_every_timber_that_a_fastener_touches(deck):
    joint = next(one for one in deck.joints if one.id == "J12")
    plain = joint.parts[0].model_copy(update={"label": "plain steel"})
    mixed = joint.model_copy(update={"side": "band", "application": "wall_framing", "parts": [plain]})
    structure = deck.model_copy(update={"joints": [mixed], "application": "other"})
    assert assess(structure, draws=200).findings[0].parts[0].code.verdict == "fail"


def test_fasteners_of_two_kinds_share_the_demand(deck):
    joint = next(one for one in deck.joints if one.id == "J12")
    nails = [
        joint.parts[0].model_copy(update={"id": name, "size": size, "label": "ASTM A153 Class D", "count": 4})
        for name, size in (("small", "10d common"), ("large", "16d common"))
    ]
    together = joint.model_copy(update={"parts": nails, "demand": 2500.0, "role": "structural"})
    alone = together.model_copy(update={"parts": nails[:1]})
    both, one = (
        assess(deck.model_copy(update={"joints": [case]}), draws=200).findings[0]
        for case in (together, alone)
    )
    assert one.parts[0].strength.below_when_new
    assert not both.parts[0].strength.below_when_new


def test_strength_never_ends_before_the_first_loss_of_metal(deck):
    for design_life in (50.0, 500.0):
        case = with_joint(deck, "J09").model_copy(update={"design_life": design_life})
        part = assess(case, draws=400).findings[0].parts[0]
        assert part.strength.years.p10 >= part.protection_years.p10


def test_the_end_of_strength_hangs_little_on_the_design_life_asked(deck):
    short, long = (
        assess(with_joint(deck, "J02").model_copy(update={"design_life": life}), draws=400).findings[0]
        for life in (50.0, 300.0)
    )
    assert long.strength_years.p50 == pytest.approx(short.strength_years.p50, rel=0.1)


def test_a_topcoat_does_not_make_stainless_fail(deck):
    inland = deck.at(load_site(DEMO / "inland_site.toml"))
    finding = assess(with_joint(inland, "J05", part=0, part_topcoat=12.0), draws=200).findings[0]
    assert finding.outcome == "holds"
    assert finding.parts[0].protection_years is None


def test_stainless_of_too_low_a_class_is_said_in_the_answer(seaside):
    """EN 1993-1-4 Annex A by the sea: F1 of -10 or less without washing credit asks for class IV or V."""
    strap = next(part for part in by_id(seaside)["J05"].parts if part.id == "strap")
    assert strap.stainless.class_asked in ("IV", "V")
    assert strap.stainless.class_has == "III"
    assert by_id(seaside)["J05"].outcome == "refer"
    said = by_id(seaside)["J05"].answer
    assert "grade 316 is of class III where EN 1993-1-4, Annex A, asks for class" in said
