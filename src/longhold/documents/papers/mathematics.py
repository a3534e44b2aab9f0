"""Equations as nested plain objects, for a typesetter that knows no HTML."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any

from longhold.documents.equations import set_equation, set_symbol

__all__ = ["Node", "equation_tree", "symbol_tree"]

Node = str | dict[str, Any]


def equation_tree(text: str) -> list[Node]:
    """An equation as text and nodes of kind i, sub, sup, frac (two children) and root.

    >>> equation_tree("r = x_1^2 / 2")[0]
    {'kind': 'i', 'inside': ['r']}
    """
    return _tree(set_equation(text))


def symbol_tree(text: str) -> list[Node]:
    """A symbol likewise.

    >>> symbol_tree("r_zn")
    [{'kind': 'i', 'inside': ['r']}, {'kind': 'sub', 'inside': ['zn']}]
    """
    return _tree(set_symbol(text))


def _tree(html: str) -> list[Node]:
    reader = _Reader()
    reader.feed(str(html))
    reader.close()
    return reader.top


class _Reader(HTMLParser):
    """Follows the few elements that ``set_equation`` writes."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.top: list[Node] = []
        self._open: list[tuple[list[Node], bool]] = [(self.top, True)]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        kind = tag if tag in {"i", "sub", "sup"} else dict(attrs).get("class") or "row"
        inside: list[Node] = []
        shown = kind != "no"  # the slash of a fraction, for readers that see no bar
        if kind in {"eq", "tall"}:
            inside = self._open[-1][0]
        elif shown:
            self._open[-1][0].append({"kind": kind, "inside": inside})
        self._open.append((inside, shown))

    def handle_endtag(self, tag: str) -> None:  # noqa: ARG002 - the parser calls it so
        self._open.pop()

    def handle_data(self, data: str) -> None:
        inside, shown = self._open[-1]
        if shown:
            inside.append(data)
