"""Where along a shank the wood takes its metal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.marks import Mark
from longhold.base.tables import load_csv, number
from longhold.wood.checks import checked

__all__ = ["DepthFact", "depth_facts", "depth_profile"]


@dataclass(frozen=True)
class DepthFact:
    """What is known of where the loss sits.

    Attributes
    ----------
    least_mm, most_mm : range of depths below the wood surface [mm]
    words : what the range means
    source, mark : of the range
    """

    least_mm: float
    most_mm: float
    words: str
    source: str
    mark: Mark


@cache
def depth_facts() -> Mapping[str, DepthFact]:
    """Facts by name: worst_depth (1 to 5 mm) and loss_confined (7 to 20 mm), both verified.

    >>> depth_facts()["worst_depth"].most_mm
    5.0
    """
    rows = load_csv(
        "wood/depth_facts.csv",
        {"fact": str, "least_mm": number, "most_mm": number, "words": str},
        key=("fact",),
    )
    return MappingProxyType(
        {
            row["fact"]: DepthFact(**{name: cell for name, cell in row.items() if name != "fact"})
            for row in rows
        }
    )


def depth_profile(depth_mm: ArrayLike) -> NDArray[np.float64]:
    """Loss at a depth below the wood surface as a share of the loss at the worst depth.

    1 down to 5 mm, then falling on a straight line to 0 at 20 mm.

    Parameters
    ----------
    depth_mm : depth below the wet surface [mm], zero or more

    Returns
    -------
    share [-], 0 to 1

    Raises
    ------
    InputError : negative, or not a number

    Notes
    -----
    An example profile of ours (source ``own``) drawn through what ``depth_facts`` says. A joint between two
    wet pieces is a second surface. Without data on depth take 1 everywhere.

    >>> [round(float(share), 2) for share in depth_profile([0.0, 5.0, 12.5, 38.0])]
    [1.0, 1.0, 0.5, 0.0]
    """
    depth = checked("depth_mm", depth_mm, 0.0, float("inf"), "mm")
    return np.asarray(np.interp(depth, *_profile()))


@cache
def _profile() -> tuple[tuple[float, ...], tuple[float, ...]]:
    rows = load_csv(
        "wood/depth_profile.csv", {"depth_mm": number, "relative_loss": number}, rising="depth_mm"
    )
    return tuple(row["depth_mm"] for row in rows), tuple(row["relative_loss"] for row in rows)
