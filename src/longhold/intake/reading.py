"""From text to plain keys and values, with every fault placed by line and column."""

from __future__ import annotations

import json
import re
import tomllib
import unicodedata
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal, NoReturn

from longhold.base.errors import InputError, Problem
from longhold.base.toml_reading import TOO_MANY_DIGITS, parse_toml

__all__ = ["Format", "format_of", "parse_text"]

Format = Literal["toml", "json"]
_HARMLESS = {"\ufeff", "\u00ad", "\u200b", "\u200c", "\u200d"}
_FAULT = re.compile(
    r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$", re.S
)


def format_of(path: Path, text: str) -> Format:
    """TOML or JSON: by the ending of the name, else by the first character.

    >>> format_of(Path("deck.txt"), '{"name": "deck"}')
    'json'
    """
    ending = path.suffix.lower()
    if ending in {".toml", ".json"}:
        return "json" if ending == ".json" else "toml"
    return "json" if text.lstrip().startswith("{") else "toml"


def parse_text(text: str, written: Format) -> dict[str, Any]:
    """Keys and values of TOML or JSON text.

    Raises
    ------
    InputError : naming line and column of the fault
    """
    _refuse_hidden_signs(text)
    try:
        data = parse_toml(text) if written == "toml" else _json(text)
    except json.JSONDecodeError as error:
        _refuse_at(text, error.lineno, error.colno, f"is not JSON: {_start_low(error.msg)}.", "")
    except tomllib.TOMLDecodeError as error:
        _refuse_toml(text, str(error))
    except RecursionError:
        raise InputError(Problem("the file", None, "is nested too deep to be read.")) from None
    except ValueError as error:
        raise InputError(Problem("the file", None, f"cannot be read: {error}.")) from None
    if not isinstance(data, dict):
        raise InputError(Problem("the file", None, "must hold one JSON object, { ... }."))
    return data


def _json(text: str) -> Any:
    return json.loads(text, object_pairs_hook=_without_twins, parse_constant=_not_a_number, parse_int=_whole)


def _whole(digits: str) -> int:
    try:
        return int(digits)
    except ValueError:  # Python's limit on digits, told in words for programmers
        raise ValueError(TOO_MANY_DIGITS) from None


def _without_twins(pairs: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            beside = ", ".join(f"{key} {found[key]!r}" for key in ("id", "name") if key in found)
            raise ValueError(f"the key {name!r} stands twice in one object{beside and f' ({beside})'}")
        found[name] = value
    return found


def _not_a_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number that can be used")


def _refuse_toml(text: str, message: str) -> NoReturn:
    match = _FAULT.match(message)
    what = match["what"] if match else message
    line = int(match["line"]) if match and match["line"] else max(1, len(text.splitlines()))
    column = int(match["column"]) if match and match["column"] else 0
    said, do = _TOML_WORDS.get(what, (_start_low(what), ""))
    if what.startswith("Cannot declare"):
        said, do = "the same [heading] stands above already", "Join the two, or use [[heading]] for a list."
    elif what.startswith("Duplicate inline table key"):
        said, do = "the same key stands twice in one { ... }", "Keep one of the two."
    _refuse_at(text, line, column, f"is not TOML: {said}.", do)


_QUOTES = 'Text, dates with words and quantities stand in quotes: design_life = "50 years".'
_TOML_WORDS = {
    "Invalid value": ("no value can be read here", _QUOTES),
    "Cannot overwrite a value": ("the same key stands above already", "Keep one of the two."),
    "Expected newline or end of document after a statement": ("something follows the value", _QUOTES),
    "Expected '=' after a key in a key/value pair": (
        "a line must read key = value",
        'For example name = "Back deck". A comment starts with #.',
    ),
    "Invalid statement": (
        "a line must read key = value, [heading] or [[heading]]",
        "A comment starts with #.",
    ),
    "Unclosed array": (
        "a list that was opened with [ is not closed with ]",
        "A comma goes between its items.",
    ),
    "Unclosed inline table": (
        "a { ... } is not closed on its line",
        "Its items are parted by commas and stand on one line.",
    ),
    "Expected ']' at the end of a table declaration": ("a [heading] is not closed with ]", ""),
    "Expected ']]' at the end of an array declaration": ("a [[heading]] is not closed with ]]", ""),
    "Illegal character '\\n'": (
        "a text is not closed on its line",
        "Close it with the quote it opened with.",
    ),
    "Unterminated string": ("a text is not closed", "Close it with the quote it opened with."),
    'Expected "\'"': ("a text is not closed on its line", "Close it with the quote it opened with."),
    "Invalid initial character for a key part": (
        "no name of a key can be read here",
        "The { ... } of one part stands on one line.",
    ),
    "Unescaped '\\' in a string": (
        "a backslash in a text",
        "Write two, or put the text in single quotes: 'C:\\decks'.",
    ),
}


def _refuse_at(text: str, line: int, column: int, allowed: str, do: str) -> NoReturn:
    lines = text.splitlines()
    shown = lines[line - 1].strip() if 0 < line <= len(lines) else ""
    where = f"line {line}, column {column}" if column else f"line {line} (the end)"
    raise InputError(Problem(where, shown or None, allowed, do)) from None


def _start_low(text: str) -> str:
    return text[:1].lower() + text[1:]


def _refuse_hidden_signs(text: str) -> None:
    """Signs that no one sees, and that hide or turn what stands beside them, have no place in a label."""
    for number, line in enumerate(text.splitlines(), 1):
        for column, sign in enumerate(line, 1):
            if sign != "\t" and unicodedata.category(sign) in {"Cc", "Cf"} and sign not in _HARMLESS:
                said = f"holds the invisible sign U+{ord(sign):04X} at line {number}, column {column}."
                raise InputError(Problem("the file", None, said, "Delete it and type the text anew."))
