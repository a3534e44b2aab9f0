"""Operating characteristic curves: the chance of acceptance against the true mean, and against bad pieces."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from longhold.documents.axes import figure_plain, ticks
from longhold.documents.svg import path, tag
from longhold.inspect.acceptance import Limits
from longhold.inspect.operating_curve import BadPieces, MeanCurve

__all__ = ["bad_chart", "mean_chart"]

_WIDTH, _HEIGHT = 700.0, 342.0
_LEFT, _TOP, _RIGHT, _BOTTOM = 60.0, 34.0, 672.0, 272.0
_INK, _SOFT, _GRID, _PAPER, _BAND = "#17191c", "#53585e", "#c9c6bc", "#ffffff", "#e4e1d8"
_FONT = "'Atkinson Hyperlegible Next','Noto Sans',sans-serif"


def mean_chart(curve: MeanCurve, limits: Limits) -> str:
    """Chance of each decision against the true mean of the lot, as SVG in ink on white.

    Between the two lines the lot is measured again: the darker line is the chance that it is accepted, the
    broken one that it is not refused.
    """
    low, high = float(curve.mean_um[0]), float(curve.mean_um[-1])

    def at(value: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (value - low) / (high - low)

    accepted = [(at(m), _y(c)) for m, c in zip(curve.mean_um, curve.accepted, strict=True)]
    open_top = [(at(m), _y(c)) for m, c in zip(curve.mean_um, curve.not_refused, strict=True)]
    step = next(s for s in (1, 2, 5, 10, 20, 50, 100, 200) if (high - low) / s <= 10)
    first = int(-(-low // step)) * step
    values = [float(v) for v in range(first, int(high) + 1, step)]
    limit = at(limits.mean_um)
    parts = [
        *_axes([(at(v), figure_plain(v)) for v in values], "True mean of the lot, µm"),
        tag("path", d=path([*accepted, *open_top[::-1]], close=True), fill=_BAND),
        tag("line", x1=limit, x2=limit, y1=_TOP, y2=_BOTTOM, stroke=_INK, stroke_dasharray="2 4"),
        _line(open_top, "7 4", 1.6),
        _line(accepted, None, 2.6),
        _text(f"asked {limits.mean_um:g} µm", limit, _TOP - 6, anchor="middle", fill=_SOFT),
        *_legend([(None, 2.6, "accepted"), ("7 4", 1.6, "not refused; between the two: measured again")]),
    ]
    return _picture("Chance of acceptance against the true mean", parts)


def bad_chart(found: BadPieces) -> str:
    """Chance that no bad piece is among those measured, against their share in the lot, as SVG."""
    points = [
        (_LEFT + (_RIGHT - _LEFT) * float(s), _y(float(c)))
        for s, c in zip(found.share, found.chance, strict=True)
    ]
    labels = [(_LEFT + (_RIGHT - _LEFT) * v / 100.0, f"{v} %") for v in range(0, 101, 10)]
    parts = [
        *_axes(labels, "Bad pieces in the lot, share"),
        _line(points, None, 2.6) if len(points) > 1 else Markup(""),
        *_legend([(None, 2.6, f"none of them among the {found.pieces} measured")]),
    ]
    return _picture("Chance that bad pieces stay unseen", parts)


def _y(chance: float) -> float:
    return _BOTTOM - (_BOTTOM - _TOP) * min(max(chance, 0.0), 1.0)


def _axes(labels: Sequence[tuple[float, str]], name: str) -> list[Markup]:
    parts = [_text("Chance", 4, _TOP - 14, fill=_SOFT)]
    for value in ticks(1.0, 4):
        y = _y(value)
        parts.append(tag("line", x1=_LEFT, x2=_RIGHT, y1=y, y2=y, stroke=_INK if value == 0 else _GRID))
        parts.append(_text(f"{100 * value:.0f} %", _LEFT - 8, y + 4, anchor="end"))
    for x, text in labels:
        parts.append(tag("line", x1=x, x2=x, y1=_BOTTOM, y2=_BOTTOM + 4, stroke=_INK))
        parts.append(_text(text, x, _BOTTOM + 18, anchor="middle"))
    return [*parts, _text(name, (_LEFT + _RIGHT) / 2, _BOTTOM + 36, anchor="middle", fill=_SOFT)]


def _line(points: list[tuple[float, float]], dashes: str | None, wide: float) -> Markup:
    return tag("path", d=path(points), fill="none", stroke=_INK, stroke_width=wide, stroke_dasharray=dashes)


def _legend(lines: Sequence[tuple[str | None, float, str]]) -> list[Markup]:
    parts, x = [], _LEFT
    for dashes, wide, words in lines:
        y = _HEIGHT - 8
        parts.append(_line([(x, y - 4), (x + 28, y - 4)], dashes, wide))
        parts.append(_text(words, x + 34, y))
        x += 60 + 7.2 * len(words)
    return parts


def _text(words: str, x: float, y: float, *, anchor: str | None = None, fill: str = _INK) -> Markup:
    style = f"fill:{fill};font-size:13px;font-family:{_FONT}"  # no style sheet of a page goes before it
    return tag("text", words, x=x, y=y, text_anchor=anchor, style=style)


def _picture(title: str, parts: Sequence[Markup]) -> str:
    return str(
        tag(
            "svg",
            tag("title", title),
            tag("rect", x=0, y=0, width=_WIDTH, height=_HEIGHT, fill=_PAPER),
            *parts,
            xmlns="http://www.w3.org/2000/svg",
            viewBox=f"0 0 {_WIDTH:.0f} {_HEIGHT:.0f}",
            role="img",
            aria_label=title,
        )
    )
