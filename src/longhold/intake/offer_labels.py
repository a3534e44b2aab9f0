"""Offers whose words can be read and promise no amount: nobody can count on their coat."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from longhold.labels.read import read_label
from longhold.model.offer import Offer

__all__ = ["without_amount"]


def without_amount(offers: Iterable[Offer]) -> tuple[Offer, ...]:
    """The offers of which the least that their label may promise is a coat of no stated amount.

    Such as "galvanized", which names neither standard nor thickness: no life can be told of it.

    Parameters
    ----------
    offers : each with a label that can be read

    Raises
    ------
    LabelError : for a label that cannot be read

    >>> told = {"kind": "nail", "size": "16d common", "price": 20.0, "currency": "USD"}
    >>> labels = ("galvanized", "ASTM A153 class D", "316 stainless")
    >>> offers = [Offer(item=label, label=label, **told) for label in labels]
    >>> [offer.item for offer in without_amount(offers)]
    ['galvanized']
    """
    known: dict[tuple[Any, ...], bool] = {}
    found = []
    for offer in offers:
        size = offer.part.measures
        key = (offer.label, offer.kind, size.thickness_mm, size.diameter_mm)
        if key not in known:
            least = read_label(
                offer.label, item=offer.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm
            ).readings[0]
            known[key] = least.coat is not None and least.coat.nominal_um is None
        if known[key]:
            found.append(offer)
    return tuple(found)
