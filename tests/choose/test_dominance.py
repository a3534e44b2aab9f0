"""Offers left out by dominance are never missed: pieces counted one by one, and the least cost with them."""

from math import ceil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longhold.choose import choice
from longhold.choose.choice import choose, market_for
from longhold.choose.dominance import _replaces, never_dearer
from longhold.intake.load import load, load_costs, load_site
from longhold.intake.offers import load_offers

DEMO = Path(__file__).parents[2] / "demo"
PACKS = ((1.0, 1.0), (1.3, 0.5), (0.9, 2.0), (1.0, 0.2))


@given(st.integers(1, 60), st.integers(1, 30), st.integers(1, 60), st.integers(1, 30))
def test_never_dearer_is_what_counting_packs_for_every_number_of_pieces_says(price, pack, other, other_pack):
    counted = all(
        price * ceil(pieces / pack) <= other * ceil(pieces / other_pack) for pieces in range(1, 31 * 30)
    )
    assert never_dearer(float(price), pack, float(other), other_pack) == counted


@given(*[st.integers(1, 40), st.integers(1, 20), st.integers(1, 6)] * 2)
def test_what_replaces_another_is_not_dearer_with_the_fewest_packs_of_either(
    price, pack, least, other, other_pack, other_least
):
    if not _replaces((float(price), pack, least), (float(other), other_pack, other_least)):
        return
    for pieces in range(1, 400):
        mine = price * max(ceil(pieces / pack), least)
        assert mine <= other * max(ceil(pieces / other_pack), other_least)


@pytest.mark.slow
@pytest.mark.parametrize("each_item", [0.0, 40.0])
def test_the_least_cost_is_the_same_with_every_offer(monkeypatch, each_item):
    deck = load(DEMO / "boardwalk.toml").at(load_site(DEMO / "inland_site.toml"))
    joints = [joint for joint in deck.joints if joint.id in ("J02", "J03", "J08", "J12")]
    deck = deck.model_copy(update={"joints": joints})
    costs = load_costs(DEMO / "costs.toml").model_copy(update={"each_item": each_item})
    offers = [
        one.model_copy(
            update={
                "item": f"{one.item}/{number}",
                "price": one.price * share * dear,
                "pack": max(1, round(one.pack * share)),
            }
        )
        for one in load_offers(DEMO / "offers.csv").offers
        for number, (dear, share) in enumerate(PACKS)
    ]
    few = market_for(deck, offers, costs, draws=200)
    monkeypatch.setattr(choice, "undominated", lambda offers, *_, **__: tuple(offers))
    every = market_for(deck, offers, costs, draws=200)
    assert sum(map(len, few.options)) < sum(map(len, every.options))
    for later_counts in (True, False):
        one, other = (choose(each, later_counts=later_counts) for each in (few, every))
        assert one.purchase.cost == pytest.approx(other.purchase.cost, rel=1e-9)
