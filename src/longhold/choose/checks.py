"""What is wrong with a question before it is computed: numbers twice, currencies, what is not there."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence

from longhold.base.errors import Problem
from longhold.model.costs import Costs
from longhold.model.offer import Offer
from longhold.model.structure import Structure

__all__ = ["problems_in"]

_MOST_NAMED = 3


def problems_in(
    structure: Structure,
    offers: Sequence[Offer],
    costs: Costs,
    locks: Mapping[tuple[str, str], str],
    bans: Collection[str],
    *,
    what: str = "ban",
) -> Iterator[Problem]:
    """Item numbers that stand twice, currencies without a rate, locks and bans on what is not there."""
    yield from _twice(offers)
    yield from _unpriced(offers, costs)
    yield from _unknown(structure, offers, locks, bans, what)


def _twice(offers: Sequence[Offer]) -> Iterator[Problem]:
    seen: set[str] = set()
    for offer in offers:
        if offer.item in seen:
            yield Problem("offers", offer.item, "stands twice; every item number may stand once.")
        seen.add(offer.item)


def _unpriced(offers: Sequence[Offer], costs: Costs) -> Iterator[Problem]:
    for currency in sorted({offer.currency for offer in offers} - {costs.currency, *costs.rates}):
        items = [offer.item for offer in offers if offer.currency == currency]
        more = f" and {len(items) - _MOST_NAMED:,} more" if len(items) > _MOST_NAMED else ""
        named = f"{', '.join(items[:_MOST_NAMED])}{more}"
        do = (
            f"Say in the costs file how many {currency} one {costs.currency} is, as rates.{currency}, "
            "or leave these lines out of the list."
        )
        yield Problem("offers", named, f"priced in {currency}, which has no rate to {costs.currency}.", do)


def _unknown(
    structure: Structure,
    offers: Sequence[Offer],
    locks: Mapping[tuple[str, str], str],
    bans: Collection[str],
    what: str,
) -> Iterator[Problem]:
    items = {offer.item for offer in offers}
    parts = {(joint.id, part.id) for joint in structure.joints for part in joint.parts}
    for (joint, part), item in locks.items():
        if (joint, part) not in parts:
            yield Problem("lock", f"{joint}.{part}", "is no part of the structure.")
        if item not in items:
            yield Problem("lock", item, "is not among the offers.")
    for item in sorted(set(bans) - items):
        yield Problem(what, item, "is not among the offers.")
