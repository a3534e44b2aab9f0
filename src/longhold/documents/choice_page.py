"""The choice as one page: what to buy, what else could be bought, what it loses, what could change it."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from longhold.assessment.assumptions import cost_defaults
from longhold.base.marks import Mark
from longhold.base.sources import Source, register
from longhold.base.version import VERSION
from longhold.choose.alternatives import told_once
from longhold.choose.bill import bill_of, line_of
from longhold.choose.choice import Choice, Market
from longhold.choose.conflicts import Conflict
from longhold.choose.deliberation import Deliberation
from longhold.choose.outlook import Bought
from longhold.choose.ways_out import ways_out
from longhold.documents.choice_chart import frontier_chart, frontier_rows
from longhold.documents.choice_words import (
    age_words,
    buy_words,
    chance_words,
    change_words,
    choice_lines,
    cut_words,
    doubt_line,
    left_out_words,
    money,
    money_band,
    names_words,
    price_note,
    proof_words,
    same_words,
    spare_words,
    substitution_words,
    sure_words,
    today_words,
    turn_words,
    undecided_words,
)
from longhold.documents.cost_rows import amount_words, cost_table, kind_rows, visits_words
from longhold.documents.joint_ids import joints_words
from longhold.documents.page import fragment, page
from longhold.documents.thresholds_view import turns_on
from longhold.documents.way_words import way_words
from longhold.documents.words import CAUTIONS, plural, upper_first

__all__ = ["choice_html", "choice_part"]

_MOST_LINES = 50
_FOOT_LETTERS = 90


@dataclass(frozen=True)
class JointRow:
    """What one group of joints gets."""

    ids: str
    name: str
    buy: tuple[str, ...]
    chance: str
    years: str


@dataclass(frozen=True)
class PackRow:
    """What is bought of one item."""

    item: str
    what: str
    packs: str
    price: str


@dataclass(frozen=True)
class LossRow:
    """One group of joints under each named alternative: what it gets, how long, at what cost."""

    ids: str
    cells: tuple[tuple[str, str], ...]


def choice_html(
    found: Deliberation, refused: Sequence[tuple[int, str]], as_of: datetime.date, beside: str = ""
) -> str:
    """The page as a self-contained HTML file.

    Parameters
    ----------
    refused : lines of the list that are no offers, with the reason
    as_of : date that the page carries
    beside : what was typed beside the structure and is in no result, as a sentence; blank for nothing
    """
    structure = found.market.structure
    name = structure.name if len(structure.name) <= _FOOT_LETTERS else f"{structure.name[:_FOOT_LETTERS]}…"
    seed = found.market.setting.exposure.causes.seed
    foot = f"{name} · {as_of.isoformat()} · Longhold {VERSION} · seed {seed}"
    values = _values(found, refused, as_of) | {"beside": beside}
    return page("choice.html.j2", foot, [_sources()], structure.units, **values)


def choice_part(
    template: str,
    found: Deliberation,
    refused: Sequence[tuple[int, str]],
    as_of: datetime.date,
    **more: Any,
) -> Markup:
    """A part of the page for one that has a head and a style of its own.

    Parameters
    ----------
    template : of that part
    refused, as_of : as of ``choice_html``
    more : what the template asks for besides
    """
    values = _values(found, refused, as_of) | more
    return fragment(template, [_sources()], found.market.structure.units, **values)


def _values(found: Deliberation, refused: Sequence[tuple[int, str]], as_of: datetime.date) -> dict[str, Any]:
    market, chosen, structure = found.market, found.chosen, found.market.structure
    exposure = market.setting.exposure
    points = frontier_rows(found) if chosen.bought else ()
    return {
        "structure": structure,
        "as_of": as_of,
        "version": VERSION,
        "seed": exposure.causes.seed,
        "draws": exposure.causes.count,
        "lede": _lede(chosen, market),
        "joints": [_joint_row(one, market) for one in chosen.bought],
        "left_out": _left_out(chosen.left_out, market),
        "packs": [_pack_row(item, chosen, market) for item in sorted(chosen.purchase.packs)],
        "today": money(chosen.today, chosen.currency),
        "kinds": kind_rows(chosen, market),
        "costs": cost_table(chosen, market),
        "visits": visits_words(chosen, market),
        "sure": sure_words(market),
        "proof": proof_words(chosen) if chosen.bought else "nothing was chosen",
        "named": choice_lines(found.named, market),
        "same": same_words(found.named),
        "today_words": today_words(chosen),
        "spare_words": spare_words(chosen),
        "price_note": price_note(market.costs),
        "cut": cut_words(found.frontier),
        "chart": frontier_chart(found) if len(points) > 1 else "",
        "points": points,
        "losses": _losses(found),
        "loss_sums": _loss_sums(found),
        "currency": chosen.currency,
        "alternatives": [names_words(names) for names, _ in told_once(found.named)],
        "swap": _swap(found),
        "turns": None
        if found.turns is None
        else [turn_words(one, chosen.currency) for one in found.turns.found],
        "undecided": "" if found.turns is None else undecided_words(found.turns),
        "refused": [upper_first(why) for _, why in refused[:_MOST_LINES]]
        + [f"{offer.item}: {why}" for offer, why in market.unread[:_MOST_LINES]],
        "more_refused": max(len(refused) - _MOST_LINES, 0) + max(len(market.unread) - _MOST_LINES, 0),
        "assumptions": cost_defaults(market.costs),
        "rate": f"{100 * market.costs.rate:g} %",
        "turns_on": turns_on("choice", invented=market.costs.invented),
        "cautions": CAUTIONS,
    }


def _lede(chosen: Choice, market: Market) -> str:
    if not chosen.bought:
        return "Nothing on offer meets what is asked of any joint: there is nothing to buy."
    life = f"{market.structure.design_life:g} years"
    kinds = plural(len(chosen.purchase.packs), "item")
    cost = money_band(chosen.over_life, chosen.currency)
    served = "every joint that something is bought for" if chosen.left_out else "every joint"
    told = (
        f"{kinds} for {money(chosen.today, chosen.currency)} today, {cost} over {life}; "
        f"{served} reaches {age_words(chosen.sure_years, market)} ({sure_words(market)})."
    )
    if chosen.left_out:
        left = sum(one.group.quantity for one in chosen.left_out)
        told += f" For {plural(left, 'joint')} nothing on offer will do."
    return f"{told} {doubt_line(market, chosen)}".rstrip()


def _joint_row(one: Bought, market: Market) -> JointRow:
    return JointRow(
        joints_words(one.group.ids, one.group.quantity),
        one.group.joint.name,
        tuple(buy_words(one)),
        chance_words(one.option.trial),
        age_words(one.sure_years, market),
    )


def _left_out(conflicts: Sequence[Conflict], market: Market) -> list[tuple[str, list[str]]]:
    return [
        (left_out_words(one, market), [way_words(out, market) for out in ways_out(one, market.setting)])
        for one in conflicts
    ]


def _pack_row(item: str, choice: Choice, market: Market) -> PackRow:
    found, box, count = market.fitting[item], choice.boxes[item], choice.purchase.packs[item]
    what = f"{found.offer.part.kind_words} {found.offer.size}, {found.protection.designation}"
    return PackRow(item, what, f"{count} of {box.pack}", f"{box.price * count:,.2f} {choice.currency}")


def _losses(found: Deliberation) -> list[LossRow]:
    by_choice = [{one.group.ids: one for one in choice.bought} for _, choice in told_once(found.named)]
    rows = []
    for group in found.market.groups:
        given = [each.get(group.ids) for each in by_choice]
        if any(one is not None for one in given):
            cells = tuple(_loss_cell(one, found.market) for one in given)
            rows.append(LossRow(joints_words(group.ids, group.quantity), cells))
    return rows


def _loss_cell(one: Bought | None, market: Market) -> tuple[str, str]:
    if one is None:
        return "nothing", ""
    items = ", ".join(dict.fromkeys(chosen.offer.item for chosen in one.option.offers))
    cost = amount_words(line_of(one, market).choosable, market.costs.currency)
    return items, f"{age_words(one.sure_years, market)}, {cost} over the life"


def _loss_sums(found: Deliberation) -> list[tuple[str, tuple[str, ...]]]:
    """What the joints' lines leave out, and all of it, for each named alternative."""
    bills = [bill_of(choice, found.market) for _, choice in told_once(found.named)]
    sums = [
        ("Spare pieces and rest of packs", [one.left_over for one in bills]),
        ("Kinds of box on the site", [one.boxes for one in bills]),
        ("First fixing, labor", [sum(line.fixing for line in one.lines) for one in bills]),
        ("Inspection", [sum(line.inspection for line in one.lines) for one in bills]),
        ("All", [one.total for one in bills]),
    ]
    currency = found.market.costs.currency
    return [
        (words, tuple(amount_words(one, currency) for one in amounts))
        for words, amounts in sums
        if any(amounts)
    ]


def _swap(found: Deliberation) -> dict[str, object] | None:
    if found.substitution is None:
        return None
    return {
        "words": substitution_words(found.substitution, found.market),
        "rows": [change_words(one, found.market) for one in found.substitution.changes],
        "left_out": _left_out(found.substitution.lost, found.market),
    }


def _sources() -> list[tuple[Source, list[Mark]]]:
    return [(register()["10-cfr-436"], [Mark.OWN]), (register()["iso15686-5"], [Mark.MEMORY])]
