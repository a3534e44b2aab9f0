"""What becomes of the joints if a refused line is used all the same: computed with the labels exchanged."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from longhold.assessment.ends import deciding
from longhold.assessment.findings import JointFinding
from longhold.assessment.line import assess
from longhold.choose.options import read_offers, to_be_bought
from longhold.forecast.summary import Band
from longhold.inspect.delivery import CheckedLine, Receipt
from longhold.labels.read import read_label
from longhold.model.delivery import Order, OrderedLine
from longhold.model.offer import Offer, parts_fit
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure

__all__ = [
    "Consequence",
    "CostMove",
    "JointEffect",
    "consequences",
    "cost_move",
    "findings_under",
    "order_labels",
    "ordered_price",
    "placed",
    "promise_for",
]


@dataclass(frozen=True)
class JointEffect:
    """One joint with what was ordered and with what came.

    Attributes
    ----------
    ordered, came : its findings
    """

    ordered: JointFinding
    came: JointFinding

    @property
    def chances(self) -> tuple[float | None, float | None]:
        """Chance of reaching the design life, as ordered and as it came; None where not computed."""
        return deciding(self.ordered)[1], deciding(self.came)[1]

    @property
    def years(self) -> tuple[Band | None, Band | None]:
        """Age of the end that decides, as ordered and as it came [years]."""
        return deciding(self.ordered)[0], deciding(self.came)[0]


@dataclass(frozen=True)
class Consequence:
    """What a refused line would do.

    Attributes
    ----------
    line : the line
    joints : with what was ordered and with what came, worst first; empty where nothing is computed
    why_not : why nothing is computed; blank where it is
    """

    line: CheckedLine
    joints: tuple[JointEffect, ...]
    why_not: str = ""


@dataclass(frozen=True)
class CostMove:
    """What came against what was ordered, by the price of a piece.

    Attributes
    ----------
    ordered, came : price of all pieces that were ordered, by either [currency]
    currency : ISO letters
    item : of the offer by which what came is priced
    """

    ordered: float
    came: float
    currency: str
    item: str


def placed(order: Order, structure: Structure) -> Order:
    """The order with the joints of a structure that its lines are for, where it does not tell them.

    A part belongs to the one line of its kind and size; of several, to that with its own label.
    """
    joints = {joint.id: joint for joint in structure.joints}
    lines = []
    free = [line for line in order.lines if not line.places]
    for line in order.lines:
        if line.places:
            lines.append(replace(line, places=_known_places(line, joints)))
            continue
        places = tuple(
            (joint.id, part.id)
            for joint in structure.joints
            for part in joint.parts
            if parts_fit(line.part, part)
            and _only([one for one in free if parts_fit(one.part, part)], line, part.label)
        )
        lines.append(replace(line, places=places))
    return replace(order, lines=tuple(lines))


def _known_places(line: OrderedLine, joints: Mapping[str, Joint]) -> tuple[tuple[str, str], ...]:
    """Places that are in the structure; a joint alone stands for its part of that kind and size."""
    return tuple(
        (joint, one.id)
        for joint, part in line.places
        for one in (joints[joint].parts if joint in joints else ())
        if one.id == part or (not part and parts_fit(line.part, one))
    )


def _only(fits: Sequence[OrderedLine], line: OrderedLine, label: str) -> bool:
    if len(fits) == 1:
        return True
    same = [one for one in fits if one.part.label.casefold() == label.casefold()]
    return len(same) == 1 and same[0] is line


def consequences(
    receipt: Receipt,
    structure: Structure,
    *,
    draws: int = 2000,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Consequence, ...]:
    """Every line that is refused for its metal, used all the same in the joints that it is for.

    Both findings of a joint are on the same draws; its other parts are as ordered.

    Parameters
    ----------
    receipt : whose order is ``placed`` in the structure
    draws, seed : as of ``assess``

    Raises
    ------
    InputError : where the structure with the ordered labels cannot be assessed
    """
    refused = [one for one in receipt.lines if one.wrong_metal]
    labels = order_labels(receipt.order)
    touched = {place[0] for one in refused if one.ordered for place in one.ordered.places}
    before = findings_under(structure, touched, labels, draws, seed)
    found = []
    for done, one in enumerate(refused, start=1):
        found.append(_consequence(one, structure, before, labels, draws, seed))
        if progress is not None:
            progress(done, len(refused))
    return tuple(found)


def _consequence(
    line: CheckedLine,
    structure: Structure,
    before: Mapping[str, JointFinding],
    labels: Mapping[tuple[str, str], str],
    draws: int,
    seed: int,
) -> Consequence:
    places = line.ordered.places if line.ordered else ()
    if not places:
        return Consequence(line, (), "the order does not tell for which joints it is")
    changed = {**labels, **dict.fromkeys(places, line.delivered.label)}
    after = findings_under(structure, {joint for joint, _ in places}, changed, draws, seed)
    effects = [JointEffect(before[id], finding) for id, finding in after.items()]
    return Consequence(line, tuple(sorted(effects, key=_worst)))


def order_labels(order: Order) -> dict[tuple[str, str], str]:
    """The label that an order asks for, by joint and part."""
    return {place: line.part.label for line in order.lines for place in line.places}


def findings_under(
    structure: Structure,
    ids: set[str],
    labels: Mapping[tuple[str, str], str],
    draws: int,
    seed: int,
) -> dict[str, JointFinding]:
    """Findings of some joints, by id, with some of their parts under other labels.

    Parameters
    ----------
    ids : of the joints
    labels : by joint and part; other parts keep their own
    draws, seed : as of ``assess``

    Raises
    ------
    InputError : as ``assess`` does
    """
    joints = [_under(joint, labels) for joint in structure.joints if joint.id in ids]
    if not joints:
        return {}
    small = structure.model_copy(update={"joints": joints})
    return {one.joint.id: one for one in assess(small, draws=draws, seed=seed).findings}


def _under(joint: Joint, labels: Mapping[tuple[str, str], str]) -> Joint:
    plain = to_be_bought(joint)
    parts = [
        part.model_copy(update={"label": labels[joint.id, part.id]}) if (joint.id, part.id) in labels else old
        for part, old in zip(plain.parts, joint.parts, strict=True)
    ]
    return joint.model_copy(update={"parts": parts})


def _worst(effect: JointEffect) -> tuple[float, str]:
    chance = effect.chances[1]
    return (2.0 if chance is None else chance, effect.came.joint.id)


def cost_move(line: CheckedLine, offers: Sequence[Offer]) -> CostMove | None:
    """What the pieces ordered cost by the offer that what came equals; None where no offer or price is known.

    Parameters
    ----------
    offers : a supplier's list; the ordered price is the order's own, else that of the list
    """
    if line.ordered is None or line.reading is None:
        return None
    came = _offer_like(line.reading.protection, line.ordered, offers)
    if came is None:
        return None
    known = ordered_price(line.ordered, offers)
    if known is None or known[1] != came.currency:
        return None
    price, currency = known
    pieces = line.ordered.quantity
    return CostMove(price * pieces, came.price / came.pack * pieces, currency, came.item)


def ordered_price(line: OrderedLine, offers: Sequence[Offer]) -> tuple[float, str] | None:
    """Price of one piece as ordered and its currency: the order's own, else by the list; None if neither."""
    if line.piece_price is not None:
        return line.piece_price, line.currency
    asked = _offer_like(promise_for(line.part.label, line), line, offers)
    return None if asked is None else (asked.price / asked.pack, asked.currency)


def _offer_like(protection: Protection, line: OrderedLine, offers: Sequence[Offer]) -> Offer | None:
    readable, _ = read_offers([one for one in offers if one.fits(line.part)])
    same = [one.offer for one in readable if one.protection.designation == protection.designation]
    return min(same, key=lambda one: one.price / one.pack, default=None)


def promise_for(label: str, line: OrderedLine | Part) -> Protection:
    """What a label promises on the part of a line.

    Raises
    ------
    InputError : it cannot be read
    """
    part = line if isinstance(line, Part) else line.part
    size = part.measures
    return read_label(
        label, item=part.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm
    ).protection
