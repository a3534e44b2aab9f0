"""Time the choice for 500 joints in more than 100 groups from 300 offers, beside trying each group by itself.

    python benchmarks/choose.py

Peer: the same groups, each in a market of its own (nothing shared), measured on a tenth of them and scaled.
No figure here is asserted anywhere: machines differ. What counts is the ratio.
"""

from __future__ import annotations

import time
from pathlib import Path

from rich.console import Console
from rich.table import Table

from longhold.choose.choice import choose, market_for
from longhold.choose.options import group_joints
from longhold.intake.load import load, load_costs
from longhold.intake.offers import load_offers
from longhold.model.offer import Offer
from longhold.model.structure import Joint, Structure

DEMO = Path(__file__).resolve().parents[1] / "demo"
JOINTS, OFFERS, LOADS = 500, 300, 12
PACKS = ((1.0, 1.0), (1.08, 0.5), (0.95, 2.0), (1.15, 0.2), (0.9, 5.0), (1.02, 1.0))
"""Price of a piece and size of a pack beside the list's: six sizes of pack of everything."""


def many_offers() -> list[Offer]:
    """The demo list in several sizes of pack."""
    found = []
    for number, (dear, share) in enumerate(PACKS):
        for one in load_offers(DEMO / "offers.csv").offers:
            pack = max(1, round(one.pack * share))
            change = {
                "item": f"{one.item}/{number}",
                "pack": pack,
                "price": one.price * dear * pack / one.pack,
            }
            found.append(one.model_copy(update=change))
    return found[:OFFERS]


def many_joints(deck: Structure) -> list[Joint]:
    """The demo's joints over and over, each time under another load."""
    kinds = [joint for joint in deck.joints if joint.id != "J11"]
    return [
        kinds[index % len(kinds)].model_copy(
            update={"id": f"J{index:03}", "demand": 300.0 + index // len(kinds) % LOADS}
        )
        for index in range(JOINTS)
    ]


def main() -> None:
    """Run ours, then the peer, and print both."""
    deck, costs, offers = load(DEMO / "boardwalk.toml"), load_costs(DEMO / "costs.toml"), many_offers()
    joints = many_joints(deck)
    large = deck.model_copy(update={"joints": joints})
    market_for(deck, offers, costs, draws=200)  # timbers are simulated once and kept
    start = time.perf_counter()
    market = market_for(large, offers, costs)
    tried = time.perf_counter()
    found = choose(market)
    solved = time.perf_counter()
    groups = group_joints(joints)
    few = groups[:: max(len(groups) // 12, 1)]
    peer_start = time.perf_counter()
    for group in few:
        market_for(deck.model_copy(update={"joints": [group.joint]}), offers, costs)
    alone = (time.perf_counter() - peer_start) * len(groups) / len(few)
    table = Table("job", "ours [s]", "peer", "peer [s]", "peer / ours")
    peer = f"each of {len(groups)} groups in a market of its own ({len(few)}, scaled)"
    ours = tried - start
    table.add_row("try 300 offers on 500 joints", f"{ours:.2f}", peer, f"{alone:.2f}", f"{alone / ours:.1f}")
    table.add_row("solve", f"{solved - tried:.2f}", "-", "-", "-")
    console = Console(width=130)
    console.print(table)
    options = sum(map(len, market.options))
    made = found.purchase
    console.print(
        f"{options:,} options; cost {made.cost:,.2f}, bound {made.bound:,.2f}, gap {made.gap:.2g}, "
        f"proved: {made.proved}"
    )


if __name__ == "__main__":
    main()
