"""A choice on the screen, and as a page."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from longhold.cli.show import console, plain, print_caution, show_rows

if TYPE_CHECKING:
    from rich.console import Console

    from longhold.choose.choice import Choice, Market
    from longhold.choose.conflicts import Conflict
    from longhold.choose.deliberation import Deliberation
    from longhold.intake.offers import OfferList

__all__ = ["print_choice", "write_report"]

_MOST_LINES = 20


def write_report(path: Path, found: Deliberation, listed: OfferList) -> None:
    """The choice as one page, written whole or not at all."""
    from longhold.cli.output import write_whole
    from longhold.documents.choice_page import choice_html

    write_whole(path, choice_html(found, listed.refused, as_of=date.today()))


def print_choice(found: Deliberation, listed: OfferList, report: Path | None) -> None:
    """The choice and what stands beside it."""
    from longhold.documents.choice_words import doubt_line, price_note
    from longhold.documents.thresholds_view import turns_on

    to, market, chosen = console(), found.market, found.chosen
    to.print()
    to.print(plain(f"{market.structure.name}: what to buy"), style="bold")
    if chosen.bought:
        _print_bought(to, chosen, market)
    _print_left_out(to, chosen.left_out, market)
    if doubt := doubt_line(market, chosen):
        to.print(plain(doubt))
    to.print()
    if not chosen.bought:
        to.print("Nothing on offer meets what is asked of any joint: there is nothing to buy.", style="bold")
    else:
        _print_purchases(to, found)
    _print_beside(to, found)
    if listed.read_by:
        to.print(plain(f"The list is read as {listed.read_by} remembers it."))
    for _, why in listed.refused[:_MOST_LINES]:
        to.print(plain(f"Left aside on the list: {why}"))
    if len(listed.refused) > _MOST_LINES:
        to.print(f"and {len(listed.refused) - _MOST_LINES:,} more lines; 'longhold offers' shows them all.")
    for offer, why in market.unread[:_MOST_LINES]:
        to.print(plain(f"Offer {offer.item} is left aside: {why}"))
    to.print()
    if note := price_note(market.costs):
        to.print(plain(note))
    if report is not None:
        to.print(plain(f"Written: {report}"))
    to.print(plain(turns_on("choice", invented=market.costs.invented).mark.as_weakest))
    print_caution(to)


def _print_purchases(to: Console, found: Deliberation) -> None:
    """What is ordered, and the named purchases side by side."""
    from longhold.documents.choice_words import choice_lines, sure_words

    market = found.market
    _print_packs(to, found.chosen, market)
    to.print()
    heads = ("", "Today", "Over the life", f"Every joint reaches, {sure_words(market)}", "Proof")
    rows = choice_lines(found.named, market)
    show_rows(to, heads, rows, [""] * len(rows))
    to.print()


def _print_bought(to: Console, chosen: Choice, market: Market) -> None:
    from longhold.choose.bill import line_of
    from longhold.documents.choice_words import buy_words, chance_words
    from longhold.documents.cost_rows import split_words
    from longhold.documents.joint_ids import joints_words

    rows = [
        (
            joints_words(one.group.ids, one.group.quantity),
            "\n".join(buy_words(one)),
            chance_words(one.option.trial),
            split_words(line_of(one, market)),
        )
        for one in chosen.bought
    ]
    heads = ("Joints", "Buy", "Chance of the life", f"Over the life, {chosen.currency}")
    show_rows(to, heads, rows, [""] * len(rows))


def _print_left_out(to: Console, left_out: Sequence[Conflict], market: Market) -> None:
    from longhold.choose.ways_out import ways_out
    from longhold.documents.choice_words import left_out_words
    from longhold.documents.way_words import way_words

    for one in left_out:
        to.print(plain(left_out_words(one, market)))
        for out in ways_out(one, market.setting):
            to.print(plain(f"  To get something: {way_words(out, market)}"))


def _print_packs(to: Console, chosen: Choice, market: Market) -> None:
    from longhold.documents.choice_words import spare_words, today_words
    from longhold.documents.cost_rows import summed_words, visits_words

    heads = ("Item", "What", "Packs", f"Price, {chosen.currency}")
    rows = []
    for item, count in sorted(chosen.purchase.packs.items()):
        found, box = market.fitting[item], chosen.boxes[item]
        what = f"{found.offer.part.kind_words} {found.offer.size}, {found.protection.designation}"
        rows.append((item, what, f"{count} of {box.pack}", f"{box.price * count:,.2f}"))
    show_rows(to, heads, rows, [""] * len(rows))
    to.print(plain(today_words(chosen)))
    for said in spare_words(chosen):
        to.print(plain(said))
    to.print(plain(summed_words(chosen, market)))
    if visits := visits_words(chosen, market):
        to.print(plain(visits))


def _print_beside(to: Console, found: Deliberation) -> None:
    from longhold.documents.choice_words import (
        age_words,
        change_words,
        cut_words,
        money_band,
        substitution_words,
        sure_words,
        turn_words,
        undecided_words,
    )

    market = found.market
    if len(found.frontier.choices) > 1:
        to.print(
            f"Least cost over the life for every joint to reach an age, {sure_words(market)}:", style="bold"
        )
        for one in found.frontier.choices:
            cost = money_band(one.over_life, one.currency)
            to.print(plain(f"  {age_words(one.sure_years, market)}: {cost}"))
        if cut := cut_words(found.frontier):
            to.print(cut)
    if found.substitution is not None:
        to.print()
        to.print(plain(substitution_words(found.substitution, market)), style="bold")
        heads = ("Joints", "Now", "Instead", f"Reached, {sure_words(market)}", "More over the life")
        rows = [change_words(one, market) for one in found.substitution.changes]
        if rows:
            show_rows(to, heads, rows, [""] * len(rows))
        _print_left_out(to, found.substitution.lost, market)
    if found.turns is not None:
        to.print("\nWhat could change the choice, if it were known:", style="bold")
        for turn in found.turns.found:
            to.print(plain(f"  {turn_words(turn, market.costs.currency)}"))
        undecided = undecided_words(found.turns)
        if not found.turns.found and not undecided:
            to.print("  no single input, known to lie in half of its band, would.")
        if undecided:
            to.print(plain(f"  {undecided}"))
