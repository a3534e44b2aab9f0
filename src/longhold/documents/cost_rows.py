"""What a purchase costs over the life as rows that add up, on the screen and on paper alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.choose.bill import KINDS, Bill, Line, bill_of
from longhold.choose.choice import Choice, Market
from longhold.documents.choice_words import between_words
from longhold.documents.joint_ids import joints_words
from longhold.documents.words import plural

__all__ = [
    "CostTable",
    "amount_words",
    "cost_table",
    "kind_rows",
    "split_words",
    "summed_words",
    "to_the_cent",
    "visits_words",
]

_WORDS = {
    "pieces": "Pieces built in",
    "fixing": "First fixing, labor",
    "inspection": "Inspection",
    "renewal_material": "Renewal, material",
    "renewal_labor": "Renewal, labor",
    "failure": "Failures that nobody noticed in time",
}
_LEFT_OVER = "Spare pieces and rest of packs"
_BOXES = "Kinds of box on the site"
_ALL = "All"


@dataclass(frozen=True)
class CostTable:
    """Joints in rows, kinds of cost in columns, the sum of each row last.

    Attributes
    ----------
    heads : of the columns of numbers
    rows : (joints, numbers); None where nothing belongs
    total : of each column
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[float | None, ...]], ...]
    total: tuple[float, ...]

    @property
    def printed(self) -> list[tuple[str, list[str]]]:
        """The rows with their numbers as text."""
        return [(words, [to_the_cent(one) for one in amounts]) for words, amounts in self.rows]

    @property
    def printed_total(self) -> list[str]:
        """The total as text."""
        return [to_the_cent(one) for one in self.total]


def to_the_cent(value: float | None) -> str:
    """An amount as it stands in a column; blank where there is none.

    >>> to_the_cent(1234.5), to_the_cent(None)
    ('1,234.50', '')
    """
    return "" if value is None else f"{value:,.2f}".replace("-", "−")


def amount_words(value: float, currency: str) -> str:
    """An amount to the cent in a sentence."""
    return f"{to_the_cent(value)} {currency}"


def visits_words(choice: Choice, market: Market) -> str:
    """What inspections cost, and that they turn no choice; empty where none are counted."""
    bill, costs = bill_of(choice, market), market.costs
    cost = sum(one.inspection for one in bill.lines)
    if not cost:
        return ""
    looked_at = sum(one.looked_at for one in choice.bought)
    every = f"{costs.visit_every_years:g} years"
    return (
        f"Inspection every {every} looks closely at {plural(looked_at, 'joint')}, all parts of each "
        f"(at most {costs.visit_most_alike:,} on one line of the structure): "
        f"{amount_words(cost, choice.currency)} over the life, the same whatever is bought."
    )


def cost_table(choice: Choice, market: Market) -> CostTable:
    """The bill of a choice; kinds of which nothing is counted have no column."""
    bill = bill_of(choice, market)
    shown = _shown(bill)
    rows: list[tuple[str, tuple[float | None, ...]]] = [
        (joints_words(one.group.ids, one.group.quantity), (*_picked(one.amounts, shown), one.total))
        for one in bill.lines
    ]
    blank: tuple[None, ...] = (None,) * (len(shown) - 1)
    rows.append((_LEFT_OVER, (bill.left_over, *blank, bill.left_over)))
    if bill.boxes:
        rows.append((_BOXES, (bill.boxes, *blank, bill.boxes)))
    summed = dict(zip(KINDS, bill.summed, strict=True))
    summed["pieces"] = round(summed["pieces"] + bill.left_over + bill.boxes, 2)
    total = (*(summed[kind] for kind in shown), bill.total)
    heads = ("Today", *(_WORDS[kind] for kind in shown[1:]), "Over the life")
    return CostTable(heads, tuple(rows), total)


def split_words(line: Line) -> str:
    """What a group of joints costs over the life, and what of it is what; without what costs nothing."""
    told = [
        f"{_WORDS[kind][:1].lower()}{_WORDS[kind][1:]} {to_the_cent(amount)}"
        for kind, amount in zip(KINDS, line.amounts, strict=True)
        if amount
    ]
    return f"{to_the_cent(line.total)}: {'; '.join(told)}" if len(told) > 1 else to_the_cent(line.total)


def summed_words(choice: Choice, market: Market) -> str:
    """How the joints' lines come to the cost over the life."""
    bill = bill_of(choice, market)
    joints = to_the_cent(round(sum(one.total for one in bill.lines), 2))
    boxes = f" + kinds of box {to_the_cent(bill.boxes)}" if bill.boxes else ""
    return (
        f"Over the life: joints {joints} + spare pieces and rest of packs {to_the_cent(bill.left_over)}"
        f"{boxes} = {amount_words(bill.total, choice.currency)}, the mean of the draws."
    )


def kind_rows(choice: Choice, market: Market) -> list[tuple[str, str, str]]:
    """The present cost by kind, as it falls due: words, mean, and what 8 draws in 10 lie between."""
    bill = bill_of(choice, market)
    summed = dict(zip(KINDS, bill.summed, strict=True))
    kinds = [one.later_kinds for one in choice.bought]
    bands = {
        "failure": sum((one.failure for one in kinds), np.zeros(1)),
        "renewal_material": sum((one.material for one in kinds), np.zeros(1)),
        "renewal_labor": sum((one.labor for one in kinds), np.zeros(1)),
    }
    rows: list[tuple[str, float, NDArray[np.float64] | None]] = [
        (_WORDS["pieces"], summed["pieces"], None),
        (_LEFT_OVER, bill.left_over, None),
        (_BOXES, bill.boxes, None),
    ]
    rows += [(_WORDS[kind], summed[kind], bands.get(kind)) for kind in KINDS[1:]]
    rows.append((_ALL, bill.total, choice.over_life if kinds else None))
    return [
        (words, to_the_cent(amount), "" if draws is None else between_words(draws))
        for words, amount, draws in rows
    ]


def _shown(bill: Bill) -> tuple[str, ...]:
    summed = dict(zip(KINDS, bill.summed, strict=True))
    return ("pieces", *(kind for kind in KINDS[1:] if summed[kind]))


def _picked(amounts: tuple[float, ...], shown: tuple[str, ...]) -> tuple[float, ...]:
    by_kind = dict(zip(KINDS, amounts, strict=True))
    return tuple(by_kind[kind] for kind in shown)
