"""Structures of a folder of files, each read for itself: a bad one is told and stops nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from longhold.base.errors import InputError, Problem
from longhold.intake.load import load
from longhold.model.structure import Structure
from longhold.portfolio.engine import Engine
from longhold.portfolio.gathering import Gathered, Gathering

__all__ = ["gather_folder"]

_ENDINGS = {".toml", ".json", ".xlsx", ".ifc"}
_AT_ONCE = 25


def gather_folder(folder: Path, engine: Engine, without: Path | None = None) -> Gathered:
    """Every structure file of a folder and of those below it.

    Parameters
    ----------
    folder : in which they lie
    engine : reads them, on this machine
    without : a folder in it that holds no structures but results

    Raises
    ------
    InputError : there is no such folder, or no structure file in it
    """
    named = (file for file in folder.rglob("*") if file.suffix.casefold() in _ENDINGS)
    files = sorted(file for file in named if file.is_file() and not _is_in(file, without))
    if not files:
        said = "holds no structure file."
        raise InputError(Problem(str(folder), None, said, "Structure files end in .toml, .json or .xlsx."))
    starts = range(0, len(files), _AT_ONCE)
    batches = [files[start : start + _AT_ONCE] for start in starts]
    read = dict(engine.each(_read, batches))
    gathering = Gathering()
    for place, batch in enumerate(batches):
        for file, found in zip(batch, read[place], strict=True):
            name = str(file.relative_to(folder))
            if isinstance(found, Structure):
                gathering.add(found, name)
            else:
                gathering.refuse(name, found)
    return gathering.gathered()


def _is_in(file: Path, folder: Path | None) -> bool:
    return folder is not None and file.resolve().is_relative_to(folder.resolve())


def _read(files: Sequence[Path]) -> list[Structure | str]:
    """Each file's structure, or why there is none."""
    found: list[Structure | str] = []
    for file in files:
        if file.suffix.casefold() == ".ifc":
            found.append("a building model: write its structure file first, with 'longhold draft'.")
            continue
        try:
            found.append(load(file))
        except InputError as error:
            found.append("; ".join(map(_told, error.problems)))
    return found


def _told(problem: Problem) -> str:
    """A problem in a list of many files; where a whole file is no structure, without what to do about it."""
    return f"{problem.where} {problem.allowed}" if problem.where == "the file" else str(problem)
