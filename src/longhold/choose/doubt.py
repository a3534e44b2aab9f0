"""What of a purchase may not last though its loss of metal is small: stainless whose film is in doubt."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from longhold.assessment.film import film_of
from longhold.assessment.short_of_class import is_short_of_class
from longhold.choose.choice import Choice, Market
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint

__all__ = ["Doubt", "doubtful_stainless"]

_SOUND = {"kept", "stained"}
_OF_THE_CLASS = "class_short"


@dataclass(frozen=True)
class Doubt:
    """Joints whose stainless is not found to keep its passive film; stains alone do not count.

    Attributes
    ----------
    undecided : ids of joints with a doubt that nobody has accepted, in the order of the structure
    accepted : ids of the others in doubt: a grade below the class asked for was accepted there knowingly
    """

    undecided: tuple[str, ...]
    accepted: tuple[str, ...]


def doubtful_stainless(market: Market, choice: Choice) -> Doubt:
    """Which joints of a choice hold stainless in doubt, and whether that was accepted."""
    doubts: dict[str, set[bool]] = {}
    for one in choice.bought:
        found = set(_doubts(one.group.joint, [each.protection for each in one.option.offers], market))
        for name in one.group.ids:
            doubts[name] = found
    ids = [joint.id for joint in market.structure.joints if doubts.get(joint.id)]
    return Doubt(
        tuple(name for name in ids if False in doubts[name]),
        tuple(name for name in ids if False not in doubts[name]),
    )


def _doubts(joint: Joint, promised: list[Protection], market: Market) -> Iterator[bool]:
    """Of each part in doubt, whether that was accepted."""
    for part, protection in zip(joint.parts, promised, strict=True):
        if protection.base_metal == "stainless":
            film = film_of(joint, part, protection, market.setting)
            if film.state not in _SOUND:
                yield film.rule == _OF_THE_CLASS and _accepted(joint, part, protection, market)


def _accepted(joint: Joint, part: Part, protection: Protection, market: Market) -> bool:
    return bool(part.class_short_accepted) and is_short_of_class(joint, part, protection, market.setting)
