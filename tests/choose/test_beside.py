"""What stands beside a choice: ways out of a conflict, a substitution, money against a general library."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy_financial
import pytest

from longhold.base.errors import InputError
from longhold.choose.alternatives import frontier, named_alternatives, told_once
from longhold.choose.choice import choose, market_for, with_bans
from longhold.choose.deliberation import deliberate
from longhold.choose.life_cost import LaterCosts, later_cost, present_visits
from longhold.choose.money import DiscountRate
from longhold.choose.options import DEMANDS
from longhold.choose.substitution import substitution
from longhold.choose.turning import turns
from longhold.documents.choice_page import choice_html
from longhold.documents.choice_words import cut_words, undecided_words
from longhold.intake.load import load, load_costs, load_site
from longhold.intake.offers import load_offers

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def market():
    deck = load(DEMO / "boardwalk.toml").at(load_site(DEMO / "inland_site.toml"))
    listed = load_offers(DEMO / "offers.csv")
    return market_for(deck, listed.offers, load_costs(DEMO / "costs.toml"), draws=200)


@pytest.mark.parametrize(("every", "years", "rate"), [(5, 50, 0.03), (1, 30, 0.035), (10, 35, 0.0)])
def test_visits_are_the_cash_flow_that_numpy_financial_discounts(every, years, rate):
    flow = [1.0 if year and year % every == 0 else 0.0 for year in range(years)]
    assert present_visits(every, DiscountRate.flat(rate), years) == pytest.approx(
        numpy_financial.npv(rate, flow)
    )


def test_renewals_are_the_cash_flow_that_numpy_financial_discounts():
    costs = LaterCosts(renewal=250.0, failure=1000.0, unnoticed=0.2)
    flow = [450.0 if year in (12, 24, 36, 48) else 0.0 for year in range(50)]
    found = later_cost(np.array([12.0]), costs, DiscountRate.flat(0.03), 50.0)
    assert found[0] == pytest.approx(numpy_financial.npv(0.03, flow))


def test_each_way_out_of_a_conflict_is_open_once_its_demands_are_dropped_and_no_sooner(market):
    items = {one.offer.item for one in market.read if one.offer.kind == "nail"}
    banned = with_bans(market, items)
    options = {group.ids: some for group, some in zip(banned.groups, banned.options, strict=True)}
    conflicts = [one for one in choose(banned).left_out if one.demands]
    assert conflicts
    for conflict in conflicts:
        broken = [one.broken for one in options[conflict.group.ids]]
        assert conflict.ways
        for way in conflict.ways:
            given_up = set(way.given_up)
            assert any(not one - given_up for one in broken)
            assert way.best.broken == given_up
            for demand in given_up:
                assert all(one - (given_up - {demand}) for one in broken)
        for demand in conflict.demands:
            rest = set(DEMANDS) & (set(conflict.demands) - {demand})
            assert any(not one & rest for one in broken)


def test_without_an_item_nothing_gets_it_and_it_never_costs_less(market):
    chosen = choose(market)
    item = next(one for one in chosen.purchase.packs if one.startswith("HA"))
    found = substitution(market, [item], chosen)
    assert item not in found.after.purchase.packs
    assert found.changes
    assert found.alike
    assert float(found.more_over_life.mean()) >= 0.0
    changed = {one.group.ids for one in found.changes}
    bought = zip(found.before.bought, found.after.bought, strict=True)
    for before, after in bought:
        same = [one.offer.item for one in before.option.offers] == [
            one.offer.item for one in after.option.offers
        ]
        assert same == (before.group.ids not in changed)
    alone = market_for(
        market.structure,
        [one.offer for one in market.read if one.offer.item != item],
        market.costs,
        draws=200,
    )
    assert found.after.purchase.cost == pytest.approx(choose(alone).purchase.cost)
    with pytest.raises(InputError, match="not among the offers"):
        substitution(market, ["nothing"])


def test_the_kinds_of_cost_add_up_to_the_life_cycle_cost(market):
    for choice in named_alternatives(market):
        kinds = [one.later_kinds for one in choice.bought]
        later = sum(one.material + one.labor + one.inspection + one.failure for one in kinds)
        np.testing.assert_allclose(choice.over_life, choice.today + choice.fixing + later)
        kinds_of_box = 25.0 * len(choice.purchase.packs)  # each_item of demo/costs.toml
        assert choice.today == pytest.approx(choice.packs_price + kinds_of_box)


def test_the_page_shows_every_item_bought_and_escapes_what_a_list_says(market):
    import datetime

    found = deliberate(market, turning=True)
    html = choice_html(found, [(7, "<script>alert(1)</script>")], datetime.date(2026, 11, 26))
    assert all(item in html for item in found.chosen.purchase.packs)
    assert "<script>alert" not in html
    assert html.count('class="dot chosen"') == 1


def test_every_age_is_compared_for_the_joints_that_something_is_bought_for(market):
    served = {one.group.ids for one in choose(market).bought}
    found = frontier(market, demanded=False).choices
    assert len(found) > 1
    assert all({one.group.ids for one in each.bought} == served for each in found)
    assert [one.purchase.cost for one in found] == sorted(one.purchase.cost for one in found)
    assert [one.sure_years for one in found] == sorted(one.sure_years for one in found)


def test_ages_that_time_ran_out_on_are_counted_and_told(market, monkeypatch):
    def cut(*given, **more):
        made = choose(*given, **more)
        return replace(made, purchase=replace(made.purchase, bound=0.9 * made.purchase.cost))

    whole = frontier(market)
    assert whole.unproved == 0
    assert cut_words(whole) == ""
    monkeypatch.setattr("longhold.choose.alternatives.choose", cut)
    found = frontier(market)
    assert found.unproved == found.ages > 0
    assert "Time ran out" in cut_words(found)


def test_inputs_that_time_ran_out_on_are_named(market):
    found = turns(market, choose(market), seconds=0.0)
    assert not found.found
    assert found.undecided
    assert found.undecided[0] in undecided_words(found)


def test_one_purchase_is_told_once_with_all_its_names(market):
    one, other = choose(market), choose(market, name="the same again")
    dearer = replace(other, name="more of it", purchase=replace(other.purchase, packs={"x": 1}))
    told = told_once([one, other, dearer])
    assert [names for names, _ in told] == [("cheapest over the life", "the same again"), ("more of it",)]
