"""Area acceptance: samples by lot, pass or fail of a lot, bare spots that may be repaired, rust grades."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import partial
from typing import NamedTuple

from longhold.base.errors import InputError
from longhold.validate.area import Area, Judged, Row, UnansweredError
from longhold.validate.layers_text import ANSWERS as LAYER_ANSWERS
from longhold.validate.statuses import right_by_kind

__all__ = ["ACCEPTANCE"]

KINDS = ("accept", "repair_limit", "D610_grade")
_FIGURE = r"\d+(?:\.\d+)?"
_COMPARED = re.compile(rf"({_FIGURE})\s*(?:<=|>=|<|>)\s*({_FIGURE})")
_CM2 = {"mm2": 0.01, "cm2": 1.0, "m2": 1e4, "in2": 6.4516}


class _Expected(NamedTuple):
    """What a row expects: a verdict (blank without), figures beside their limits, or one number."""

    kind: str
    text: str
    passes: bool | None
    compared: tuple[tuple[str, str], ...]
    number: str
    per_cm2: float

    def __str__(self) -> str:
        return self.text


class _Got(NamedTuple):
    """An answer: a verdict, every figure that was held with its limit, or one number [cm2, pieces, grade]."""

    words: str
    passes: bool | None
    held: tuple[tuple[float, float], ...]
    number: float | None


def _skip(row: Row) -> str:
    kind = row.get("kind", "")
    return "" if kind in KINDS else f"kind {kind!r} is not one of {', '.join(KINDS)}"


def _expect(row: Row) -> _Expected:
    text, unit = row["expected"].strip(), row.get("unit", "")
    verdict = re.match(r"(pass|fail|accept|reject|allowed|not allowed)\b", text)
    passes = None if verdict is None else verdict[1] in ("pass", "accept", "allowed")
    compared = tuple((found[1], found[2]) for found in _COMPARED.finditer(text))
    number = re.fullmatch(_FIGURE, text)
    if passes is None and number is None:
        raise ValueError(f"expected is {text!r}, neither a number nor pass or fail")
    area = next((name for name in _CM2 if re.match(rf"{name}\b", unit)), "cm2")
    factor = _CM2[area] if row["kind"] == "repair_limit" else 1.0
    return _Expected(row["kind"], text, passes, compared, number[0] if number else "", factor)


def _answer(given: Mapping[str, str]) -> _Got:
    kind, text = given["kind"], given["input"]
    try:
        if kind == "D610_grade":
            grade = LAYER_ANSWERS[kind](text)
            return _Got(str(grade), None, (), float(str(grade)))
        return _accept(text) if kind == "accept" else _repair(text)
    except InputError as error:
        raise UnansweredError(str(error)) from None


def _accept(text: str) -> _Got:
    """Pieces to measure of a lot, or whether specimens with some means pass by the standard's rule."""
    from longhold.inspect.acceptance import Specimen, judge, limits_of_label
    from longhold.inspect.sampling import plan_for, standard_named

    means = re.search(rf"(?:means|specimens)\s+({_FIGURE}(?:\s*,\s*{_FIGURE})*)\s*(um|µm|mil)", text)
    if means is None:
        lot = re.search(r"lot of ([\d,]+)", text)
        if lot is None:
            raise UnansweredError("names neither a lot with its size nor means of specimens")
        rest = text.replace(lot[0], "")
        plan = plan_for(standard_named(rest), int(lot[1].replace(",", "")))
        if plan.pieces is None:
            raise UnansweredError(plan.refer[0])
        return _Got(f"{plan.pieces} pieces", None, (), float(plan.pieces))
    factor = 25.4 if means[2] == "mil" else 1.0
    values = [float(one) * factor for one in means[1].split(",")]
    label = re.split(r",|\blot\b", text[: means.start()])[0].strip()
    plan = plan_for(standard_named(label), len(values), pieces=len(values))
    specimens = [Specimen(str(at), "", (value,)) for at, value in enumerate(values, start=1)]
    found = judge(plan, limits_of_label(label), specimens)
    passes = all(one.by_rule for one in found.criteria)
    held = tuple((one.value_um, one.limit_um) for one in found.criteria)
    told = "; ".join(
        f"{one.what} {one.value_um:.1f} {'>=' if one.by_rule else '<'} {one.limit_um:g}"
        for one in found.criteria
    )
    return _Got(f"{'pass' if passes else 'fail'}: {told}", passes, held, None)


def _repair(text: str) -> _Got:
    """Bare area in all that may be repaired, or whether some bare spots may be."""
    from longhold.inspect.repair import Spot, allowed_area_cm2, repair
    from longhold.inspect.sampling import edition_in, standard_named

    name, _, rest = text.partition(": ")
    standard, edition = standard_named(name), edition_in(name)
    areas = re.findall(rf"({_FIGURE})\s*(mm|cm|m|in)2", rest)
    if not areas:
        raise UnansweredError("tells no area")
    surface, *spots = (float(value) * _CM2[f"{unit}2"] for value, unit in areas)
    if not spots:
        allowed = allowed_area_cm2(standard, surface, edition)
        if allowed is None:
            raise UnansweredError(f"{standard.name}: what area may be repaired is not held here")
        return _Got(f"{allowed:g} cm2", None, (), allowed)
    found = repair(standard, [Spot(one) for one in spots], surface_cm2=surface, edition=edition)
    if found.verdict == "refer":
        raise UnansweredError("; ".join(one.words for one in found.limits if one.held is None))
    told = "; ".join(one.words for one in found.limits)
    passes = found.verdict == "allowed"
    return _Got(f"{'pass' if passes else 'fail'}: {told}", passes, (), None)


def _judge(expected: _Expected, got: _Got) -> Judged:
    tags = (expected.kind,)
    if expected.number:
        if got.number is None:
            return Judged(expected.text, got.words, False, "gives no number", tags=tags)
        error = got.number / expected.per_cm2 - float(expected.number)
        right = abs(error) < 0.5 * 10.0 ** -len(expected.number.partition(".")[2])
        return Judged(expected.text, got.words, right, "" if right else "another number", error, tags)
    wrong = [
        f"{value} beside {limit}"
        for value, limit in expected.compared
        if not any(_printed(value, one) and _printed(limit, other) for one, other in got.held)
    ]
    if got.passes is not expected.passes:
        wrong.insert(0, "the verdict")
    return Judged(expected.text, got.words, not wrong, f"not {', '.join(wrong)}" if wrong else "", tags=tags)


def _printed(text: str, value: float) -> bool:
    """Whether a value rounds to what is printed."""
    return abs(value - float(text)) <= 0.5 * 10.0 ** -len(text.partition(".")[2]) + 1e-9


ACCEPTANCE = Area(
    name="acceptance",
    words="samples by lot, pass or fail of a lot, repair of bare spots, rust grades: right as printed",
    columns=("kind", "input", "expected", "unit"),
    given=("kind", "input"),
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=partial(right_by_kind, KINDS),
    skip=_skip,
    tags=lambda expected: (expected.kind,),
)
