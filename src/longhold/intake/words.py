"""What may stand in a field, in plain words, from the JSON Schema of the model."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from longhold.base.recent import once

__all__ = ["field_words"]

Node = Mapping[str, Any]


def field_words(model: type[BaseModel], name: str) -> str:
    """What one field of a model may hold.

    >>> from longhold.model.structure import Joint
    >>> field_words(Joint, "demand")
    'a number with its unit, such as "400 lb" or "1.8 kN"'
    """
    schema = _schema(model)
    return _words(schema["properties"][name], schema.get("$defs", {}))


@once
def _schema(model: type[BaseModel]) -> Node:
    return model.model_json_schema()


def _words(node: Node, defs: Mapping[str, Node]) -> str:
    if "$ref" in node:
        return _words(defs[node["$ref"].rsplit("/", 1)[-1]], defs)
    if "anyOf" in node:
        kinds = [_words(one, defs) for one in node["anyOf"] if one.get("type") != "null"]
        return ", or ".join(kinds)
    if "enum" in node:
        return f"one of {', '.join(node['enum'])}"
    return _BY_TYPE[node.get("type", "")](node, defs)


def _text(node: Node, _: Mapping[str, Node]) -> str:
    if "examples" in node:
        return f"a number with its unit, such as {' or '.join(_quoted(one) for one in node['examples'][:2])}"
    if node.get("format") == "date":
        return "a date such as 2026-04-01"
    if "pattern" in node:
        return "a short name of letters, digits, - and _, that starts with a letter or digit"
    longest = node.get("maxLength")
    return f"text in quotes, of up to {longest:,} characters" if longest else "text in quotes"


def _number(node: Node, _: Mapping[str, Node]) -> str:
    kind = "a whole number" if node["type"] == "integer" else "a number"
    bounds = [f"{words} {_figure(node[key])}" for key, words in _BOUNDS.items() if key in node]
    return f"{kind} of {' and '.join(bounds)}" if bounds else kind


def _figure(bound: float) -> str:
    """A bound without the point that a whole number has as a decimal one."""
    return f"{int(bound):,}" if bound == int(bound) else f"{bound:,}"


_BOUNDS = {
    "minimum": "at least",
    "exclusiveMinimum": "more than",
    "maximum": "at most",
    "exclusiveMaximum": "less than",
}


def _list(node: Node, defs: Mapping[str, Node]) -> str:
    return f"a list, each {_words(node['items'], defs)}"


def _table(node: Node, _: Mapping[str, Node]) -> str:
    required = node.get("required", [])
    return f"a table with {', '.join(required)}" if required else "a table"


def _truth(_: Node, __: Mapping[str, Node]) -> str:
    return "true or false"


_BY_TYPE = {
    "string": _text,
    "integer": _number,
    "number": _number,
    "array": _list,
    "object": _table,
    "boolean": _truth,
}


def _quoted(text: str) -> str:
    return f'"{text}"' if '"' not in text else f"'{text}'"
