"""Renewals and their money by year, from prices that were handed in: none is taken from elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError
from longhold.base.marks import Mark, weakest
from longhold.base.tables import load_toml
from longhold.choose.money import DiscountRate
from longhold.choose.options import read_offers
from longhold.documents.choice_words import price_note
from longhold.labels.read import read_label
from longhold.model.costs import Costs
from longhold.model.offer import Offer
from longhold.model.parts import Part
from longhold.model.structure import Structure
from longhold.portfolio.joints import each_part
from longhold.portfolio.line import Portfolio
from longhold.portfolio.mapping import weakest_at

__all__ = ["Money", "Prices", "YearRow", "money_by_year"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Prices:
    """What a renewal costs.

    Attributes
    ----------
    offers : what can be bought
    costs : labor and the rate; None counts hardware alone
    """

    offers: tuple[Offer, ...]
    costs: Costs | None = None

    @property
    def currency(self) -> str:
        """Of the offers."""
        return self.offers[0].currency

    @property
    def rate(self) -> float:
        """Real discount rate a year [-]."""
        default = Costs.model_fields["rate"].default
        return float(default) if self.costs is None else self.costs.rate


@dataclass(frozen=True)
class YearRow:
    """One year: expected renewals, those with a price, and what they cost; money is NaN without prices."""

    year: int
    renewals: float
    priced: float
    money: float
    present: float


@dataclass(frozen=True)
class Money:
    """Renewals and money of a portfolio.

    Attributes
    ----------
    rows : from this year on
    before : renewals expected in years gone by, had nothing been renewed otherwise
    undated : renewals of structures whose year of building is not stated, within their design life
    currency, rate : of the money; empty and 0 without prices
    unpriced_kinds : kinds of joint with a part that no offer fits
    note : what is to be known of prices and costs
    mark : weakest mark that renewals and money rest on
    """

    rows: tuple[YearRow, ...]
    before: float
    undated: float
    currency: str
    rate: float
    unpriced_kinds: int
    note: str
    mark: Mark

    @property
    def present(self) -> float:
        """Present value of all years."""
        return float(sum(row.present for row in self.rows))


def money_by_year(portfolio: Portfolio, this_year: int, prices: Prices | None) -> Money:
    """Expected renewals by calendar year up to the end of each structure's design life.

    A joint is renewed when its deciding end comes, with the same hardware, which lasts as long again in the
    same draw; a renewal costs the cheapest offers of the same kind, size and label, and labor where told.
    """
    gathered = portfolio.gathered
    price = _price_of_kinds(gathered.kinds, prices)
    built = np.array([-1 if one.built_year is None else one.built_year for one in gathered.structures])
    ages = portfolio.drawn.renewals.shape[1]
    dated = built[built >= 0]
    first = int(dated.min()) if dated.size else this_year
    last = (int(dated.max()) if dated.size else this_year) + ages
    years = np.arange(min(first, this_year), max(last, this_year) + 1)
    counted, priced, spent = (np.zeros(len(years)) for _ in range(3))
    undated = 0.0
    marks = [Mark(load_toml("assessment/portfolio.toml")["renewal"]["mark"])]
    if prices is not None and prices.costs is not None and prices.costs.invented:
        marks.append(Mark.INVENTED)
    for part in each_part(portfolio):
        of_joint = built[gathered.structure[part.joints]]
        quantity = gathered.quantity[part.joints]
        marks += filter(None, [weakest_at(part.found.mark)])
        known = np.isfinite(price[part.kind])
        each = np.where(known, price[part.kind], 0.0)
        for year in np.unique(of_joint).tolist():
            here = of_joint == year
            number = np.bincount(part.pair[here], quantity[here], minlength=len(part.kind))
            renewals = number[:, None] * part.found.renewals
            if year < 0:
                undated += float(renewals.sum())
                continue
            span = slice(year - years[0], year - years[0] + ages)
            counted[span] += renewals.sum(axis=0)
            priced[span] += renewals[known].sum(axis=0)
            spent[span] += (renewals * each[:, None]).sum(axis=0)
    rate = 0.0 if prices is None else prices.rate
    factor = DiscountRate.flat(rate).factor(np.maximum(years - this_year, 0))
    rows = tuple(
        YearRow(
            int(year),
            float(counted[at]),
            float(priced[at]),
            float(spent[at]) if prices else np.nan,
            float(spent[at] * factor[at]) if prices else np.nan,
        )
        for at, year in enumerate(years)
        if year >= this_year and counted[at] > 0
    )
    return Money(
        rows,
        float(counted[years < this_year].sum()),
        undated,
        "" if prices is None else prices.currency,
        rate,
        0 if prices is None else int(np.sum(~np.isfinite(price))),
        "" if prices is None or prices.costs is None else price_note(prices.costs),
        weakest(marks),
    )


def _price_of_kinds(kinds: Sequence[Structure], prices: Prices | None) -> Array:
    """What renewing each kind of joint costs; NaN where a part of it has no price."""
    if prices is None:
        return np.full(len(kinds), np.nan)
    read, _ = read_offers(prices.offers)
    known: dict[str, float] = {}
    found = []
    for kind in kinds:
        joint = kind.joints[0]
        total = 0.0
        for part in joint.parts:
            key = part.model_dump_json(exclude={"id", "count"})
            if key not in known:
                asked = _designation(part)
                known[key] = min(
                    (
                        one.offer.price / one.offer.pack
                        for one in read
                        if one.protection.designation == asked and one.offer.fits(part)
                    ),
                    default=np.nan,
                )
            total += part.count * known[key]
        if prices.costs is not None:
            total += prices.costs.labor_per_joint * float(getattr(prices.costs.access, joint.access))
        found.append(total)
    return np.array(found, dtype=float)


def _designation(part: Part) -> str:
    size = part.measures
    try:
        read = read_label(
            part.label, item=part.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm
        )
    except InputError:
        return ""
    return read.readings[0].protection.designation
