"""Answers a check file row by row and holds each answer against what the row expects."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.validate.acceptance_area import ACCEPTANCE
from longhold.validate.air_area import AIR
from longhold.validate.area import Area, Detail, Judged, Skipped, UnansweredError, ValidationResult
from longhold.validate.check_file import read_rows
from longhold.validate.codes_area import CODES
from longhold.validate.emc_area import EMC
from longhold.validate.hand_values_area import HAND_VALUES
from longhold.validate.labels_area import LABELS
from longhold.validate.layers_area import LAYERS
from longhold.validate.steel_area import STEEL
from longhold.validate.strength_area import STRENGTH
from longhold.validate.wood_area import WOOD
from longhold.validate.wood_outdoor import OUTDOOR

__all__ = ["AREAS", "validate_file"]

AREAS: Mapping[str, Area] = {
    area.name: area for area in (LABELS, LAYERS, EMC, STRENGTH, CODES, AIR, WOOD, ACCEPTANCE)
}
# the same area for files with other columns
_LAYOUTS: Mapping[str, tuple[Area, ...]] = {WOOD.name: (OUTDOOR,), STRENGTH.name: (STEEL, HAND_VALUES)}


def validate_file(
    area: str, path: str | Path, progress: Callable[[int, int], None] | None = None
) -> ValidationResult:
    """What a check file says about one area of Longhold.

    Parameters
    ----------
    area : one of ``AREAS``
    path : CSV file with at least the area's columns, or those of another layout of the area
    progress : called with rows done and rows in all

    Raises
    ------
    InputError : unknown area, or a file that cannot be read as a check file of this area
    """
    if area not in AREAS:
        close = get_close_matches(area, AREAS, n=1)
        do = f"Did you mean {close[0]}?" if close else ""
        raise InputError(Problem("area", area, f"must be one of {', '.join(AREAS)}.", do))
    for other in _LAYOUTS.get(area, ()):
        rows = read_rows(Path(path), ())
        if set(other.columns) <= set(rows[0]):
            return _validated(other, rows, str(path), progress)
    rows = read_rows(Path(path), AREAS[area].columns)
    return _validated(AREAS[area], rows, str(path), progress)


def _validated(
    area: Area, rows: list[dict[str, str]], file: str, progress: Callable[[int, int], None] | None
) -> ValidationResult:
    rows = area.together(rows)
    named = [(row.get("id") or str(number), row) for number, row in enumerate(rows, start=1)]
    skipped = [Skipped(name, why) for name, row in named if (why := area.skip(row))]
    own = [(name, row) for name, row in named if not area.skip(row)]
    expected = _expectations(area, own, file)
    judged = []
    for done, ((_, row), wanted) in enumerate(zip(own, expected, strict=True), start=1):
        judged.append(_judge(area, row, wanted))
        if progress is not None:
            progress(done, len(own))
    details = tuple(
        Detail(name, one.expected, one.got, one.right, one.why)
        for (name, _), one in zip(own, judged, strict=True)
    )
    return ValidationResult(
        area=area.name,
        rows=len(own),
        answered=sum(one.right is not None for one in judged),
        right=sum(one.right is True for one in judged),
        figures=area.figures(judged),
        details=details,
        skipped=tuple(skipped),
        tables=tuple(area.tables(judged)),
    )


def _expectations(area: Area, own: list[tuple[str, dict[str, str]]], file: str) -> list[Any]:
    expected, problems = [], []
    for name, row in own:
        try:
            expected.append(area.expect(row))
        except ValueError as error:
            problems.append(Problem(f"row {name}", None, f"what is expected cannot be read: {error}."))
    if problems:
        raise InputError(*problems, file=file)
    return expected


def _judge(area: Area, row: Mapping[str, str], expected: Any) -> Judged:
    """The answer is found from the given cells alone; only then is it compared."""
    given = {name: row[name] for name in area.given if name in row}
    try:
        answer = area.answer(given)
    except UnansweredError as error:
        return Judged(str(expected), "no answer", None, str(error), tags=area.tags(expected))
    except Exception as error:  # one faulty row must not cost the others their answer
        why = f"a fault of Longhold's own: {type(error).__name__}: {error}"
        return Judged(str(expected), "no answer", None, why, tags=area.tags(expected))
    return area.judge(expected, answer)
