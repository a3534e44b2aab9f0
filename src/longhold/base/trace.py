"""The calculation behind an answer, kept as it is made."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from longhold.base.marks import Mark, weakest

__all__ = ["Section", "Step", "Trace", "note"]


@dataclass(frozen=True)
class Step:
    """One line of a calculation, as a person would write it.

    Attributes
    ----------
    what : meaning in words, such as "first-year loss of zinc in open air"
    symbol : short symbol for the left-hand side, such as ``r_zn``
    equation : the equation in symbols, plain text
    inputs : symbol -> value with unit, as shown, in the order in which they are put in
    value : the result (a number, a text, or a (low, middle, high) triple)
    unit : unit of the result
    source : id in the register of sources
    mark : mark of the weakest number that went in at this step
    note : a caution about this step, may be empty
    """

    what: str
    symbol: str
    equation: str
    inputs: Mapping[str, str]
    value: Any
    unit: str
    source: str
    mark: Mark
    note: str = ""


@dataclass
class Section:
    """A titled run of steps and further sections."""

    title: str
    parts: list[Step | Section] = field(default_factory=list)

    def steps(self) -> Iterator[Step]:
        """Every step below this section, in order."""
        for part in self.parts:
            if isinstance(part, Section):
                yield from part.steps()
            else:
                yield part

    @property
    def mark(self) -> Mark:
        """Weakest mark of any step below."""
        return weakest(step.mark for step in self.steps())


class Trace:
    """Records steps into nested sections. Pass None instead of a Trace to record nothing.

    >>> trace = Trace("zinc")
    >>> with trace.section("first year"):
    ...     trace.add("loss", "r", "r = 2 x", {"x": "1 um"}, 2.0, "um", "own", Mark.OWN)
    >>> [step.value for step in trace.root.steps()]
    [2.0]
    """

    def __init__(self, title: str) -> None:
        self.root = Section(title)
        self._open: list[Section] = [self.root]

    @contextmanager
    def section(self, title: str) -> Iterator[Section]:
        """Open a titled section; steps added inside belong to it."""
        section = Section(title)
        self._open[-1].parts.append(section)
        self._open.append(section)
        try:
            yield section
        finally:
            self._open.pop()

    def add(
        self,
        what: str,
        symbol: str,
        equation: str,
        inputs: Mapping[str, str],
        value: Any,
        unit: str,
        source: str,
        mark: Mark,
        note: str = "",
    ) -> None:
        """Record one step in the section that is open."""
        self._open[-1].parts.append(
            Step(what, symbol, equation, dict(inputs), value, unit, source, mark, note)
        )

    def extend(self, parts: Sequence[Step | Section]) -> None:
        """Take over parts recorded elsewhere."""
        self._open[-1].parts.extend(parts)


def note(trace: Trace | None, *args: Any, **kwargs: Any) -> None:
    """``trace.add(...)`` where there is a trace, nothing where there is none."""
    if trace is not None:
        trace.add(*args, **kwargs)
