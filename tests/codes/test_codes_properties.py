"""What must hold of every pack, whatever is asked of it."""

from __future__ import annotations

from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from longhold.codes import complete_facts, evaluate, list_packs
from longhold.codes.candidates import list_candidates
from longhold.codes.conditions import facts_of
from longhold.codes.facts import FINISH_FACTS
from longhold.codes.vocabulary import vocabulary

DERIVED = {
    "part_kind", "driven", "threaded", "preservative_treated", "fire_retardant_treated", "borate_treated",
    "copper_treated", "metal_family", "galvanic_order", "same_family",
}  # fmt: skip
WOOD_PACKS = sorted(
    name for name, pack in list_packs().items() if pack.candidates and "compliance" in pack.checks
)
EDITIONS = [(name, edition) for name, pack in list_packs().items() for edition in pack.editions]
DEFINITE = ("pass", "fail", "not_governed")


def asked_by(pack_id: str) -> list[str]:
    rules = list_packs()[pack_id].rules
    parts = [part for rule in rules for part in (rule.when, rule.demand, rule.allows, rule.refer_if)]
    names = set().union(*(facts_of(part) for part in parts)) | {"item", "treatment"}
    given_names = {name for rule in rules for name in rule.gives}
    return sorted(names - DERIVED - given_names)


ASKED = {pack_id: asked_by(pack_id) for pack_id in list_packs()}


def value_of(name: str) -> st.SearchStrategy[Any]:
    fact = vocabulary()[name]
    if fact.type == "yes_no":
        return st.booleans()
    if fact.type == "choice":
        return st.sampled_from(sorted(fact.values))
    edges = st.sampled_from(
        [0.0, 3.0, 4.0, 5.0, 9.525, 12.0, 12.7, 18.0, 55.0, 91.44, 275.0, 500.0, 550.0, 600.0]
    )
    return st.one_of(edges, st.floats(0, 2e4, width=32))


@st.composite
def situations(draw: st.DrawFn, pack_id: str, leave_out: bool = True) -> dict[str, Any]:
    names = [name for name in ASKED[pack_id] if not leave_out or draw(st.booleans())]
    return {name: draw(value_of(name)) for name in names}


@settings(deadline=None, max_examples=400)
@given(st.data())
def test_telling_more_never_overturns_a_definite_answer_nor_asks_for_new_facts(data: st.DataObject) -> None:
    pack_id, edition = data.draw(st.sampled_from(EDITIONS))
    facts = data.draw(situations(pack_id))
    before = evaluate(pack_id, edition, facts)
    untold = [name for name in ASKED[pack_id] if name not in complete_facts(facts)]
    assume(untold)
    name = data.draw(st.sampled_from(before.missing_facts or untold))
    assume(name in untold)
    after = evaluate(pack_id, edition, {**facts, name: data.draw(value_of(name))})
    settled = before.verdict in DEFINITE or (before.verdict == "refer" and not before.missing_facts)
    if settled:
        assert after.verdict == before.verdict
    elif before.verdict == "refer" and after.verdict == "refer":
        assert set(after.missing_facts) <= set(before.missing_facts) - {name}
    assert before.given.items() <= after.given.items()


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_stainless_316_never_fails_where_a_lesser_metal_passes(data: st.DataObject) -> None:
    pack_id = data.draw(st.sampled_from(WOOD_PACKS))
    edition = data.draw(st.sampled_from(list_packs()[pack_id].editions))
    facts = data.draw(situations(pack_id))
    rest = {name: value for name, value in facts.items() if name not in FINISH_FACTS}
    candidates = {
        candidate.words: candidate for candidate in list_candidates(list_packs()[pack_id].candidates)
    }
    best = next(candidate for words, candidate in candidates.items() if words.startswith("stainless 316"))
    lesser = data.draw(st.sampled_from(sorted(candidates)))
    assume("1.4462" not in lesser and "1.4410" not in lesser)  # better grades, not lesser metals
    if evaluate(pack_id, edition, {**rest, **candidates[lesser].facts}).verdict == "pass":
        assert evaluate(pack_id, edition, {**rest, **best.facts}).verdict != "fail"


@settings(deadline=None, max_examples=150)
@given(st.data(), st.floats(0, 2000), st.floats(0, 2000))
def test_moving_away_from_salt_water_never_turns_a_pass_into_a_fail(
    data: st.DataObject, one: float, two: float
) -> None:
    pack_id = data.draw(st.sampled_from(["us_irc", "us_dca6", "us_association", "nz_3604"]))
    edition = data.draw(st.sampled_from(list_packs()[pack_id].editions))
    facts = data.draw(situations(pack_id))
    near, far = sorted((one, two))
    facts.pop("nz_zone", None)
    at = {
        d: evaluate(pack_id, edition, {**facts, "distance_to_salt_water_m": d}).verdict for d in (near, far)
    }
    assert not (at[near] == "pass" and at[far] == "fail")


@settings(deadline=None, max_examples=150)
@given(st.data())
def test_a_drier_service_class_never_asks_more(data: st.DataObject) -> None:
    facts = data.draw(situations("eu_ec5", leave_out=False))
    facts.pop("wood_moisture_pct", None)
    order = ("pass", "not_governed", "refer", "fail")
    found = [
        order.index(evaluate("eu_ec5", "2004+A2", {**facts, "service_class": sc}).verdict)
        for sc in ("1", "2", "3")
    ]
    assert found == sorted(found)


@settings(deadline=None, max_examples=200)
@given(st.data())
def test_every_answer_accounts_for_itself(data: st.DataObject) -> None:
    pack_id, edition = data.draw(st.sampled_from(EDITIONS))
    answer = evaluate(pack_id, edition, data.draw(situations(pack_id)))
    known = {rule.id for rule in list_packs()[pack_id].rules_in(edition)}
    assert set(answer.rules) <= known
    if answer.verdict in DEFINITE:
        assert answer.missing_facts == ()
    for verdict in answer.verdicts:
        assert verdict.clause
        assert verdict.rules[0] == verdict.rule_id
        assert (verdict.verdict == "fail") <= bool(verdict.failed_because)
        assert not (verdict.missing_facts and verdict.verdict != "refer")


@settings(deadline=None, max_examples=150)
@given(st.data())
def test_what_is_suggested_passes_when_it_is_taken(data: st.DataObject) -> None:
    pack_id = data.draw(st.sampled_from(WOOD_PACKS))
    edition = data.draw(st.sampled_from(list_packs()[pack_id].editions))
    facts = data.draw(situations(pack_id))
    answer = evaluate(pack_id, edition, facts)
    candidates = {
        candidate.words: candidate for candidate in list_candidates(list_packs()[pack_id].candidates)
    }
    for words in answer.would_pass_with:
        taken = candidates[words].in_place_of(complete_facts(facts))
        assert evaluate(pack_id, edition, taken).verdict in ("pass", "not_governed")


@given(
    far=st.floats(0.0, 2e4),
    nearer=st.floats(0.0, 1.0),
    clean=st.floats(0.0, 250.0),
    share=st.floats(0.0, 1.0),
    coast=st.sampled_from(["other_european", "baltic", "german_north_sea"]),
    washing=st.sampled_from(["rain", "cleaned", "neither"]),
)
@settings(deadline=None, max_examples=60)
def test_annex_a_never_asks_less_nearer_the_sea_in_dirtier_air_or_with_less_washing(
    far, nearer, clean, share, coast, washing
):
    def asked(distance, sulphur, washed):
        facts = {
            "indoor_controlled": False,
            "road_tunnel": False,
            "salted_road_m": 1e6,
            "coast": coast,
            "distance_to_salt_water_m": distance,
            "sulphur_dioxide_ug_m3": sulphur,
            "washing": washed,
        }
        return evaluate("eu_1993_1_4", "2015", facts, suggest=False).given

    here = asked(far, share * clean, washing)
    assert here["crf"] == here["f1"] + here["f2"] + here["f3"]
    worse = [asked(far * nearer, share * clean, washing), asked(far, clean, washing)]
    order = ["rain", "cleaned", "neither"]
    worse += [asked(far, share * clean, one) for one in order[order.index(washing) :]]
    for one in worse:
        assert one["crf"] <= here["crf"]
        assert one["crc_rank"] >= here["crc_rank"]
