"""What may take the place of a refused line: offers that fit, tried in its joints, with years and cost."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from longhold.assessment.alternatives import metals_mixed
from longhold.choose.options import read_offers
from longhold.inspect.consequence import (
    Consequence,
    JointEffect,
    findings_under,
    order_labels,
    ordered_price,
    promise_for,
)
from longhold.inspect.delivery import CheckedLine
from longhold.inspect.thresholds import threshold
from longhold.model.delivery import Order, OrderedLine
from longhold.model.offer import Offer
from longhold.model.protection import Protection
from longhold.model.structure import Structure

__all__ = ["Instead", "instead"]


@dataclass(frozen=True)
class Instead:
    """An offer that may take the place of a refused line.

    Attributes
    ----------
    line : the refused line
    offer : what would be bought
    packs : whole packs that the pieces ordered take
    joints : with what was ordered and with the offer, worst first
    cost : price of the packs [currency of the offer]
    more : than the pieces ordered cost, where that price is known in the same currency; None else
    as_ordered : whether it promises what was ordered: nothing changes but the box
    """

    line: CheckedLine
    offer: Offer
    packs: int
    joints: tuple[JointEffect, ...]
    cost: float
    more: float | None
    as_ordered: bool

    @property
    def worst(self) -> JointEffect:
        """The joint that it serves least well."""
        return self.joints[0]


def instead(
    found: Sequence[Consequence],
    order: Order,
    structure: Structure,
    offers: Sequence[Offer],
    *,
    draws: int = 2000,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Instead, ...]:
    """Offers for each line refused for its metal, at most six metals a line; least cost first.

    Only those stand in it with which every joint of the line holds (code and target), and in which no two
    families of metal meet; the other parts are taken to be as ordered.

    Parameters
    ----------
    found : what the refused lines would do, by ``consequences``
    order : ``placed`` in the structure
    offers : a supplier's list; where several promise the same, the cheapest of them is tried
    draws, seed : as of ``consequences``

    Raises
    ------
    InputError : where the structure cannot be assessed with one of them
    """
    labels = order_labels(order)
    used = [one for one in found if one.joints]
    others: list[Instead] = []
    for done, one in enumerate(used, start=1):
        others += _for_line(one, structure, labels, offers, draws, seed)
        if progress is not None:
            progress(done, len(used))
    return tuple(others)


def _for_line(
    used: Consequence,
    structure: Structure,
    labels: Mapping[tuple[str, str], str],
    offers: Sequence[Offer],
    draws: int,
    seed: int,
) -> list[Instead]:
    line, ordered = used.line, used.line.ordered
    if ordered is None:
        return []
    fitting = _unmixed(ordered, structure, labels, _cheapest(ordered, offers, line))
    if not fitting:
        return []
    before = {one.ordered.joint.id: one.ordered for one in used.joints}
    asked = promise_for(ordered.part.label, ordered).designation
    price = ordered_price(ordered, offers)
    found = []
    for offer, promise in fitting[: int(threshold("replacements_tried"))]:
        changed = {**labels, **dict.fromkeys(ordered.places, offer.label)}
        after = findings_under(structure, set(before), changed, draws, seed)
        if any(one.outcome != "holds" for one in after.values()):
            continue
        effects = sorted((JointEffect(before[id], one) for id, one in after.items()), key=_least)
        packs = -(-ordered.quantity // offer.pack)
        cost = packs * offer.price
        more = cost - price[0] * ordered.quantity if price and price[1] == offer.currency else None
        same = promise.designation == asked
        found.append(Instead(line, offer, packs, tuple(effects), cost, more, same))
    return sorted(found, key=lambda one: one.cost)


def _cheapest(
    ordered: OrderedLine, offers: Sequence[Offer], line: CheckedLine
) -> list[tuple[Offer, Protection]]:
    """The cheapest offer of each metal that fits, but for the metal that is refused."""
    refused = line.reading.protection.designation if line.reading else ""
    readable, _ = read_offers([one for one in offers if one.fits(ordered.part)])
    found: dict[str, tuple[Offer, Protection]] = {}
    for one in sorted(readable, key=lambda one: one.offer.price / one.offer.pack):
        if one.protection.designation != refused:
            found.setdefault(one.protection.designation, (one.offer, one.protection))
    return list(found.values())


def _unmixed(
    ordered: OrderedLine,
    structure: Structure,
    labels: Mapping[tuple[str, str], str],
    fitting: Sequence[tuple[Offer, Protection]],
) -> list[tuple[Offer, Protection]]:
    here = set(ordered.places)
    joints = [joint for joint in structure.joints if any(joint.id == id for id, _ in here)]

    def mixed(promise: Protection) -> bool:
        return any(
            metals_mixed(
                joint,
                [
                    promise
                    if (joint.id, part.id) in here
                    else promise_for(labels.get((joint.id, part.id), part.label), part)
                    for part in joint.parts
                ],
            )
            for joint in joints
        )

    return [one for one in fitting if not mixed(one[1])]


def _least(effect: JointEffect) -> tuple[float, str]:
    chance = effect.chances[1]
    return (2.0 if chance is None else chance, effect.came.joint.id)
