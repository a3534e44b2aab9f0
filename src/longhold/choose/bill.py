"""What a purchase costs over the life, by joint and by kind, so that the lines add up to the cent."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longhold.choose.choice import Bought, Choice, Market
from longhold.choose.options import JointGroup

__all__ = ["KINDS", "Bill", "Line", "bill_of", "line_of"]

KINDS = ("pieces", "fixing", "inspection", "renewal_material", "renewal_labor", "failure")
"""Kinds of cost, in the order in which they fall due."""


@dataclass(frozen=True)
class Line:
    """Mean present cost of one group of joints over the life, to the cent.

    Attributes
    ----------
    pieces : price of the pieces built in, as shares of packs
    fixing : labor of fixing them the first time
    inspection : looking at them through the life
    renewal_material, renewal_labor : of taking joints apart and fixing them anew
    failure : ends that nobody noticed in time
    """

    group: JointGroup
    pieces: float
    fixing: float
    inspection: float
    renewal_material: float
    renewal_labor: float
    failure: float

    @property
    def amounts(self) -> tuple[float, ...]:
        """The amounts in the order of ``KINDS``."""
        return tuple(float(getattr(self, kind)) for kind in KINDS)

    @property
    def total(self) -> float:
        """All of them."""
        return round(sum(self.amounts), 2)

    @property
    def choosable(self) -> float:
        """What hangs on what is bought: all but the first fixing and the inspections."""
        return round(self.total - self.fixing - self.inspection, 2)


@dataclass(frozen=True)
class Bill:
    """The lines of a purchase, and what belongs to no joint.

    Attributes
    ----------
    lines : of each group of joints that something is bought for
    left_over : price of pieces that are bought and not built in: spare, and the rest of packs
    boxes : what is set on the kinds of box on the site
    """

    lines: tuple[Line, ...]
    left_over: float
    boxes: float

    @property
    def summed(self) -> tuple[float, ...]:
        """Each kind over all joints, in the order of ``KINDS``."""
        return tuple(round(sum(float(getattr(one, kind)) for one in self.lines), 2) for kind in KINDS)

    @property
    def total(self) -> float:
        """All lines, what is left over and the boxes."""
        return round(sum(one.total for one in self.lines) + self.left_over + self.boxes, 2)


def bill_of(choice: Choice, market: Market) -> Bill:
    """The bill of a choice; its total is the mean cost over the life but for the rounding of its lines."""
    lines = tuple(line_of(one, market) for one in choice.bought)
    built_in = sum(one.pieces for one in lines)
    return Bill(lines, round(choice.packs_price - built_in, 2), round(choice.kinds_price, 2))


def line_of(one: Bought, market: Market) -> Line:
    """What one group of joints costs over the life."""
    kinds, number = one.later_kinds, one.group.quantity
    access = float(getattr(market.costs.access, one.group.joint.access))
    amounts = (
        number * one.material,
        number * market.costs.fixing_per_joint * access,
        float(np.mean(kinds.inspection)),
        float(np.mean(kinds.material)),
        float(np.mean(kinds.labor)),
        float(np.mean(kinds.failure)),
    )
    return Line(one.group, *(round(each, 2) for each in amounts))
