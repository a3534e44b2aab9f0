"""A figure of ours with its band: what the forecast draws from and what the trace prints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import TableError
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import load_csv, number

__all__ = ["Band", "load_bands"]

_Z_95 = 1.6448536269514722  # standard normal value that 95 % lie below


@dataclass(frozen=True)
class Band:
    """A figure known as a middle value with a band.

    Attributes
    ----------
    name : what it is called
    median : the middle value, in ``unit``
    p05, p95 : values that about 5 % of the cases lie below and above
    spread : ``lognormal`` for positive factors, ``normal`` for offsets
    unit : unit of the three, ``1`` for a ratio
    words : meaning and reason
    source, mark : of the figures
    """

    name: str
    median: float
    p05: float
    p95: float
    spread: str
    unit: str
    words: str
    source: str
    mark: Mark

    def at(self, z: ArrayLike) -> NDArray[np.float64]:
        """Value at a standard normal quantile z [-]; each side of the median has its own spread.

        Lognormal: median (p95/median)^(z/1.645) above the median, (median/p05)^(z/1.645) below it.
        Normal: the same with differences for ratios. z = -1.645, 0 and 1.645 give p05, median and p95.

        >>> factor = Band("x", 2.0, 1.0, 4.0, "lognormal", "1", "", "own", Mark.OWN)
        >>> float(factor.at(0.0)), round(float(factor.at(1.645)), 2)
        (2.0, 4.0)
        """
        share = np.asarray(z, dtype=float) / _Z_95
        if self.spread == "normal":
            up, down = self.p95 - self.median, self.median - self.p05
            return np.asarray(self.median + share * np.where(share > 0, up, down))
        up, down = np.log(self.p95 / self.median), np.log(self.median / self.p05)
        return np.asarray(self.median * np.exp(share * np.where(share > 0, up, down)))

    def shown(self) -> str:
        """The figure with its band and unit, for people."""
        unit = "" if self.unit == "1" else f" {self.unit}"
        if self.p05 == self.p95:
            return f"{self.median:g}{unit}"
        return f"{self.median:g}{unit} ({self.p05:g} to {self.p95:g})"


@once
def load_bands(table: str) -> Mapping[str, Band]:
    """Every band of one table below ``longhold/tables/wood``, by name."""
    columns = {"median": number, "p05": number, "p95": number}
    words = dict.fromkeys(("name", "spread", "unit", "words"), str)
    rows = load_csv(f"wood/{table}.csv", {**words, **columns}, key=("name",))
    bands = {row["name"]: Band(**row) for row in rows}
    for band in bands.values():
        if not band.p05 <= band.median <= band.p95:
            raise TableError(f"wood/{table}.csv: {band.name} needs p05 <= median <= p95")
        if band.spread not in {"lognormal", "normal"} or (band.spread == "lognormal" and band.p05 <= 0):
            raise TableError(f"wood/{table}.csv: {band.name} has spread {band.spread!r} that does not fit")
    return MappingProxyType(bands)
