"""The wood of a joint as plain rows, for a terminal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.quantities import System
from longhold.documents.air_table import Table
from longhold.documents.first_in import first_in
from longhold.documents.number_tables import film_unit_words
from longhold.documents.wood_rows import depth_rows, month_table
from longhold.documents.wood_view import (
    block_title,
    loss_lines,
    metal_title,
    table_notes,
    wood_answer,
    wood_says,
)
from longhold.wood.taken import threshold_pct

if TYPE_CHECKING:
    from longhold.assessment.wood_findings import WoodBlock, WoodFinding

__all__ = ["BlockTable", "WoodTable", "wood_tables"]


@dataclass(frozen=True)
class BlockTable:
    """One timber and situation: sentences, and tables."""

    title: str
    says: tuple[str, ...]
    tables: tuple[Table, ...]


@dataclass(frozen=True)
class WoodTable:
    """One joint: its answer in sentences, its timbers, what is left out and assumed."""

    name: str
    says: tuple[str, ...]
    blocks: tuple[BlockTable, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
    assumed: tuple[tuple[str, str], ...]


def wood_tables(found: WoodFinding, system: System) -> WoodTable:
    """Everything that the terminal says of the wood of one joint.

    Parameters
    ----------
    found : the wood
    system : units for people
    """
    return WoodTable(
        name=f"{found.joint.id} {found.joint.name}, {found.structure_name}, at {found.site_name}",
        says=(wood_answer(found, system), *wood_says(found, system)),
        blocks=tuple(_block(block, system) for block in found.blocks),
        left_out=tuple(first_in(line, system) for line in found.left_out),
        notes=tuple(first_in(line, system) for line in table_notes(found)),
        assumed=tuple(
            (one.where, first_in(f"{one.value}: {one.because}", system)) for one in found.assumptions
        ),
    )


def _block(block: WoodBlock, system: System) -> BlockTable:
    other = "" if block.counts else "The assessment counts the other timber, which takes more. "
    says = [f"{other}{line}" if i == 0 else line for i, line in enumerate(loss_lines(block, system))]
    if not says:
        says = [f"{other}No loss of metal is computed here."]
    if not block.counts:
        return BlockTable(block_title(block), tuple(says), ())
    depths = [_depths(block, number, system) for number, one in enumerate(block.losses) if one.curve]
    return BlockTable(block_title(block), tuple(says), (_months(block, system), *depths))


def _months(block: WoodBlock, system: System) -> Table:
    found = month_table(block, system)
    heads = ("Month", *(", ".join(head) for head in found.heads))
    rows = [(month, *values) for month, values in found.rows]
    above = f"share of the hours above {threshold_pct():g} %, in %"
    return Table(
        f"Mean moisture by depth from the face, %; last row: {above}",
        heads,
        (*rows, (f"Above {threshold_pct():g} %", *found.above)),
    )


def _depths(block: WoodBlock, number: int, system: System) -> Table:
    one = block.losses[number]
    heads = ("Depth", "1 in 10, below", "Middle", "1 in 10, above", "Early, alone", "Late, alone")
    rows = tuple(
        (
            row.depth[0] + (", worst" if row.worst else ""),
            row.low,
            row.middle,
            row.high,
            row.early,
            row.late,
        )
        for row in depth_rows(block, one, system)
    )
    return Table(f"{metal_title(one)}: lost in the first year, {film_unit_words(system)}", heads, rows)
