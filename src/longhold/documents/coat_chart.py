"""Labels as a picture: two bars for each reading, least and expected, with the figures beside them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.axes import figure_plain, ticks
from longhold.documents.coat_rows import (
    UNIT_NAMES,
    CoatBar,
    bar_most,
    coat_bars,
    coat_notes,
    thickness_columns,
)
from longhold.documents.figures import film_units
from longhold.documents.svg import tag, wrap

if TYPE_CHECKING:
    from longhold.labels.compare import Compared

__all__ = ["coat_chart"]

_WIDTH = 960.0
_BARS = (250.0, 560.0)
_KIND_X = 576.0
_COLUMNS = (700.0, 770.0, 850.0, 940.0)
_TOP, _LINE, _BAR = 92.0, 20.0, 13.0
_GAP = 14.0
_NAME_LETTERS, _WORD_LETTERS, _NOTE_LETTERS = 34, 92, 132
_NOT_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_STYLE = (
    "text{font-family:'Source Sans 3','Segoe UI','Noto Sans',sans-serif;font-size:13px;fill:#17191c;"
    "font-variant-numeric:tabular-nums}"
    ".title{font-size:19px;font-weight:700}.name{font-weight:700}.soft{fill:#53585e}"
    ".end{text-anchor:end}.mid{text-anchor:middle}"
    ".least{fill:#3c4146;stroke:#17191c}.expected{fill:url(#hatch);stroke:#17191c}"
    ".on{paint-order:stroke;stroke:#ffffff;stroke-width:5px;stroke-linejoin:round}"
    ".grid{stroke:#c9c6bc}.rule{stroke:#53585e}.zero{stroke:#17191c}"
)


def coat_chart(found: Sequence[Compared], system: System = "si") -> str:
    """A picture of its own, in ink on white: bars of what lies on one face and a table of the same figures.

    Parameters
    ----------
    found : labels, compared
    system : whose unit the bars and the first column tell

    Returns
    -------
    str : an SVG file
    """
    bars = coat_bars(found)
    most, order = bar_most(bars), _order(system)
    rows, y = [], _TOP
    for index, bar in enumerate(bars):
        if index and bar.label:
            rows.append(tag("line", x1=0, x2=_WIDTH, y1=y - 7, y2=y - 7, class_="grid"))
        drawn, height = _row(bar, y, most, order)
        rows.append(drawn)
        y += height + _GAP
    foot, height = _notes(coat_notes(found), y + 6)
    parts = [_defs(), *_head(most, y - _GAP + 4, order, system), *rows, foot]
    body = tag(
        "svg",
        tag("title", "Coats on one face, least and expected", id="coats-title"),
        tag("desc", _described(bars, order[0]), id="coats-desc"),
        tag("style", Markup(_STYLE)),  # noqa: S704 - a constant of ours
        tag("rect", x=-20, y=0, width=_WIDTH + 40, height=y + height + 24, fill="#ffffff"),
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"-20 0 {_WIDTH + 40:.0f} {y + height + 24:.0f}",
        width=_WIDTH + 40,
        height=y + height + 24,
        role="img",
        aria_labelledby="coats-title coats-desc",
    )
    clean = _NOT_XML.sub("\ufffd", body)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{clean}\n'


def _defs() -> Markup:
    hatch = tag(
        "pattern",
        tag("rect", width=6, height=6, fill="#ffffff"),
        tag("path", d="M0 6L6 0M-1 1L1 -1M5 7L7 5", stroke="#3c4146", stroke_width=1.1),
        id="hatch",
        width=6,
        height=6,
        patternUnits="userSpaceOnUse",
    )
    return tag("defs", hatch)


def _order(system: System) -> tuple[int, ...]:
    """Columns of the table, those of the system before their partners."""
    first, second = thickness_columns(system)
    return first, second, first + 2, second + 2


def _head(most: float, bottom: float, order: Sequence[int], system: System) -> list[Markup]:
    parts = [
        tag(
            "text", "What one face carries: the least it may, and what is expected", x=0, y=28, class_="title"
        ),
        tag("text", "Label, and what it is read as", x=0, y=70, class_="soft"),
        tag("text", f"{UNIT_NAMES[order[0]]} on one face", x=_BARS[0], y=56, class_="soft"),
        *(
            tag("text", UNIT_NAMES[number], x=x, y=70, class_="soft end")
            for x, number in zip(_COLUMNS, order, strict=True)
        ),
        tag("line", x1=0, x2=_WIDTH, y1=78, y2=78, class_="rule"),
    ]
    per_um = film_units(system)[0][1]
    for value in ticks(most * per_um, 5):
        x = _x(value / per_um, most)
        parts.append(tag("text", figure_plain(value), x=x, y=72, class_="soft mid"))
        parts.append(tag("line", x1=x, x2=x, y1=78, y2=bottom, class_="grid" if value else "zero"))
    return parts


def _row(bar: CoatBar, y: float, most: float, order: Sequence[int]) -> tuple[Markup, float]:
    """One reading, and how high it stands."""
    parts, names = [], []
    if bar.label:
        names += [(line, "name") for line in wrap(bar.label, _NAME_LETTERS, 3)]
    if bar.name != bar.label:
        start = "" if bar.label else "or: "
        names += [(line, "soft") for line in wrap(start + bar.name, _NAME_LETTERS, 3)]
    if bar.expected_um is not None and bar.words:
        names += [(line, "soft") for line in wrap(bar.words, _NAME_LETTERS, 2)]
    parts += [
        tag("text", line, x=0, y=y + 11 + 15 * row, class_=kind) for row, (line, kind) in enumerate(names)
    ]
    lines = [
        ("least", bar.least_um, bar.least),
        ("expected", bar.expected_um, bar.expected),
    ]
    if bar.expected_um is None and bar.least_um is None:
        told = wrap(bar.words, _WORD_LETTERS, 4)
        parts += [
            tag("text", line, x=_BARS[0] + 8, y=y + 11 + 15 * row, class_="on")
            for row, line in enumerate(told)
        ]
        return Markup("").join(parts), max(15.0 * len(names), 15.0 * len(told), _LINE)
    for row, (kind, value, figures) in enumerate(lines):
        parts.append(_line(kind, value, [figures[number] for number in order], y + _LINE * row, most))
    return Markup("").join(parts), max(15.0 * len(names), 2 * _LINE)


def _line(kind: str, value: float | None, figures: Sequence[str], y: float, most: float) -> Markup:
    parts = [tag("text", kind, x=_KIND_X, y=y + 11)]
    if value is None:
        parts.append(tag("text", "not stated", x=_COLUMNS[0], y=y + 11, class_="end"))
        return Markup("").join(parts)
    width = _x(value, most) - _BARS[0]
    parts.append(tag("rect", x=_BARS[0], y=y, width=width, height=_BAR, class_=kind))
    parts += [
        tag("text", told or "-", x=x, y=y + 11, class_="end")
        for told, x in zip(figures, _COLUMNS, strict=True)
    ]
    return Markup("").join(parts)


def _notes(notes: Sequence[str], y: float) -> tuple[Markup, float]:
    lines = [line for note in notes for line in wrap(note, _NOTE_LETTERS, 4)]
    drawn = [tag("text", line, x=0, y=y + 16 + 18 * row, class_="soft") for row, line in enumerate(lines)]
    rule = tag("line", x1=0, x2=_WIDTH, y1=y - 6, y2=y - 6, class_="rule")
    return rule + Markup("").join(drawn), 18.0 * len(lines) + 6


def _described(bars: Sequence[CoatBar], number: int) -> str:
    """The chart in words, for whoever cannot see it."""
    label, told = "", []
    for bar in bars:
        label = bar.label or label
        told.append(f"{label}, read as {bar.name}: {_said(bar, number)}")
    return "; ".join(told) + "."


def _said(bar: CoatBar, number: int) -> str:
    if bar.expected_um is None and bar.least_um is None:
        return bar.words
    unit = UNIT_NAMES[number]
    least = f"least {bar.least[number]} {unit}" if bar.least_um is not None else "least not stated"
    return f"{least}, expected {bar.expected[number]} {unit} on one face"


def _x(value: float, most: float) -> float:
    return _BARS[0] + (_BARS[1] - _BARS[0]) * value / most
