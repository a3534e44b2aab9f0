"""Reading the case of a steel check row: every word is understood, or the row is not answered.

A number that is read while a word beside it is overlooked gives a wrong answer with a good conscience; so a
case is taken apart piece by piece and what is left over refuses it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

__all__ = ["NotUnderstoodError", "plain_case", "read_case", "resolve_same"]

_NUMBER = r"(?P<v>\d+(?: \d{3})+(?!\d)|\d*\.?\d+)"
_SYMBOLS = (
    "tsup",
    "Fu1",
    "Fu2",
    "Fes",
    "Fu",
    "Fy",
    "fu",
    "fy",
    "dw",
    "t1",
    "t2",
    "tc",
    "pitch",
    "G",
    "D",
    "d",
    "t",
    "s",
    "w",
    "e",
)
_UNITS = {"ksi": 1000.0, "psi": 1.0, "in": 1.0, "mm": 1.0, "MPa": 1.0, "N/mm2": 1.0, "lb": 1.0}
_WORDS_NUMBER = {"one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0}
_PIECES: Sequence[tuple[str, str]] = (
    ("kind", r"\bself-tapping screws?\b"),
    ("kind", r"\bwood screws?\b"),
    ("kind", r"\b(?:cartridge(?:-fired)? )?pins?\b"),
    ("kind", r"\bbolts?\b"),
    ("kind", r"\bscrews?\b"),
    ("like", r"\btwo (?:like |equal )?sheets\b"),
    ("plate", r"\bsame sheet as side plate on\b|\bsheet as side plate on\b"),
    ("strap", r"\bstrap\b"),
    ("action", r"\bpull-through\b|\bpull-out\b|\bpull-over\b|\bedge tear-out\b"),
    ("wind", r"\brepeated wind\b"),
    ("static", r"\bstatic\b"),
    ("washers", r"\bwith washers\b|\bwithout washers\b"),
    ("thread", r"\b(?:coarse|fine) thread\b"),
    ("form", r"\(0\.(?:65|45) form\)"),
    ("thick_other", r"\bt1 ?>= ?2\.5 ?t\b"),
    ("alike", r"\bt1 ?= ?t\b|\bt1 ?= ?t2\b"),
    ("mode", r"\bNDS (?P<mode>Im|Is|IIIm|IIIs|II|IV)\b"),
)
_FILLER = re.compile(
    r"[\s,;()=]+|\bleft\b|\bsheets?\b|\bin\b|\bmm\b|\bwide\b|\bholes?\b|\bof\b|\bnail\b|\bthrough\b"
)


class NotUnderstoodError(Exception):
    """A case that cannot be read to its last word."""


def read_case(case: str) -> Mapping[str, float | str]:
    """Numbers and words of a case by name; strengths in psi where ksi is written, else as they stand.

    Raises
    ------
    NotUnderstoodError : naming what is left over, or said twice

    >>> sorted(read_case("screw d .190, two sheets t 0.0451 in, Fu 45000").items())
    [('Fu', 45000.0), ('d', 0.19), ('kind', 'screw'), ('like', 'two sheets'), ('t', 0.0451)]
    """
    found: dict[str, float | str] = {}
    rest = case
    for name, pattern in (*_measures(), *_PIECES):
        rest = _take(name, pattern, rest, found)
    for symbol in _SYMBOLS:
        rest = _take(
            symbol,
            rf"(?<![\w.]){symbol} ?=? ?{_NUMBER}(?: ?(?P<u>ksi|psi|in\b|mm|MPa|N/mm2|lb))?",
            rest,
            found,
        )
    left = _FILLER.sub("", rest)
    if left:
        raise NotUnderstoodError(f"cannot be read: {' '.join(rest.split())!r} of the case")
    return found


def plain_case(case: str) -> str:
    """A case with its spaces in order and times signs away."""
    return " ".join(case.replace("\u2265", ">=").split())


def resolve_same(cases: Sequence[str]) -> tuple[str, ...]:
    """Cases in which "same" stands for the one before it of the same first word, written out.

    >>> resolve_same(["pull-through dw 14 t 1.0 fu 360 static", "pull-through same, repeated wind"])[1]
    'pull-through dw 14 t 1.0 fu 360, repeated wind'
    """
    written: list[str] = []
    for case in map(plain_case, cases):
        match = re.match(r"(?P<first>\S+) same\b(?! sheet)(?P<rest>.*)$", case)
        if match is None:
            written.append(case)
            continue
        before = next((one for one in reversed(written) if one.split(" ")[0] == match["first"]), None)
        if before is None:
            written.append(case)
            continue
        base = re.sub(r",? ?\b(?:static|repeated wind)\b", "", before)
        written.append(f"{base}{match['rest']}")
    return tuple(written)


def _measures() -> tuple[tuple[str, str], ...]:
    word = "|".join(_WORDS_NUMBER)
    return (
        ("no", rf"\bNo\. ?{_NUMBER}"),
        ("mil", rf"{_NUMBER} mil\b"),
        ("width", rf"(?<=strap ){_NUMBER} (?:in|mm) wide"),
        ("hole", rf"\b(?P<n>{word}) {_NUMBER} (?:in|mm) holes?\b"),
        ("nail", rf"(?<=plate on ){_NUMBER}(?: in)? nail\b"),
        ("edge", rf"\bclear edge {_NUMBER}(?: (?:in|mm)\b)?"),
    )


def _take(name: str, pattern: str, text: str, found: dict[str, float | str]) -> str:
    match = re.search(pattern, text)
    if match is None:
        return text
    if name in found:
        raise NotUnderstoodError(f"says two things of {name}")
    groups = match.groupdict()
    if groups.get("v") is not None:
        found[name] = float(groups["v"].replace(" ", "")) * _UNITS[groups.get("u") or "in"]
        if groups.get("n"):
            found["holes"] = _WORDS_NUMBER[groups["n"]]
    else:
        found[name] = groups.get("mode") or match[0]
    return f"{text[: match.start()]} {text[match.end() :]}"
