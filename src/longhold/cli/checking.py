"""Command ``validate``: Longhold's answers against a check file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from longhold.validate.area import ValidationResult

__all__ = ["COLUMNS", "validate"]

_SHOWN = 40
# written out, so that the help does not load every area; a test holds them equal
COLUMNS = {
    "labels": "kind (label_parse or convert), input, expected, unit",
    "layers": "kind (zinc_life, PREN, duplex, breakdown, rust ...), input, expected, unit",
    "emc": "temp_F, rh_pct, emc_pct_published",
    "strength": "standard, table, fastener, designation, D_in, side_member, ls_in, main_in, G, theta_main, "
    "theta_side, shear, quantity, tabulated, rounding; or hand values: case, quantity, unit, "
    "expected or value, status, source",
    "codes": "check_type, jurisdiction, code, edition, application, treatment, exposure, service_class, "
    "nz_zone, nz_env, distance_to_sea_m, height_above_ground_mm, item, size_mm, offered_finish, "
    "maker_recommendation, site_note, expected, deciding_rule_ids",
    "air": "group, site, lat, lon, T_C, RH_pct, Sd_Cl_mg_m2_d, SO2_ug_m3, Pd_SO2_mg_m2_d, dist_sea_km, "
    "steel_um_y1, zinc_um_y1, copper_um_y1, aluminium, aluminium_unit",
    "wood": "kind, metal, coating, wood_treatment, retention, condition, duration_yr, quantity, "
    "compared_with, value_low, value_high, unit; or for moisture outdoors state, city, jan to dec",
    "acceptance": "kind (accept, repair_limit or D610_grade), input, expected, unit",
}
_FILE_HELP = "Rows with what is expected. Columns that a file needs, by area: " + " ".join(
    f"{area.upper()}: {columns}." for area, columns in COLUMNS.items()
)


def validate(
    area: Annotated[
        str,
        typer.Argument(
            metavar="AREA",
            help="labels (what labels promise), layers (life of zinc and paint, rust, pitting numbers), "
            "emc (moisture content of wood at rest in air), strength (design values of connections), codes "
            "(verdicts of building codes), air (first-year loss), wood (loss in wood, or moisture of wood "
            "outdoors) or acceptance (samples, pass or fail of a lot, repair of bare spots).",
        ),
    ],
    file: Annotated[Path, typer.Argument(metavar="FILE.csv", help=_FILE_HELP)],
    json: Annotated[
        bool, typer.Option("--json", metavar="", help="Print only JSON, with every row.")
    ] = False,
) -> None:
    """Answer every row of a check file, then compare each answer with what the row expects."""
    from longhold.cli.show import progress_bar
    from longhold.validate.run import validate_file

    with progress_bar("Answering rows") as progress:
        result = validate_file(area, file, progress)
    if json:
        from json import dumps

        print(dumps(result.as_json(), indent=2, ensure_ascii=False))
    else:
        _print(result)


def _print(result: ValidationResult) -> None:
    from longhold.cli.show import console, counted, show_rows
    from longhold.validate.run import AREAS

    to = console()
    to.print(f"{result.area}: {AREAS[result.area].words}")
    off = [one for one in result.details if one.right is not True]
    rows = [
        (one.row, "not answered" if one.right is None else "not right", one.expected, one.got, one.why)
        for one in off[:_SHOWN]
    ]
    if rows:
        show_rows(to, ("Row", "", "Expected", "Got", "Why"), rows)
    if len(off) > _SHOWN:
        to.print(f"and {counted(len(off) - _SHOWN, 'row', 'rows')} more; --json lists all.")
    for name, value in result.figures.items():
        to.print(f"{name.replace('_', ' ')}: {value:,}")
    for table in result.tables:
        to.print(f"\n{table.title}")
        for line in _columns((table.heads, *table.rows)):
            to.print(line, soft_wrap=True)
    if result.skipped:
        to.print(f"{counted(len(result.skipped), 'row', 'rows')} of other kinds skipped.")
    to.print(
        f"{result.area}: {counted(result.rows, 'row', 'rows')}, {result.answered:,} answered, "
        f"{result.right:,} right."
    )


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Short cells as lines with columns: words to the left, figures to the right.

    >>> _columns([("Metal", "Sites"), ("zinc", "9")])
    ['Metal  Sites', 'zinc       9']
    """
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    figures = [all(cell[:1].isdigit() for cell in column[1:]) for column in zip(*rows, strict=True)]
    return [
        "  ".join(
            cell.rjust(width) if number else cell.ljust(width)
            for cell, width, number in zip(row, widths, figures, strict=True)
        ).rstrip()
        for row in rows
    ]
