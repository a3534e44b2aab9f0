"""What the code says of its functions, shown beside their equations and in the reference."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator
from pydoc import locate
from typing import Any, ClassVar, NamedTuple

from docutils import nodes
from docutils.parsers.rst import directives
from from_tables import origins_of, source_link, table_node
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

from longhold.base.marks import Mark, weakest
from longhold.base.sources import register
from longhold.documents.equations import set_units

_SECTION = re.compile(r"^(?P<name>[A-Z][a-z]+)\n-{3,}\n", re.MULTILINE)
_ASIDE = {"trace", "progress"}
_KINDS = {"Parameters": "param", "Attributes": "ivar"}


class Described(NamedTuple):
    """A docstring taken apart: its paragraphs, and its sections with their entries or text."""

    paragraphs: list[str]
    sections: dict[str, str]

    def entries(self, section: str) -> Iterator[tuple[str, str]]:
        """Name and meaning of each line ``name : meaning`` of a section, in order."""
        text = re.sub(r"\n[ ]+", " ", self.sections.get(section, ""))
        for line in text.splitlines():
            name, colon, meaning = line.partition(" : ")
            if colon:
                yield name.strip(), meaning.strip()


def described(owner: Any) -> Described:
    """The docstring of a function or class, without its examples."""
    text = (inspect.getdoc(owner) or "").split(">>>")[0]
    pieces = _SECTION.split(text)
    sections = dict(zip(pieces[1::2], pieces[2::2], strict=True))
    paragraphs = [one for one in pieces[0].split("\n\n") if one.strip()]
    tail = {name: body.split("\n\n") for name, body in sections.items()}
    sections = {name: body[0] for name, body in tail.items()}
    paragraphs += [one for body in tail.values() for one in body[1:] if one.strip()]
    return Described(paragraphs, sections)


def _found(address: str) -> Any:
    found = locate(address)
    if found is None:
        raise ValueError(f"there is no {address}")
    return found


def prose(text: str) -> list[nodes.Node]:
    """Inline nodes of a paragraph of a docstring, in which only double backticks mean something."""
    found: list[nodes.Node] = []
    for place, piece in enumerate(re.split(r"``(.+?)``", " ".join(text.split()))):
        if piece:
            found.append(nodes.literal(piece, piece) if place % 2 else nodes.Text(set_units(piece)))
    return found


class Equation(SphinxDirective):
    """An equation with what the code says of it.

    The argument is the function or class; the content is the mathematics and its symbols. Below it stand the
    arguments with their units, the range, and every source with its mark: from ``tables``, CSV or TOML, or
    stated as ``source`` and ``mark``. An equation without a source fails the build.
    """

    required_arguments = 1
    has_content = True
    option_spec: ClassVar = {
        "tables": directives.unchanged,
        "source": directives.unchanged,
        "mark": directives.unchanged,
    }

    def run(self) -> list[nodes.Node]:
        """The equation, its arguments, range and origin in one box."""
        address = self.arguments[0]
        says = described(_found(address))
        origins = self._origins(address)
        box = nodes.container(classes=["equation"])
        if not self.content:
            raise self.error(f"{address}: an equation needs its mathematics")
        first, *more = says.paragraphs
        box += nodes.paragraph("", "", nodes.strong("", "", *prose(first)))
        box.extend(self.parse_content_to_nodes())
        entries = [
            *says.entries("Parameters"),
            *says.entries("Attributes"),
            *(("answer", meaning) for meaning in self._returned(says)),
        ]
        told = [(nodes.literal(n, n), nodes.inline("", "", *prose(m))) for n, m in entries if n not in _ASIDE]
        if told:
            box += table_node(("in the code", "meaning and unit"), told)
        if wrong := [meaning for _, meaning in says.entries("Raises")]:
            box += nodes.paragraph("", f"Refused: {set_units('; '.join(wrong))}.", classes=["soft"])
        for part in (*more, says.sections.get("Notes", "")):
            if part.strip():
                box += nodes.paragraph("", "", *prose(part), classes=["soft"])
        box += self._origin(address, origins)
        return [box]

    def _returned(self, says: Described) -> list[str]:
        text = " ".join(says.sections.get("Returns", "").split())
        return [text] if text else []

    def _origins(self, address: str) -> set[tuple[str, Mark]]:
        found: set[tuple[str, Mark]] = set()
        for table in self.options.get("tables", "").split():
            found |= {(source, Mark(mark)) for source, mark in origins_of(table)}
        if "source" in self.options:
            found.add((self.options["source"], Mark(self.options["mark"])))
        if not found:
            raise self.error(f"{address}: an equation needs a source")
        for source, mark in found:
            if mark is Mark.VERIFIED and not register()[source].read:
                raise self.error(f"{address}: {source} was not read, so nothing from it is verified")
        return found

    def _origin(self, address: str, origins: set[tuple[str, Mark]]) -> nodes.paragraph:
        line = nodes.paragraph("", "", nodes.strong("", "Source: "), classes=["origin"])
        for place, source in enumerate(sorted({one for one, _ in origins})):
            marks = ", ".join(str(mark) for mark in Mark if (source, mark) in origins)
            line += [nodes.Text(", " if place else ""), source_link(source), nodes.Text(f" ({marks})")]
        weak = weakest(mark for _, mark in origins)
        line += nodes.Text(f". Weakest mark: {weak}. Code: ")
        line += nodes.literal(address, address)
        return line


def _as_fields(_app: Sphinx, _what: str, _name: str, obj: Any, _options: Any, lines: list[str]) -> None:
    """Sections of a docstring as the fields that Sphinx sets."""
    says = described(obj)
    if not says.sections:
        return
    text = "\n".join(lines)
    kept = [" ".join(one.split()) for one in says.paragraphs]
    fields = []
    for section, field in _KINDS.items():
        fields += [f":{field} {n}: {m}" for names, m in says.entries(section) for n in names.split(", ")]
    fields += [f":raises {n}: {m}" for n, m in says.entries("Raises")]
    if "Returns" in says.sections:
        fields.append(":returns: " + " ".join(says.sections["Returns"].split()))
    example = text[text.index(">>>") :] if ">>>" in text else ""
    lines[:] = [line for one in kept for line in (one, "")] + fields + ["", *example.splitlines()]


def setup(app: Sphinx) -> dict[str, Any]:
    """Register the directive and the reading of docstrings."""
    app.add_directive("equation", Equation)
    app.connect("autodoc-process-docstring", _as_fields)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
