"""Commands for the first structure file: ``new`` and ``schema``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["new", "schema"]


def new(
    file: Annotated[Path, typer.Argument(help="Where to write it; - prints it.")] = Path("structure.toml"),
) -> None:
    """Write a commented structure file to start from."""
    from longhold.intake.starter_file import starter

    if str(file) == "-":
        print(starter(), end="")
        return
    from longhold.cli.output import check_target, write_new

    check_target(file, "FILE")
    write_new(file, starter())
    print(f"Wrote {file}. Change it to your structure, then: longhold assess {file}")


def schema() -> None:
    """Print the JSON Schema of the structure file."""
    from longhold.intake.json_schema import schema as structure_schema

    print(json.dumps(structure_schema(), indent=2, ensure_ascii=False))
