"""Area acceptance: text is read generally, wrong answers are told, and what is not held is not guessed."""

from __future__ import annotations

import pytest

from longhold.validate.acceptance_area import ACCEPTANCE
from longhold.validate.area import UnansweredError


def judged(kind, text, expected, unit=""):
    row = {"kind": kind, "input": text, "expected": expected, "unit": unit}
    assert ACCEPTANCE.skip(row) == ""
    return ACCEPTANCE.judge(ACCEPTANCE.expect(row), ACCEPTANCE.answer({"kind": kind, "input": text}))


@pytest.mark.parametrize(
    ("kind", "text", "expected", "unit", "right"),
    [
        ("accept", "lot of 3,201 pieces, ISO 1461", "13", "articles", True),
        ("accept", "lot of 3,201 pieces, ISO 1461", "8", "articles", False),
        ("accept", "A153 Class D lot, specimens 45, 44, 40 um", "pass on average (43 >= 43)", "-", True),
        ("accept", "A153 Class D lot, specimens 45, 44, 40 um", "fail on average (43 < 44)", "-", False),
        ("accept", "A153 Class D lot, specimens 1.9, 1.8, 1.5 mil", "pass", "-", True),
        ("repair_limit", "ISO 1461:1999: article 1 m2", "50", "cm2 total", True),
        ("repair_limit", "ISO 1461:1999: article 1 m2", "5000", "mm2 total", True),
        ("repair_limit", "ISO 1461: article 1 m2, bare spots 11 cm2", "pass", "-", False),
        ("D610_grade", "0.2 % rusted", "7", "grade", True),
        ("D610_grade", "0.2 % rusted", "8", "grade", False),
    ],
)
def test_answers(kind, text, expected, unit, right):
    assert judged(kind, text, expected, unit).right is right


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("accept", "lot of 100 pieces, A1059"),
        ("accept", "lot of 100 pieces, A777"),
        ("accept", "a few pieces"),
        ("repair_limit", "AS/NZS 4680: article 1 m2"),
        ("repair_limit", "ISO 1461: a large article"),
        ("repair_limit", "A123: article 1 m2, one bare spot 6 cm2"),
    ],
)
def test_what_is_not_held_is_not_answered(kind, text):
    with pytest.raises(UnansweredError):
        ACCEPTANCE.answer({"kind": kind, "input": text})
