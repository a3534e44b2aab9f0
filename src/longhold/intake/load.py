"""Structure and site files to model objects: whole and valid, or refused with every reason."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.files import read_file
from longhold.intake.bounds import absurd_sizes
from longhold.intake.own_rules import with_own_rules
from longhold.intake.problems import problems_of
from longhold.intake.reading import Format, format_of, parse_text
from longhold.intake.sheet_reading import read_structure_sheets
from longhold.intake.site_weather import with_weather_file
from longhold.intake.whole import POINTS, broken_references, unknown_sizes
from longhold.intake.workbook import is_workbook_name
from longhold.model.costs import Costs
from longhold.model.site import Site
from longhold.model.structure import Structure

__all__ = [
    "load",
    "load_costs",
    "load_given",
    "load_site",
    "load_structure_or_site",
    "loads",
    "site_of",
    "structure_of",
]

Model = TypeVar("Model", bound=BaseModel)


def load(path: str | Path) -> Structure:
    """A structure from a TOML, JSON or XLSX file.

    Raises
    ------
    InputError : carrying every problem, each with its path inside the file, or its cell
    """
    file = Path(path)
    if is_workbook_name(file):
        return _from_workbook(file)
    start = told_here(command="'longhold new' writes a structure file to start from.", page="")
    text = read_file(file, "a structure", start)
    return loads(text, format_of(file, text), file=str(path), folder=file.parent)


def loads(
    text: str, format: Format = "toml", file: str | None = None, folder: Path | None = None
) -> Structure:
    """A structure from TOML or JSON text; ``file`` names it in messages.

    Weather files and rule packs that it names lie in ``folder``.

    >>> loads("name = 3")
    Traceback (most recent call last):
    ...
    longhold.base.errors.InputError: name is 3: must be text in quotes, of up to 200 characters. Write "3"....
    """
    try:
        given = parse_text(text, format)
        _refuse_a_site(given)
        _refuse_costs(given)
        return _structure(given, folder or Path())
    except InputError as error:
        raise (error if file is None else error.in_file(file)) from None


def _structure(given: dict[str, Any], folder: Path) -> Structure:
    """A structure from its keys and values; files that it names lie in ``folder``."""
    if isinstance(given.get("site"), dict):
        given = {**given, "site": with_weather_file(given["site"], folder, "site")}
    if isinstance(given.get("code"), dict):
        given = {**given, "code": with_own_rules(given["code"], folder, "code")}
    structure = _validated(Structure, given, [*unknown_sizes(given), *broken_references(given)])
    if absurd := absurd_sizes(structure):
        raise InputError(*absurd)
    return structure


def _from_workbook(file: Path) -> Structure:
    read = read_structure_sheets(file)
    try:
        structure = _structure(read.given, file.parent)
    except InputError as error:
        raise InputError(*read.told(error.problems), file=str(file)) from None
    if read.problems:
        raise InputError(*read.told([]), file=str(file))
    return structure


def load_given(path: str | Path) -> dict[str, Any]:
    """Keys and values of a structure file as they were written, after the structure was found valid.

    Raises
    ------
    InputError : as of ``load``
    """
    file = Path(path)
    load(file)
    if is_workbook_name(file):
        return read_structure_sheets(file).given
    text = read_file(file, "a structure")
    return parse_text(text, format_of(file, text))


def structure_of(given: dict[str, Any]) -> Structure:
    """A structure from its keys and values, which came without a folder in which files could be looked for.

    Raises
    ------
    InputError : carrying every problem, each with its path; also where a value names a file

    >>> structure_of({"code": {"pack": "town.toml"}})
    Traceback (most recent call last):
    ...
    longhold.base.errors.InputError: code.pack is 'town.toml': names a file, which is read only beside ...
    """
    _refuse_a_site(given)
    if named := [*_files_named(given)]:
        raise InputError(*named)
    return _structure(given, Path())


def _files_named(given: dict[str, Any]) -> Iterator[Problem]:
    said = "names a file, which is read only beside a structure file."
    code, site = given.get("code"), given.get("site")
    pack = code.get("pack") if isinstance(code, dict) and not code.get("rules") else None
    if isinstance(pack, str) and pack.casefold().endswith(".toml"):
        yield Problem(
            "code.pack", pack, said, "Take one of the built-in packs, or bring the file in with its rules."
        )
    climate = site.get("climate") if isinstance(site, dict) else None
    if isinstance(climate, dict) and "file" in climate:
        do = "Give the values, or bring the structure in as a file with the weather in it."
        yield Problem("site.climate.file", climate["file"], said, do)


def load_site(path: str | Path) -> Site:
    """A site alone, as it stands under ``[site]`` in a structure file, from a TOML or JSON file."""
    file = Path(path)
    text = read_file(file, "a site")
    try:
        given = parse_text(text, format_of(file, text))
        _refuse_a_structure(given)
        return _validated(Site, with_weather_file(given, file.parent, "site"), [])
    except InputError as error:
        raise error.in_file(str(path)) from None


def load_structure_or_site(path: str | Path) -> Structure | Site:
    """Whichever of the two a file holds: a structure has joints or a [site], a site has neither."""
    file = Path(path)
    if is_workbook_name(file):
        return load(file)
    text = read_file(file, "a structure or a site")
    try:
        given = parse_text(text, format_of(file, text))
    except InputError as error:
        raise error.in_file(str(path)) from None
    return load(path) if given.keys() & {"joints", "site"} else load_site(path)


def site_of(given: dict[str, Any]) -> Site:
    """A site from its fields, quantities as people write them.

    Raises
    ------
    InputError : carrying every problem, each with its field

    >>> site_of({"name": "pier", "latitude": 34.0, "longitude": -77.9}).position
    (34.0, -77.9)
    """
    return _validated(Site, given, [])


def _validated(model: type[Model], given: dict[str, Any], also: list[Problem]) -> Model:
    try:
        built = model.model_validate(_with_date(given))
    except ValidationError as error:
        found = {problem.where for problem in also}
        told = [problem for problem in problems_of(error, model, given) if problem.where not in found]
        if also:
            told = [problem for problem in told if not any(point in problem.allowed for point in POINTS)]
        raise InputError(*told, *also) from None
    return built


def _with_date(given: dict[str, Any]) -> dict[str, Any]:
    """JSON has no dates: one in quotes counts as one."""
    date = given.get("build_date")
    if not isinstance(date, str):
        return given
    try:
        return {**given, "build_date": datetime.date.fromisoformat(date)}
    except ValueError:
        return given


def _refuse_a_site(given: dict[str, Any]) -> None:
    if "climate" in given and "joints" not in given and "site" not in given:
        said = "holds a site alone, not a structure with joints."
        do = told_here(
            command="Give the structure file first and this one with --at.",
            page="Give the file of the structure that stands there.",
        )
        raise InputError(Problem("the file", None, said, do))


def _refuse_costs(given: dict[str, Any]) -> None:
    if "currency" in given and "joints" not in given and "site" not in given:
        said = "holds costs, not a structure with joints."
        do = told_here(
            command="Give the structure file first, and this one to 'longhold choose' with --costs.",
            page="Give the file of the structure; costs are said where hardware is chosen for it.",
        )
        raise InputError(Problem("the file", None, said, do))


def _refuse_a_structure(given: dict[str, Any]) -> None:
    if "site" in given and "climate" not in given:
        said = "must hold a site alone: name, climate and so on, without a [site] heading or joints."
        raise InputError(
            Problem("the file", None, said, "Copy what stands under [site] into a file of its own.")
        )


def load_costs(path: str | Path) -> Costs:
    """Costs around the hardware from a TOML or JSON file."""
    file = Path(path)
    text = read_file(file, "costs")
    try:
        return _validated(Costs, parse_text(text, format_of(file, text)), [])
    except InputError as error:
        raise error.in_file(str(path)) from None
