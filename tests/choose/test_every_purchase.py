"""The purchase against every other one, counted pack by pack, with locks, bans, stock and minimum orders."""

from itertools import product
from math import ceil
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longhold.choose import choice
from longhold.choose.bill import bill_of
from longhold.choose.choice import choose, market_for, without_stock
from longhold.choose.conflicts import conflict
from longhold.choose.options import DEMANDS
from longhold.documents.cost_rows import cost_table, kind_rows, to_the_cent
from longhold.intake.load import load, load_costs, load_site
from longhold.intake.offers import load_offers

DEMO = Path(__file__).parents[2] / "demo"
FEW = {"HA-102", "HA-103", "HA-104", "NA-122", "NA-123", "NA-124", "NA-126", "NA-127", "NA-128"}
CASES = [
    {"each_item": 0.0},
    {"each_item": 90.0, "locks": {("J02", "nail"): "NA-124/1"}},
    {"each_item": 25.0, "bans": {"HA-103/0", "NA-123/0"}, "missing": {"NA-127/1"}},
    {"each_item": 10.0, "locks": {("J03", "hanger"): "HA-104/0"}, "bans": {"NA-124/0"}},
]


@pytest.fixture(scope="module")
def deck():
    deck = load(DEMO / "boardwalk.toml").at(load_site(DEMO / "inland_site.toml"))
    return deck.model_copy(
        update={"joints": [joint for joint in deck.joints if joint.id in ("J02", "J03", "J12")]}
    )


@pytest.fixture(scope="module")
def offers():
    """Each item in a large pack, and in a small one that is dearer by the piece and sold three at once."""
    return [
        one.model_copy(
            update={
                "item": f"{one.item}/{number}",
                "price": round(one.price * dear, 2),
                "pack": max(1, round(one.pack * share)),
                "least_packs": least,
            }
        )
        for one in load_offers(DEMO / "offers.csv").offers
        if one.item in FEW
        for number, (dear, share, least) in enumerate([(1.0, 1.0, 1), (0.15, 0.1, 3)])
    ]


@pytest.mark.slow
@pytest.mark.parametrize("case", CASES, ids=["plain", "locked nail", "banned and missing", "locked hanger"])
def test_no_purchase_of_all_that_are_allowed_costs_less(deck, offers, case, monkeypatch):
    costs = load_costs(DEMO / "costs.toml").model_copy(update={"each_item": case["each_item"]})
    locks, bans, missing = (case.get(name, {}) for name in ("locks", "bans", "missing"))
    market = market_for(deck, offers, costs, locks=locks, bans=frozenset(bans), draws=200)
    found = choose(without_stock(market, missing) if missing else market)

    monkeypatch.setattr(choice, "undominated", lambda offers, *_, **__: tuple(offers))
    whole = market_for(deck, offers, costs, draws=200)
    allowed = [
        [one for one in some if not one.broken and _keeps(one, locks, {*bans, *missing})]
        for some in whole.options
    ]
    least = min(_cost(some, costs) for some in product(*allowed))
    assert not found.left_out
    assert found.purchase.cost == pytest.approx(least, abs=1e-6)
    for one in found.bought:
        assert _keeps(one, locks, {*bans, *missing})


def _keeps(one, locks, out):
    joint = one.group.joint
    placed = [
        (joint.id, part.id, each.offer.item)
        for part, each in zip(joint.parts, one.option.offers, strict=True)
    ]
    return all(locks.get((name, part), item) == item and item not in out for name, part, item in placed)


def _cost(some, costs):
    pieces, later, kinds = {}, 0.0, {}
    for one in some:
        later += one.mean_later
        for part, each in zip(one.group.joint.parts, one.option.offers, strict=True):
            item = each.offer.item
            kinds[item] = each.offer
            pieces[item] = pieces.get(item, 0) + part.count * one.group.joint.quantity
    packs = {
        item: max(ceil(1.05 * count / kinds[item].pack - 1e-6), kinds[item].least_packs)
        for item, count in pieces.items()
    }
    return later + sum(kinds[item].price * count + costs.each_item for item, count in packs.items())


@pytest.mark.slow
def test_lines_of_joints_and_what_is_left_of_packs_add_up_to_what_is_printed(deck, offers):
    extra = {"fixing_per_joint": 12.5, "failure": 900.0, "unnoticed": 0.2}
    costs = load_costs(DEMO / "costs.toml").model_copy(update=extra)
    market = market_for(deck, offers, costs, draws=200)
    found = choose(market, later_counts=False)
    table = cost_table(found, market)
    for number, total in enumerate(table.total):
        column = [amounts[number] for _, amounts in table.rows if amounts[number] is not None]
        assert to_the_cent(sum(column)) == to_the_cent(total)
    for _, amounts in table.rows:
        assert to_the_cent(sum(one for one in amounts[:-1] if one is not None)) == to_the_cent(amounts[-1])
    *kinds, whole = [float(amount.replace(",", "")) for _, amount, _ in kind_rows(found, market)]
    assert to_the_cent(sum(kinds)) == to_the_cent(whole)
    assert whole == pytest.approx(float(found.over_life.mean()), abs=0.05)
    assert bill_of(found, market).left_over >= 0.0


def test_an_inspection_looks_at_a_sample_of_the_joints_on_each_line_and_not_at_each_part(deck, offers):
    costs = load_costs(DEMO / "costs.toml")
    market = market_for(deck, offers, costs, draws=200)
    seen = {"J02": 20, "J03": 20, "J12": 20}  # of 22, 22 and 120, in demo/costs.toml at most 20
    visits = sum(1.03**-year for year in range(5, 50, 5))
    for one in choose(market).bought:
        assert one.inspection == pytest.approx(4.0 * seen[one.group.joint.id] * visits)


@given(st.lists(st.sets(st.sampled_from(list(DEMANDS)), min_size=1, max_size=4), min_size=1, max_size=9))
def test_demands_in_conflict_cannot_be_met_together_and_any_one_fewer_can(broken):
    part = SimpleNamespace(group=None, alone=1.0)
    found = conflict(SimpleNamespace(ids=("J1",)), [(part, frozenset(one)) for one in broken])
    demands = set(found.demands)
    assert demands
    assert all(one & demands for one in broken)
    for dropped in demands:
        assert any(not one & (demands - {dropped}) for one in broken)
