"""What may stand at one joint: offers that fit its parts, and what comes of each set of them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

from longhold.assessment.alternatives import Trial, allowed_together, metals_mixed, try_hardware
from longhold.assessment.shared import Setting
from longhold.base.errors import InputError, Problem
from longhold.labels.read import read_label
from longhold.model.offer import Offer
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint

__all__ = [
    "DEMANDS",
    "JointGroup",
    "Option",
    "ReadOffer",
    "Trials",
    "group_joints",
    "joint_options",
    "read_offers",
    "to_be_bought",
]

_MOST_SETS = 20_000
_OF_THE_OLD_PAINT = "topcoat"

DEMANDS: Mapping[str, str] = {
    "one_metal": "one metal family in the joint",
    "code": "no part that the governing code refuses or leaves open",
    "computed": "a forecast that can be computed, with stainless of the class asked for",
    "target": "enough certainty of reaching the design life",
    "age": "the age that is asked besides",
    "lock": "what is locked is used",
    "ban": "what is banned is not used",
    "stock": "what is out of stock is not used",
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
    """Joints that ask the same of whatever is bought for them.

    Attributes
    ----------
    joint : the first of them, as ``to_be_bought``
    ids : of all
    quantities : joints on the line of each id
    """

    joint: Joint
    ids: tuple[str, ...]
    quantities: tuple[int, ...]

    @property
    def quantity(self) -> int:
        """Joints in all."""
        return sum(self.quantities)


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


_Set = tuple[tuple[Protection, ...], tuple[ReadOffer, ...], frozenset[str]]
Trials = dict[tuple[str, tuple[Protection, ...]], Trial]
"""What came of joints under some protections, by what the joint asks and the protection of each part."""


def read_offers(
    offers: Sequence[Offer], standard: str = ""
) -> tuple[tuple[ReadOffer, ...], tuple[tuple[Offer, str], ...]]:
    """Offers whose labels can be read, and the others each with the reason; equal labels are read once.

    Parameters
    ----------
    standard : of coated sheet, for a class that names none; blank leaves the least protective reading
    """
    known: dict[tuple[object, ...], Protection | str] = {}
    good, bad = [], []
    for offer in offers:
        size = offer.part.measures
        key = (offer.label, offer.kind, size.thickness_mm, size.diameter_mm)
        if key not in known:
            known[key] = _promise(offer, standard)
        promise = known[key]
        if isinstance(promise, str):
            bad.append((offer, promise))
        else:
            good.append(ReadOffer(offer, promise))
    return tuple(good), tuple(bad)


def _promise(offer: Offer, standard: str) -> Protection | str:
    """The least protective reading of an offer's label, or why there is none."""
    size = offer.part.measures
    try:
        reading = read_label(
            offer.label, item=offer.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm
        )
    except InputError as error:
        return str(error)
    return reading.under(standard).protection


def to_be_bought(joint: Joint) -> Joint:
    """A joint without what is said of the paint on the hardware that it has now.

    What is bought brings its own layers. Damage stays: what happens to hardware on this site is taken to
    happen to the next piece too.
    """
    old = [name for name in Part.model_fields if name.startswith(_OF_THE_OLD_PAINT)]
    plain = {name: Part.model_fields[name].default for name in old}
    return joint.model_copy(update={"parts": [part.model_copy(update=plain) for part in joint.parts]})


def group_joints(joints: Sequence[Joint], apart: Collection[str] = ()) -> tuple[JointGroup, ...]:
    """Joints that ask the same of what is bought, together, in the order of the first.

    Parameters
    ----------
    apart : ids of joints that stay by themselves, because something is asked of them alone
    """
    alike: dict[str, list[Joint]] = {}
    for joint in map(to_be_bought, joints):
        alike.setdefault(joint.id if joint.id in apart else _asks(joint), []).append(joint)
    return tuple(
        JointGroup(same[0], tuple(one.id for one in same), tuple(one.quantity for one in same))
        for same in alike.values()
    )


def _asks(joint: Joint) -> str:
    """All that is said of a joint but its name, its number, its elements in a model, and a replaced label.

    The old label stays where a maker's advice hangs on it.
    """
    silent = {
        index: {"elements"} | ({"label"} if part.maker_advice == "none" else set())
        for index, part in enumerate(joint.parts)
    }
    return joint.model_dump_json(
        exclude={"id": True, "name": True, "quantity": True, "parts": silent}, exclude_unset=True
    )


def joint_options(
    joint: Joint,
    offers: Sequence[ReadOffer],
    setting: Setting,
    *,
    locks: Mapping[tuple[str, str], str],
    bans: Collection[str],
    missing: Collection[str] = (),
    trials: Trials | None = None,
) -> tuple[Option, ...]:
    """Every set of offers that fits the parts of a joint, each with the demands that it breaks.

    Parameters
    ----------
    joint : as ``to_be_bought``
    locks : (joint id, part id) -> item that must be used there
    bans, missing : items that may not be used, and items out of stock
    trials : of this and other joints, added to: what is there already is not computed again

    Raises
    ------
    InputError : too many sets of labels fit the joint

    Sets whose parts promise the same share one forecast. Sets that the code or the mix of metals rules out
    are forecast only where no other set will do, to say what is in the way.
    """
    known = {} if trials is None else trials
    asks = _asks(joint)
    fitting = [_by_promise(offers, part) for part in joint.parts]
    _check_number(joint, fitting)
    sets = list(_sets(joint, fitting, setting, locks, bans, missing))

    def options(wanted: Iterable[_Set]) -> Iterator[Option]:
        for promised, chosen, out in wanted:
            if (asks, promised) not in known:
                known[asks, promised] = try_hardware(joint, promised, setting)
            yield _option(chosen, known[asks, promised], out, setting)

    found = tuple(options(one for one in sets if not one[2]))
    return found if any(not option.broken for option in found) else tuple(options(sets))


def _by_promise(offers: Sequence[ReadOffer], part: Part) -> dict[Protection, list[ReadOffer]]:
    found: dict[Protection, list[ReadOffer]] = {}
    for one in offers:
        if one.offer.fits(part):
            found.setdefault(one.protection, []).append(one)
    return found


def _check_number(joint: Joint, fitting: Sequence[Mapping[Protection, Sequence[ReadOffer]]]) -> None:
    number = prod(sum(map(len, by.values())) for by in fitting)
    if number > _MOST_SETS:
        counts = ", ".join(
            f"{sum(map(len, by.values()))} for {part.id}"
            for part, by in zip(joint.parts, fitting, strict=True)
        )
        allowed = f"has more sets of offers than the {_MOST_SETS:,} that are tried: {counts}."
        do = "Leave offers out of the list that are no question here, or ban them."
        raise InputError(Problem(f"joints.{joint.id}", f"{number:,}", allowed, do))


def _sets(
    joint: Joint,
    fitting: Sequence[Mapping[Protection, Sequence[ReadOffer]]],
    setting: Setting,
    locks: Mapping[tuple[str, str], str],
    bans: Collection[str],
    missing: Collection[str],
) -> Iterator[_Set]:
    """Sets of offers, each with what its parts promise and the demands that it breaks in any case."""
    for promised in product(*fitting):
        ruled = {
            "one_metal": metals_mixed(joint, promised),
            "code": not allowed_together(joint, promised, setting),
        }
        for chosen in product(*(by[one] for by, one in zip(fitting, promised, strict=True))):
            items = [one.offer.item for one in chosen]
            placed = zip(joint.parts, items, strict=True)
            asked = ruled | {
                "lock": any(locks.get((joint.id, part.id), item) != item for part, item in placed),
                "ban": not set(items).isdisjoint(bans),
                "stock": not set(items).isdisjoint(missing),
            }
            yield promised, chosen, frozenset(name for name, broken in asked.items() if broken)


def _option(
    chosen: tuple[ReadOffer, ...], trial: Trial, ruled_out: frozenset[str], setting: Setting
) -> Option:
    if trial.chance is None:
        return Option(chosen, trial, ruled_out | {"computed"})
    short = trial.chance < setting.structure.target_chance
    return Option(chosen, trial, ruled_out | {"target"} if short else ruled_out)
