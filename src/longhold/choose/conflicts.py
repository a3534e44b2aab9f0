"""Why no purchase meets what is asked: demands that cannot stand together, and the ways out of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from longhold.choose.options import DEMANDS, JointGroup, ReadOffer
from longhold.choose.outlook import Bought
from longhold.model.parts import Part

__all__ = ["GIVING_UP", "Conflict", "Way", "conflict"]

GIVING_UP: Mapping[str, str] = {
    "one_metal": "let two metal families meet in the joint",
    "code": "settle with the official what the code refuses or leaves open",
    "computed": "take hardware that no forecast is computed for, or stainless short of its class",
    "target": "accept a lower chance, or a shorter design life",
    "age": "ask for fewer years",
    "lock": "give up the lock",
    "ban": "lift the ban",
    "stock": "wait until it is in stock again",
}
"""What a person does who drops a demand."""


@dataclass(frozen=True)
class Way:
    """What could be bought if some demands were given up, all of them and no others.

    Attributes
    ----------
    given_up : names of demands; giving up fewer of them allows nothing that this allows
    best : of all that is then allowed, what costs least over the life
    """

    given_up: tuple[str, ...]
    best: Bought


@dataclass(frozen=True)
class Conflict:
    """What is in the way at one group of joints.

    Attributes
    ----------
    group : the joints
    demands : names of demands that no option meets together; without any one of them some option would meet
        the others. Empty where no offer fits a part at all
    ways : out of it, fewest demands first; each is seen to work, for it holds what could be bought
    unfitted : parts that no offer fits in kind and size
    sizes : for each of them, sizes in which that kind of part is offered
    """

    group: JointGroup
    demands: tuple[str, ...]
    ways: tuple[Way, ...] = ()
    unfitted: tuple[Part, ...] = ()
    sizes: tuple[tuple[str, ...], ...] = ()


def conflict(
    group: JointGroup,
    options: Sequence[tuple[Bought, frozenset[str]]],
    offers: Sequence[ReadOffer] = (),
) -> Conflict:
    """An irreducible set of demands that no option for some joints satisfies, and the ways out.

    Parameters
    ----------
    options : for the joints, each with the demands that it breaks
    offers : on the list, to say what does not fit where there is no option

    The set is empty where options satisfy all demands, and where no offer fits in kind and size.
    """
    broken = [one for _, one in options]
    if not broken:
        unfitted = [part for part in group.joint.parts if not any(one.offer.fits(part) for one in offers)]
        return Conflict(group, (), (), tuple(unfitted), tuple(_sizes_of(part, offers) for part in unfitted))
    if _some_meets(broken, tuple(DEMANDS)):
        return Conflict(group, ())
    return Conflict(group, _irreducible(broken), _ways(options))


def _irreducible(broken: Sequence[frozenset[str]]) -> tuple[str, ...]:
    """Demands are taken away one by one while no option meets the rest."""
    kept = tuple(DEMANDS)
    for demand in DEMANDS:
        rest = tuple(one for one in kept if one != demand)
        if not _some_meets(broken, rest):
            kept = rest
    return kept


def _some_meets(broken: Sequence[frozenset[str]], asked: Sequence[str]) -> bool:
    return any(not one.intersection(asked) for one in broken)


def _ways(options: Sequence[tuple[Bought, frozenset[str]]]) -> tuple[Way, ...]:
    """For each smallest set of demands that some option breaks, the option that costs least.

    Where the forecast is what is given up, nothing is known of later years: the least price counts.
    """
    sets = {broken for _, broken in options}
    least = [one for one in sets if not any(other < one for other in sets)]
    order = list(DEMANDS)
    named = sorted((sorted(one, key=order.index) for one in least), key=lambda names: (len(names), names))
    return tuple(
        Way(
            tuple(names),
            min((one for one, broken in options if broken == frozenset(names)), key=lambda one: one.alone),
        )
        for names in named
    )


def _sizes_of(part: Part, offers: Sequence[ReadOffer]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.offer.size for one in offers if one.offer.kind == part.kind))
