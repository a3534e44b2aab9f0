"""Command ``record``: all that is known of a structure in one archive."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import Draws, Seed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longhold.documents.life_file import HandedIn, LifeFile, Photograph
    from longhold.model.reading import Reading
    from longhold.model.structure import Structure

__all__ = ["record"]

_MOST_BYTES = 1_000_000_000


def record(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Structure file; with --check, a life file.")],
    out: Annotated[Path | None, typer.Option(metavar="LIFE.zip", help="Write the life file here.")] = None,
    readings: Annotated[
        list[Path] | None, typer.Option(metavar="TABLE", help="Table of readings; may be given again.")
    ] = None,
    delivery: Annotated[
        list[Path] | None, typer.Option(metavar="FILE", help="A delivery or the record of its check.")
    ] = None,
    decision: Annotated[
        list[Path] | None, typer.Option(metavar="FILE", help="What was decided, as any file.")
    ] = None,
    photographs: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Every picture of a folder goes in.")
    ] = None,
    check: Annotated[
        bool, typer.Option("--check", metavar="", help="Say whether a life file is as it was written.")
    ] = False,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Put all that is known of a structure into one archive that can be read without Longhold.

    As built, forecast with its readings, deliveries, decisions and photographs: see docs/record.md.
    """
    from longhold.base.errors import InputError, Problem
    from longhold.cli.output import check_target, refuse_overwriting, write_whole
    from longhold.cli.show import console, plain, print_caution

    if check:
        _check(file)
        return
    if out is None:
        raise InputError(Problem("--out", None, "is missing.", "Name the archive: --out life.zip"))
    inputs = [file, *(readings or []), *(delivery or []), *(decision or [])]
    refuse_overwriting(out, "--out", inputs)
    check_target(out, "--out", ".zip")
    life = _life(file, readings or [], delivery or [], decision or [], photographs, draws, seed)
    from longhold.documents.life_file import life_bytes

    content = life_bytes(life, _pdf(life))
    write_whole(out, content)
    to = console()
    for name in life.missing:
        to.print(plain(f"Named by a reading and not handed in: {name}."))
    to.print(plain(f"Written: {out}, {len(content):,} bytes; 'longhold record {out} --check' verifies it."))
    print_caution(to)


def _life(
    file: Path,
    readings: Sequence[Path],
    deliveries: Sequence[Path],
    decisions: Sequence[Path],
    folder: Path | None,
    draws: int,
    seed: int,
) -> LifeFile:
    from datetime import date

    from longhold.care.life import LifeInputs, life_file
    from longhold.cli.show import progress_bar
    from longhold.intake.load import load

    structure = load(file)
    found = LifeInputs(
        readings=_readings(structure, readings),
        tables=[_handed_in(path) for path in readings],
        deliveries=[_handed_in(path) for path in deliveries],
        decisions=[_handed_in(path) for path in decisions],
        photographs=_photographs(folder),
    )
    with progress_bar("Joints") as progress:
        return life_file(structure, found, date.today(), draws=draws, seed=seed, progress=progress)


def _readings(structure: Structure, tables: Sequence[Path]) -> tuple[Reading, ...]:
    """Readings of all tables, each once.

    Raises
    ------
    InputError : what is wrong in any table or does not fit the structure, all of it at once
    """
    from functools import partial
    from itertools import chain

    from longhold.base.errors import each_made
    from longhold.inspect.observed import refuse_misfit
    from longhold.intake.readings import read_readings

    fits = None if structure.build_date is None else partial(refuse_misfit, structure)
    read = each_made(tables, lambda path: read_readings(path, fits).readings)
    return tuple(dict.fromkeys(chain.from_iterable(read)))


def _handed_in(path: Path) -> HandedIn:
    from longhold.base.errors import InputError, Problem
    from longhold.documents.life_file import HandedIn

    try:
        return HandedIn(path.name, path.read_bytes())
    except OSError as error:
        raise InputError(Problem(str(path), None, f"cannot be read: {error.strerror}.")) from None


def _photographs(folder: Path | None) -> list[Photograph]:
    from longhold.base.errors import InputError, Problem
    from longhold.care.life import photograph_of

    if folder is None:
        return []
    if not folder.is_dir():
        raise InputError(Problem("--photographs", str(folder), "there is no such folder."))
    found: list[Photograph] = []
    problems: list[Problem] = []
    total = 0
    for path in sorted(one for one in folder.iterdir() if one.is_file() and not one.name.startswith(".")):
        file = _handed_in(path)
        total += len(file.content)
        try:
            found.append(photograph_of(file))
        except InputError as error:
            problems += error.problems
        if total > _MOST_BYTES:
            allowed = f"holds more than {_MOST_BYTES // 10**6:,} MB."
            raise InputError(Problem("--photographs", str(folder), allowed, "Make several archives."))
    if problems:
        raise InputError(*problems, file=str(folder))
    return found


def _pdf(life: LifeFile) -> bytes | None:
    from importlib.util import find_spec

    if find_spec("typst") is None:
        return None
    from longhold.documents.life_summary import life_summary
    from longhold.documents.papers.pdf import record_pdf

    return record_pdf(life_summary(life))


def _check(file: Path) -> None:
    import zipfile

    from longhold.base.errors import InputError, Problem
    from longhold.base.files import BROKEN_ZIP
    from longhold.cli.show import console, plain
    from longhold.documents.life_file import manifest_faults

    try:
        with zipfile.ZipFile(file) as archive:
            faults = manifest_faults(archive)
    except OSError as error:
        said = error.strerror or "it is damaged"
        raise InputError(Problem(str(file), None, f"cannot be read: {said}.")) from None
    except (*BROKEN_ZIP, KeyError, TypeError):
        raise InputError(Problem(str(file), None, "is no life file that can be read.")) from None
    if faults:
        raise InputError(*(Problem(str(file), None, fault) for fault in faults))
    console().print(plain(f"{file}: every file is as it was written."))
