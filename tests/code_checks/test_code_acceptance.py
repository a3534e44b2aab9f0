"""Verdicts worked out by hand from the rules of A123, A153 and ISO 1461: a code check."""

from __future__ import annotations

from pathlib import Path

from longhold.validate import validate_file


def test_verdicts_worked_out_by_hand():
    result = validate_file("acceptance", Path(__file__).parent / "data" / "acceptance_checks.csv")
    assert result.rows == result.answered == result.right == 3
