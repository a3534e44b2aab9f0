"""Where nothing on offer will do: what is told is done as it is told, and then something is bought.

Offers and prices are invented.
"""

import re
from dataclasses import replace

import pytest

from longhold.choose.choice import Choice, Market, choose, market_for
from longhold.choose.ways_out import way_out, ways_out
from longhold.documents.way_words import way_words
from longhold.model.costs import Costs
from longhold.model.offer import Offer
from longhold.model.structure import Structure

COSTS = Costs(currency="USD", labor_per_joint=45.0)
NAIL = "10d common x 1-1/2 in"
LISTED = {
    "H-G60": ("hanger", "18 ga", "ASTM A653 G60", 50.0),
    "H-G90": ("hanger", "18 ga", "ASTM A653 G90", 60.0),
    "H-G185": ("hanger", "18 ga", "ASTM A653 G185", 90.0),
    "H-304": ("hanger", "18 ga", "304 stainless", 300.0),
    "H-316": ("hanger", "18 ga", "316 stainless", 400.0),
    "S-G185": ("strap", "18 ga", "ASTM A653 G185", 90.0),
    "S-A123": ("strap", "18 ga", "ASTM A123", 150.0),
    "N-EP": ("nail", NAIL, "electroplated zinc ASTM B633 SC1", 10.0),
    "N-HDG": ("nail", NAIL, "ASTM A153 class D", 20.0),
    "N-304": ("nail", NAIL, "304 stainless", 60.0),
    "N-316": ("nail", NAIL, "316 stainless", 90.0),
}
ZINC = ("H-G60", "H-G90", "H-G185", "N-EP", "N-HDG")
STRAPS = ("S-G185", "S-A123")


def walk(distance="100 miles", life="50 years", target=0.9, place="open_to_rain", **told):
    timber = {"species": "southern pine", "preservative": "ACQ-D", "use_category": "UC4A", "size": "2x8"}
    parts = [
        {"id": "hanger", "kind": "hanger", "size": "18 ga", "label": "ASTM A653 G90"},
        {"id": "nail", "kind": "nail", "size": NAIL, "label": "ASTM A153 class D", "count": 10},
    ]
    joint = {"name": "a hanger", "place": place, "main": "ledger", "side": "joist", "quantity": 4}
    return Structure.model_validate(
        {
            "name": "a walk",
            "design_life": life,
            "target_chance": target,
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {
                "name": "a place",
                "distance_to_salt_water": distance,
                "climate": {"station": "Wilmington NC"},
            },
            "timbers": {"joist": timber, "ledger": timber},
            "joints": [joint | {"id": "J1", "parts": parts}],
        }
        | told
    )


def market(structure: Structure, items=LISTED, **said) -> Market:
    offers = [
        Offer(item=item, kind=kind, size=size, label=label, price=price, currency="USD", pack=10)
        for item, (kind, size, label, price) in LISTED.items()
        if item in items
    ]
    return market_for(structure, offers, COSTS, draws=400, **said)


def ways(found: Market) -> dict[tuple[str, ...], str]:
    choice = choose(found)
    assert not choice.bought
    (conflict,) = choice.left_out
    return {out.way.given_up: way_words(out, found) for out in ways_out(conflict, found.setting)}


def bought(found: Market) -> set[str]:
    choice: Choice = choose(found)
    assert not choice.left_out
    return set(choice.purchase.packs)


@pytest.mark.parametrize(
    ("told", "items"),
    [
        ({"distance": "100 m"}, ZINC),
        ({"life": "75 years", "target": 0.99}, ZINC),
        ({"distance": "1 mile", "life": "40 years", "target": 0.95}, ZINC),
        ({"distance": "5 miles", "life": "60 years", "target": 0.8, "place": "under_cover"}, ZINC),
    ],
)
def test_a_chance_and_years_as_they_are_told_are_to_be_had(told, items):
    structure = walk(**told)
    words = ways(market(structure, items))["target",]
    pct, asked = re.search(r"a chance of (\d+) % instead of (\d+) %", words).groups()
    years, life = re.search(r"ask for (\d+) years? instead of (\d+)", words).groups()
    assert float(asked) / 100 == structure.target_chance
    assert float(life) == structure.design_life
    named = set(re.findall(r"[HN]-\w+", words.split(" costs least")[0]))
    lower = structure.model_copy(update={"target_chance": int(pct) / 100})
    assert bought(market(lower, items)) <= named
    assert bought(market(structure.model_copy(update={"design_life": float(years)}), items)) <= named
    more = structure.model_copy(update={"target_chance": (int(pct) + 2) / 100})
    assert not choose(market(more, items)).bought


def test_the_surest_is_named_first_and_the_cheapest_beside_it():
    strap = {"id": "strap", "kind": "strap", "size": "18 ga", "label": "ASTM A653 G185"}
    joint = {"id": "J1", "name": "a strap", "place": "open_to_rain", "main": "joist", "parts": [strap]}
    found = market(walk("1 mile", joints=[joint]), STRAPS)
    words = ways(found)["target",]
    first, last = words.split(" Either is asked of every joint. ")
    assert re.search(r"a chance of \d+ % instead of 90 %, or ask .* then S-A123 for 15 USD.$", first)
    assert re.match(r"S-G185 for 9 USD costs least: chance of 50 years \d+ %; 90 % sure: \d+ years", last)


def test_a_ban_is_named_by_its_items_and_once_lifted_they_are_bought():
    bans = frozenset({"H-304", "N-304", "H-316", "N-316", "H-G60"})
    structure = walk()
    words = ways(market(structure, bans=bans))
    named = re.search(r"lift the ban on (H-\w+) and (N-\w+): then", words["ban",]).groups()
    assert bought(market(structure, bans=bans - set(named))) == set(named)


def test_a_lock_is_named_by_its_part():
    structure = walk(life="25 years")
    words = ways(market(structure, locks={("J1", "nail"): "N-EP"}))
    assert words["lock",].startswith("give up the lock on nail: then ")
    named = set(re.findall(r"[HN]-\w+", words["lock",].split(" for ")[0]))
    assert bought(market(structure)) == named


def test_what_is_out_of_stock_is_named():
    from longhold.choose.choice import without_stock

    structure = walk()
    whole = market(structure, (*ZINC, "H-304", "N-304"))
    assert bought(whole) == {"H-304", "N-304"}
    words = ways(without_stock(whole, {"N-304", "N-EP"}))
    assert words["stock",].startswith("wait until N-304 is in stock again: then H-304 and N-304 for ")


def test_the_code_is_named_with_what_it_refuses_and_nothing_of_it_is_on_the_order():
    words = ways(market(walk(life="3 years"), ("H-G90", "N-EP")))["code",]
    assert re.search(r"International Residential Code 2021, \S+.* refuses: the nail \(ASTM B633", words)
    assert "add it by hand" in words


def test_metals_that_would_meet_are_named_with_the_one_that_suffers():
    ((names, words),) = ways(market(walk(life="1 years"), ("H-304", "N-HDG"))).items()
    assert "one_metal" in names
    assert "hanger (stainless 304) and nail (ASTM A153 class D) may meet, where the nail suffers" in words


def test_stainless_short_of_its_class_says_whether_accepting_it_helps():
    structure = walk("600 m", place="open_to_rain")
    found = market(structure, ("H-304", "N-304"))
    words = ways(found)["computed",]
    parts = [
        part.model_copy(update={"class_short_accepted": "looked at every spring"})
        for part in structure.joints[0].parts
    ]
    joint = structure.joints[0].model_copy(update={"parts": parts})
    accepted = market(structure.model_copy(update={"joints": [joint]}), ("H-304", "N-304"))
    helps = bool(choose(accepted).bought)
    assert ("Once that is accepted" in words) is helps
    assert ("does not help" in words) is not helps


def test_each_reason_why_nothing_is_computed_is_told_with_its_own_items():
    found = market(walk("100 m"), ("H-304", "N-304", "H-316", "N-316"))
    words = ways(found)["computed",]
    assert words.count("Not computed:") == 2
    assert words.index("H-316 and N-316") < words.index("Or H-304 and N-304")  # what may be had goes first
    assert "H-316 and N-304" not in words  # its reasons are those of both


def test_an_age_that_is_asked_besides_is_told_as_what_may_be_asked():
    found = market(walk(life="3 years"), ZINC)
    choice = choose(found, least_years=60.0)
    (way,) = (one for one in choice.left_out[0].ways if one.given_up == ("age",))
    years = int(
        re.search(r"ask for no more than (\d+) years?: then", way_words(way_out(way, found.setting), found))[
            1
        ]
    )
    assert choose(found, least_years=float(years)).bought
    assert not choose(found, least_years=years + 1.0).bought


def test_where_less_helps_nothing_it_is_said():
    (way,) = choose(market(walk("100 m"), ZINC)).left_out[0].ways
    hopeless = replace(way.best, outlook=replace(way.best.outlook, chance=0.002, sure_years=0.4))
    found = market(walk("100 m"), ZINC)
    words = way_words(way_out(replace(way, options=(hopeless,)), found.setting), found)
    assert "no fewer years and no lower chance help" in words


def test_the_page_says_what_is_asked_in_numbers():
    from longhold.web.purchase_view import conflict_rows

    found = market(walk(), ZINC)
    (row,) = conflict_rows(found, choose(found))
    assert row.demands == ("90 % certainty of lasting 50 years",)
