"""Command ``choose``: which offers for which joint, at least cost over the life."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.pairs import pair, pairs

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from rich.console import Console

    from longhold.choose.alternatives import Turn
    from longhold.choose.choice import Bought, Choice, Market
    from longhold.intake.offers import OfferList

__all__ = ["choose"]


def choose(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Structure file: TOML, JSON or XLSX.")],
    offers: Annotated[
        Path, typer.Option(metavar="LIST", help="What can be bought, with prices: CSV or XLSX.")
    ],
    costs: Annotated[
        Path, typer.Option(metavar="COSTS.toml", help="Currency, labor and what else costs money.")
    ],
    column: Annotated[
        list[str] | None,
        typer.Option(metavar="OURS=THEIRS", help="Head of a column in the list, such as item=Art.No."),
    ] = None,
    columns: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="How the list is read, as 'longhold offers' wrote it."),
    ] = None,
    sheet: Annotated[str, typer.Option(metavar="NAME", help="Sheet of the list, if it has several.")] = "",
    lock: Annotated[
        list[str] | None,
        typer.Option(metavar="JOINT.PART=ITEM", help="Use this item there; may be repeated."),
    ] = None,
    ban: Annotated[
        list[str] | None, typer.Option(metavar="ITEM", help="Do not use this item; may be repeated.")
    ] = None,
    turning: Annotated[
        bool,
        typer.Option("--turning", metavar="", help="Show which uncertain input could change the choice."),
    ] = False,
    papers: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            help="Write schedule, order, submittal and site card into this folder, or all of them into one "
            "file that ends in .pdf, .xlsx or .html.",
        ),
    ] = None,
    draws: Annotated[int, typer.Option(min=200, max=20_000, help="Draws of the uncertain inputs.")] = 1000,
    seed: Annotated[int, typer.Option(min=0, help="Seed of the draws.")] = 1,
) -> None:
    """Choose what to buy for every joint: what the code allows and lasts, at least cost over the life."""
    from longhold.choose.alternatives import named_alternatives
    from longhold.choose.choice import market_for
    from longhold.cli.papering import check_papers, write_papers
    from longhold.cli.show import progress_bar
    from longhold.intake.load import load, load_costs
    from longhold.intake.offers import load_offers
    from longhold.intake.remembered_lists import load_columns

    if papers is not None:
        check_papers(papers, [file, offers, costs])
    how = load_columns(columns) if columns is not None else None
    theirs = pairs(column or [], "--column", "OURS=THEIRS, such as item=Art.No.")
    structure, money = load(file), load_costs(costs)
    listed = load_offers(offers, theirs, how, sheet=sheet)
    with progress_bar("Trying offers"):
        market = market_for(
            structure,
            listed.offers,
            money,
            locks=_locks(lock or []),
            bans=frozenset(ban or []),
            draws=draws,
            seed=seed,
        )
    alternatives = named_alternatives(market)
    _print(market, alternatives, listed, turning)
    _, chosen, _ = alternatives
    if papers is not None:
        write_papers(papers, market, chosen, draws=draws, seed=seed)
    if chosen.left_out:
        raise typer.Exit(1)


def _locks(given: Sequence[str]) -> dict[tuple[str, str], str]:
    found = {}
    for one in given:
        where, item = pair(one, "--lock", "JOINT.PART=ITEM, such as J02.hanger=HA-101.")
        joint, _, part = where.rpartition(".")
        found[joint, part] = item
    return found


def _print(market: Market, alternatives: Sequence[Choice], listed: OfferList, turning: bool) -> None:
    from longhold.choose.alternatives import frontier, turns
    from longhold.cli.show import console, plain, show_rows

    to = console()
    _, chosen, _ = alternatives
    to.print()
    to.print(plain(f"{market.structure.name}: what to buy"), style="bold")
    rows = [_row(one, market) for one in chosen.bought]
    show_rows(to, ("Joints", "Buy", "Chance of the life", "Later costs"), rows, [""] * len(rows))
    _print_left_out(to, chosen)
    to.print()
    heads = ("Item", "What", "Packs", f"Price, {chosen.currency}")
    packs = [
        (item, _what(item, market), f"{count} of {chosen.boxes[item].pack}", f"{_price(chosen, item):,.2f}")
        for item, count in sorted(chosen.purchase.packs.items())
    ]
    show_rows(to, heads, packs, [""] * len(packs))
    to.print()
    _print_alternatives(to, alternatives)
    to.print()
    ages = frontier(market)
    if len(ages) > 1:
        to.print("Least present cost for every joint to reach an age with the asked chance:", style="bold")
        for one in ages:
            to.print(plain(f"  {_age(one.sure_years)}: {float(one.over_life.mean()):,.0f} {one.currency}"))
    if turning:
        _print_turns(to, turns(market, chosen))
    if listed.read_by:
        to.print(plain(f"The list is read as {listed.read_by} remembers it."))
    for line, why in listed.refused[:20]:
        to.print(plain(f"Line {line} of the list is no offer: {why}"))
    if len(listed.refused) > 20:
        to.print(f"and {len(listed.refused) - 20:,} more lines; 'longhold offers' shows them all.")
    for offer, why in market.unread[:20]:
        to.print(plain(f"Offer {offer.item} is left aside: {why}"))
    to.print()
    to.print("A forecast, not a certificate: the code, its official and a licensed engineer decide.")


def _row(one: Bought, market: Market) -> tuple[str, str, str, str]:
    ids = one.group.ids
    named = ", ".join(ids[:4]) + (f" and {len(ids) - 4} more" if len(ids) > 4 else "")
    buy = "\n".join(
        f"{part.id}: {chosen.offer.item}, {chosen.protection.designation}"
        for part, chosen in zip(one.group.joint.parts, one.option.offers, strict=True)
    )
    chance = one.option.trial.chance or 0.0
    low, high = _ends(one.later)
    spread = f"{float(one.later.mean()):,.0f} ({low:,.0f} to {high:,.0f})"
    return (
        f"{named} ({one.group.quantity})",
        buy,
        f"{100 * chance:.0f} %",
        f"{spread} {market.costs.currency}",
    )


def _ends(later: NDArray[np.float64]) -> tuple[float, float]:
    import numpy as np

    low, high = np.quantile(later, [0.1, 0.9])
    return float(low), float(high)


def _print_left_out(to: Console, chosen: Choice) -> None:
    from longhold.cli.show import plain
    from longhold.documents.papers.deal import left_out_words

    for one in chosen.left_out:
        to.print(plain(f"{', '.join(one.group.ids)} is left out: {left_out_words(one)}."))


def _what(item: str, market: Market) -> str:
    found = market.fitting[item]
    return f"{found.offer.part.kind_words} {found.offer.size}, {found.protection.designation}"


def _price(choice: Choice, item: str) -> float:
    return choice.boxes[item].price * choice.purchase.packs[item]


def _print_alternatives(to: Console, choices: Sequence[Choice]) -> None:
    from longhold.cli.show import show_rows

    heads = ("", "Today", "Over the life", "Every joint reaches", "Proved within")
    rows = []
    for one in choices:
        low, high = _ends(one.over_life)
        rows.append(
            (
                one.name,
                f"{one.today:,.0f} {one.currency}",
                f"{float(one.over_life.mean()):,.0f} ({low:,.0f} to {high:,.0f})",
                _age(one.sure_years),
                f"{100 * one.purchase.gap:.3g} % of the least",
            )
        )
    show_rows(to, heads, rows, [""] * len(rows))


def _age(years: float) -> str:
    return f"{years:.0f} years" if years < 1e6 else "every age looked at"


def _print_turns(to: Console, found: Sequence[Turn]) -> None:
    from longhold.cli.show import plain

    to.print("\nWhat could change the choice, if it were known:", style="bold")
    if not found:
        to.print("  no single input, known to lie in half of its band, would.")
    for one in found:
        to.print(plain(f"  {one.words}, {one.half} half: {', '.join(one.joints)}"))
