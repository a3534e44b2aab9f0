"""One thing that a label may promise, while it is still being weighed against the others."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from longhold.labels.alloys import Alloy, protection_of_alloy
from longhold.labels.catalogue import Coat, Step, protection_of
from longhold.model.protection import Layer, Protection

__all__ = ["Found", "Option", "option_of", "option_of_alloy"]

Group = Literal["sheet", "dip", "deposited", "wire", "loose", "metal", "bare"]


@dataclass(frozen=True)
class Option:
    """One candidate reading.

    Attributes
    ----------
    protection : what it promises
    group : which family of designations it comes from
    counted : both, one, or blank
    as_written : the quantity as written
    rank : place among bare metals, least resistant first
    alloy : the bare alloy, if it is one
    """

    protection: Protection
    group: Group
    counted: str = ""
    as_written: str = ""
    rank: int = 0
    alloy: Alloy | None = None

    @property
    def coat(self) -> Layer | None:
        """The metallic layer."""
        return next((layer for layer in self.protection.layers if layer.kind != "organic"), None)

    @property
    def strength(self) -> tuple[int, float, float, int]:
        """Grows with the protection that is certain.

        Plain and weathering steel come first, then coats by least and expected thickness on one face [um]
        (half the expected where no least is told), then bare alloys by their place in the table.
        """
        if self.coat is None:
            return (2 if self.rank else 0, 0.0, 0.0, self.rank)
        sure, hoped = self.coat.least_um, self.coat.nominal_um
        return (1, sure if sure is not None else (hoped or 0.0) / 2.0, hoped or 0.0, 0)

    def named(self, designation: str) -> Option:
        """The same under another designation."""
        return replace(self, protection=replace(self.protection, designation=designation))


@dataclass(frozen=True)
class Found:
    """What one family of designations makes of a label.

    Attributes
    ----------
    options : candidate readings; none where the label says nothing of the family
    question : what settles it
    """

    options: tuple[Option, ...] = ()
    question: str = ""


def option_of(coat: Coat, group: Group, step: Step | None = None) -> Option:
    """A table row as a candidate."""
    return Option(protection_of(coat, step=step), group, coat.counted, coat.as_written)


def option_of_alloy(alloy: Alloy) -> Option:
    """A bare alloy as a candidate."""
    return Option(protection_of_alloy(alloy), "metal", rank=alloy.order + 2, alloy=alloy)
