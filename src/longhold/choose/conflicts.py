"""Why no purchase meets what is asked: demands that cannot stand together, and the ways out of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from math import floor

from longhold.assessment.alternatives import Trial, try_hardware
from longhold.assessment.setting import curve_ages, setting_for
from longhold.assessment.shared import Setting
from longhold.choose.options import DEMANDS, JointGroup, ReadOffer
from longhold.choose.outlook import Bought
from longhold.model.parts import Part

__all__ = ["Conflict", "Said", "Way", "conflict", "if_accepted", "whole_years"]

_TRIED = "tried, to see what comes of it"


@dataclass(frozen=True)
class Said:
    """What was said of items, by which some of them may not be bought.

    Attributes
    ----------
    locks : (joint id, part id) -> item that must be used there
    bans, missing : items that may not be used, and items out of stock
    """

    locks: Mapping[tuple[str, str], str] = field(default_factory=dict)
    bans: Collection[str] = frozenset()
    missing: Collection[str] = frozenset()

    def in_the_way_of(self, one: Bought, demand: str) -> tuple[str, ...]:
        """Items to lift a ban on or to wait for, or parts to give up the lock of, to have an option."""
        joint, items = one.group.joint, [each.offer.item for each in one.option.offers]
        if demand == "lock":
            pairs = zip(joint.parts, items, strict=True)
            return tuple(part.id for part, item in pairs if self.locks.get((joint.id, part.id), item) != item)
        barred = {"ban": self.bans, "stock": self.missing}.get(demand, ())
        return tuple(dict.fromkeys(item for item in items if item in barred))


@dataclass(frozen=True)
class Way:
    """What could be bought if some demands were given up, all of them and no others.

    Attributes
    ----------
    given_up : names of demands; giving up fewer of them allows nothing that this allows
    options : all that is then allowed, what costs least over the life first
    said : of items
    """

    given_up: tuple[str, ...]
    options: tuple[Bought, ...]
    said: Said = field(default_factory=Said)

    @property
    def best(self) -> Bought:
        """Of all that is then allowed, what costs least over the life."""
        return self.options[0]

    @property
    def surest(self) -> Bought:
        """What reaches the design life with the greatest chance; of equals, what costs least."""
        return max(self.options, key=lambda one: one.chance)

    @property
    def longest(self) -> Bought:
        """What reaches the greatest age with the target chance; of equals, what costs least."""
        return max(self.options, key=lambda one: one.sure_years)


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
    said: Said | None = None,
) -> Conflict:
    """An irreducible set of demands that no option for some joints satisfies, and the ways out.

    Parameters
    ----------
    options : for the joints, each with the demands that it breaks
    offers : on the list, to say what does not fit where there is no option
    said : of items, by which the options break a lock, a ban or the stock

    The set is empty where options satisfy all demands, and where no offer fits in kind and size.
    """
    broken = [one for _, one in options]
    if not broken:
        unfitted = [part for part in group.joint.parts if not any(one.offer.fits(part) for one in offers)]
        return Conflict(group, (), (), tuple(unfitted), tuple(_sizes_of(part, offers) for part in unfitted))
    if _some_meets(broken, tuple(DEMANDS)):
        return Conflict(group, ())
    return Conflict(group, _irreducible(broken), _ways(options, said or Said()))


def if_accepted(one: Bought, setting: Setting) -> Trial | None:
    """What comes of stainless short of its class once that is accepted; None where it is not short."""
    if not one.option.trial.leaves_pits_out:
        return None
    parts = [
        part.model_copy(update={"class_short_accepted": part.class_short_accepted or _TRIED})
        for part in one.group.joint.parts
    ]
    joint = one.group.joint.model_copy(update={"parts": parts})
    return try_hardware(joint, [each.protection for each in one.option.offers], setting)


def whole_years(one: Bought, setting: Setting) -> int:
    """The longest design life that an option meets with the target chance [years]; 0 where it meets none.

    Each life is computed anew, for the ages that are looked at hang on it.
    """
    causes, structure = setting.exposure.causes, setting.structure
    promised = [each.protection for each in one.option.offers]
    for years in range(floor(min(one.sure_years, structure.design_life)), 0, -1):
        shorter = structure.model_copy(update={"design_life": float(years)})
        there = setting_for(shorter, curve_ages(float(years)), draws=causes.count, seed=causes.seed)
        chance = try_hardware(one.group.joint, promised, there).chance
        if chance is not None and chance >= structure.target_chance:
            return years
    return 0


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


def _ways(options: Sequence[tuple[Bought, frozenset[str]]], said: Said) -> tuple[Way, ...]:
    """For each smallest set of demands that some option breaks, all options that break it and no other.

    Where the forecast is what is given up, nothing is known of later years: the least price counts.
    """
    sets = {broken for _, broken in options}
    least = [one for one in sets if not any(other < one for other in sets)]
    order = list(DEMANDS)
    named = sorted((sorted(one, key=order.index) for one in least), key=lambda names: (len(names), names))
    return tuple(Way(tuple(names), _cheapest_first(options, frozenset(names)), said) for names in named)


def _cheapest_first(
    options: Sequence[tuple[Bought, frozenset[str]]], wanted: frozenset[str]
) -> tuple[Bought, ...]:
    return tuple(sorted((one for one, broken in options if broken == wanted), key=lambda one: one.alone))


def _sizes_of(part: Part, offers: Sequence[ReadOffer]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.offer.size for one in offers if one.offer.kind == part.kind))
