"""Sound inputs spoiled at random, in the places where a reader makes something of them."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Callable, Sequence
from random import Random

__all__ = ["spoiled"]

_TOKEN = re.compile(r"\d+(?:\.\d+)?|[^\W\d]+|\s+|.", re.DOTALL)
_BETWEEN = re.compile(r'(?<=>)[^<>]+(?=<)|(?<==")[^"]*(?=")')
_ODD = (
    *(
        "",
        " ",
        "0",
        "-1",
        "-0.0",
        "1e308",
        "1e-308",
        "1e999",
        "nan",
        "inf",
        "-inf",
        "9" * 30,
        "9" * 400,
        "9" * 5000,
    ),
    *(
        "0" * 400,
        "1,5",
        "1.234,5",
        "1'000",
        "1_000",
        "0x1F",
        "1/0",
        "3/4",
        "1-1/2",
        "\u0663",
        "\u00b2",
        "\u00bd",
    ),
    *("\uff11\uff12", "\u2155", "x", "true", "null", "[]", "{}", "[[]]", '"', "'", '"""', "\\", "\\u0000"),
    *(",", ";", "\t", "\r", "\n", "\r\n", "=", "=1+1", "#", "#REF!", "%", "&amp;", "&#0;", "&lt;", "<", ">"),
    *(
        "2024-02-30",
        "0000-00-00",
        "0001-01-01",
        "9999-12-31",
        "1e5 years",
        "-40 F",
        "5 parsec",
        "1 mil",
        "um",
    ),
    *("a" * 300, "(" * 60, "[" * 3000, "{" * 60, "a." * 1500, "\ufeff", "\u200b", "\u202e", "\u0301", "\x00"),
    *(
        "\x07",
        "\x1b[31m",
        "\x85",
        "\u2028",
        "\ud83d\ude00".encode("utf-16", "surrogatepass").decode("utf-16"),
    ),
    *(
        "\u4e2d\u6587",
        "\u00df",
        "\u0130",
        "../x.toml",
        "/",
        "con",
        "__class__",
        "id",
        "name",
        "None",
        "$",
        "*",
    ),
)


def spoiled(data: bytes, others: Sequence[bytes], form: str, dice: Random, most: int = 1 << 22) -> bytes:
    """An input with one to four things wrong with it.

    Parameters
    ----------
    data : the input, sound or spoiled already
    others : from which words may be taken
    form : as of ``Target``
    most : bytes that it may have
    """
    if form == "book" and dice.random() < 0.9:
        return _book(data, dice, most)
    if form == "raw":
        return _raw(data, dice)[:most]
    if form == "weather":
        return _few_lines(data, dice)[:most]
    if dice.random() < 0.1:
        return _raw(data, dice)[:most]
    text = data.decode("utf-8", "surrogateescape")
    other = dice.choice(others).decode("utf-8", "surrogateescape") if others and form == "text" else ""
    for _ in range(dice.choice((1, 1, 2, 4))):
        text = dice.choice(_WAYS)(text, other, dice)
    return text.encode("utf-8", "surrogateescape")[:most]


def _raw(data: bytes, dice: Random) -> bytes:
    held = bytearray(data)
    for _ in range(dice.randint(1, 6)):
        at = dice.randrange(len(held) + 1)
        match dice.randrange(4):
            case 0 if at < len(held):
                held[at] = dice.randrange(256)
            case 1:
                held[at:at] = dice.randbytes(dice.randint(1, 4))
            case 2:
                del held[at : at + dice.randint(1, 40)]
            case _:
                held = held[:at] if dice.random() < 0.2 else held
    return bytes(held)


def _word(text: str, other: str, dice: Random) -> str:
    """One word becomes an odd one, or one from elsewhere."""
    words = _TOKEN.findall(text)
    if not words:
        return dice.choice(_ODD)
    at = dice.randrange(len(words))
    from_other = _TOKEN.findall(other) if dice.random() < 0.3 else []
    words[at] = dice.choice(from_other or _ODD) if dice.random() < 0.7 else words[at] + dice.choice(_ODD)
    return "".join(words)


def _value(text: str, other: str, dice: Random) -> str:
    """What stands between commas, quotes or after an equals sign becomes something else, whole."""
    places = list(re.finditer(r'(?<=[,;("=\[])[^,;()"=\[\]\n]*(?=[,;)"\]\n])', text))
    if not places:
        return _word(text, other, dice)
    one = dice.choice(places)
    new = dice.choice(places)[0] if dice.random() < 0.3 else dice.choice(_ODD)
    return text[: one.start()] + new + text[one.end() :]


def _line(text: str, _: str, dice: Random) -> str:
    """A line goes, stands twice, or changes places."""
    lines = text.splitlines(keepends=True)
    if len(lines) < 2:
        return text
    at, to = dice.randrange(len(lines)), dice.randrange(len(lines))
    match dice.randrange(3):
        case 0:
            del lines[at]
        case 1:
            lines.insert(to, lines[at])
        case _:
            lines[at], lines[to] = lines[to], lines[at]
    return "".join(lines)


def _stretch(text: str, other: str, dice: Random) -> str:
    """A stretch goes, is told twice, or another is put in."""
    at = dice.randrange(len(text) + 1)
    end = min(len(text), at + dice.choice((1, 3, 20, 200)))
    start = dice.randrange(len(other) + 1)
    middle = dice.choice(("", text[at:end] * 2, other[start : start + dice.randint(1, 60)]))
    return text[:at] + middle + text[end:]


_Way = Callable[[str, str, Random], str]
_WAYS: tuple[_Way, ...] = (_word, _word, _value, _value, _value, _line, _stretch)


def _few_lines(data: bytes, dice: Random) -> bytes:
    """The heads of a long table and a few of its lines spoiled; the others stay."""
    lines = data.split(b"\n")
    heads = dice.random() < 0.4
    for _ in range(dice.choice((1, 1, 3))):
        at = dice.randrange(min(9, len(lines))) if heads else dice.randrange(len(lines))
        text = dice.choice(_WAYS)(lines[at].decode("utf-8", "surrogateescape"), "", dice)
        lines[at] = text.encode("utf-8", "surrogateescape")
    if dice.random() < 0.05:
        del lines[dice.randrange(len(lines)) :]
    if dice.random() < 0.05:  # a column in every line
        column, odd = dice.randrange(35), dice.choice(_ODD).encode()
        lines = [*lines[:8], *(_with_cell(line, column, odd) for line in lines[8:])]
    return b"\n".join(lines)


def _with_cell(line: bytes, column: int, odd: bytes) -> bytes:
    cells = line.split(b",")
    cells[column : column + 1] = [odd]
    return b",".join(cells)


def _book(data: bytes, dice: Random, most: int) -> bytes:
    """A workbook with a part of it spoiled, zipped again; raw bytes where it is no zip any more."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            parts = {one.filename: package.read(one) for one in package.infolist()}
    except (zipfile.BadZipFile, zlib.error, OSError, ValueError, NotImplementedError, RuntimeError, EOFError):
        return _raw(data, dice)[:most]
    for _ in range(dice.choice((1, 1, 2, 3))):
        _spoil_part(parts, dice)
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as package:
        for name, part in parts.items():
            package.writestr(zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0)), part, zipfile.ZIP_DEFLATED)
    # cut off it would be no package any more, and none of its parts would be looked at
    return held.getvalue() if held.tell() <= most else data


def _spoil_part(parts: dict[str, bytes], dice: Random) -> None:
    if not parts:
        return
    sheets = [name for name in parts if "sheet" in name.lower() or "sharedStrings" in name]
    name = dice.choice(sheets if sheets and dice.random() < 0.7 else sorted(parts))
    if dice.random() < 0.04:
        del parts[name]
        return
    text = parts[name].decode("utf-8", "surrogateescape")
    places = list(_BETWEEN.finditer(text))
    if places and dice.random() < 0.75:
        one = dice.choice(places)
        new = dice.choice(places)[0] if dice.random() < 0.4 else dice.choice(_ODD)
        new = new if dice.random() < 0.1 else re.sub("[\x00-\x08\x0b\x0c\x0e-\x1f]", "", new)
        text = text[: one.start()] + new + text[one.end() :]
    else:
        tags = re.findall(r"<[^<>]*>", text)
        if not tags:
            return
        old, new = dice.choice(tags), dice.choice([*tags, "", "<f>1+1</f>", "<v>", "</c>"])
        text = text.replace(old, new, dice.choice((1, 1, -1)))
    parts[name] = text.encode("utf-8", "surrogateescape")
