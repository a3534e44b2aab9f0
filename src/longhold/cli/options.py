"""Options that many commands take, with the same words in each."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["CostsFile", "Draws", "JsonOnly", "Limit", "ReadingsFirst", "ReportFile", "Seed"]

Draws = Annotated[int, typer.Option(min=200, max=100_000, help="Draws of the uncertain inputs.")]
Seed = Annotated[int, typer.Option(min=0, help="Seed of the draws.")]
JsonOnly = Annotated[bool, typer.Option("--json", metavar="", help="Print only JSON.")]
ReportFile = Annotated[
    Path | None, typer.Option(metavar="OUT.html", help="Write a page for people to this file.")
]
CostsFile = Annotated[
    Path, typer.Option(metavar="COSTS.toml", help="Currency, labor and what else costs money.")
]
ReadingsFirst = Annotated[
    Path | None, typer.Option(metavar="READINGS", help="Table of readings that correct the forecast first.")
]
Limit = Annotated[
    float | None,
    typer.Option(
        metavar="CHANCE",
        help="Greatest chance of being below before the next visit, such as 0.05, our own figure.",
    ),
]
