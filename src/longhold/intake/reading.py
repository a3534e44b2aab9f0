"""From a file to plain keys and values, with every fault placed by line and column or byte."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal, NoReturn

from longhold.base.errors import InputError, Problem

__all__ = ["MOST_BYTES", "Format", "format_of", "parse_text", "read_file"]

Format = Literal["toml", "json"]
MOST_BYTES = 50_000_000
_FAULT = re.compile(
    r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$", re.S
)


def read_file(path: Path, what: str = "a structure") -> str:
    """Text of a file that holds UTF-8, with or without a byte order mark.

    Raises
    ------
    InputError : missing, a folder, not readable, over ``MOST_BYTES``, empty, not UTF-8 (with the byte)
    """
    try:
        with path.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _refused(path, "there is no such file.", _nearby(path)) from None
    except IsADirectoryError:
        raise _refused(path, "is a folder.", f"Name the file in it that holds {what}.") from None
    except PermissionError:
        raise _refused(path, "may not be read.", "Ask its owner for leave to read it.") from None
    except (OSError, ValueError) as error:
        raise _refused(path, f"cannot be read: {getattr(error, 'strerror', None) or error}.") from None
    if len(raw) > MOST_BYTES:
        limit = f"is larger than {MOST_BYTES // 1_000_000} MB, the most that is read."
        raise _refused(path, limit, f"Is it the file that holds {what}?")
    if not raw.strip():
        raise _refused(path, "is empty.", "'longhold new' writes a structure file to start from.")
    return _decoded(path, raw)


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
    try:
        data = tomllib.loads(text) if written == "toml" else _json(text)
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


def _decoded(path: Path, raw: bytes) -> str:
    if raw[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        raise _refused(path, "is UTF-16 text.", "Save it as UTF-8.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"byte {error.start:,} (line {raw.count(10, 0, error.start) + 1})"
        raise _refused(path, f"is not UTF-8 text: the fault is at {where}.", "Save it as UTF-8.") from None
    if "\0" in text:
        raise _refused(path, f"is not text: there is a zero byte at character {text.index(chr(0)):,}.")
    return text


def _refused(path: Path, allowed: str, do: str = "") -> InputError:
    return InputError(Problem(str(path), None, allowed, do))


def _nearby(path: Path) -> str:
    from difflib import get_close_matches

    folder = path.parent
    try:
        names = [entry.name for entry in folder.iterdir() if entry.is_file()]
    except OSError:
        return f"There is no folder {folder} either."
    close = get_close_matches(path.name, names, n=3)
    return f"Did you mean {' or '.join(str(folder / name) for name in close)}?" if close else ""


def _json(text: str) -> Any:
    return json.loads(text, object_pairs_hook=_without_twins, parse_constant=_not_a_number)


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
