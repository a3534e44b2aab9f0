"""Labels over a section, each on a leader: which side and which row, so that no leader crosses a word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations, product

from longhold.documents.svg import wrap

__all__ = ["Pin", "crossings", "placed"]

_LETTER_PX = 6.2  # of the wide letters of a label
_GAP_PX = 4.0
_WIDEST = 40
_LEFTWARD_FROM = 0.55
_MOST_SOUGHT = 5


@dataclass(frozen=True)
class Pin:
    """A label: where its leader ends, its words, its row from the top, and to which side it is written."""

    x: float
    y: float
    words: str
    row: int
    leftward: bool

    @property
    def span(self) -> tuple[float, float]:
        """From where to where its words go [px]."""
        long = _GAP_PX + _LETTER_PX * len(self.words)
        return (self.x - long, self.x) if self.leftward else (self.x, self.x + long)


def placed(pins: Sequence[tuple[float, float, str]], width: float) -> tuple[Pin, ...]:
    """Labels with rows and sides: of all arrangements the one with fewest crossings, the plainest first.

    Parameters
    ----------
    pins : x and y where each leader ends [px], and its words
    width : of the drawing, beyond which no word may run [px]

    >>> [pin.row for pin in placed([(50.0, 99.0, "strap"), (90.0, 99.0, "nail")], 360.0)]
    [0, 1]
    """
    ordered = sorted(pins)
    if len(ordered) > _MOST_SOUGHT:
        return next(_arranged(ordered, range(len(ordered)), width))
    ways = (way for rows in permutations(range(len(ordered))) for way in _arranged(ordered, rows, width))
    best: tuple[Pin, ...] = ()
    fewest = len(ordered) ** 2 + 1
    for way in ways:
        found = crossings(way)
        if found < fewest:
            best, fewest = way, found
        if not found:
            break
    return best


def crossings(pins: Sequence[Pin]) -> int:
    """How many leaders run through the words of other labels: those that start higher and lie over them."""
    return sum(
        other.row < pin.row and pin.span[0] - _GAP_PX < other.x < pin.span[1] + _GAP_PX
        for pin in pins
        for other in pins
        if other is not pin
    )


def _arranged(
    pins: Sequence[tuple[float, float, str]], rows: Sequence[int], width: float
) -> Iterator[tuple[Pin, ...]]:
    """Every choice of sides for labels in given rows, the usual sides first, with words cut to the room."""
    usual = [x > _LEFTWARD_FROM * width for x, _, _ in pins]
    for turned in product((False, True), repeat=len(pins)):
        sides = [one != other for one, other in zip(usual, turned, strict=True)]
        told = zip(pins, rows, sides, strict=True)
        way = tuple(Pin(x, y, _cut(words, x, left, width), row, left) for (x, y, words), row, left in told)
        if not any(turned) or all(pin.words == words for pin, (_, _, words) in zip(way, pins, strict=True)):
            yield way


def _cut(words: str, x: float, leftward: bool, width: float) -> str:
    room = (x if leftward else width - x) - _GAP_PX
    return wrap(words, max(min(int(room / _LETTER_PX), _WIDEST), 9), 1)[0]
