"""What was ordered against what came: each delivered line is accepted, noted, refused or left open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from longhold.base.errors import InputError
from longhold.inspect.editions import hold_edition, standards_in
from longhold.inspect.metal import MetalHeld, hold_metals
from longhold.labels.read import read_label
from longhold.labels.reading import LabelReading
from longhold.labels.said import sort_claims
from longhold.labels.tidy import tidy
from longhold.metal.couples import mixed_couples
from longhold.model.delivery import DeliveredLine, Order, OrderedLine, what_words
from longhold.model.offer import parts_fit
from longhold.model.parts import Part
from longhold.model.protection import Protection, metal_family

__all__ = ["VERDICTS", "CheckedLine", "Receipt", "Verdict", "check_delivery"]

Verdict = Literal["accepted", "noted", "refused", "open"]
VERDICTS: Mapping[Verdict, str] = {
    "accepted": "accepted",
    "noted": "accepted with a note",
    "refused": "refused",
    "open": "not decided, ask",
}
"""Verdicts on a line, as people read them."""
_GRAVEST: tuple[Verdict, ...] = ("accepted", "noted", "open", "refused")


@dataclass(frozen=True)
class CheckedLine:
    """One delivered line with its verdict.

    Attributes
    ----------
    delivered : as it came
    ordered : the line of the order that it answers; None where nothing of the kind was ordered
    verdict : the gravest of all that is found
    reasons : each in words; of an accepted line, what was not checked
    mends : what would make a refused or open line one that may be used, each in words
    reading : what its label promises; None where it cannot be read
    wrong_metal, wrong_size : whether it is refused for its metal; for its size or kind
    """

    delivered: DeliveredLine
    ordered: OrderedLine | None
    verdict: Verdict
    reasons: tuple[str, ...]
    mends: tuple[str, ...] = ()
    reading: LabelReading | None = None
    wrong_metal: bool = False
    wrong_size: bool = False

    @property
    def no_use(self) -> bool:
        """Whether its pieces cannot stand for those ordered, whatever papers come with them."""
        return self.wrong_metal or self.wrong_size


class Told(NamedTuple):
    """One thing that is found of a line: what it makes of it, why, and what would mend it."""

    verdict: Verdict
    why: str
    mend: str = ""


@dataclass(frozen=True)
class Receipt:
    """A delivery, checked.

    Attributes
    ----------
    order : what it was checked against
    lines : delivered lines, in their order
    missing : ordered lines of which nothing came
    """

    order: Order
    lines: tuple[CheckedLine, ...]
    missing: tuple[OrderedLine, ...]

    def count(self, verdict: Verdict) -> int:
        """Number of delivered lines with a verdict."""
        return sum(one.verdict == verdict for one in self.lines)

    @property
    def whole(self) -> bool:
        """Whether everything came and nothing is refused or open."""
        return not self.missing and not self.count("refused") and not self.count("open")


def check_delivery(order: Order, delivered: Sequence[DeliveredLine]) -> Receipt:
    """Hold a delivery against an order.

    Parameters
    ----------
    order : with the joints that its lines are for, where they are told: better metal than ordered is taken
        only where they are
    delivered : what came

    Raises
    ------
    InputError : a label of the order itself cannot be read
    """
    asked = {id(one): _read_ordered(one) for one in order.lines}
    matched = [(one, _match(one, order.lines, asked)) for one in delivered]
    readings = [_read_delivered(one) for one in delivered]
    metals = _metals(order, matched, readings, asked)
    alone = [
        _checked(one, line, reading, order, asked, metals)
        for (one, line), reading in zip(matched, readings, strict=True)
    ]
    lines = tuple(_counted(one, _pieces(one.ordered, alone)) for one in alone)
    came = {id(line) for _, line in matched if line is not None}
    return Receipt(order, lines, tuple(one for one in order.lines if id(one) not in came))


def _read(label: str, part: Part) -> LabelReading | str:
    """What a label promises for a part, or why it cannot be read."""
    size = part.measures
    try:
        return read_label(label, item=part.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm)
    except InputError as error:
        first = error.problems[0]
        return f"{first.allowed.rstrip('.')}. {first.do}".strip().rstrip(".")


def _read_delivered(one: DeliveredLine) -> LabelReading | str:
    """What a box promises; of a class of several standards, under the one that its edition names."""
    found = "" if one.part is None else _read(one.label, one.part)
    if isinstance(found, LabelReading):
        for standard in standards_in(one.edition):
            found = found.under(standard)
    return found


def _read_ordered(line: OrderedLine) -> LabelReading:
    size = line.part.measures
    try:
        return read_label(
            line.part.label,
            item=line.part.kind,
            thickness_mm=size.thickness_mm,
            diameter_mm=size.diameter_mm,
        )
    except InputError as error:
        raise error.in_file(f"the order, {line.item or what_words(line.part)}") from None


def _match(
    one: DeliveredLine, lines: Sequence[OrderedLine], asked: Mapping[int, LabelReading]
) -> OrderedLine | None:
    """The ordered line that a box answers: by its number, else by kind and size, else by its label too."""
    if one.item:
        named = [line for line in lines if line.item.casefold() == one.item.casefold()]
        if named:
            return named[0]
    if one.part is None:
        return None
    fits = [line for line in lines if parts_fit(one.part, line.part)]
    if len(fits) < 2:
        return fits[0] if fits else None
    reading = _read(one.label, one.part)
    if isinstance(reading, str):
        return fits[0]
    same = [line for line in fits if hold_metals(asked[id(line)], reading).held == "same"]
    return same[0] if same else fits[0]


def _pieces(line: OrderedLine | None, lines: Sequence[CheckedLine]) -> int:
    """Pieces of all boxes that answer an ordered line and are not of the wrong metal, size or kind."""
    return sum(one.delivered.quantity for one in lines if one.ordered is line and not one.no_use)


def _counted(one: CheckedLine, pieces: int) -> CheckedLine:
    """A line with what the number of pieces says; of boxes that are of no use nothing more is said."""
    if one.ordered is None or one.no_use:
        return one
    found = _short(one.ordered, pieces)
    verdict = max((one.verdict, *(each.verdict for each in found)), key=_GRAVEST.index)
    return replace(
        one,
        verdict=verdict,
        reasons=(*one.reasons, *(each.why for each in found)),
        mends=(*one.mends, *_mends(found)),
    )


def _mends(found: Sequence[Told]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.mend for one in found if one.mend))


@dataclass(frozen=True)
class _Neighbor:
    """An ordered line in a joint: what its parts are made of, as delivered where it came, else as ordered."""

    line: OrderedLine
    protections: tuple[Protection, ...]


Metals = Mapping[str, Sequence[_Neighbor]]


def _metals(
    order: Order,
    matched: Sequence[tuple[DeliveredLine, OrderedLine | None]],
    readings: Sequence[LabelReading | str],
    asked: Mapping[int, LabelReading],
) -> Metals:
    came: dict[int, tuple[Protection, ...]] = {}
    for (_, line), reading in zip(matched, readings, strict=True):
        if line is not None and isinstance(reading, LabelReading):
            came[id(line)] = (*came.get(id(line), ()), reading.protection)
    found: dict[str, list[_Neighbor]] = {}
    for line in order.lines:
        one = _Neighbor(line, came.get(id(line)) or (asked[id(line)].protection,))
        for joint in dict.fromkeys(joint for joint, _ in line.places):
            found.setdefault(joint, []).append(one)
    return found


def _checked(
    one: DeliveredLine,
    line: OrderedLine | None,
    reading: LabelReading | str,
    order: Order,
    asked: Mapping[int, LabelReading],
    metals: Metals,
) -> CheckedLine:
    read = reading if isinstance(reading, LabelReading) else None
    if one.part is None:
        return CheckedLine(one, line, "open", (f"{one.unread}: ask what it is",), (_ASK_SIZE,))
    if line is None:
        return CheckedLine(one, None, "refused", (_not_ordered(one, order),), (_NOT_ORDERED_MEND,), read)
    if not parts_fit(one.part, line.part):
        why = f"wrong size or kind: ordered {what_words(line.part)}; came {what_words(one.part)}"
        mend = f"have it exchanged for {what_words(line.part)}: another size is its designer's to allow"
        return CheckedLine(one, line, "refused", (why,), (mend,), read, wrong_size=True)
    if read is None:
        words = f"its label cannot be read: it {reading}" if one.label else "it has no label that can be read"
        return CheckedLine(one, line, "open", (f"{words}: ask what it is",), (_ASK_LABEL,))
    metal, wrong = _metal(line, hold_metals(asked[id(line)], read), read.protection, metals)
    found = [*metal, *_other_kind(one, line), *_certificate(one, line), *_edition(one, line)]
    if one.photograph:
        found.append(Told("noted", "its label was read off a photograph: compare the words with the box"))
    verdict: Verdict = max((each.verdict for each in found), key=_GRAVEST.index, default="accepted")
    found.sort(key=lambda each: -_GRAVEST.index(each.verdict))
    whys = tuple(each.why for each in found)
    return CheckedLine(one, line, verdict, whys, _mends(found), read, wrong)


_FASTENERS, _SHEETS = frozenset({"driven", "threaded"}), frozenset({"flat", "sheet"})
_ASK_SIZE = "have the supplier write kind and size as the order does, and check it again"
_ASK_LABEL = "have the supplier write its finish or alloy with the standard, and check it again"
_NOT_ORDERED_MEND = "send it back, or order it for the joints that it is for, and check it again"
_EXCHANGE = "have it exchanged for what was ordered, or for what may take its place in every joint"


def _not_ordered(one: DeliveredLine, order: Order) -> str:
    alike = [line for line in order.lines if one.part is not None and line.part.kind == one.part.kind]
    told = "; ".join(what_words(line.part) for line in alike[:4])
    nearest = f": of its kind the order has {told}" if told else ": nothing of its kind is on the order"
    return f"it was not ordered{nearest}"


def _metal(line: OrderedLine, held: MetalHeld, came: Protection, metals: Metals) -> tuple[list[Told], bool]:
    """What the metal says of a line, and whether it is refused for it."""
    if held.held == "open":
        return [Told("open", held.why, _ASK_LABEL)], False
    new_family = _new_family(line, came)
    mixed = _mixed(line, came, metals) if new_family else []
    if held.held in ("lesser", "other"):
        word = "lesser metal than ordered" if held.held == "lesser" else "another metal than ordered"
        return [Told("refused", f"{word}: {held.why}", _EXCHANGE), *_refused(mixed)], True
    if held.held == "same":
        return [], False
    if mixed:
        why = f"another metal than ordered: {held.why}"
        return [Told("refused", why, _EXCHANGE), *_refused(mixed)], True
    if new_family and not line.places:
        ask = "the order does not tell for which joints, so whether all in them are one family is open"
        mend = "say in the order for which joints it is, and check it again"
        return [Told("open", f"{held.why}; {ask}", mend)], False
    return [Told("noted", f"better metal than ordered: {held.why}")], False


def _refused(reasons: Sequence[str]) -> list[Told]:
    return [Told("refused", one) for one in reasons]


def _new_family(line: OrderedLine, came: Protection) -> bool:
    size = line.part.measures
    was = read_label(
        line.part.label, item=line.part.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm
    )
    return metal_family(was.protection) != metal_family(came)


def _mixed(line: OrderedLine, came: Protection, metals: Metals) -> list[str]:
    """Joints in which a delivered metal would meet another family, with the reason; each reason once."""
    joints: dict[str, list[str]] = {}
    for joint in dict.fromkeys(joint for joint, _ in line.places):
        for other in metals[joint]:
            if other.line is line:
                continue
            for one in other.protections:
                pair = ("came", came, line.part.is_fastener), ("other", one, other.line.part.is_fastener)
                for couple in mixed_couples(pair):
                    why = f"it would meet {one.designation} in the same joint. {couple.reason}"
                    joints.setdefault(why, []).append(joint)
    return [
        f"wrong family for its partner at {_some(list(dict.fromkeys(names)))}: {why}".rstrip(".")
        for why, names in joints.items()
    ]


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - 6} more" if len(names) > 6 else ""
    return ", ".join(names[:6]) + more


def _other_kind(one: DeliveredLine, line: OrderedLine) -> list[Told]:
    """A label that names a sheet part on a line of fasteners, or the other way: it is of another box."""
    plain = tidy(one.label)
    said = sort_claims(plain, item=None, thickness_mm=None, diameter_mm=None)
    if said.item is None or not said.item_words or line.part.kind == "washer":
        return []
    if said.item.group not in _FASTENERS | _SHEETS:
        return []
    if (said.item.group in _FASTENERS) == line.part.is_fastener:
        return []
    kind = what_words(line.part)
    why = f"its label names a {said.item.kind}, and the line says {kind}: ask which it is"
    return [Told("open", why, "look into the box, write what it holds, and check it again")]


def _certificate(one: DeliveredLine, line: OrderedLine) -> list[Told]:
    if line.certificate and not one.certificate:
        why = "the order asks for a certificate, and none came: refused until it does"
        return [Told("refused", why, "have the certificate of this lot sent; set the box aside till then")]
    return []


def _edition(one: DeliveredLine, line: OrderedLine) -> list[Told]:
    held, why = hold_edition(line.edition, one.edition, one.label)
    if held == "stands":
        return [Told("accepted", why)] if why else []
    mend = "have the supplier write which edition it meets: one that stands, and no older than asked"
    return [Told(held, why, "" if held == "noted" else mend)]


def _short(line: OrderedLine, pieces: int) -> list[Told]:
    """Pieces of all boxes that answer one line."""
    short = line.quantity - pieces
    if short > 0 and line.needed is not None and pieces >= line.needed:
        why = f"{short:,} pieces short of {line.quantity:,}; the joints take {line.needed:,}"
        return [Told("noted", why)]
    if short > 0:
        take = f", and the joints take {line.needed:,}" if line.needed is not None else ""
        told = f"too few pieces: {pieces:,} of {line.quantity:,} came{take}; {short:,} are missing"
        lacking = short if line.needed is None else line.needed - pieces
        return [Told("refused", told, f"have {lacking:,} more pieces sent before the joints are built")]
    if short < 0:
        return [Told("noted", f"{-short:,} pieces more than the {line.quantity:,} ordered")]
    return []
