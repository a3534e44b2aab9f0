"""Area labels: what a label promises, and conversions between mass and thickness."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from longhold.base.errors import InputError
from longhold.validate.area import Area, Judged, Row, UnansweredError

__all__ = ["LABELS"]

_KINDS = ("label_parse", "convert")
_REFUSALS = ("reject", "contradiction")
_UNKNOWN = "unknown"
_EXPECTED = re.compile(r"^\s*nominal\s+(?P<nominal>\S+)\s*;\s*minimum\s+(?P<least>.+?)\s*$")
_CONVERSION = re.compile(r"^\s*(?P<value>[\d.]+)\s+(?P<unit>\S+)(?P<zinc>\s+zinc)?\s*->\s*(?P<to>\S+)\s*$")
_WITHIN_UM, _WITHIN_SHARE = 0.15, 0.01


class _Promise(NamedTuple):
    """What a label row expects; None where the words are not compared.

    A number is compared; ``unknown`` asks that the label leaves it open; a nominal ``reject`` or
    ``contradiction`` asks that the label is refused.
    """

    text: str
    nominal: float | str
    least: float | str | None

    def __str__(self) -> str:
        return self.text


class _Number(NamedTuple):
    """A number as written: right within half a unit of its last digit."""

    text: str
    value: float
    within: float

    def __str__(self) -> str:
        return self.text


class _Refused(NamedTuple):
    why: str


class _Read(NamedTuple):
    """Nominal and least thickness on one face [um] for every reading that the label allows."""

    faces: tuple[tuple[float | None, float | None], ...]

    def __str__(self) -> str:
        return " or ".join(
            f"nominal {_shown(nominal)} ; minimum {_shown(least)}" for nominal, least in self.faces
        )


def _skip(row: Row) -> str:
    kind = row.get("kind", "")
    return "" if kind in _KINDS else f"kind {kind!r} is not one of {', '.join(_KINDS)}"


def _expect(row: Row) -> _Promise | _Number:
    text = row["expected"].strip()
    if row["kind"] == "convert":
        return _Number(text, float(text), _half_step(text))
    match = _EXPECTED.match(text)
    if match is None:
        raise ValueError(f"expected is {text!r}, must read 'nominal ... ; minimum ...'")
    nominal = _number_or_word(match["nominal"])
    if isinstance(nominal, str) and nominal not in (*_REFUSALS, _UNKNOWN):
        raise ValueError(
            f"nominal {nominal!r} is neither a number nor one of {', '.join(_REFUSALS)}, {_UNKNOWN}"
        )
    least = _number_or_word(match["least"])
    return _Promise(text, nominal, least if isinstance(least, float) or least == _UNKNOWN else None)


def _answer(given: Mapping[str, str]) -> _Read | _Refused | float:
    return _converted(given["input"]) if given["kind"] == "convert" else _read(given["input"])


def _read(text: str) -> _Read | _Refused:
    from longhold.labels.read import read_label
    from longhold.labels.reading import LabelError

    try:
        reading = read_label(text)
    except LabelError as error:
        return _Refused(str(error))
    coats = [one.coat for one in reading.readings]
    return _Read(tuple((coat.nominal_um, coat.least_um) if coat else (None, None) for coat in coats))


def _converted(text: str) -> float:
    from longhold.labels.conversions import convert

    match = _CONVERSION.match(text)
    if match is None:
        raise UnansweredError("is not a conversion such as '1 oz/ft2 zinc -> mil'")
    mass = [unit for unit in (match["unit"], match["to"]) if "/" in unit]
    if len(mass) == 1 and not match["zinc"]:
        raise UnansweredError("mass and thickness are tied only for a named metal, such as zinc")
    try:
        return convert(float(match["value"]), match["unit"], match["to"])
    except (InputError, ValueError) as error:
        raise UnansweredError(str(error)) from None


def _judge(expected: _Promise | _Number, answer: _Read | _Refused | float) -> Judged:
    if isinstance(expected, _Number):
        assert isinstance(answer, float)  # noqa: S101  a row of one kind has an answer of that kind
        right = abs(answer - expected.value) <= expected.within
        why = "" if right else f"differs by more than {expected.within:g}"
        return Judged(expected.text, f"{answer:.6g}", right, why, tags=("convert",))
    if isinstance(answer, _Refused):
        refused = expected.nominal in _REFUSALS
        return Judged(expected.text, "refused", True if refused else None, answer.why, tags=("label_parse",))
    assert isinstance(answer, _Read)  # noqa: S101
    if expected.nominal in _REFUSALS:
        return Judged(expected.text, str(answer), False, "should be refused", tags=("label_parse",))
    wrong = [
        f"{name} should be {_shown(wanted)}"
        for name, wanted, got in (
            ("nominal", expected.nominal, [face[0] for face in answer.faces]),
            ("minimum", expected.least, [face[1] for face in answer.faces]),
        )
        if wanted is not None and not _agrees(wanted, got)
    ]
    return Judged(
        expected.text,
        str(answer),
        not wrong,
        "; ".join(wrong),
        _largest_error(expected, answer),
        ("label_parse",),
    )


def _agrees(wanted: float | str, got: Sequence[float | None]) -> bool:
    """A number: every reading gives it. Unknown: a reading gives none, or the readings differ."""
    if isinstance(wanted, str):
        return None in got or not all(_close(one, got[0]) for one in got)
    return all(_close(one, wanted) for one in got)


def _close(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return False
    return abs(one - other) <= max(_WITHIN_UM, _WITHIN_SHARE * abs(other))


def _largest_error(expected: _Promise, answer: _Read) -> float | None:
    pairs = [
        (value, wanted)
        for face in answer.faces
        for value, wanted in zip(face, (expected.nominal, expected.least), strict=True)
    ]
    errors = [v - w for v, w in pairs if isinstance(v, float) and isinstance(w, float)]
    return max(errors, key=abs, default=None)


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    figures: dict[str, float] = {}
    for kind in _KINDS:
        of_kind = [one for one in judged if kind in one.tags]
        figures[f"{kind}_answered"] = sum(one.right is not None for one in of_kind)
        figures[f"{kind}_right"] = sum(one.right is True for one in of_kind)
    errors = [abs(one.error) for one in judged if one.error is not None]
    if errors:
        figures["max_abs_error_um"] = round(max(errors), 3)
    return figures


def _number_or_word(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text.lower()


def _half_step(text: str) -> float:
    digits = text.partition(".")[2]
    return 0.5 * 10.0 ** -len(digits) + 1e-12


def _shown(value: float | str | None) -> str:
    if value is None:
        return _UNKNOWN
    return value if isinstance(value, str) else f"{value:.1f}"


LABELS = Area(
    name="labels",
    words="what labels promise, and conversions: right within 0.15 um or 1 %, or refused where it should be",
    columns=("kind", "input", "expected", "unit"),
    given=("kind", "input"),
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=_figures,
    skip=_skip,
)
