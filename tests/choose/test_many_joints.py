"""A job of the size of a boardwalk of 500 joints with a list of 300 offers is proved, not only solved."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from longhold.choose.choice import choose, market_for
from longhold.choose.programme import cheapest
from longhold.choose.purchase import Box, Candidate, Taken
from longhold.intake.load import load, load_costs, load_site

ROOT = Path(__file__).resolve().parents[2]
ON_ANY_MACHINE = 900.0  # seconds: what is checked is the proof, not the time


@pytest.fixture(scope="module")
def benchmark():
    spec = importlib.util.spec_from_file_location("benchmark_of_choose", ROOT / "benchmarks" / "choose.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow
def test_500_joints_and_300_offers_with_packs_leave_no_gap(benchmark):
    deck = load(ROOT / "demo" / "boardwalk.toml").at(load_site(ROOT / "demo" / "inland_site.toml"))
    joints = benchmark.many_joints(deck)
    offers = benchmark.many_offers()
    assert (len(joints), len(offers)) == (500, 300)
    for number, offer in enumerate(offers):
        offers[number] = offer.model_copy(update={"least_packs": 1 + number % 3})
    large = deck.model_copy(update={"joints": joints})
    market = market_for(large, offers, load_costs(ROOT / "demo" / "costs.toml"), draws=200)
    chosen = choose(market, seconds=ON_ANY_MACHINE)
    made = chosen.purchase
    assert len(chosen.bought) > len(chosen.left_out)
    assert sum(group.quantity for group in market.groups) == sum(joint.quantity for joint in joints)
    assert sum(made.packs.values()) > 0
    assert made.proved
    assert made.gap == pytest.approx(0.0, abs=1e-9)


def _many_groups(seed):
    """72 groups of 1 to 12 joints each, for each of which four promises in five sizes of pack will do."""
    draw = np.random.default_rng(seed)
    sizes = {"hanger": (1.4, 50, 2), "nail": (0.06, 500, 20), "bolt": (1.5, 10, 4), "screw": (0.2, 100, 150)}
    boxes = {
        f"{part}-{promise}-{share}": Box(
            round(each * (1 + promise) * pack * share * dear, 2), int(pack * share)
        )
        for part, (each, pack, _) in sizes.items()
        for promise in range(4)
        for share, dear in ((0.2, 1.15), (0.5, 1.08), (1, 1.0), (2, 0.95), (5, 0.9))
    }
    groups = []
    for number in range(72):
        joints = int(draw.integers(1, 13))
        ends = np.sort(draw.uniform(0.0, 1.5, 4))[::-1]
        parts = (("hanger", "nail"), ("bolt",), ("screw",))[number % 3]
        groups.append(
            [
                Candidate(
                    tuple(Taken(f"{part}-{p}-{share}", joints * sizes[part][2]) for part in parts),
                    round(joints * 45.0 * float(ends[p]), 2),
                )
                for p in range(4)
                for share in (0.2, 0.5, 1, 2, 5)
            ]
        )
    return groups, boxes


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2])
def test_groups_that_all_differ_leave_no_gap_either(seed):
    groups, boxes = _many_groups(seed)
    assert cheapest(groups, boxes, spare=0.05, each_item=25.0, seconds=ON_ANY_MACHINE).proved
