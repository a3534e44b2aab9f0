"""Papers say what the choice says: checked against the list of offers and the structure themselves."""

import csv
import datetime
import math
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from longhold.choose.as_bought import findings_as_bought
from longhold.choose.choice import choose, market_for
from longhold.documents.papers.made import papers_of
from longhold.intake.load import load, load_costs, load_site
from longhold.intake.offers import load_offers
from longhold.metal.couples import mixed_couples

pytestmark = pytest.mark.slow
DEMO = Path(__file__).parents[2] / "demo"
AS_OF = datetime.date(2026, 11, 26)


@cache
def market(*, inland, draws=200, bans=frozenset()):
    deck = load(DEMO / "boardwalk.toml")
    deck = deck.at(load_site(DEMO / "inland_site.toml")) if inland else deck
    offers = load_offers(DEMO / "offers.csv").offers
    return market_for(deck, offers, load_costs(DEMO / "costs.toml"), draws=draws, bans=bans)


@pytest.fixture(scope="module")
def inland():
    """A choice of two metal families, with its papers."""
    found = market(inland=True)
    choice = choose(found)
    return found, choice, papers_of(found, choice, as_of=AS_OF, draws=200, seed=1)


def column(table, head):
    return [one.head for one in table.columns].index(head)


def named(paper, name):
    return next(table for table in paper.tables if table.name == name)


def listed():
    with (DEMO / "offers.csv").open(encoding="utf-8") as stream:
        return {row["item"]: row for row in csv.DictReader(stream)}


def test_the_findings_behind_the_papers_have_the_chances_of_the_choice(inland):
    found, choice, _ = inland
    for bought, finding in zip(choice.bought, findings_as_bought(found, choice), strict=True):
        chance = finding.strength_chance if finding.decides == "strength" else finding.protection_chance
        assert chance == pytest.approx(bought.option.trial.chance, abs=1e-12)
        designations = [part.protection.designation for part in finding.parts]
        assert designations == [one.protection.designation for one in bought.option.offers]


def test_every_joint_is_scheduled_or_told_first(inland):
    found, _, papers = inland
    schedule = papers.schedule
    bought = [row[0].text for row in named(schedule, "Joints").rows]
    assert schedule.tables[0].name == "Not settled"
    left = [row[0].text for row in schedule.tables[0].rows]
    assert sorted([*bought, *left]) == sorted(joint.id for joint in found.structure.joints)
    assert all(any(name in line for line in schedule.warnings) for name in left)
    assert all(any(name in line for line in papers.card.unsettled) for name in left)
    parts = {(row[0].text, row[1].text) for row in named(schedule, "Parts").rows}
    assert parts == {(j.id, p.id) for j in found.structure.joints if j.id in bought for p in j.parts}


def test_the_order_adds_up_from_the_structure_and_the_list_alone(inland):
    found, _, papers = inland
    (table,) = papers.order.tables
    item, needed = column(table, "Item"), column(table, "Pieces needed")
    pieces = Counter()
    joints = {joint.id: joint for joint in found.structure.joints}
    parts = named(papers.schedule, "Parts")
    for row in parts.rows:
        joint = joints[row[0].text]
        part = next(one for one in joint.parts if one.id == row[1].text)
        pieces[row[column(parts, "Item")].text] += part.count * joint.quantity
    assert {row[item].text: row[needed].value for row in table.rows} == dict(pieces)
    offers, total = listed(), 0.0
    for row in table.rows:
        offer = offers[row[item].text]
        packs = math.ceil(round(1.05 * pieces[row[item].text], 6) / int(offer["pack"]))
        assert row[column(table, "Packs")].value == packs
        assert row[column(table, "With spare")].value == math.ceil(round(1.05 * pieces[row[item].text], 6))
        assert row[column(table, "Left over")].value == packs * int(offer["pack"]) - pieces[row[item].text]
        price = packs * float(offer["price"])
        assert row[column(table, "Price, USD")].value == pytest.approx(price, abs=0.005)
        assert row[column(table, "Days until it arrives")].value == int(offer["lead_days"])
        total += price
    assert table.total[column(table, "Price, USD")].value == pytest.approx(total, abs=0.005)
    assert f"{total:,.2f} USD" in papers.order.answer
    waits = max(int(offers[row[item].text]["lead_days"]) for row in table.rows)
    assert any(f"{waits} days" in note for note in papers.order.notes)


def test_invented_prices_say_so_and_every_paper_says_what_it_is(inland):
    _, _, papers = inland
    head = papers.head
    assert any("prices" in note and "invented" in note for note in head.notes)
    assert "forecast, not a certificate" in head.caution
    facts = dict(head.facts)
    assert facts["Date"] == "2026-11-26"
    assert "2021" in facts["Code"]
    assert "Longhold" in facts["Made by"]
    assert "[" in head.rests_on


def test_the_submittal_points_each_part_to_a_calculation_and_each_clause_to_its_words(inland):
    _, choice, papers = inland
    parts = named(papers.submittal, "Parts and clauses")
    numbers = [one.number for one in papers.submittal.calculations]
    assert numbers == list(range(1, len(numbers) + 1))
    pointed = {row[column(parts, "Calculation")].calculation for row in parts.rows}
    assert pointed - {0} == set(numbers)
    assert len(parts.rows) == sum(len(one.group.joint.parts) for one in choice.bought)
    told = {row[0].text for row in named(papers.submittal, "Clauses").rows}
    for row in parts.rows:
        assert row[column(parts, "Code")].text in {"allowed", "no rule speaks", "no rule decides"}
        clauses = row[column(parts, "Clauses")].text
        assert clauses == "none speaks of it" or all(one.strip() in told for one in clauses.split(", "))


def test_the_card_warns_of_every_pair_of_metals_that_the_rule_keeps_apart(inland):
    _, choice, papers = inland
    items = {one.offer.item: one.protection for b in choice.bought for one in b.option.offers}
    mixed = mixed_couples([(item, protection, False) for item, protection in items.items()])
    assert mixed
    for couple in mixed:
        assert any(couple.reason in line for line in papers.card.never)
    boxed = {line[0] for box in papers.card.boxes for line in box.lines}
    assert boxed == set(items)
    labels = {item for items, _, _ in papers.card.labels for item in items.split(", ")}
    assert labels == set(items)


def test_the_card_names_boxes_that_only_their_label_tells_apart():
    """The list itself says which items share kind and size under another label; all of them are bought."""
    found = market(inland=True)
    joint = next(one for one in found.structure.joints if one.id == "J12")
    rows = [row for row in listed().values() if (row["kind"], row["size"]) == ("nail", "16d common")]
    items = [row["item"] for row in rows if row["label"] in ("304 stainless", "316 stainless")]
    assert len(items) == 2
    twice = [joint.model_copy(update={"id": name}) for name in ("A", "B")]
    deck = found.structure.model_copy(update={"joints": twice})
    locks = {("A", "nail"): items[0], ("B", "nail"): items[1]}
    offers = load_offers(DEMO / "offers.csv").offers
    both = market_for(deck, offers, found.costs, draws=200, locks=locks)
    papers = papers_of(both, choose(both), as_of=AS_OF, draws=200, seed=1)
    bought = {row[0].text for row in papers.order.tables[0].rows}
    alike = [line for line in papers.card.never if "look alike" in line]
    assert bought == set(items)
    assert len(alike) == 1
    assert all(item in alike[0] for item in items)


def test_joints_that_are_cut_from_the_card_are_said_to_be_in_the_schedule(inland):
    found, _, _ = inland
    joint = found.structure.joints[0]
    ids = [f"A{number:02d}" for number in range(1, 40, 2)]
    many = found.structure.model_copy(
        update={"joints": [joint.model_copy(update={"id": name}) for name in ids]}
    )
    offers = load_offers(DEMO / "offers.csv").offers
    big = market_for(many, offers, found.costs, draws=200)
    papers = papers_of(big, choose(big), as_of=AS_OF, draws=200, seed=1)
    assert papers.card.boxes[0].where == "A01, A03, A05, A07, A09, A11 and 14 more (see the schedule)"
    assert [row[0].text for row in named(papers.schedule, "Joints").rows] == ids


def test_a_choice_that_buys_nothing_still_says_why():
    every = frozenset(listed())
    found = market(inland=True, bans=every)
    papers = papers_of(found, choose(found), as_of=AS_OF, draws=200, seed=1)
    (order,) = papers.order.tables
    assert not order.rows
    assert order.total[column(order, "Price, USD")].value == 0
    assert not papers.card.boxes
    assert len(papers.schedule.tables[0].rows) == len(found.groups)
    assert all("Nothing is bought" in row[3].text for row in papers.schedule.tables[0].rows)


def test_what_cannot_be_computed_is_told_with_the_reason():
    duplex = frozenset(item for item, row in listed().items() if row["label"].startswith("2205"))
    found = market(inland=False, bans=duplex)
    choice = choose(found)
    papers = papers_of(found, choice, as_of=AS_OF, draws=200, seed=1)
    why = {row[0].text: row[3].text for row in papers.schedule.tables[0].rows}
    assert "Not computed: " in why["J09"]
    assert "no offer fits" in why["J11"]
    findings = findings_as_bought(found, choice)
    open_still = {
        f.joint.id for f in findings for p in f.parts if p.stainless and p.stainless.state == "not_decided"
    }
    assert {"J02", "J05"} <= open_still
    for paper in papers.listed:
        (line,) = (line for line in paper.warnings if "lower class than EN 1993-1-4" in line)
        assert "accepted knowingly" in line
        assert "J02" in line
        assert not any("not decided" in line for line in paper.warnings)
    watched = " ".join(row[1].text for row in named(papers.submittal, "To be watched").rows)
    assert "EN 1993-1-4" in watched


def test_an_item_without_a_standard_is_told_with_the_standard_to_ask_for(inland):
    """ASTM A240 is plate, sheet and strip; ASTM F1667 driven fasteners; for lag screws none is held."""
    _, _, papers = inland
    table = named(papers.submittal, "Items")
    asked = {row[0].text: row[column(table, "Standard")].text for row in table.rows}
    assert asked["HA-103"].endswith("ask the supplier for ASTM A240")
    assert asked["NA-123"].endswith("ask the supplier for ASTM F1667")
    assert asked["LA-143"].endswith("ask the supplier to name it")
    assert asked["BO-150"].startswith("ASTM A153")
    (line,) = (line for line in papers.submittal.warnings if "No standard is named" in line)
    assert "HA-103" in line
    assert "BO-150" not in line


@pytest.mark.parametrize("inland_site", [True, False])
def test_the_card_keeps_the_other_metals_from_every_joint_of_one_metal(inland_site):
    """Whatever a stainless joint was planned in, it is kept from zinc: zinc is at hand on this site."""
    found = market(inland=inland_site)
    choice = choose(found)
    card = papers_of(found, choice, as_of=AS_OF, draws=200, seed=1).card
    stainless = [
        name
        for one in choice.bought
        if all(offer.protection.base_metal == "stainless" for offer in one.option.offers)
        for name in one.group.ids
    ]
    assert {"J05", "J07"} <= set(stainless)
    (line,) = (line for line in card.never if "only stainless goes in" in line)
    told = set(line.partition(":")[0].replace(",", " ").split())
    for first, last in re.findall(r"J(\d\d) to J(\d\d)", line):
        told |= {f"J{number:02d}" for number in range(int(first), int(last) + 1)}
    assert told - {"to"} == set(stainless)


def test_what_was_assumed_is_told_in_words_of_people(inland):
    _, _, papers = inland
    table = named(papers.submittal, "Assumed")
    for row in table.rows:
        assert "_" not in row[0].text
        assert not re.search(r"\w\.\w", row[0].text)


def test_a_bare_class_of_sheet_is_of_the_european_standard_under_en_1995():
    """EN 10346 prints Z275 itself; a structure under the US code keeps asking which standard."""
    deck = load(DEMO / "boardwalk.toml").at(load_site(DEMO / "inland_site.toml"))
    joint = next(one for one in deck.joints if one.id == "J02")
    offers = load_offers(DEMO / "offers.csv").offers
    bare = [
        one.model_copy(update={"label": one.label.replace("ASTM A653 G185", "Z600")})
        for one in offers
        if "G90" not in one.label
    ]
    dry = joint.model_copy(update={"place": "dry_inside"})
    for pack, edition, expected in (
        ("eu_ec5", "2004+A2", "EN 10346 Z600"),
        ("us_irc", "2021", "ASTM A653M Z600"),
    ):
        code = deck.code.model_copy(update={"pack": pack, "edition": edition})
        under = deck.model_copy(update={"joints": [dry], "code": code})
        found = market_for(under, bare, load_costs(DEMO / "costs.toml"), draws=200)
        read = {one.offer.item: one.protection.designation for one in found.read}
        assert read["HA-102"] == expected
        if pack == "eu_ec5":
            papers = papers_of(found, choose(found), as_of=AS_OF, draws=200, seed=1)
            assert "EN 10346 Z600" in [name for _, name, _ in papers.card.labels]
            assumed = {row[0].text: row[1].text for row in named(papers.submittal, "Assumed").rows}
            assert assumed["label Z600"] == "EN 10346"
