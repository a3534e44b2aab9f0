"""Choosing for a whole structure: demands are kept, conflicts are irreducible, bad lists are told."""

from itertools import combinations
from pathlib import Path

import pytest

from longhold.base.errors import InputError
from longhold.choose.alternatives import frontier, named_alternatives
from longhold.choose.choice import choose, market_for
from longhold.choose.options import DEMANDS
from longhold.choose.turning import turns
from longhold.intake.load import load, load_costs, load_site
from longhold.intake.offers import load_offers

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def listed():
    return load_offers(DEMO / "offers.csv")


@pytest.fixture(scope="module")
def inland(listed):
    deck = load(DEMO / "boardwalk.toml").at(load_site(DEMO / "inland_site.toml"))
    return market_for(deck, listed.offers, load_costs(DEMO / "costs.toml"), draws=300)


def test_what_is_bought_meets_every_demand(inland):
    for choice in named_alternatives(inland):
        assert choice.bought
        for one in choice.bought:
            assert not one.broken
            assert one.option.trial.chance >= inland.structure.target_chance
            assert all(
                offer.offer.fits(part)
                for offer, part in zip(one.option.offers, one.group.joint.parts, strict=True)
            )


def test_each_alternative_is_best_at_what_it_is_called(inland):
    today, over_life, longest = named_alternatives(inland)
    assert today.today <= min(over_life.today, longest.today)
    assert over_life.over_life.mean() <= today.over_life.mean() + 1e-6
    assert longest.sure_years >= max(today.sure_years, over_life.sure_years)


def test_years_are_never_cheaper_the_more_of_them_are_asked(inland):
    found = frontier(inland).choices
    costs = [one.over_life.mean() for one in found]
    assert costs == sorted(costs)
    assert [one.sure_years for one in found] == sorted(one.sure_years for one in found)


def test_demands_in_conflict_cannot_stand_together_and_none_is_too_many(inland):
    whole = choose(inland)
    options = {group.joint.id: some for group, some in zip(inland.groups, inland.options, strict=True)}
    assert whole.left_out
    for conflict in whole.left_out:
        broken = [one.broken for one in options[conflict.group.joint.id]]
        if not conflict.demands:
            assert not broken
            continue
        assert all(one & set(conflict.demands) for one in broken)
        for fewer in combinations(conflict.demands, len(conflict.demands) - 1):
            assert any(not one & set(fewer) for one in broken)
        assert set(conflict.demands) <= set(DEMANDS)


def test_a_lock_and_a_ban_are_kept(inland, listed):
    before = {one.group.joint.id: one for one in choose(inland).bought}
    joint = before["J02"].group.joint
    banned = before["J02"].option.offers[0].offer.item
    market = market_for(inland.structure, listed.offers, inland.costs, bans=frozenset({banned}), draws=300)
    after = choose(market)
    assert all(banned not in [o.offer.item for o in one.option.offers] for one in after.bought)
    other = next(
        o.offer.item
        for o in inland.fitting.values()
        if o.offer.fits(joint.parts[0]) and "316" in o.offer.label
    )
    locked = market_for(
        inland.structure, listed.offers, inland.costs, locks={("J02", "hanger"): other}, draws=300
    )
    found = next(one for one in choose(locked).bought if one.group.joint.id == "J02")
    assert found.option.offers[0].offer.item == other


def test_inputs_that_turn_the_choice_name_joints_of_the_structure(inland):
    ids = {joint.id for joint in inland.structure.joints}
    assert all(one.joints and set(one.joints) <= ids for one in turns(inland, choose(inland)).found)


def test_what_is_not_there_is_refused(inland, listed):
    with pytest.raises(InputError, match=r"J99\.x.*no part"):
        market_for(inland.structure, listed.offers, inland.costs, locks={("J99", "x"): "HA-101"})
    with pytest.raises(InputError, match="not among the offers"):
        market_for(inland.structure, listed.offers, inland.costs, bans=frozenset({"nothing"}))
    with pytest.raises(InputError, match="stands twice"):
        market_for(inland.structure, [listed.offers[0], listed.offers[0]], inland.costs)
    euros = listed.offers[0].model_copy(update={"currency": "EUR"})
    with pytest.raises(InputError, match=r"HA-101.*priced in EUR, which has no rate to USD.*rates\.EUR"):
        market_for(inland.structure, [euros], inland.costs)


@pytest.mark.parametrize(
    ("rate", "said"), [("0.0", "greater than 0"), ("-1.3", "greater than 0"), ("nan", "finite number")]
)
def test_a_rate_that_is_none_is_refused_by_its_name(tmp_path, rate, said):
    costs = tmp_path / "costs.toml"
    costs.write_text(
        (DEMO / "costs.toml").read_text(encoding="utf-8") + f"rates = {{ EUR = {rate} }}\n", encoding="utf-8"
    )
    with pytest.raises(InputError, match=rf"rates\.EUR.*{said}"):
        load_costs(costs)
