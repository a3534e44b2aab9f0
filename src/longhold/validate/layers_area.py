"""Area layers: life of zinc and paint, pitting numbers, rust grades, the anodic index, films."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import partial
from typing import NamedTuple

from longhold.validate.area import Area, Judged, Row
from longhold.validate.layers_text import ANSWERS
from longhold.validate.statuses import right_by_kind

__all__ = ["LAYERS"]

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_PAIR = re.compile(r"^\s*(>?)\s*(\d+(?:\.\d+)?)\s*(?:to|/|-|–)\s*(>?)\s*(\d+(?:\.\d+)?)\s*(?:years)?\s*$")
_ROUNDING = 1e-9
_SLACK = {"PREN": 0.051}  # printed to one digit from a composition that was itself rounded


class _Expected(NamedTuple):
    """What a row expects: figures as written, each open upward or not, or words."""

    kind: str
    text: str
    figures: tuple[tuple[str, bool], ...]

    def __str__(self) -> str:
        return self.text


class _Got(NamedTuple):
    kind: str
    value: object


def _skip(row: Row) -> str:
    kind = row.get("kind", "")
    return "" if kind in ANSWERS else f"kind {kind!r} is not one of {', '.join(ANSWERS)}"


def _expect(row: Row) -> _Expected:
    kind, text = row["kind"], row["expected"].strip()
    if kind == "anodic_index_gap":
        return _Expected(kind, text, ())
    if pair := _PAIR.match(text):
        return _Expected(kind, text, ((pair[2], bool(pair[1])), (pair[4], bool(pair[3]))))
    number = _NUMBER.match(text.removeprefix("Ri").strip())
    if number is None:
        raise ValueError(f"expected is {text!r}, neither a number nor two numbers with 'to' or '/' between")
    return _Expected(kind, text, ((number[0], False),))


def _answer(given: Mapping[str, str]) -> _Got:
    return _Got(given["kind"], ANSWERS[given["kind"]](given["input"]))


def _judge(expected: _Expected, got: _Got) -> Judged:
    tags = (expected.kind,)
    if isinstance(got.value, str):
        right = _said(got.value) == _said(expected.text)
        return Judged(expected.text, got.value, right, "" if right else "says otherwise", tags=tags)
    values = got.value if isinstance(got.value, tuple) else (got.value,)
    shown = " to ".join(f"{float(value):.6g}" for value in values)
    if len(values) != len(expected.figures):
        return Judged(expected.text, shown, False, f"gives {len(values)} figures", tags=tags)
    pairs = list(zip((float(value) for value in values), expected.figures, strict=True))
    wrong = [text for value, (text, open_end) in pairs if not _agrees(expected.kind, value, text, open_end)]
    errors = [value - float(text) for value, (text, open_end) in pairs if not open_end]
    error = max(errors, key=abs, default=None)
    return Judged(expected.text, shown, not wrong, f"not {', '.join(wrong)}" if wrong else "", error, tags)


def _agrees(kind: str, value: float, text: str, open_end: bool) -> bool:
    """Within half a unit of the last digit as written; beyond it, where that is what is written."""
    if open_end:
        return value > float(text)
    half = 0.5 * 10.0 ** -len(text.partition(".")[2])
    return abs(value - float(text)) <= max(half + _ROUNDING, _SLACK.get(kind, 0.0))


def _said(text: str) -> tuple[float | None, tuple[tuple[str, str], ...]]:
    number = _NUMBER.search(text)
    words = re.findall(r"(harsh|normal|controlled)\s+(ok|no|yes)", text.lower())
    told = tuple(sorted((name, "ok" if word == "yes" else word) for name, word in words))
    return (None if number is None else round(float(number[0]), 6)), told


LAYERS = Area(
    name="layers",
    words="life of zinc and paint, pitting numbers, rust grades, anodic index: right within the last digit",
    columns=("kind", "input", "expected", "unit"),
    given=("kind", "input"),
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=partial(right_by_kind, ANSWERS),
    skip=_skip,
)
