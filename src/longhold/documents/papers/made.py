"""All papers from one choice."""

from __future__ import annotations

import datetime

from longhold.choose.choice import Choice, Market
from longhold.documents.papers.card import card_of
from longhold.documents.papers.deal import Deal
from longhold.documents.papers.head import head_of
from longhold.documents.papers.model import Papers
from longhold.documents.papers.order import order_of
from longhold.documents.papers.schedule import schedule_of
from longhold.documents.papers.submittal import submittal_of

__all__ = ["papers_of"]


def papers_of(market: Market, choice: Choice, *, as_of: datetime.date, draws: int, seed: int) -> Papers:
    """Schedule, order, submittal and site card of a choice.

    Parameters
    ----------
    market, choice : the purchase, and what it was chosen from
    as_of : date that the papers carry
    draws, seed : with which the market was computed
    """
    deal = Deal.of(market, choice, as_of=as_of, draws=draws, seed=seed)
    return Papers(head_of(deal), schedule_of(deal), order_of(deal), submittal_of(deal), card_of(deal))
