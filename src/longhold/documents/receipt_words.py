"""A checked delivery in words: one row for each line, and the sentence that opens it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from longhold.documents.choice_words import money
from longhold.documents.lives import deciding_chance, deciding_years
from longhold.documents.words import plural
from longhold.inspect.consequence import Consequence, CostMove
from longhold.inspect.delivery import VERDICTS, Receipt, Verdict
from longhold.inspect.instead import Instead

__all__ = [
    "EffectRow",
    "InsteadRow",
    "ReceiptRow",
    "effect_rows",
    "instead_rows",
    "left_aside_words",
    "priced_words",
    "receipt_lede",
    "receipt_rows",
    "without_instead",
]


class ReceiptRow(NamedTuple):
    """One line: what it is, its verdict in words, why, the verdict by its short name, what would mend it."""

    line: str
    verdict: str
    why: str
    kind: Verdict
    quantity: int
    mend: str


def receipt_rows(found: Receipt) -> tuple[ReceiptRow, ...]:
    """Delivered lines in their order, then ordered lines that did not come."""
    came = tuple(
        ReceiptRow(
            one.delivered.words,
            VERDICTS[one.verdict],
            _sentences(one.reasons),
            one.verdict,
            one.delivered.quantity,
            _sentences(one.mends),
        )
        for one in found.lines
    )
    missing = tuple(
        ReceiptRow(
            one.words, "did not come", f"{plural(one.quantity, 'piece')} ordered.", "refused", 0, _SEND
        )
        for one in found.missing
    )
    return came + missing


_MOST_LEFT_ASIDE = 10
_SEND = "Have it sent before the joints are built."


def _sentences(reasons: tuple[str, ...]) -> str:
    return " ".join(f"{one[:1].upper()}{one[1:].rstrip('.?')}." for one in reasons)


def receipt_lede(found: Receipt) -> str:
    """How many lines may be used and how many not, in a sentence."""
    told = [
        f"{found.count(verdict):,} {words}" for verdict, words in VERDICTS.items() if found.count(verdict)
    ]
    missing = f" {plural(len(found.missing), 'ordered line')} did not come." if found.missing else ""
    return f"{plural(len(found.lines), 'line')} delivered: {', '.join(told)}.{missing}"


class EffectRow(NamedTuple):
    """What one refused line would do to one joint, in words."""

    line: str
    joint: str
    chance_ordered: str
    chance_came: str
    years_ordered: str
    years_came: str
    more: str


def effect_rows(found: Sequence[Consequence], costs: Sequence[CostMove | None]) -> tuple[EffectRow, ...]:
    """One row for each joint of each refused line; the cost stands with the first of its rows.

    Parameters
    ----------
    costs : of each line, None where no price is known
    """
    rows = []
    for one, cost in zip(found, costs, strict=True):
        told = _cost_words(cost)
        if not one.joints:
            why = f"Not computed: {one.why_not}."
            rows.append(EffectRow(one.line.delivered.words, "", "", "", "", "", f"{why} {told}".strip()))
        for effect in one.joints:
            joint = effect.came.joint
            refer = dict.fromkeys(line.rstrip(".") for part in effect.came.parts for line in part.refer)
            more = " ".join((*(f"{line}." for line in refer), told)).strip()
            rows.append(
                EffectRow(
                    one.line.delivered.words,
                    f"{joint.id} {joint.name}",
                    deciding_chance(effect.ordered),
                    deciding_chance(effect.came),
                    deciding_years(effect.ordered),
                    deciding_years(effect.came),
                    more,
                )
            )
            told = ""
    return tuple(rows)


class InsteadRow(NamedTuple):
    """What may take the place of a refused line, in words."""

    line: str
    offer: str
    joints: str
    ordered: str
    instead: str
    cost: str


def instead_rows(found: Sequence[Instead]) -> tuple[InsteadRow, ...]:
    """One row for each offer, with the joint that it serves least well."""
    return tuple(
        InsteadRow(
            one.line.delivered.words,
            f"{one.offer.item}: {one.offer.label}{', as ordered' if one.as_ordered else ''}",
            f"{one.worst.came.joint.id} {one.worst.came.joint.name}"
            + (f", and {plural(len(one.joints) - 1, 'more joint')}" if one.joints[1:] else ""),
            f"{deciding_chance(one.worst.ordered)}; {deciding_years(one.worst.ordered)}",
            f"{deciding_chance(one.worst.came)}; {deciding_years(one.worst.came)}",
            _packs_words(one),
        )
        for one in found
    )


def priced_words(name: str, *, invented: bool = False) -> str:
    """By which list of offers prices are told.

    >>> priced_words("offers.csv")
    'Priced by offers.csv.'
    """
    return f"Priced by {name}{'; its prices are invented' if invented else ''}."


def left_aside_words(refused: Sequence[tuple[int, str]], name: str) -> tuple[str, ...]:
    """Lines of a list that are no offers, so that none of them is among what may take a line's place.

    >>> left_aside_words([(2, "line 2: price: is blank")], "offers.csv")
    ('Left aside in offers.csv: line 2: price: is blank',)
    """
    told = tuple(f"Left aside in {name}: {why}" for _, why in refused[:_MOST_LEFT_ASIDE])
    if more := len(refused) - len(told):
        told += (f"and {more:,} more lines of {name}.",)
    return told


def without_instead(effects: Sequence[Consequence], found: Sequence[Instead]) -> tuple[str, ...]:
    """Refused lines for which no offer is found, in words."""
    served = {id(one.line) for one in found}
    return tuple(one.line.delivered.words for one in effects if id(one.line) not in served)


def _packs_words(one: Instead) -> str:
    told = f"{money(one.cost, one.offer.currency)} for {plural(one.packs, 'pack')} of {one.offer.pack:,}"
    if one.more is None:
        return f"{told}."
    word = "more" if one.more > 0 else "less"
    more = money(abs(one.more), one.offer.currency)
    return f"{told}, {more} {word} than was ordered." if round(one.more) else f"{told}, as was ordered."


def _cost_words(cost: CostMove | None) -> str:
    if cost is None:
        return ""
    less = cost.ordered - cost.came
    word = "less" if less >= 0 else "more"
    return (
        f"What came is worth {money(abs(less), cost.currency)} {word}: {money(cost.came, cost.currency)} by "
        f"{cost.item}, ordered {money(cost.ordered, cost.currency)}."
    )
