"""Keys and values of a structure as TOML text, laid out as the file that ``longhold new`` writes."""

from __future__ import annotations

import datetime
import json
import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any

__all__ = ["quoted", "toml_text"]

_BARE = re.compile("[A-Za-z0-9_-]+")
_HIDDEN = {"Cc", "Cf", "Co", "Cs", "Zl", "Zp"}


def toml_text(given: Mapping[str, Any]) -> str:
    """TOML of keys and values: text, numbers, yes or no, dates, lists and tables.

    >>> print(toml_text({"name": "deck", "joints": [{"id": "J1", "parts": [{"count": 4}]}]}), end="")
    name = "deck"
    <BLANKLINE>
    [[joints]]
    id = "J1"
    parts = [
      { count = 4 },
    ]
    """
    return "\n".join(_table(given, "")).lstrip("\n") + "\n"


def _table(table: Mapping[str, Any], path: str) -> Iterator[str]:
    below = {name: value for name, value in table.items() if isinstance(value, Mapping)}
    lists = {name: value for name, value in table.items() if not path and _is_list_of_tables(value)}
    own = {name: value for name, value in table.items() if name not in below and name not in lists}
    if path and (own or not below):
        yield from ("", f"[{path}]")
    for name, value in own.items():
        yield f"{_key(name)} = {_value(value)}"
    for name, value in below.items():
        yield from _table(value, f"{path}.{_key(name)}".lstrip("."))
    for name, entries in lists.items():
        for entry in entries:
            yield from ("", f"[[{_key(name)}]]")
            yield from (f"{_key(key)} = {_value(value)}" for key, value in entry.items())


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) for one in value)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{_key(name)} = {_value(one)}" for name, one in value.items())
        return f"{{ {pairs} }}" if pairs else "{}"
    if _is_list_of_tables(value):
        return "[\n" + "".join(f"  {_value(one)},\n" for one in value) + "]"
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    return repr(value)


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else quoted(name)


def quoted(text: str) -> str:
    """Text as a TOML string, signs that cannot be seen written as codes.

    >>> quoted('5/8" bolt')
    '"5/8\\\\" bolt"'
    """
    return '"' + "".join(map(_sign, json.dumps(text, ensure_ascii=False)[1:-1])) + '"'


def _sign(sign: str) -> str:
    if unicodedata.category(sign) not in _HIDDEN:
        return sign
    return f"\\u{ord(sign):04x}" if ord(sign) < 0x10000 else f"\\U{ord(sign):08x}"
