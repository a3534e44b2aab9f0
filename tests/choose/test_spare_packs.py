"""Packs that spare alone opens, counted by hand."""

from itertools import product
from types import SimpleNamespace as Thing
from typing import Any

import pytest

from longhold.choose.purchase import Box
from longhold.choose.spare_packs import spare_packs
from longhold.documents.choice_words import spare_words


def choice_of(pieces: int, box: Box, spare: float) -> Any:
    """A choice of one item for one group of one joint."""
    offer = Thing(offer=Thing(item="LA-1"))
    joint = Thing(parts=[Thing(count=pieces)])
    bought = Thing(group=Thing(joint=joint, quantity=1), option=Thing(offers=[offer]))
    packs = {"LA-1": box.packs_for((1 + spare) * pieces)}
    return Thing(bought=(bought,), boxes={"LA-1": box}, purchase=Thing(packs=packs), currency="USD")


def test_one_spare_lag_screw_opens_a_box():
    """50 pieces and 5 % are 52.5: a third box of 25 at 180 USD; two boxes hold the 50 with none left."""
    (one,) = spare_packs(choice_of(50, Box(180.0, 25), 0.05))
    assert (one.packs, one.price, one.left) == (1, 180.0, 0)
    (said,) = spare_words(choice_of(50, Box(180.0, 25), 0.05))
    assert "a pack of 25 bought for spare alone; without it the order is 180 USD less" in said


@pytest.mark.parametrize("spare", [0.0, 0.05, 0.5, 2.0])
def test_what_is_told_is_the_difference_between_two_purchases(spare):
    """Every need up to four packs, with the fewest sold at once too: counted pack by pack."""
    for pieces, least in product(range(1, 41), (1, 3)):
        asked, plain = 0, 0
        while asked * 10 < (1 + spare) * pieces - 1e-6 or asked < least:
            asked += 1
        while plain * 10 < pieces or plain < least:
            plain += 1
        found = spare_packs(choice_of(pieces, Box(7.0, 10, least), spare))
        assert sum(one.packs for one in found) == asked - plain
        assert sum(one.price for one in found) == pytest.approx(7.0 * (asked - plain))
