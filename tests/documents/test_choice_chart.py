"""The cost of years as a chart: what is told once, and names that stand beside one another.

Structure, offers and prices are invented.
"""

import re
from itertools import combinations

import pytest

from longhold.choose.alternatives import told_once
from longhold.choose.choice import market_for
from longhold.choose.deliberation import deliberate
from longhold.documents.choice_chart import frontier_chart, frontier_rows
from longhold.model.costs import Costs
from longhold.model.offer import Offer
from longhold.model.structure import Structure

STRAPS = {
    "S-60": ("ASTM A653 G60", 20.0),
    "S-185": ("ASTM A653 G185", 34.0),
    "S-A123": ("ASTM A123", 90.0),
    "S-304": ("304 stainless", 240.0),
    "S-316": ("316 stainless", 420.0),
}
TEXT = re.compile(r'<text x="([\d.]+)" y="([\d.]+)" class="label ([a-z ]*)">([^<]*)</text>')


@pytest.fixture(scope="module")
def found():
    part = {"id": "strap", "kind": "strap", "size": "18 ga", "label": "ASTM A653 G90"}
    joint = {"name": "a strap", "main": "joist", "role": "other", "parts": [part]}
    structure = Structure.model_validate(
        {
            "name": "three ways",
            "design_life": "40 years",
            "target_chance": 0.3,
            "application": "other",
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {
                "name": "a place",
                "distance_to_salt_water": "2 miles",
                "climate": {"station": "Wilmington NC"},
            },
            "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}},
            "joints": [
                joint | {"id": "J1", "place": "open_to_rain", "quantity": 40, "access": "easy"},
                joint | {"id": "J2", "place": "under_cover", "quantity": 60, "access": "hard"},
            ],
        }
    )
    offers = [
        Offer(item=item, kind="strap", size="18 ga", label=label, price=price, currency="USD", pack=10)
        for item, (label, price) in STRAPS.items()
    ]
    return deliberate(market_for(structure, offers, Costs(currency="USD", labor_per_joint=12.0), draws=500))


def test_three_different_purchases_are_named_and_none_is_drawn_over_another(found):
    assert len(told_once(found.named)) == 3
    boxes = []
    for x, y, side, words in TEXT.findall(str(frontier_chart(found))):
        wide = 5.2 * len(words)  # less than any browser draws: what meets by this meets on every screen
        left = float(x) - wide if "end" in side else float(x)
        boxes.append((words, left, float(y) - 9.0, left + wide, float(y) + 2.0))
    names = {"cheapest today", "cheapest over the life", "longest life", "design life 40", "chosen:"}
    assert {box[0] for box in boxes} == names
    for one, other in combinations(boxes, 2):
        apart = one[3] <= other[1] or other[3] <= one[1] or one[4] <= other[2] or other[4] <= one[2]
        assert apart, (one, other)


def test_an_age_past_all_that_are_looked_at_is_one_age_and_the_cheapest_of_it_is_the_longest_life(found):
    past = [one for one in found.frontier.choices if one.sure_years >= found.market.setting.ages[-1]]
    assert len(past) == 1
    assert round(past[0].over_life.mean()) == round(found.longest.over_life.mean())
    assert [row.age for row in frontier_rows(found)].count("past 80 years") == 1
