"""What was ordered, and what came: lines of an order and of a delivery."""

from __future__ import annotations

from dataclasses import dataclass

from longhold.model.parts import Part

__all__ = ["DeliveredLine", "Delivery", "Order", "OrderedLine", "what_words"]


@dataclass(frozen=True)
class OrderedLine:
    """One line of an order.

    Attributes
    ----------
    item : the supplier's number of it; blank where the order tells none
    part : kind, size and what its label must read
    quantity : pieces ordered
    needed : pieces that the joints take; None where the order does not tell
    certificate : whether a certificate is asked for
    edition : edition of the standard that is asked for; blank where none is
    places : joint and part that the pieces are for; empty where that is not told
    piece_price : price of one piece; None where it is not told
    currency : of the price
    """

    item: str
    part: Part
    quantity: int
    needed: int | None = None
    certificate: bool = False
    edition: str = ""
    places: tuple[tuple[str, str], ...] = ()
    piece_price: float | None = None
    currency: str = ""

    @property
    def words(self) -> str:
        """The line for people: its number, what it is, what its label must read."""
        start = f"{self.item}: " if self.item else ""
        return f"{start}{what_words(self.part)}, {self.part.label}"


@dataclass(frozen=True)
class DeliveredLine:
    """One line of what came, as it stands on the boxes.

    Attributes
    ----------
    where : cell or line of the list, for messages
    item : number on the box; blank where there is none
    kind, size, label : as written
    quantity : pieces
    certificate : number or name of the certificate that came with it; blank where none came
    edition : edition of the standard that box or certificate names; blank where none
    part : kind and size read; None where they cannot be
    unread : why they cannot be
    photograph : file that the label was read from; blank where it was typed
    """

    where: str
    item: str
    kind: str
    size: str
    label: str
    quantity: int
    certificate: str = ""
    edition: str = ""
    part: Part | None = None
    unread: str = ""
    photograph: str = ""

    @property
    def words(self) -> str:
        """The line for people."""
        start = f"{self.item}: " if self.item else ""
        what = what_words(self.part) if self.part else f"{self.kind} {self.size}".strip()
        return f"{start}{what}, {self.label or 'no label'}"


@dataclass(frozen=True)
class Order:
    """An order as a whole.

    Attributes
    ----------
    name : what it is for, or its file
    lines : in their order
    notes : what is said of the whole, such as that prices are invented
    """

    name: str
    lines: tuple[OrderedLine, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Delivery:
    """A delivery as a whole: its lines in their order, and what stands above them."""

    lines: tuple[DeliveredLine, ...]
    notes: tuple[str, ...] = ()


def what_words(part: Part) -> str:
    """Kind and size of a part, for people.

    >>> what_words(Part(id="a", kind="lag_screw", size="1/2 in x 4 in", label="304 stainless"))
    'lag screw 1/2 in x 4 in'
    """
    size = part.size
    if size is None:
        told = (part.measures.diameter_mm, part.measures.length_mm, part.measures.thickness_mm)
        size = " x ".join(f"{one:g}" for one in told if one is not None) + " mm"
    return f"{part.kind_words} {size}"
