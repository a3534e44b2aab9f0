"""Command ``draft``: a building model to a structure file that asks for what the model leaves open."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["draft"]

_LISTED = 20


def draft(
    model: Annotated[Path, typer.Argument(metavar="MODEL.ifc", help="Building model, IFC4 or IFC4.3.")],
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="Where to write the structure file; - prints it.")
    ] = Path("-"),
) -> None:
    """Draft a structure file from a building model, with blanks for what the model does not say."""
    from longhold.cli.output import check_target, write_new
    from longhold.cli.show import counted, plain
    from longhold.intake.ifc_draft import draft_from_ifc

    to_terminal = str(file) == "-"
    if not to_terminal:
        check_target(file, "FILE")
    made = draft_from_ifc(model)
    if to_terminal:
        print(made.text, end="")
        return
    write_new(file, made.text)
    pieces = counted(made.pieces, "piece of metal", "pieces of metal")
    print(f"Wrote {file}: {pieces} in {counted(made.joints, 'joint', 'joints')}.")
    blanks = counted(made.missing, "blank is", "blanks are")
    print(f"{blanks} marked MISSING: fill them, then: longhold assess {file}")
    if made.not_understood:
        print(f"Not understood and left out: {len(made.not_understood):,}, listed at the top of the file.")
        for one in made.not_understood[:_LISTED]:
            print(plain(f"  {one}"))
        if (more := len(made.not_understood) - _LISTED) > 0:
            print(f"  and {more:,} more")
