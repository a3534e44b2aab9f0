"""A small safe builder of SVG: every text and attribute is escaped."""

from __future__ import annotations

from markupsafe import Markup, escape

__all__ = ["path", "tag", "text_lines", "wrap"]

Value = str | float | int | None


def tag(name: str, *children: str, **attributes: Value) -> Markup:
    """One element; children that are not Markup are escaped.

    Underscores in attribute names become hyphens, a trailing one is dropped, None is left out.

    >>> str(tag("text", "a < b", x=1.0, text_anchor="end", class_="soft"))
    '<text x="1" text-anchor="end" class="soft">a &lt; b</text>'
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_plain(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    inside = Markup("").join(escape(child) for child in children)
    return Markup(f"<{name}{written}>{inside}</{name}>")  # noqa: S704 - every part is escaped above


def path(points: list[tuple[float, float]], close: bool = False) -> str:
    """Path data through points.

    >>> path([(0, 1), (2.5, 3)], close=True)
    'M0 1L2.5 3Z'
    """
    return "M" + "L".join(f"{_plain(x)} {_plain(y)}" for x, y in points) + ("Z" if close else "")


def wrap(text: str, width: int, most: int) -> list[str]:
    """Lines of at most ``width`` characters, at most ``most`` of them; what is cut ends in an ellipsis.

    >>> wrap("southern pine with ACQ-D", 13, 2)
    ['southern pine', 'with ACQ-D']
    """
    lines: list[str] = [""]
    for word in text.split():
        while len(word) > width:
            lines[-1:] = [lines[-1], word[:width]] if lines[-1] else [word[:width]]
            word = word[width:]
        joined = f"{lines[-1]} {word}".strip()
        if len(joined) <= width:
            lines[-1] = joined
        else:
            lines.append(word)
    if len(lines) > most:
        lines = lines[:most]
        lines[-1] = lines[-1][: width - 1].rstrip() + "…"
    return [line for line in lines if line]


def text_lines(lines: list[str], x: float, y: float, **attributes: Value) -> Markup:
    """Lines of text one under the other, 13 units apart."""
    return Markup("").join(
        tag("text", line, x=x, y=y + 13 * row, **attributes) for row, line in enumerate(lines)
    )


def _plain(value: Value) -> str:
    if isinstance(value, float):
        short = f"{value:.2f}".rstrip("0").rstrip(".")
        return "0" if short == "-0" else short
    return str(value)
