"""Directives that show Longhold's own tables, so that no number of a page is typed twice."""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Iterable, Sequence
from importlib.resources import files
from typing import Any, ClassVar, cast

from docutils import nodes
from docutils.parsers.rst import directives
from sphinx import addnodes
from sphinx.application import Sphinx
from sphinx.domains.std import StandardDomain
from sphinx.util.docutils import SphinxDirective

from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.codes.packs import list_packs, load_pack
from longhold.documents.words import MARK_MEANINGS

_NUMBER = re.compile(r"[-−+]?\d[\d.,]*(?:e[-+]?\d+)?")


def setup(app: Sphinx) -> dict[str, Any]:
    """Register the directives."""
    app.add_directive("rows", Rows)
    app.add_directive("values", Values)
    app.add_directive("register", Register)
    app.add_directive("marks", Marks)
    app.add_directive("packs", Packs)
    app.add_directive("commands", Commands)
    return {"parallel_read_safe": True, "parallel_write_safe": True}


def lines_of(table: str) -> list[dict[str, str]]:
    """Lines of a CSV table of the package, such as ``wood/metals.csv``."""
    text = files("longhold").joinpath("tables", *table.split("/")).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def values_of(table: str) -> dict[str, Any]:
    """A TOML table of the package."""
    text = files("longhold").joinpath("tables", *table.split("/")).read_text(encoding="utf-8")
    return tomllib.loads(text)


def origins_of(table: str) -> set[tuple[str, str]]:
    """Every pair of source and mark of a table, or of one section, as in ``wood/sorption.toml#celsius``."""
    name, _, section = table.partition("#")
    if name.endswith(".csv"):
        return {(line["source"], line["mark"]) for line in lines_of(name)}
    found: set[tuple[str, str]] = set()
    values = values_of(name)
    _look_for_origins(values[section] if section else values, found)
    return found


def _look_for_origins(part: dict[str, Any], found: set[tuple[str, str]]) -> None:
    if isinstance(part.get("source"), str) and isinstance(part.get("mark"), str):
        found.add((part["source"], part["mark"]))
    for inner in part.values():
        if isinstance(inner, dict):
            _look_for_origins(inner, found)


def source_link(source: str) -> nodes.Node:
    """A link to a source in the register; a source that is not there fails the build."""
    link = addnodes.pending_xref(
        "", refdomain="std", reftype="ref", reftarget=f"source-{source}", refexplicit=True, refwarn=True
    )
    link += nodes.inline(source, source, classes=["source"])
    return link


def table_node(heads: Sequence[str], lines: Iterable[Sequence[str | nodes.Node]]) -> nodes.table:
    """A table; cells are text or nodes, and numbers are set to the right."""
    table = nodes.table(classes=["data"])
    group = nodes.tgroup(cols=len(heads))
    table += group
    group.extend(nodes.colspec(colwidth=1) for _ in heads)
    head, body = nodes.thead(), nodes.tbody()
    group += [head, body]
    head += _line(heads)
    body.extend(_line(line) for line in lines)
    return table


def _line(cells: Sequence[str | nodes.Node]) -> nodes.row:
    row = nodes.row()
    for cell in cells:
        entry = nodes.entry()
        if isinstance(cell, nodes.Node):
            entry += nodes.paragraph("", "", cell)
        else:
            entry += nodes.paragraph(cell, cell)
            if _NUMBER.fullmatch(cell):
                entry["classes"].append("num")
        row += entry
    return row


def _head(name: str) -> str:
    return name.replace("_", " ")


def _cell(name: str, line: dict[str, str]) -> str | nodes.Node:
    if name != "source":
        return line[name].replace("_", " ")
    return nodes.inline("", "", source_link(line["source"]), nodes.Text(line["mark"]))


class Rows(SphinxDirective):
    """A CSV table of the package: ``columns`` picks some, ``only`` keeps lines, such as ``metal=zinc``."""

    required_arguments = 1
    option_spec: ClassVar = {"columns": directives.unchanged, "only": directives.unchanged}

    def run(self) -> list[nodes.Node]:
        """The table, its name above it."""
        name = self.arguments[0]
        lines = lines_of(name)
        if "only" in self.options:
            column, _, value = self.options["only"].partition("=")
            lines = [line for line in lines if line[column] == value]
        if not lines:
            raise self.error(f"{name} has no such lines")
        names = [one.strip() for one in self.options.get("columns", ",".join(lines[0])).split(",")]
        if missing := [one for one in names if one not in lines[0]]:
            raise self.error(f"{name} has no column {missing[0]}")
        names = [one for one in names if any(line[one] for line in lines)]
        if {"source", "mark"} <= set(names):
            names.remove("mark")
            marked = [{**line, "mark": f" ({line['mark']})"} for line in lines]
        else:
            marked = [{**line, "mark": line.get("mark", "")} for line in lines]
        table = table_node(
            [_head(one) for one in names], ([_cell(one, line) for one in names] for line in marked)
        )
        return [_named(name), table]


class Values(SphinxDirective):
    """One section of a TOML table of the package, a line for each value."""

    required_arguments = 2

    def run(self) -> list[nodes.Node]:
        """The table, its name above it, its source and mark in its last lines."""
        name, section = self.arguments
        values = values_of(name)
        for step in section.split("."):
            values = values[step]
        lines = [
            (_head(key), source_link(value) if key == "source" else _shown(value))
            for key, value in values.items()
            if not isinstance(value, dict)
        ]
        return [_named(f"{name}, {section}"), table_node(("value", "is"), lines)]


def _shown(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(_shown(one) for one in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _named(name: str) -> nodes.paragraph:
    return nodes.paragraph("", "", nodes.Text("Table "), nodes.literal(name, name), classes=["of-table"])


class Register(SphinxDirective):
    """Every source with where it was read; pages link to these lines."""

    def run(self) -> list[nodes.Node]:
        """A definition list with an address for each source."""
        domain = cast("StandardDomain", self.env.get_domain("std"))
        found = nodes.definition_list()
        for source in sorted(register().values(), key=lambda one: one.id):
            place = f"source-{source.id}".replace(".", "-")
            domain.note_hyperlink_target(f"source-{source.id}", self.env.docname, place, source.id)
            term = nodes.term("", "", nodes.literal(source.id, source.id), ids=[place])
            read = "Read" if source.read else "Not read"
            meaning = nodes.definition()
            meaning += nodes.paragraph(source.title, source.title)
            meaning += nodes.paragraph("", f"{read}. {source.where}", classes=["soft"])
            found += nodes.definition_list_item("", term, meaning)
        return [found]


class Marks(SphinxDirective):
    """How sure a number is, strongest first."""

    def run(self) -> list[nodes.Node]:
        """A table of the marks."""
        return [table_node(("mark", "means"), [(str(mark), MARK_MEANINGS[mark]) for mark in Mark])]


class Packs(SphinxDirective):
    """The rule packs of one kind: code, standard or guidance."""

    required_arguments = 1

    def run(self) -> list[nodes.Node]:
        """A table of them."""
        lines = []
        for name, pack in list_packs().items():
            if pack.kind == self.arguments[0]:
                rules = {rule.id: rule for rule in load_pack(name).rules}.values()
                marks = [str(rule.mark) for rule in rules]
                told = ", ".join(f"{marks.count(one)} {one}" for one in map(str, Mark) if one in marks)
                lines.append(
                    (
                        nodes.literal(name, name),
                        pack.title,
                        ", ".join(pack.jurisdictions),
                        nodes.Text(", ".join(pack.editions)),
                        told or "none",
                    )
                )
        return [table_node(("pack", "title", "where", "editions", "rules by mark"), lines)]


class Commands(SphinxDirective):
    """Every command with what it does in a sentence."""

    def run(self) -> list[nodes.Node]:
        """A table of them, in the order of ``longhold --help``."""
        from typer.main import get_command

        from longhold.cli.main import app as commands

        group = cast("Any", get_command(commands))
        lines = []
        for name, command in group.commands.items():
            said = str(command.help or "").split("\n\n")[0].replace("\n", " ").strip()
            lines.append((nodes.literal(name, f"longhold {name}"), said))
        return [table_node(("command", "does"), lines)]
