"""Commands ``compare`` and ``meets``: labels beside each other, and what meets a demand."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from longhold.cli.options import JsonOnly

if TYPE_CHECKING:
    from rich.console import Console

    from longhold.base.quantities import System
    from longhold.documents.coat_rows import CoatBar
    from longhold.labels.demand import Demand, Group

__all__ = ["compare", "meets"]

_ONE_LINE = 110
_NAME = 44
_BESIDE = 46  # cells that the figures beside a designation take


def compare(
    labels: Annotated[
        list[str], typer.Argument(metavar="LABEL...", help="Words of one label each, in quotes.")
    ],
    svg: Annotated[
        Path | None, typer.Option(metavar="OUT.svg", help="Draw the bars and their table into this file.")
    ] = None,
    units: Annotated[
        Literal["us", "si"], typer.Option(help="Which unit the bars tell first: mil or micrometers.")
    ] = "si",
    json: JsonOnly = False,
) -> None:
    """Lay labels side by side on one basis: what one face carries, least and expected.

    A label that cannot be read says why beside the others; the exit code is 2 only if none can be read.
    Example: longhold compare G185 "ASTM A153 class D" "316 stainless" --svg coats.svg
    """
    from longhold.cli.output import check_target, write_whole
    from longhold.cli.show import console, plain, show_rows
    from longhold.documents.coat_rows import coat_bars, coat_heads, coat_notes, coat_table, comparison_json
    from longhold.labels.compare import compare_labels

    if svg is not None:
        check_target(svg, "--svg", ".svg")
    found = compare_labels(labels)
    if svg is not None:
        from longhold.documents.coat_chart import coat_chart

        write_whole(svg, coat_chart(found, units))
    if json:
        _print_json(comparison_json(found))
        return
    to = console()
    _print_bars(to, coat_bars(found), units)
    to.print()
    show_rows(to, coat_heads, coat_table(found))
    for note in coat_notes(found):
        to.print(plain(note))
    if svg is not None:
        to.print(plain(f"Drawing: {svg}"))


def meets(
    demand: Annotated[
        list[str],
        typer.Argument(metavar="DEMAND", help='Such as "0.9 oz/ft2 per face", or "45 um".'),
    ],
    form: Annotated[
        Literal["sheet", "article", "fastener", "wire"] | None,
        typer.Option(help="Only this form: coated sheet, article dipped after making, fastener, or wire."),
    ] = None,
    json: JsonOnly = False,
) -> None:
    """List the designations that carry so much zinc, least first, and those that just miss.

    A mass needs its basis: "per face" or "both faces". A thickness is on one face.
    """
    from longhold.documents.coat_rows import demand_json
    from longhold.labels.demand import designations_for, read_demand

    asked = read_demand(" ".join(demand))
    groups = designations_for(asked, form)
    if json:
        _print_json(demand_json(asked, groups))
        return
    _print_groups(asked, groups)


def _print_json(plain: object) -> None:
    from json import dumps

    print(dumps(plain, indent=2, ensure_ascii=False, allow_nan=False))


def _print_bars(to: Console, bars: Sequence[CoatBar], units: System) -> None:
    from rich.padding import Padding

    from longhold.cli.show import plain
    from longhold.documents.coat_rows import bar_most

    solid, light = ("█", "░") if _draws_blocks(to) else ("#", "-")
    to.print(f"On one face: {solid} the least it may carry, {light} up to what is expected", style="bold")
    most = bar_most(bars)
    wide = to.width >= _ONE_LINE
    cells = to.width - (_NAME + 54 if wide else 58)
    cells = max(10, min(cells, 72))
    for bar in bars:
        name = _name(bar)
        told = _bar_line(bar, most, cells, solid, light, units)
        if wide and len(name) < _NAME and len(told) < to.width - _NAME:
            to.print(plain(f"{name:<{_NAME}}{told}"), soft_wrap=True)
        else:
            to.print(plain(name))
            to.print(Padding(plain(told), (0, 0, 0, 3), expand=False))


def _draws_blocks(to: Console) -> bool:
    return to.encoding.lower().startswith("utf")


def _name(bar: CoatBar) -> str:
    if not bar.label:
        return f"  or: {bar.name}"
    return bar.label if bar.label == bar.name else f"{bar.label}: {bar.name}"


def _bar_line(bar: CoatBar, most: float, cells: int, solid: str, light: str, units: System) -> str:
    from longhold.documents.coat_rows import bar_cells, thickness_columns

    if bar.expected_um is None and bar.least_um is None:
        return bar.words
    expected = bar.expected_um if bar.expected_um is not None else bar.least_um or 0.0
    least = bar_cells(bar.least_um or 0.0, most, cells)
    drawn = solid * least + light * max(0, bar_cells(expected, most, cells) - least)
    coat = f", {bar.words}" if bar.words else ""
    first, second = (_figures(bar, number) for number in thickness_columns(units))
    left_open = ", least not stated" if bar.least_um is None else ""
    return f"{drawn} {first} ({second}){left_open}{coat}".lstrip()


def _figures(bar: CoatBar, number: int) -> str:
    """Least and expected of a bar in one unit of thickness."""
    from longhold.documents.coat_rows import UNIT_NAMES

    least, expected = bar.least[number], bar.expected[number]
    told = expected if bar.least_um is None or least == expected else f"{least} to {expected}"
    return f"{told} {UNIT_NAMES[number]}"


def _print_groups(demand: Demand, groups: Sequence[Group]) -> None:
    from rich.padding import Padding

    from longhold.cli.show import console, counted, plain
    from longhold.documents.coat_rows import UNIT_WORDS, demand_words, weakest_words
    from longhold.labels.demand import FORMS

    to = console()
    to.print(f"Asked: at least {demand_words(demand)}.", style="bold")
    met = sum(one.how in ("least", "both", "expected") for group in groups for one in group.candidates)
    sure = sum(one.how == "least" for group in groups for one in group.candidates)
    if met:
        to.print(
            f"{counted(met, 'designation is', 'designations are')} expected to carry it; {sure} of them even"
            " at the least that the standard allows on one face."
        )
    else:
        to.print("No designation held here carries it.")
    form = ""
    for group in groups:
        to.print()
        if group.form != form:
            to.print(FORMS[group.form], style="bold")
            form = group.form
        to.print(plain(f"{group.standard}, in {UNIT_WORDS[demand.unit]} on one face"))
        for kinds in (f"least: {group.least_is}", f"expected: {group.expected_is}"):
            to.print(Padding(plain(kinds), (0, 0, 0, 2), expand=False), style="dim")
        _print_candidates(to, demand, group)
    to.print()
    if groups:
        to.print(weakest_words(group.mark for group in groups))
    to.print("Aluminium-zinc and zinc flake are left out: a demand for zinc does not cover them.")
    to.print(
        "The code says whether the mean or the least of a face counts; if it does not, ask the official."
    )


def _print_candidates(to: Console, demand: Demand, group: Group) -> None:
    from textwrap import wrap

    from rich.padding import Padding
    from rich.table import Table

    from longhold.cli.show import plain
    from longhold.documents.coat_rows import meets_words, shown

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_header=True, header_style="dim")
    width = max(24, min(to.width - _BESIDE, 60))
    table.add_column("Designation", min_width=min(34, width), no_wrap=True)
    table.add_column("Least", justify="right")
    table.add_column("Expected", justify="right")
    table.add_column("Meets it?")
    for one in group.candidates:
        table.add_row(
            "\n".join(wrap(plain(one.designation), width, subsequent_indent="  ")),
            shown(one.least, demand.unit) or "-",
            shown(one.expected, demand.unit),
            meets_words(one.how, one.least),
        )
    to.print(Padding(table, (0, 0, 0, 2), expand=False))
