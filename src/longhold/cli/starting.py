"""Commands for structure files themselves: ``new``, ``convert`` and ``schema``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["convert", "new", "schema"]


def new(
    file: Annotated[Path, typer.Argument(help="Where to write it; - prints it.")] = Path("structure.toml"),
) -> None:
    """Write a structure file to start from: commented text, or a workbook to fill in if it ends in .xlsx."""
    from longhold.intake.starter_file import starter

    if str(file) == "-":
        print(starter(), end="")
        return
    from longhold.cli.output import check_target, write_new

    check_target(file, "FILE")
    if file.suffix.lower() == ".xlsx":
        from longhold.intake.sheet_writing import structure_workbook

        write_new(file, structure_workbook(None))
        print(f"Wrote {file}. Fill it in, then: longhold assess {file}")
        return
    write_new(file, starter())
    print(f"Wrote {file}. Change it to your structure, then: longhold assess {file}")


def convert(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Structure file: TOML, JSON or XLSX.")],
    target: Annotated[Path, typer.Argument(metavar="TARGET", help="Where to write it: .toml, .json, .xlsx.")],
    replace: Annotated[
        bool, typer.Option("--replace", metavar="", help="Write over TARGET if it is there.")
    ] = False,
) -> None:
    """Write a structure file in another form, which says the same."""
    from longhold.cli.output import check_target, refuse_overwriting, write_new, write_whole
    from longhold.intake.convert import check_form, converted

    check_form(target)
    check_target(target, "TARGET")
    refuse_overwriting(target, "TARGET", [file])
    made = converted(file, target)
    if replace:
        write_whole(target, made)
    else:
        write_new(target, made, "TARGET", "Choose another name, or add --replace.")
    print(f"Wrote {target}, which says what {file} says.")


def schema() -> None:
    """Print the JSON Schema of the structure file."""
    from longhold.intake.json_schema import schema as structure_schema

    print(json.dumps(structure_schema(), indent=2, ensure_ascii=False))
