"""Area layers: text is read generally, and what is not understood is said."""

from __future__ import annotations

import pytest

from longhold.validate.area import UnansweredError
from longhold.validate.layers_area import LAYERS


def judged(kind, text, expected):
    row = {"kind": kind, "input": text, "expected": expected, "unit": ""}
    assert LAYERS.skip(row) == ""
    return LAYERS.judge(LAYERS.expect(row), LAYERS.answer({"kind": kind, "input": text}))


@pytest.mark.parametrize(
    ("kind", "text", "expected"),
    [
        ("zinc_life", "85 µm in C4", "20.2 to 40.5"),
        ("zinc_life", "3.35 mil in C4", "20.3 to 40.5"),
        ("zinc_life", "ISO 1461, 8 mm plate in C3", "40.5 to 121.4"),
        ("iso14713_table", "85 um, C3", "40 / >100"),
        ("PREN", "2205", "35.0"),
        ("PREN", "1.4501: Cr 25 %, Mo 3.5 %, N 0.25 %, W 0.7 %", "41.7"),
        ("duplex", "paint 12 y, zinc 40 y", "52"),
        ("coating_breakdown_mean", "a = 0.1, b = 0.1, life 30 y", "0.865"),
        ("D610_grade", "2.5% of the surface rusted", "5"),
        ("Ri_grade", "0.3 % rusted", "Ri 2"),
        ("anodic_index_gap", "copper / brass", "0.05 V: harsh ok, normal ok, controlled ok"),
        ("faraday", "zinc, 0.01 A/m2", "14.97"),
        ("oxygen", "epoxy film, 200 um", "2.38"),
        ("annuity", "uniform present value, 3 %, 25 years", "17.4131"),
    ],
)
def test_right(kind, text, expected):
    assert judged(kind, text, expected).right, judged(kind, text, expected)


@pytest.mark.parametrize(
    ("kind", "text", "wrong"),
    [
        ("zinc_life", "85 um in C4", "20.2 to 41.5"),
        ("iso14713_table", "42 um, C5", "5 / >100"),
        ("anodic_index_gap", "copper / brass", "0.05 V: harsh no, normal ok, controlled ok"),
        ("duplex", "zinc 70 y, paint 10 y, factor 2.3", "180"),
        ("zinc_life", "85 um in C4", "20.2"),
    ],
)
def test_wrong_is_told(kind, text, wrong):
    assert judged(kind, text, wrong).right is False


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("zinc_life", "85 um by the sea"),
        ("zinc_life", "thick zinc in C3"),
        ("zinc_life", "20 um in C3 or C4"),
        ("PREN", "good steel"),
        ("duplex", "zinc 70 y"),
        ("coating_breakdown_mean", "a 2, b 0.1, life 5 y"),
        ("D610_grade", "rather rusty"),
        ("anodic_index_gap", "zinc"),
        ("anodic_index_gap", "zinc / kryptonite"),
        ("faraday", "zinc, fast"),
        ("oxygen", "0 um"),
        ("one_side_min", "G30"),
        ("iso9223_bound", "C2 upper"),
        ("annuity", "3 %"),
    ],
)
def test_not_understood_is_said(kind, text):
    with pytest.raises(UnansweredError):
        LAYERS.answer({"kind": kind, "input": text})


def test_what_is_expected_must_be_readable():
    with pytest.raises(ValueError, match="neither a number"):
        LAYERS.expect({"kind": "duplex", "input": "", "expected": "long"})
    assert "not one of" in LAYERS.skip({"kind": "convert"})
