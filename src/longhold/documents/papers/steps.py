"""Calculations as numbered stretches of lines that tables can point to."""

from __future__ import annotations

from collections.abc import Iterator

from longhold.assessment.findings import PartFinding
from longhold.base.trace import Section, Step
from longhold.documents.calculation import result
from longhold.documents.equations import set_units
from longhold.documents.papers.model import Calculation, StepRow
from longhold.documents.words import upper_first

__all__ = ["Numbered"]


class Numbered:
    """Hands out numbers to calculations; equal ones share their lines."""

    def __init__(self) -> None:
        self.all: list[Calculation] = []
        self._known: dict[tuple[StepRow, ...], int] = {}

    def number(self, title: str, part: PartFinding) -> int:
        """Number of the calculation of one part; 0 where nothing was computed.

        Only the face that governs is shown, and the strength.
        """
        rows = tuple(_part_rows(part))
        if not rows:
            return 0
        if rows in self._known:
            return self._known[rows]
        number = len(self.all) + 1
        self._known[rows] = number
        self.all.append(Calculation(number, title, rows))
        return number


def _part_rows(part: PartFinding) -> Iterator[StepRow]:
    if part.governing is not None:
        yield StepRow(title=f"Loss, {part.governing.words}")
        yield from _rows(part.governing.calculation)
    if part.strength is not None:
        yield StepRow(title="Strength left")
        yield from _rows(part.strength.calculation)


def _rows(section: Section) -> Iterator[StepRow]:
    for one in section.parts:
        if isinstance(one, Step):
            yield _row(one)
        else:
            yield StepRow(title=upper_first(one.title))
            yield from _rows(one)


def _row(step: Step) -> StepRow:
    note = f". {upper_first(step.note)}" if step.note else ""
    return StepRow(
        what=f"{upper_first(step.what)}{note}",
        equation=step.equation,
        inputs=tuple((symbol, set_units(value)) for symbol, value in step.inputs.items()),
        symbol=step.symbol,
        gives=result(step),
        rests_on=f"{step.source} [{step.mark.value}]",
    )
