"""The strict reader of our own data files.

Every row of every table names its source and mark. The reader refuses what it does not know:
missing or extra columns, duplicate keys, blank numbers, axes out of order, unknown sources, and a
row marked verified whose source nobody read.
"""

from __future__ import annotations

import csv
import io
import tomllib
from collections.abc import Callable, Mapping, Sequence
from importlib.resources import files
from itertools import pairwise
from typing import Any

from longhold.base.errors import TableError
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.sources import Source, register

__all__ = [
    "Parser",
    "Row",
    "figure",
    "figures",
    "list_tables",
    "load_csv",
    "load_toml",
    "number",
    "optional_number",
    "read_text",
    "yes_no",
]

Row = Mapping[str, Any]
Parser = Callable[[str], Any]


def number(text: str) -> float:
    """A finite number; blank is an error."""
    value = float(text)
    if value != value or value in (float("inf"), float("-inf")):
        raise ValueError("not finite")
    return value


def optional_number(text: str) -> float | None:
    """A finite number, or None for a blank cell."""
    return None if text == "" else number(text)


def yes_no(text: str) -> bool:
    """Whether a cell says yes; anything but yes and no is an error."""
    return {"yes": True, "no": False}[text]


def read_text(path: str) -> str:
    """Text of a table file by its path below ``longhold/tables``."""
    return files("longhold").joinpath("tables", *path.split("/")).read_text(encoding="utf-8")


def list_tables(suffix: str = "") -> list[str]:
    """Paths of all table files, sorted."""
    found: list[str] = []

    def walk(folder: Any, prefix: str) -> None:
        for entry in folder.iterdir():
            if entry.is_dir():
                walk(entry, f"{prefix}{entry.name}/")
            elif entry.name.endswith(suffix or (".csv", ".toml")):
                found.append(prefix + entry.name)

    walk(files("longhold").joinpath("tables"), "")
    return sorted(found)


def load_csv(
    path: str,
    columns: Mapping[str, Parser],
    *,
    key: Sequence[str] = (),
    rising: str | None = None,
) -> tuple[Row, ...]:
    """Rows of one CSV table, each with parsed cells plus ``source`` and ``mark``.

    Parameters
    ----------
    path : path below ``longhold/tables``
    columns : name of each column besides source and mark, with its parser; the file must hold exactly these
    key : columns that together may not repeat
    rising : a column that must rise strictly from row to row (an axis)

    Raises
    ------
    TableError : naming file, line and column
    """
    reader = csv.DictReader(io.StringIO(read_text(path)), strict=True)
    wanted = [*columns, "source", "mark"]
    if sorted(reader.fieldnames or []) != sorted(wanted):
        raise TableError(f"{path}: columns are {reader.fieldnames}, must be {wanted}")
    rows = tuple(_row(path, reader.line_num, raw, columns) for raw in reader)
    if not rows:
        raise TableError(f"{path}: no rows")
    _check_keys(path, rows, key)
    if rising is not None:
        _check_rising(path, [row[rising] for row in rows], rising)
    return rows


@once
def figures(path: str) -> Mapping[str, Row]:
    """Rows of a table of single figures by their name: ``what``, ``value``, ``unit`` and ``meaning``.

    Raises
    ------
    TableError : as ``load_csv``
    """
    columns: dict[str, Parser] = {"what": str, "value": number, "unit": str, "meaning": str}
    return {row["what"]: row for row in load_csv(path, columns, key=("what",))}


def figure(path: str, what: str) -> float:
    """Value of one row of a table of single figures."""
    return float(figures(path)[what]["value"])


@once
def load_toml(path: str) -> Mapping[str, Any]:
    """One TOML table; each nested record has both a mark and a known source, or neither."""
    data = tomllib.loads(read_text(path))
    _check_records(path, data)
    return data


def check_provenance(where: str, source: str, mark: str) -> None:
    """Refuse an unknown source, an unknown mark, or 'verified' on a source that nobody read."""
    if mark not in list(Mark):
        raise TableError(f"{where}: mark {mark!r} is not one of {[m.value for m in Mark]}")
    known: Mapping[str, Source] = register()
    if source not in known:
        raise TableError(f"{where}: source {source!r} is not in the register of sources")
    if mark == Mark.VERIFIED and not known[source].read:
        raise TableError(f"{where}: marked verified, but nobody read source {source!r}")


def _row(path: str, line: int, raw: dict[str, str], columns: Mapping[str, Parser]) -> Row:
    if None in raw or None in raw.values():
        raise TableError(f"{path} line {line}: wrong number of cells")
    check_provenance(f"{path} line {line}", raw["source"], raw["mark"])
    row: dict[str, Any] = {"source": raw["source"], "mark": Mark(raw["mark"])}
    for name, parse in columns.items():
        try:
            row[name] = parse(raw[name])
        except ValueError as error:
            raise TableError(f"{path} line {line}, column {name}: {raw[name]!r}: {error}") from error
    return row


def _check_keys(path: str, rows: Sequence[Row], key: Sequence[str]) -> None:
    seen = set()
    for row in rows:
        value = tuple(row[name] for name in key)
        if key and value in seen:
            raise TableError(f"{path}: {dict(zip(key, value, strict=True))} stands twice")
        seen.add(value)


def _check_rising(path: str, axis: Sequence[float], name: str) -> None:
    if any(later <= earlier for earlier, later in pairwise(axis)):
        raise TableError(f"{path}: column {name} must rise from row to row")


def _check_records(where: str, node: Any) -> None:
    if isinstance(node, dict):
        if ("mark" in node) != ("source" in node):
            raise TableError(f"{where}: a record needs both source and mark")
        if "mark" in node:
            check_provenance(where, node["source"], node["mark"])
        for name, child in node.items():
            _check_records(f"{where}:{name}", child)
    elif isinstance(node, list):
        for index, child in enumerate(node):
            _check_records(f"{where}[{index}]", child)
