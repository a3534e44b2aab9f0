"""What is published of where along a shank the wood takes its metal."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import load_csv, number

__all__ = ["DepthFact", "depth_facts"]


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


@once
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
