"""What all papers are made from: a choice, the findings behind it, and what is left open."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from longhold.assessment.findings import JointFinding, PartFinding
from longhold.choose.as_bought import findings_as_bought
from longhold.choose.choice import Bought, Choice, Market
from longhold.choose.conflicts import Conflict
from longhold.choose.options import ReadOffer
from longhold.documents.choice_words import left_out_because
from longhold.documents.equations import set_units
from longhold.documents.first_in import first_in
from longhold.documents.words import metal_words
from longhold.model.parts import Part
from longhold.model.protection import Protection, metal_family
from longhold.model.structure import Joint

__all__ = ["Deal", "Unsettled", "family_words", "metal_of"]

_FAMILIES = {
    "zinc": "zinc-coated",
    "bare_steel": "bare steel",
    "stainless": "stainless",
    "copper": "copper or bronze",
    "aluminium": "aluminium",
}


@dataclass(frozen=True)
class Unsettled:
    """Joints that somebody must still decide on.

    Attributes
    ----------
    ids, name, quantity : which joints: of the first the name, of all the number
    why : what is in the way, or what is to be asked
    bought : whether something is bought for them all the same
    """

    ids: tuple[str, ...]
    name: str
    quantity: int
    why: str
    bought: bool


@dataclass(frozen=True)
class Deal:
    """A choice with everything that papers say of it.

    Attributes
    ----------
    market, choice : what was chosen from, and what was chosen
    findings : of each group of joints that something is bought for, in the order of the choice
    as_of : date of the papers
    draws, seed : of the forecast
    """

    market: Market
    choice: Choice
    findings: tuple[JointFinding, ...]
    as_of: datetime.date
    draws: int
    seed: int

    @classmethod
    def of(cls, market: Market, choice: Choice, *, as_of: datetime.date, draws: int, seed: int) -> Deal:
        """A choice from a market, with its findings computed."""
        return cls(market, choice, findings_as_bought(market, choice), as_of, draws, seed)

    @property
    def groups(self) -> Iterator[tuple[Bought, JointFinding]]:
        """Each group that something is bought for, with its finding."""
        return zip(self.choice.bought, self.findings, strict=True)

    @property
    def parts(self) -> Iterator[tuple[Bought, Part, ReadOffer, PartFinding]]:
        """Each part of each such group, with what is bought for it and what is found of it."""
        for one, finding in self.groups:
            found = zip(one.group.joint.parts, one.option.offers, finding.parts, strict=True)
            yield from ((one, part, offer, said) for part, offer, said in found)

    @cached_property
    def items(self) -> Mapping[str, ReadOffer]:
        """What is bought, by item."""
        return {
            item: found
            for item, found in sorted(self.market.fitting.items())
            if item in self.choice.purchase.packs
        }

    @cached_property
    def joints(self) -> Mapping[str, Joint]:
        """Every joint of the structure, by id."""
        return {joint.id: joint for joint in self.market.structure.joints}

    def in_order(self, ids: Iterable[str]) -> list[str]:
        """Ids of joints in the order of the structure, each once."""
        asked = set(ids)
        return [name for name in self.joints if name in asked]

    @cached_property
    def unsettled(self) -> tuple[Unsettled, ...]:
        """Joints that nothing is bought for, then those bought for with something still open."""
        options = {
            group.ids: some for group, some in zip(self.market.groups, self.market.options, strict=True)
        }
        left = (self._left_out(one, options[one.group.ids]) for one in self.choice.left_out)
        still_open = (
            Unsettled(
                one.group.ids,
                one.group.joint.name,
                one.group.quantity,
                self.in_units(_open_words(finding)),
                True,
            )
            for one, finding in self.groups
            if finding.outcome != "holds"
        )
        return (*left, *still_open)

    def _left_out(self, conflict: Conflict, options: Sequence[Bought]) -> Unsettled:
        group = conflict.group
        words = [f"Nothing is bought: {left_out_because(conflict, self.market)}."]
        if "computed" in conflict.demands:
            lines = (line for one in options for line in one.option.trial.refer)
            refer = dict.fromkeys(reason.rstrip(".") for line in lines for reason in line.split("; "))
            words.append(f"Not computed: {'; '.join(refer)}.")
        why = self.in_units(" ".join(words))
        return Unsettled(group.ids, group.joint.name, group.quantity, why, False)

    def in_units(self, text: str) -> str:
        """A sentence with its units as they are printed, the reader's first."""
        return first_in(set_units(text), self.market.structure.units)


def _open_words(finding: JointFinding) -> str:
    asked = [f"{part.id}: {part.question}" for part in finding.parts if part.question]
    refer = [f"{part.id}: {line}" for part in finding.parts for line in part.refer]
    return " ".join(f"{one.rstrip('.?')}." for one in (*asked, *refer)) or finding.answer


def family_words(protection: Protection) -> str:
    """The family of metals that a part belongs to, as people say it."""
    return _FAMILIES[metal_family(protection)]


def metal_of(protection: Protection) -> str:
    """The metal underneath with its grade.

    >>> metal_of(Protection("316", "stainless", "316")), metal_of(Protection("G90", "carbon_steel"))
    ('stainless 316', 'steel')
    """
    return f"{metal_words(protection.base_metal)} {protection.grade}".strip()
