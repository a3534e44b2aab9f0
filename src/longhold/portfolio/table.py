"""A flat table, a row for each joint: what is alike in many rows is read and checked once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.intake.load import site_of, structure_of
from longhold.model.site import Site
from longhold.model.structure import Structure
from longhold.portfolio.columns import COLUMNS, Column, column_of
from longhold.portfolio.gathering import Gathered, StructureLine, kind_of_joint, line_of
from longhold.portfolio.keeping import arrow

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["gather_table"]

Codes = NDArray[np.int64]
_NEEDED = ("structure", "joint", "place", "main_species", "main_preservative", "part1_kind", "part1_label")
_HEAD_ROWS = 1
_ANY_SITE = {"name": "any", "latitude": 0.0, "longitude": 0.0}


def gather_table(file: Path) -> Gathered:
    """The joints of a table (CSV or Parquet) as a portfolio.

    A row that cannot be read takes its structure out, which is told with the row and the column; the others
    stay. Rows are counted as a spreadsheet does: the first below the heads is row 2.

    Raises
    ------
    InputError : the table cannot be read, lacks a column or has an unknown one
    """
    table = _opened(file)
    _check_heads(table.column_names, file)
    try:
        return _Rows(table).gathered()
    except InputError as error:
        raise error.in_file(str(file)) from None


def _opened(file: Path) -> pa.Table:
    pyarrow = arrow()
    try:
        if file.suffix.casefold() == ".parquet":
            return pyarrow.parquet.ParquetFile(file).read()
        from pyarrow import csv

        heads = csv.open_csv(file).schema.names
        as_text = csv.ConvertOptions(
            column_types=dict.fromkeys(heads, pyarrow.string()), strings_can_be_null=True, null_values=[""]
        )
        return csv.read_csv(file, convert_options=as_text)
    except UnicodeDecodeError:
        raise InputError(Problem(str(file), None, "is not UTF-8 text.", "Save it as UTF-8.")) from None
    except (OSError, pyarrow.ArrowException) as error:
        first = str(error).splitlines()[0]
        raise InputError(Problem(str(file), None, f"cannot be read as a table: {first}.")) from None


def _check_heads(heads: Sequence[str], file: Path) -> None:
    problems = []
    for head in heads:
        if head not in COLUMNS:
            near = get_close_matches(head, COLUMNS, 1)
            do = f"Did you mean {near[0]}?" if near else "The columns are listed in docs/portfolio.md."
            problems.append(Problem(f"column {head}", None, "is no column of this table.", do))
        elif list(heads).count(head) > 1:
            problems.append(Problem(f"column {head}", None, "stands twice."))
    missing = [name for name in _NEEDED if name not in heads]
    problems += [Problem(f"column {name}", None, "is missing.") for name in missing]
    if problems:
        raise InputError(*dict.fromkeys(problems), file=str(file))


class _Rows:
    """The rows of a table with the distinct values of each column numbered."""

    def __init__(self, table: pa.Table) -> None:
        pyarrow = arrow()
        self.count = len(table)
        self.codes: dict[str, Codes] = {}
        self.values: dict[str, list[str | None]] = {}
        for name in table.column_names:
            try:
                text = table[name].cast(pyarrow.string()).combine_chunks()
                encoded = text.dictionary_encode(null_encoding="encode")
                values = encoded.dictionary.to_pylist()
            except (pyarrow.ArrowException, UnicodeDecodeError):
                said = f"holds what is no text and no number ({table[name].type})."
                raise InputError(Problem(f"column {name}", None, said)) from None
            self.codes[name] = encoded.indices.to_numpy(zero_copy_only=False).astype(np.int64)
            self.values[name] = [one or None for one in values]
        self._why: dict[int, tuple[int, str]] = {}

    def gathered(self) -> Gathered:
        """The portfolio."""
        structure, first_row = self._distinct("structure")
        self._alike_in_structure(structure, first_row)
        self._joints_differ(structure)
        site, sites = self._sites(structure)
        kind, kinds = self._kinds(structure)
        quantity = self._quantities(structure)
        lines = [self._line(int(row), int(site[row]), kinds[int(kind[row])]) for row in first_row.tolist()]
        ids = self.values["joint"]
        whole = Gathered(
            tuple(lines),
            tuple(one or _placeholder() for one in sites),
            tuple(one or _no_kind() for one in kinds),
            structure.astype(np.int32),
            kind.astype(np.int32),
            quantity,
            tuple(str(ids[code]) for code in self.codes["joint"].tolist()),
        )
        why = {
            at: said if row == first_row[at] else f"row {row + 1 + _HEAD_ROWS}, {said}"
            for at, (row, said) in self._why.items()
        }
        return whole.without(why)[0] if why else whole

    def _of(self, *groups: str) -> list[str]:
        return [name for name in self.codes if COLUMNS[name].of in groups]

    def _distinct(self, *groups: str) -> tuple[Codes, Codes]:
        """Number of the distinct rows of some columns for each row, and the first row of each."""
        names = ["structure"] if groups == ("structure",) else self._of(*groups)
        number = np.zeros(self.count, dtype=np.int64)
        for name in names:
            _, number = np.unique(number * len(self.values[name]) + self.codes[name], return_inverse=True)
        _, first, number = np.unique(number, return_index=True, return_inverse=True)
        return number.ravel(), first

    def _blame(self, structures: Codes, rows: Codes, said: str) -> None:
        for structure, row in zip(structures.tolist(), rows.tolist(), strict=True):
            self._why.setdefault(structure, (row, said))

    def _alike_in_structure(self, structure: Codes, first_row: Codes) -> None:
        """One structure stands on one site, has one design life and so on."""
        whole = ("build_date", "pack", "edition", "design_life", "application", "target_chance")
        for name in [*(one for one in whole if one in self.codes), *self._of("site")]:
            differs = np.flatnonzero(self.codes[name] != self.codes[name][first_row][structure])
            self._blame(structure[differs], differs, f"column {name}: differs within one structure.")

    def _joints_differ(self, structure: Codes) -> None:
        both = structure * len(self.values["joint"]) + self.codes["joint"]
        order = np.argsort(both, kind="stable")
        twice = order[1:][np.diff(both[order]) == 0]
        self._blame(structure[twice], twice, "column joint: stands twice in its structure.")

    def _sites(self, structure: Codes) -> tuple[Codes, list[Site | None]]:
        number, first = self._distinct("site")
        found: list[Site | None] = []
        for at, row in enumerate(first.tolist()):
            try:
                given = self._given(row, ("site",)).get("site", {})
                found.append(site_of({"name": str(self._value("structure", row)), **given}))
            except InputError as error:
                self._refuse(structure, number == at, error, "site.")
                found.append(None)
        return number, found

    def _kinds(self, structure: Codes) -> tuple[Codes, list[Structure | None]]:
        number, first = self._distinct("kind")
        found: list[Structure | None] = []
        for at, row in enumerate(first.tolist()):
            try:
                found.append(_kind(self._given(row, ("kind",))))
            except InputError as error:
                self._refuse(structure, number == at, error, "")
                found.append(None)
        return number, found

    def _refuse(self, structure: Codes, rows: NDArray[np.bool_], error: InputError, inside: str) -> None:
        """Tell each structure's first row that has the fault."""
        at = np.flatnonzero(rows)
        said = "; ".join(_told(problem, inside) for problem in error.problems)
        of, first = np.unique(structure[at], return_index=True)
        self._blame(of, at[first], said)

    def _quantities(self, structure: Codes) -> NDArray[np.int64]:
        if "quantity" not in self.codes:
            return np.ones(self.count, dtype=np.int64)
        numbers = []
        for code, text in enumerate(self.values["quantity"]):
            number = 1 if text is None else int(text) if re.fullmatch(r"\d{1,8}", text) else 0
            if not 1 <= number <= 10_000_000:
                rows = np.flatnonzero(self.codes["quantity"] == code)
                said = f"column quantity is {text!r}: must be a whole number from 1 to 10,000,000."
                self._blame(structure[rows], rows, said)
                number = 1
            numbers.append(number)
        return np.array(numbers, dtype=np.int64)[self.codes["quantity"]]

    def _line(self, row: int, site: int, kind: Structure | None) -> StructureLine:
        name = str(self._value("structure", row))
        built = self._value("build_date", row) if "build_date" in self.codes else None
        source = f"row {row + 1 + _HEAD_ROWS}: {name}"
        if built is not None and not (built[:4].isdecimal() and len(built) == len("2001-01-01")):
            said = "column build_date: must be a date such as 2001-05-01."
            self._why.setdefault(int(self.codes["structure"][row]), (row, said))
            built = None
        line = line_of(kind or _no_kind(), source, site)
        return line._replace(name=name, built_year=None if built is None else int(built[:4]))

    def _value(self, name: str, row: int) -> str | None:
        return self.values[name][int(self.codes[name][row])]

    def _given(self, row: int, groups: Sequence[str]) -> dict[str, Any]:
        """Keys and values of a structure from the cells of a row."""
        given: dict[str, Any] = {}
        for name in self._of(*groups):
            text = self._value(name, row)
            if text is not None:
                _put(given, COLUMNS[name], _cell(name, COLUMNS[name], text))
        return given


def _cell(name: str, column: Column, text: str) -> Any:
    if column.number is str:
        return text
    try:
        return column.number(text)
    except ValueError:
        words = "a whole number" if column.number is int else "a number"
        raise InputError(Problem(name, text, f"must be {words}.")) from None


def _put(given: dict[str, Any], column: Column, value: Any) -> None:
    node: Any = given
    for step, after in zip(column.path, column.path[1:], strict=False):
        if isinstance(node, list):
            while len(node) <= int(step):
                node.append({})
            node = node[int(step)]
        else:
            node = node.setdefault(step, [] if isinstance(after, int) else {})
    node[column.path[-1]] = value


def _kind(given: dict[str, Any]) -> Structure:
    (joint,) = given["joints"]
    parts = [part for part in joint.get("parts", []) if part]
    for at, part in enumerate(parts):
        part["id"] = f"part{at + 1}"
    timbers = given.get("timbers", {})
    side = timbers.get("side")
    if side == timbers.get("main"):
        timbers.pop("side", None)
    joint |= {"id": "joint", "name": "joint", "main": "main", "parts": parts}
    if side is not None:
        joint["side"] = "side" if "side" in timbers else "main"
    whole = {**given, "name": "joint", "timbers": timbers, "site": dict(_ANY_SITE)}
    structure = structure_of(whole)
    return kind_of_joint(structure, structure.joints[0])


def _told(problem: Problem, inside: str) -> str:
    if problem.where == "the file":  # of no one column
        return str(
            Problem(f"the {inside.rstrip('.') or 'joint'}", problem.value, problem.allowed, problem.do)
        )
    where = problem.where if problem.where in COLUMNS else column_of(f"{inside}{problem.where}")
    return f"column {Problem(where, problem.value, problem.allowed, problem.do)}"


def _placeholder() -> Site:
    """Stands where a site could not be read; no structure that is kept points to it."""
    return site_of(dict(_ANY_SITE))


def _no_kind() -> Structure:
    """Stands where a row could not be read; no joint that is kept points to it."""
    strap = {"kind": "strap", "size": "16 ga", "label": "G90"}
    timber = {"species": "southern pine", "preservative": "none", "size": "2x8"}
    return _kind(
        {
            "design_life": "1 year",
            "code": {"pack": "us_irc", "edition": "2021"},
            "timbers": {"main": timber},
            "joints": [{"place": "dry_inside", "parts": [strap]}],
        }
    )
