"""Command ``air``: what the air at a position, or at the site of a file, does to bare metal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from longhold.cli.options import Draws, JsonOnly, ReportFile, Seed

if TYPE_CHECKING:
    from rich.console import Console

    from longhold.assessment.air_line import AirFinding
    from longhold.base.quantities import System
    from longhold.documents.air_table import Table
    from longhold.forecast.exposure import AirLaw
    from longhold.model.site import Site

__all__ = ["air"]

_OPTION_OF = {
    "elevation": "--elevation",
    "distance_to_salt_water": "--distance",
    "shore": "--shore",
    "name": "--name",
    "air.chloride": "--chloride",
    "air.setting": "--setting",
}
_MOST_ALSO = 9


def air(
    context: typer.Context,
    where: Annotated[
        list[str],
        typer.Argument(
            metavar="LAT LON | FILE",
            help="A position in decimal degrees, north and east positive, or a structure or site file.",
        ),
    ],
    elevation: Annotated[
        str | None, typer.Option(metavar='"1200 ft"', help="Height above the sea; from a map if not given.")
    ] = None,
    distance: Annotated[
        str | None,
        typer.Option(metavar='"150 ft"', help="To salt water; found from the shoreline if not given."),
    ] = None,
    shore: Annotated[
        Literal["surf", "sheltered"] | None, typer.Option(help="Kind of the nearest shore.")
    ] = None,
    setting: Annotated[
        Literal["rural", "urban", "industrial"] | None, typer.Option(help="Surroundings, for sulphur.")
    ] = None,
    chloride: Annotated[
        str | None, typer.Option(metavar='"60 mg/m2/d"', help="Measured chloride deposition.")
    ] = None,
    also: Annotated[
        list[str] | None,
        typer.Option(
            metavar='"LAT,LON NAME"',
            help="Compare this place too; may be repeated, up to 9 times. What other options say of the site "
            "holds for the first place only.",
        ),
    ] = None,
    name: Annotated[str | None, typer.Option(help="Name of the place.")] = None,
    years: Annotated[float, typer.Option(min=1, max=200, help="Age to which losses are told.")] = 50.0,
    air_law: Annotated[
        Literal["both", "calibrated", "printed"],
        typer.Option(
            help="Loss in air: ISO 9223 as printed, moved to measured sites, or each in half the draws."
        ),
    ] = "both",
    units: Annotated[
        Literal["us", "si"] | None, typer.Option(help="Units of the answer; us if no file says.")
    ] = None,
    report: ReportFile = None,
    json: JsonOnly = False,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Say what the air of a place does to bare zinc, steel, copper and aluminium, offline.

    Examples: longhold air 33.97 -77.92, or: longhold air structure.toml --report air.html
    """
    from longhold.cli.output import check_target, write_whole
    from longhold.intake.position import looks_like_position

    _refuse_unknown_options(context, where)
    if report is not None:
        check_target(report, "--report", ".html")
    of_site = {
        "name": name,
        "elevation": elevation,
        "distance_to_salt_water": distance,
        "shore": shore,
        "air": _without_none({"chloride": chloride, "setting": setting}) or None,
    }
    first, joints, system = _first(where, _without_none(of_site))
    sites = [first, *map(_also, also or [])]
    _check_count(len(sites))
    of_file = None if looks_like_position(where) else where[0]
    findings = _assessed(sites, of_file, years, air_law, draws, seed)
    shown: System = units or system
    if report is not None:
        from datetime import date

        from longhold.documents.air_page import air_html

        write_whole(report, air_html(findings, date.today(), shown, joints))
    if json:
        _print_json(findings, shown)
    else:
        _print_tables(findings, shown, joints, report)


def _refuse_unknown_options(context: typer.Context, words: Sequence[str]) -> None:
    """Options that are none land among the words, since a negative longitude must."""
    from difflib import get_close_matches

    from longhold.intake.position import negative

    for word in words:
        if word.startswith("-") and word != "-" and not negative(word):
            known = [name for one in context.command.params for name in one.opts if name.startswith("-")]
            close = get_close_matches(word.split("=")[0], known, n=1)
            hint = f" Did you mean {close[0]}?" if close else ""
            raise typer.BadParameter(f"there is no option {word.split('=')[0]}.{hint}", ctx=context)


def _first(
    words: Sequence[str], of_site: dict[str, Any]
) -> tuple[Site, Mapping[str, Sequence[str]] | None, System]:
    """The first site, the joints of its structure by place, and units."""
    from longhold.base.errors import InputError, Problem
    from longhold.intake.load import load_structure_or_site
    from longhold.intake.position import looks_like_position, read_position
    from longhold.model.structure import Structure

    if looks_like_position(words):
        return _site(*read_position(words, "LAT LON"), of_site), None, "us"
    if of_site:
        option = next(_OPTION_OF.get(key, "--setting, --chloride") for key in of_site)
        raise InputError(Problem(option, None, "goes with a position.", f"Write it into {words[0]} instead."))
    found = load_structure_or_site(Path(words[0]))
    if not isinstance(found, Structure):
        return found, None, "us"
    joints: dict[str, list[str]] = {}
    for joint in found.joints:
        joints.setdefault(joint.place, []).append(joint.id)
    return found.site, joints, found.units


def _also(text: str) -> Site:
    """A place to compare, named after its position if at all."""
    from longhold.intake.position import read_named_position

    position, name = read_named_position(text, "--also")
    return _site(*position, {"name": name} if name else {})


def _site(latitude: float, longitude: float, of_site: dict[str, Any]) -> Site:
    from longhold.base.errors import InputError, Problem
    from longhold.documents.site_view import position_words
    from longhold.intake.load import site_of

    name = position_words(latitude, longitude)
    try:
        return site_of({"name": name, **of_site, "latitude": latitude, "longitude": longitude})
    except InputError as error:
        told = (Problem(_OPTION_OF.get(p.where, p.where), p.value, p.allowed, p.do) for p in error.problems)
        raise InputError(*told) from None


def _check_count(count: int) -> None:
    from longhold.base.errors import InputError, Problem

    if count > _MOST_ALSO + 1:
        raise InputError(
            Problem("--also", None, f"stands {count - 1} times; at most {_MOST_ALSO} fit one page.")
        )


def _assessed(
    sites: Sequence[Site], of_file: str | None, years: float, law: AirLaw, draws: int, seed: int
) -> list[AirFinding]:
    from longhold.assessment.air_line import assess_air
    from longhold.base.errors import InputError
    from longhold.cli.show import progress_bar

    found: list[AirFinding] = []
    with progress_bar("Places") as progress:
        for site in sites:
            try:
                found.append(assess_air(site, draws=draws, seed=seed, years=years, air_law=law))
            except InputError as error:
                named = of_file if not found and of_file else site.name if len(sites) > 1 else None
                raise (error if named is None else error.in_file(named)) from None
            if progress is not None:
                progress(len(found), len(sites))
    return found


def _without_none(given: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in given.items() if value is not None}


def _print_json(findings: Sequence[AirFinding], system: System) -> None:
    from json import dumps

    from longhold.documents.exchange import air_json

    plain = [air_json(one, system) for one in findings]
    whole = plain if len(plain) > 1 else plain[0]
    print(dumps(whole, indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False))


def _print_tables(
    findings: Sequence[AirFinding],
    system: System,
    joints: Mapping[str, Sequence[str]] | None,
    report: Path | None,
) -> None:
    from longhold.cli.show import console, plain, print_caution, show_lines
    from longhold.documents.air_compare import compared
    from longhold.documents.air_table import air_tables, compare_table

    to = console()
    if len(findings) > 1:
        to.print(plain(compared(findings, system)), style="bold")
        _print_table(to, compare_table(findings, system))
        if report is None:
            to.print("All about each place stands in the page: --report OUT.html")
    else:
        told = air_tables(findings[0], system, joints)
        first, *others = told.says
        to.print(plain(told.name if told.name == told.position else f"{told.name}, {told.position}"))
        to.print(plain(first), style="bold")
        for line in others:
            to.print(plain(line))
        for table in told.tables:
            _print_table(to, table)
        to.print()
        show_lines(to, told.measure, told.ranking)
        to.print()
        show_lines(to, "What was assumed", told.assumed)
    print_caution(to)
    if report is not None:
        to.print(plain(f"Report: {report}"))


def _print_table(to: Console, table: Table) -> None:
    from longhold.cli.show import plain, show_rows

    to.print()
    to.print(plain(table.title), style="bold")
    show_rows(to, table.heads, table.rows)
