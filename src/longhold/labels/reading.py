"""What a label turned out to say, and the error for labels that say nothing usable."""

from __future__ import annotations

from dataclasses import dataclass, replace

from longhold.base.errors import InputError, Problem
from longhold.labels.alloys import Alloy
from longhold.labels.conversions import convert
from longhold.model.protection import Layer, Protection

__all__ = ["LabelError", "LabelReading", "Reading"]


class LabelError(InputError):
    """A label that cannot be read: nonsense, misspelt, or at odds with itself; never a guess.

    Attributes
    ----------
    nearest : designations that the writer may have meant, closest first
    """

    def __init__(self, text: object, why: str, *, nearest: tuple[str, ...] = (), do: str = "") -> None:
        if nearest and not do:
            do = f"Did it mean {_or(nearest)}?"
        super().__init__(Problem("label", text, why, do))
        self.nearest = nearest
        self.why = why


@dataclass(frozen=True)
class Reading:
    """One thing that a label may promise.

    Attributes
    ----------
    protection : the metal and its layers, for every face
    counted : ``total of both faces``, ``one face``, or blank where nothing is counted
    as_written : the quantity as the standard or the label writes it
    item, size_text, thickness_mm, diameter_mm : the part that the same text speaks of, where it does
    spans : stretches of the text that were understood, as (start, end)
    ignored : words that were not
    alloy : family and pitting resistance number of a bare alloy, else None
    """

    protection: Protection
    counted: str = ""
    as_written: str = ""
    item: str = ""
    size_text: str = ""
    thickness_mm: float | None = None
    diameter_mm: float | None = None
    spans: tuple[tuple[int, int], ...] = ()
    ignored: tuple[str, ...] = ()
    alloy: Alloy | None = None

    @property
    def coat(self) -> Layer | None:
        """The metallic layer (zinc, its alloys, or flake), if there is one."""
        return next((layer for layer in self.protection.layers if layer.kind != "organic"), None)

    @property
    def zinc_oz_ft2_per_face(self) -> float | None:
        """Expected mass of the metallic layer on one face [oz/ft2]; None if not stated."""
        return _ounces(self.coat.nominal_g_m2 if self.coat else None)

    @property
    def least_zinc_oz_ft2_per_face(self) -> float | None:
        """Least mass that the designation allows on one face [oz/ft2]; None if not stated."""
        return _ounces(self.coat.least_g_m2 if self.coat else None)


@dataclass(frozen=True)
class LabelReading:
    """All that a label says.

    Attributes
    ----------
    text : the label as handed in
    readings : everything it may promise, least protective first; one where it is unambiguous
    question : what settles it, or what is still to be asked; blank when settled
    not_promised : what the label does not say
    cautions : what a reader might take it to promise, and it does not; and hazards of the finish
    """

    text: str
    readings: tuple[Reading, ...]
    question: str = ""
    not_promised: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def settled(self) -> bool:
        """Whether there is exactly one reading."""
        return len(self.readings) == 1

    @property
    def protection(self) -> Protection:
        """Of the least protective reading."""
        return self.readings[0].protection

    def under(self, standard: str) -> LabelReading:
        """The reading of one standard, where a class such as Z275 names none of several; else the same.

        Parameters
        ----------
        standard : its printed name, such as ``EN 10346``; blank settles nothing
        """
        named = [one.protection.standard for one in self.readings]
        if len(named) < 2 or not all(named) or len(set(named)) < len(named) or standard not in named:
            return self
        return replace(self, readings=(self.readings[named.index(standard)],), question="")


def _ounces(mass_g_m2: float | None) -> float | None:
    return None if mass_g_m2 is None else convert(mass_g_m2, "g/m2", "oz/ft2")


def _or(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"
