"""What of a purchase may not last though its loss of metal is small: stainless whose film is in doubt."""

from __future__ import annotations

from longhold.assessment.stainless import stainless_finding
from longhold.choose.choice import Choice, Market

__all__ = ["doubtful_stainless"]

_SOUND = {"kept", "stained"}


def doubtful_stainless(market: Market, choice: Choice) -> tuple[str, ...]:
    """Ids of joints whose stainless is not found to keep its passive film; stains alone do not count.

    In the order of the structure.
    """
    doubtful: set[str] = set()
    for one in choice.bought:
        joint = one.group.joint
        for part, chosen in zip(joint.parts, one.option.offers, strict=True):
            found = stainless_finding(joint, part, chosen.protection, market.setting)
            if found is not None and found.state not in _SOUND:
                doubtful.update(one.group.ids)
    return tuple(joint.id for joint in market.structure.joints if joint.id in doubtful)
