"""A choice for 500 joints in more than 100 groups from 300 offers, made from the demonstration."""

from __future__ import annotations

from pathlib import Path

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
