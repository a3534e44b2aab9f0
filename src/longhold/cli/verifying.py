"""Command ``verify``: a result computed again from what it carries, and what differs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from longhold.documents.repeated import Repeated
    from longhold.model.structure import Structure

__all__ = ["verify"]

_KINDS = ("longhold assessment", "longhold readings")
_SHOWN_AT_MOST = 10


def verify(
    result: Annotated[
        Path, typer.Argument(metavar="RESULT.json", help="What assess --json or readings --json wrote.")
    ],
    input: Annotated[
        Path | None,
        typer.Option("--input", metavar="FILE", help="Structure file: is it still what was assessed?"),
    ] = None,
    within: Annotated[
        float,
        typer.Option(min=0.0, max=1.0, help="Relative difference that counts as rounding; 0 allows none."),
    ] = 1e-9,
) -> None:
    """Compute a result again and say what differs: input, version, tables, numbers and by how much.

    The result carries its structure, seed and draws. The exit code is 1 where an answer differs, or the
    input is not what was assessed.
    """
    from longhold.cli.show import console, plain
    from longhold.documents.repeated import compare_results

    to, same = console(), True
    for told in _results(result):
        structure = _structure(told, result)
        found = compare_results(told, _again(told, structure, result), within)
        to.print(plain(f"{structure.name}, at {structure.site.name}"), style="bold")
        for line in _words(found):
            to.print(plain(line))
        same = same and found.is_same
        if input is not None:
            same = _is_input(told, input, to.print) and same
    if not same:
        raise typer.Exit(1)


def _results(path: Path) -> list[dict[str, Any]]:
    from longhold.base.errors import InputError
    from longhold.base.files import read_file
    from longhold.intake.reading import parse_text

    text = read_file(path, "a result", "'longhold assess FILE --json' writes one.")
    several = text.lstrip().startswith("[")  # of several sites
    try:
        given = parse_text(f'{{"results": {text}}}' if several else text, "json")
    except InputError as error:
        raise error.in_file(str(path)) from None
    results = given["results"] if several else [given]
    for one in results:
        _check_kind(one, path)
    if not results:
        raise _refused(path, "holds no result.")
    return results


def _check_kind(one: Any, path: Path) -> None:
    kind = one.get("kind") if isinstance(one, dict) else None
    if kind not in _KINDS:
        raise _refused(path, "is no result of 'longhold assess --json' or 'longhold readings --json'.")
    missing = [name for name in ("described", "seed", "draws", "inputs_sha256", "version") if name not in one]
    if missing:
        raise _refused(path, f"lacks {', '.join(missing)}, without which it cannot be computed again.")
    for name in ("seed", "draws"):
        if type(one[name]) is not int:
            raise _refused(path, f"{name} must be a whole number.")
    if one.get("air_law", "both") not in ("both", "calibrated", "printed"):
        raise _refused(path, "air_law must be both, calibrated or printed.")
    if one.get("with_readings"):
        do = "Verify what 'longhold readings --json' writes, which carries them."
        raise _refused(path, "was corrected by readings, which it does not carry.", do)


def _structure(told: Mapping[str, Any], path: Path) -> Structure:
    from json import dumps

    from pydantic import ValidationError

    from longhold.model.structure import Structure

    try:
        return Structure.model_validate_json(dumps(told["described"]))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(step) for step in ("described", *first["loc"]))
        raise _refused(path, f"{where} cannot be read: {first['msg']}.") from None


def _again(told: Mapping[str, Any], structure: Structure, path: Path) -> Mapping[str, Any]:
    from json import dumps, loads

    from longhold.base.errors import InputError

    how = _readings_again if told["kind"] == "longhold readings" else _assessed_again
    try:
        found: Mapping[str, Any] = loads(dumps(how(told, structure)))
    except InputError as error:
        raise error.in_file(str(path)) from None
    return found


def _assessed_again(told: Mapping[str, Any], structure: Structure) -> Mapping[str, Any]:
    from longhold.assessment.line import assess
    from longhold.cli.show import progress_bar
    from longhold.documents.exchange import assessment_json

    law = told.get("air_law", "both")
    with progress_bar("Joints again") as progress:
        found = assess(structure, draws=told["draws"], seed=told["seed"], air_law=law, progress=progress)
    return assessment_json(found)


def _readings_again(told: Mapping[str, Any], structure: Structure) -> Mapping[str, Any]:
    from json import dumps

    from pydantic import ValidationError

    from longhold.base.errors import InputError, Problem
    from longhold.cli.show import progress_bar
    from longhold.documents.readings_exchange import readings_json
    from longhold.inspect.learn import update
    from longhold.model.reading import Reading

    try:
        numbered = {one["index"]: one["reading"] for one in (*told["readings"], *told["kept"])}
        readings = [Reading.model_validate_json(dumps(numbered[index])) for index in sorted(numbered)]
    except (KeyError, TypeError, ValidationError):
        raise InputError(Problem("readings", None, "cannot be read.")) from None
    law = told.get("air_law", "both")
    with progress_bar("Joints again, before the readings and after") as progress:
        found = update(
            structure, readings, draws=told["draws"], seed=told["seed"], air_law=law, progress=progress
        )
    return readings_json(found, told.get("repeated") or [])


def _words(found: Repeated) -> list[str]:
    from longhold.cli.show import counted

    lines = []
    if found.version is not None:
        lines.append(f"Version differs: the result is of {found.version[0]}, this is {found.version[1]}.")
    if found.tables:
        lines.append(f"Tables differ: {', '.join(found.tables)}.")
    if found.input_changed:
        lines.append("Input differs: the structure in the result is not the one that was assessed.")
    if found.values:
        differ = counted(len(found.values), "value differs", "values differ")
        most = (
            f"; the largest difference of a number is {found.largest:.2g} of its value"
            if found.largest
            else ""
        )
        lines.append(f"{differ}{most}.")
        lines += [f"  {one}" for one in found.values[:_SHOWN_AT_MOST]]
        if (more := len(found.values) - _SHOWN_AT_MOST) > 0:
            lines.append(f"  and {more:,} more")
    elif found.rounded:
        rounded = counted(found.rounded, "number differs", "numbers differ")
        lines.append(f"Same answers; {rounded} by rounding, at most {found.largest:.2g} of its value.")
    else:
        lines.append("Same answers, to the last digit.")
    return lines


def _is_input(told: Mapping[str, Any], path: Path, say: Callable[[str], None]) -> bool:
    from longhold.assessment.line import inputs_sha256
    from longhold.intake.load import load

    # the units of the answers can be asked for beside the file
    given = load(path).model_copy(update={"units": told["described"].get("units", "us")})
    same: bool = inputs_sha256(given) == told["inputs_sha256"]
    say(f"{path} is {'what' if same else 'not what'} was assessed.")
    return same


def _refused(path: Path, allowed: str, do: str = "") -> Exception:
    from longhold.base.errors import InputError, Problem

    return InputError(Problem(str(path), None, allowed, do))
