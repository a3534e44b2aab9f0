"""What may stand at one joint: offers that fit its parts, and what comes of each set of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from longhold.assessment.alternatives import Trial, allowed_together, metals_mixed, try_hardware
from longhold.assessment.parts import Setting
from longhold.base.errors import InputError
from longhold.labels.read import read_label
from longhold.model.offer import Offer
from longhold.model.protection import Protection
from longhold.model.structure import Joint

__all__ = ["DEMANDS", "JointGroup", "Option", "ReadOffer", "group_joints", "joint_options", "read_offers"]

DEMANDS: Mapping[str, str] = {
    "one_metal": "one metal family in the joint",
    "code": "no part that the governing code refuses or leaves open",
    "computed": "a forecast that can be computed",
    "target": "the asked chance of reaching the design life",
    "lock": "what is locked is used",
    "ban": "what is banned is not used",
}
"""What is asked of a purchase at every joint, in words; each can be dropped to see what is in its way."""


@dataclass(frozen=True)
class ReadOffer:
    """An offer with its label read.

    Attributes
    ----------
    offer, protection : as listed, and the least protective reading of its label
    """

    offer: Offer
    protection: Protection


@dataclass(frozen=True)
class JointGroup:
    """Joints alike in all but name and number.

    Attributes
    ----------
    joint : the first of them
    ids : of all
    quantity : joints in all
    """

    joint: Joint
    ids: tuple[str, ...]
    quantity: int


@dataclass(frozen=True)
class Option:
    """One set of offers for the parts of a joint.

    Attributes
    ----------
    offers : one for each part, in the joint's order
    trial : what comes of them
    broken : demands that it does not meet, by name
    """

    offers: tuple[ReadOffer, ...]
    trial: Trial
    broken: frozenset[str]


def read_offers(offers: Sequence[Offer]) -> tuple[tuple[ReadOffer, ...], tuple[tuple[Offer, str], ...]]:
    """Offers whose labels can be read, and the others each with the reason."""
    good, bad = [], []
    for offer in offers:
        size = offer.part.measures
        try:
            reading = read_label(
                offer.label, item=offer.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm
            )
        except InputError as error:
            bad.append((offer, str(error)))
            continue
        good.append(ReadOffer(offer, reading.readings[0].protection))
    return tuple(good), tuple(bad)


def group_joints(joints: Sequence[Joint], apart: Collection[str] = ()) -> tuple[JointGroup, ...]:
    """Joints that differ in name, number and present label alone, together, in the order of the first.

    Parameters
    ----------
    apart : ids of joints that stay by themselves, because something is asked of them alone
    """
    alike: dict[str, list[Joint]] = {}
    for joint in joints:
        parts = {"__all__": {"label", "topcoat", "topcoat_life", "topcoat_damaged", "elements"}}
        key = joint.model_dump_json(exclude={"id": True, "name": True, "quantity": True, "parts": parts})
        alike.setdefault(joint.id if joint.id in apart else key, []).append(joint)
    return tuple(
        JointGroup(same[0], tuple(one.id for one in same), sum(one.quantity for one in same))
        for same in alike.values()
    )


def joint_options(
    joint: Joint,
    offers: Sequence[ReadOffer],
    setting: Setting,
    *,
    locks: Mapping[tuple[str, str], str],
    bans: frozenset[str],
) -> tuple[Option, ...]:
    """Every set of offers that fits the parts of a joint, each with the demands that it breaks.

    Parameters
    ----------
    locks : (joint id, part id) -> item that must be used there
    bans : items that may not be used

    Sets whose parts promise the same share one forecast. Sets that the code or the mix of metals rules out
    are forecast only where no other set will do, to say what is in the way.
    """
    fitting = [[one for one in offers if one.offer.fits(part)] for part in joint.parts]
    sets = list(product(*fitting))
    trials: dict[tuple[Protection, ...], Trial] = {}
    ruled_out = [_ruled_out(joint, chosen, setting, locks, bans) for chosen in sets]
    found = [
        _option(joint, chosen, out, setting, trials)
        for chosen, out in zip(sets, ruled_out, strict=True)
        if not out
    ]
    if any(not option.broken for option in found):
        return tuple(found)
    return tuple(
        _option(joint, chosen, out, setting, trials) for chosen, out in zip(sets, ruled_out, strict=True)
    )


def _ruled_out(
    joint: Joint,
    chosen: Sequence[ReadOffer],
    setting: Setting,
    locks: Mapping[tuple[str, str], str],
    bans: frozenset[str],
) -> frozenset[str]:
    """Demands that a set breaks whatever its forecast says."""
    promised = [one.protection for one in chosen]
    items = [one.offer.item for one in chosen]
    parts = zip(joint.parts, items, strict=True)
    asked = {
        "one_metal": metals_mixed(joint, promised),
        "code": not allowed_together(joint, promised, setting),
        "lock": any(locks.get((joint.id, part.id), item) != item for part, item in parts),
        "ban": not bans.isdisjoint(items),
    }
    return frozenset(name for name, broken in asked.items() if broken)


def _option(
    joint: Joint,
    chosen: tuple[ReadOffer, ...],
    ruled_out: frozenset[str],
    setting: Setting,
    trials: dict[tuple[Protection, ...], Trial],
) -> Option:
    promised = tuple(one.protection for one in chosen)
    if promised not in trials:
        trials[promised] = try_hardware(joint, promised, setting)
    trial = trials[promised]
    if trial.chance is None:
        return Option(chosen, trial, ruled_out | {"computed"})
    short = trial.chance < setting.structure.target_chance
    return Option(chosen, trial, ruled_out | {"target"} if short else ruled_out)
