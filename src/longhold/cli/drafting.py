"""Building models: command ``draft``, and findings written back by ``assess``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment
    from longhold.base.ifc_file import IfcModel
    from longhold.model.structure import Structure

__all__ = ["draft", "model_to_write", "write_findings"]

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


def model_to_write(
    ifc: Path | None, ifc_out: Path | None, structure: Structure, inputs: Sequence[Path]
) -> IfcModel:
    """The model that findings are to go into, refused before any work is done where they cannot.

    Raises
    ------
    InputError : one of the two options alone, an output that is an input or no .ifc, a model that is no use
    """
    from longhold.base.errors import InputError, Problem
    from longhold.base.ifc_file import open_ifc
    from longhold.cli.output import check_target, refuse_overwriting
    from longhold.documents.ifc_writing import check_writable

    if ifc is None or ifc_out is None:
        given, wanted = (
            ("--ifc", "--ifc-out OUT.ifc") if ifc_out is None else ("--ifc-out", "--ifc MODEL.ifc")
        )
        raise InputError(
            Problem(given, None, f"needs {wanted} beside it.", "The model is never written over.")
        )
    if ifc_out.suffix.lower() != ".ifc":
        raise InputError(Problem("--ifc-out", str(ifc_out), "must end in .ifc."))
    check_target(ifc_out, "--ifc-out", ".ifc")
    refuse_overwriting(ifc_out, "--ifc-out", [ifc, *inputs])
    model = open_ifc(ifc)
    check_writable(model, structure)
    return model


def write_findings(model: IfcModel, target: Path, assessment: Assessment) -> None:
    """Write a model with findings whole, and say on the error stream what was not written."""
    from datetime import date

    from longhold.cli.output import write_whole
    from longhold.cli.show import counted
    from longhold.documents.ifc_writing import with_findings

    made = with_findings(model, assessment, as_of=date.today())
    write_whole(target, made.text)
    on = counted(made.elements, "element", "elements")
    print(
        f"Wrote {target}: findings on {on}, in Longhold_Forecast and the standard's own sets.",
        file=sys.stderr,
    )
    for name, count in made.left.items():
        had = counted(count, "element has", "elements have")
        print(f"{had} {name} already: left as it is.", file=sys.stderr)
    if made.not_found:
        first = ", ".join(made.not_found[:_LISTED])
        print(f"Not in the model, so not written: {first} ({len(made.not_found):,} in all).", file=sys.stderr)
