"""The answer for the owner on one page."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from longhold.base.version import VERSION
from longhold.documents.axes import nice_most
from longhold.documents.page import page
from longhold.documents.svg import tag
from longhold.portfolio.exports import change_rows
from longhold.portfolio.instead import Changed
from longhold.portfolio.line import Portfolio
from longhold.portfolio.map import portfolio_map
from longhold.portfolio.money import Money
from longhold.portfolio.ranking import RANKING_WORDS, Ranking, StructureRow, weakest_of

__all__ = ["Answers", "portfolio_html"]

_SHOWN, _REFUSED_SHOWN = 50, 30
_WIDTH, _HEIGHT, _LEFT, _FOOT = 420.0, 180.0, 52.0, 22.0


@dataclass(frozen=True)
class Answers:
    """What a portfolio's page tells.

    Attributes
    ----------
    portfolio, rows, ranking : the structures, ranked
    money : renewals by year
    changes : other hardware, before and after
    """

    portfolio: Portfolio
    rows: Sequence[StructureRow]
    ranking: Ranking
    money: Money
    changes: Sequence[Changed]


def portfolio_html(answers: Answers, as_of: datetime.date) -> str:
    """The page."""
    portfolio, rows = answers.portfolio, answers.rows
    classes = portfolio.classes
    refused = portfolio.gathered.not_assessed
    return page(
        "portfolio.html.j2",
        "Longhold: many structures",
        [],
        "us",
        version=VERSION,
        as_of=as_of,
        terms=portfolio.terms,
        lede=_lede(rows),
        mark=weakest_of(rows),
        rows=rows[:_SHOWN],
        left_out=max(len(rows) - _SHOWN, 0),
        ranking=RANKING_WORDS[answers.ranking],
        map=portfolio_map(rows),
        money=answers.money,
        money_chart=years_chart(answers.money),
        changes=[(one, [_shown(row) for row in change_rows(one)]) for one in answers.changes],
        refused=refused[:_REFUSED_SHOWN],
        refused_count=len(refused),
        sites=len(portfolio.gathered.sites),
        classes=len(classes.weather_of),
        rungs=len(classes.rungs),
        widened=classes.widened,
        rounded=classes.rounded,
        combinations=len(portfolio.drawn),
    )


def _lede(rows: Sequence[StructureRow]) -> str:
    joints = sum(row.joints for row in rows)
    ends = sum(row.expected_ends for row in rows)
    short = sum(1 for row in rows if row.fails)
    return (
        f"Of {joints:,} joints in {len(rows):,} structures, {ends:,.0f} are expected to end before the "
        f"design life of their structure; {short:,} structures have a joint that falls short of its code "
        "or of the chance asked for."
    )


def _shown(row: Sequence[object]) -> list[str]:
    return [f"{cell:,.0f}" if isinstance(cell, int | float) else str(cell) for cell in row]


def years_chart(money: Money) -> Markup | None:
    """Renewals year by year as bars; None where there are none."""
    rows = money.rows
    if not rows:
        return None
    most = nice_most(max(row.renewals for row in rows))
    first, last = rows[0].year, rows[-1].year
    step = (_WIDTH - _LEFT - 8.0) / max(last - first + 1, 1)
    high = _HEIGHT - _FOOT - 14.0

    def x(year: int) -> float:
        return _LEFT + (year - first) * step

    bars = [
        tag(
            "rect",
            x=x(row.year) + 0.1 * step,
            y=_HEIGHT - _FOOT - high * row.renewals / most,
            width=0.8 * step,
            height=high * row.renewals / most,
            class_="bar",
            fill="currentColor",
        )
        for row in rows
    ]
    ticks = [
        tag("text", str(year), x=x(year) + step / 2, y=_HEIGHT - 6.0, class_="tick mid")
        for year in range(first - first % 20 + 20, last + 1, 20)
    ]
    scale = [
        tag(
            "text",
            f"{most * part:,.4g}",
            x=_LEFT - 6.0,
            y=_HEIGHT - _FOOT - high * part + 4.0,
            class_="tick",
            text_anchor="end",
        )
        for part in (0.0, 0.5, 1.0)
    ]
    return tag(
        "svg",
        *bars,
        *ticks,
        *scale,
        viewBox=f"0 0 {_WIDTH:g} {_HEIGHT:g}",
        role="img",
        aria_label=f"Renewals expected each year from {first} to {last}.",
        class_="chart",
    )
