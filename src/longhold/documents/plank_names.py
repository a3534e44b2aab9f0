"""Names of the timbers below a section: under their own, and apart where these are too thin for words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup

from longhold.documents.paper import Paper
from longhold.documents.section import Section
from longhold.documents.svg import tag, text_lines, wrap

__all__ = ["PlankName", "draw_names", "names_end", "past_names", "plank_names"]

_LETTER_PX = 6.2  # of the wide letters of a label
_GAP_PX = 10.0
_EDGE_PX = 4.0
_LEAST_LETTERS = 9
_MOST_LINES = 2


@dataclass(frozen=True)
class PlankName:
    """The lines of a timber's name, where their middle is, and where the middle of the timber is [px]."""

    lines: tuple[str, ...]
    x: float
    timber_x: float

    @property
    def span(self) -> tuple[float, float]:
        """From where to where its words go [px]."""
        half = _LETTER_PX * max(map(len, self.lines), default=0) / 2
        return self.x - half, self.x + half


def plank_names(section: Section, paper: Paper, width: float) -> tuple[PlankName, ...]:
    """The names of the timbers of a section, none over another and none beyond the drawing.

    Parameters
    ----------
    width : of the drawing [px]
    """
    found = []
    for plank in section.planks:
        left, right = paper.x(plank.start_mm), paper.x(plank.end_mm)
        room = max(int((right - left) / _LETTER_PX), _LEAST_LETTERS)
        lines = (*wrap(plank.name, room, 1), *wrap(plank.words, room, _MOST_LINES))
        found.append(PlankName(lines, (left + right) / 2, (left + right) / 2))
    return _apart(found, width)


def names_end(names: Sequence[PlankName], paper: Paper) -> float:
    """Where the names end below the section [px]."""
    most = max((len(one.lines) for one in names), default=0)
    return paper.bottom + 15.0 + 14.0 * max(most - 1, 0) + 5.0


def past_names(names: Sequence[PlankName], paper: Paper, x: float, width: float) -> list[tuple[float, float]]:
    """Two points of a line that runs down between the names, as near as can be below a place."""
    spans = [(one.span[0] - _GAP_PX / 2, one.span[1] + _GAP_PX / 2) for one in names]
    ways = [x, *(end for span in spans for end in span)]
    inside = (way for way in ways if _EDGE_PX <= way <= width - _EDGE_PX)
    free = [way for way in inside if not any(a < way < b for a, b in spans)] or [2 * _EDGE_PX]
    down = min(free, key=lambda way: abs(way - x))
    return [(down, paper.bottom + 3.0), (down, names_end(names, paper))]


def draw_names(names: Sequence[PlankName], paper: Paper) -> Iterator[Markup]:
    """The names, those that had to move aside each on a leader to its timber."""
    for one in names:
        yield text_lines([*one.lines], one.x, paper.bottom + 15, class_="label mid")
        if abs(one.x - one.timber_x) > _GAP_PX:
            yield tag(
                "line",
                x1=one.timber_x,
                y1=paper.bottom - 2,
                x2=one.x,
                y2=paper.bottom + 5,
                class_="leader",
            )


def _apart(names: Sequence[PlankName], width: float) -> tuple[PlankName, ...]:
    """Names moved aside, from the first to the last and back, until each has its room."""
    found = list(names)
    least = _EDGE_PX
    for place, one in enumerate(found):
        found[place] = _moved(one, max(least - one.span[0], 0.0))
        least = found[place].span[1] + _GAP_PX
    most = width - _EDGE_PX
    for place in reversed(range(len(found))):
        found[place] = _moved(found[place], min(most - found[place].span[1], 0.0))
        most = found[place].span[0] - _GAP_PX
    return tuple(found)


def _moved(one: PlankName, by: float) -> PlankName:
    return replace(one, x=one.x + by)
