"""What a run leaves in its folder: whole files under their final names, and a manifest of all of it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.base.whole_files import remove_abandoned, whole_file
from longhold.forecast.summary import Band
from longhold.portfolio.drawing import Combination

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["Folder", "arrow"]

_MANIFEST = "manifest.json"
_CLASSES = "combinations"
_BANDS = ("life", "protection", "strength")
_PLAIN = (
    *("rung", "kind", "decides", "chance", "protection_chance", "strength_chance", "below_years"),
    *("code", "unsettled", "mark", "refer", "leaves_pits_out", "fault", "renewals"),
)


def arrow() -> Any:
    """The library that reads and writes Parquet.

    Raises
    ------
    InputError : it is not installed
    """
    try:
        import pyarrow
        import pyarrow.parquet
    except ModuleNotFoundError:
        raise InputError(lacking("longhold portfolio", "portfolio")) from None
    return pyarrow


class Folder:
    """The results of one portfolio; a file in it is whole, since it is renamed only when it is.

    Parameters
    ----------
    path : of the folder, made where it is missing
    about : what the results depend on, by name

    Raises
    ------
    InputError : the folder holds results of something else, or is no folder
    """

    def __init__(self, path: Path, about: Mapping[str, Any]) -> None:
        self.path = path
        self._about = dict(about)
        try:
            path.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            said = f"cannot be made: {error.strerror}."
            raise InputError(Problem("--out", str(path), said, "Choose another folder.")) from None
        self._refuse_others()
        for folder in (path, path / _CLASSES, *path.glob("joints/*")):
            remove_abandoned(folder)
        self.note({"state": "running"})

    def _refuse_others(self) -> None:
        file = self.path / _MANIFEST
        if not file.exists():
            if any(self.path.iterdir()):
                said = "holds files that are no results of a portfolio."
                raise InputError(Problem("--out", str(self.path), said, "Choose an empty or a new folder."))
            return
        try:
            told = json.loads(file.read_text(encoding="utf-8"))["about"]
        except (OSError, ValueError, KeyError, TypeError):
            told = None
        if told != self._about:
            said = "holds the results of another portfolio, of other draws or of another version of Longhold."
            raise InputError(Problem("--out", str(self.path), said, "Choose another folder, or remove it."))

    def note(self, told: Mapping[str, Any]) -> None:
        """Write the manifest anew."""
        text = json.dumps({"about": self._about, **told}, indent=2, sort_keys=True, ensure_ascii=False)
        self.write(_MANIFEST, text.encode())

    def write(self, name: str, content: bytes) -> None:
        """Write a file whole.

        Raises
        ------
        UnwrittenError : the disk is full, ...; what was there is as it was
        """
        with whole_file(self.path / name, folders=True) as part:
            part.write_bytes(content)

    def write_table(self, name: str, table: pa.Table) -> None:
        """Write a table as Parquet, whole; raises as ``write`` does."""
        parquet = arrow().parquet
        with whole_file(self.path / name, folders=True) as part:
            parquet.write_table(table, part, compression="zstd")

    def read_table(self, name: str) -> pa.Table | None:
        """A table written before; None where there is none, or it cannot be read."""
        pyarrow = arrow()
        try:
            return pyarrow.parquet.ParquetFile(self.path / name).read()
        except (OSError, pyarrow.ArrowInvalid):
            return None

    def keep_class(self, work: str, combinations: Sequence[Combination]) -> None:
        """Write what a class of climate, or a piece of one, came to."""
        columns: dict[str, Any] = {name: [getattr(one, name) for one in combinations] for name in _PLAIN}
        for name in _BANDS:
            for share in ("p10", "p50", "p90"):
                columns[f"{name}_{share}"] = [getattr(getattr(one, name), share) for one in combinations]
        self.write_table(_of_class(work), arrow().table(columns))

    def kept_class(self, work: str) -> list[Combination] | None:
        """What a class came to in an earlier run; None where it has to be drawn."""
        table = self.read_table(_of_class(work))
        if table is None or not set(_PLAIN) <= set(table.column_names):
            return None
        return [_combination(row) for row in table.to_pylist()]


def _of_class(name: str) -> str:
    return f"{_CLASSES}/{name}.parquet"


def _combination(row: Mapping[str, Any]) -> Combination:
    bands = {name: Band(*(row[f"{name}_{share}"] for share in ("p10", "p50", "p90"))) for name in _BANDS}
    plain = {name: row[name] for name in _PLAIN}
    return Combination(**{**plain, **bands, "renewals": np.array(row["renewals"], dtype=float)})
