"""Rows on the wood of a joint: moisture by month and depth, loss by depth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.quantities import System, show_quantity
from longhold.documents.figures import film_cell, quantity

if TYPE_CHECKING:
    from longhold.assessment.wood_findings import MetalLoss, WoodBlock

__all__ = ["MONTHS", "DepthRow", "DepthTable", "MonthTable", "depth_rows", "depth_words", "month_table"]

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_TABLE_MM = (0.5, 2.0, 5.0, 10.0, 19.0)
_PROFILE_MM = (0.5, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 19.0, 30.0, 50.0)
_NEAR = 0.93


@dataclass(frozen=True)
class MonthTable:
    """Mean moisture by month and depth.

    Attributes
    ----------
    heads : depths, each with a second unit where the units are those of the US
    rows : months with a figure for each depth
    above : share of the hours above the threshold at each depth, in per cent
    """

    heads: tuple[tuple[str, ...], ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    above: tuple[str, ...]


@dataclass(frozen=True)
class DepthRow:
    """Loss of the first year at one depth; at the worst, of each draw at its own worst depth."""

    depth: tuple[str, ...]
    worst: bool
    middle: str
    low: str
    high: str
    early: str
    late: str


@dataclass(frozen=True)
class DepthTable:
    """Rows of one metal."""

    title: str
    unit: str
    rows: tuple[DepthRow, ...]


def depth_words(depth_mm: float, system: System) -> str:
    """A depth from the face.

    >>> depth_words(7.07, "us"), depth_words(7.07, "si")
    ('0.28 in (7.1 mm)', '7.1 mm')
    """
    first, *others = (quantity(depth_mm, "length_mm", unit, 2) for unit in _systems(system))
    return f"{first} ({others[0]})" if others else first


def month_table(block: WoodBlock, system: System) -> MonthTable:
    """Mean moisture by month at a few depths; one column where it is the same at every depth."""
    depths = _depths(_TABLE_MM, block) if block.situation is not None else (0.0,)
    heads = tuple(_head(depth, system, block) for depth in depths)
    rows = tuple(
        (month, tuple(f"{block.at(values, depth):.0f}" for depth in depths))
        for month, values in zip(MONTHS, block.monthly_pct, strict=True)
    )
    return MonthTable(
        heads, rows, tuple(f"{100 * block.at(block.above_share, depth):.0f}" for depth in depths)
    )


def depth_rows(block: WoodBlock, one: MetalLoss, system: System) -> tuple[DepthRow, ...]:
    """Loss of the first year at a few depths and at the worst one, shallow to deep.

    The worst row tells what the assessment counts: each draw at its own worst depth.
    """
    curve = one.curve
    if curve is None or one.worst_mm is None:
        return ()
    depths = sorted({*_depths(_PROFILE_MM, block, clear_of=one.worst_mm), one.worst_mm})
    columns = (curve.p50_um, curve.p10_um, curve.p90_um, curve.early_um, curve.late_um)
    worst = one.worst_um
    most = (worst.p50, worst.p10, worst.p90, max(curve.early_um), max(curve.late_um))
    rows = []
    for depth in depths:
        is_worst = depth == one.worst_mm
        values = most if is_worst else tuple(block.at(values, depth) for values in columns)
        cells = [film_cell(value, system) for value in values]
        rows.append(DepthRow(_depth_cells(depth, system), is_worst, *cells))
    return tuple(rows)


def _depths(wanted: Sequence[float], block: WoodBlock, clear_of: float | None = None) -> tuple[float, ...]:
    """Depths up to the middle of the timber, the middle always; the far half is drawn, not told."""
    middle = block.thickness_mm / 2.0
    kept = [one for one in wanted if one < _NEAR * middle]
    if clear_of is None:
        return (*kept, middle)
    return tuple(one for one in (*kept, middle) if not _NEAR < one / clear_of < 1.0 / _NEAR)


def _head(depth_mm: float, system: System, block: WoodBlock) -> tuple[str, ...]:
    if block.situation is None:
        return ("every depth",)
    cells = _depth_cells(depth_mm, system)
    return (*cells, "middle") if depth_mm == block.thickness_mm / 2.0 else cells


def _depth_cells(depth_mm: float, system: System) -> tuple[str, ...]:
    return tuple(show_quantity(depth_mm, "length_mm", unit, 2) for unit in _systems(system))


def _systems(system: System) -> tuple[System, ...]:
    """Systems in which depths are told, that of the reader first."""
    return ("us", "si") if system == "us" else ("si",)
