"""Factors and modes of the NDS, reached from a structure file and held against values by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from longhold.assessment.line import assess
from longhold.intake.load import load
from longhold.model.structure import Joint

DEMO = Path(__file__).resolve().parents[2] / "demo"
LB = 4.4482216152605
NAIL = {"id": "p", "kind": "nail", "size": "10d common", "label": "ASTM A153 Class D"}
BOLT = {"id": "p", "kind": "bolt", "size": "1/2 in x 8 in", "label": "ASTM A153 Class C"}
LAG = {"id": "p", "kind": "lag_screw", "size": "1/2 in x 4 in", "label": "ASTM A153 Class C"}
SCREW = {"id": "p", "kind": "wood_screw", "size": "#10 x 3 in", "label": "ASTM A153 Class D"}


@pytest.fixture(scope="module")
def deck():
    return load(DEMO / "boardwalk.toml")


def found(deck, part, **told):
    known = {"place": "dry_inside", "main": "ledger", "side": "joist", "demand": "50 lb", **told}
    joint = Joint(id="J", name="joint", parts=[part], **{k: v for k, v in known.items() if v is not None})
    return assess(deck.model_copy(update={"joints": [joint]}), draws=200).findings[0].parts[0]


def pounds(deck, part, **told):
    one = found(deck, part, **told)
    assert one.strength is not None, one.refer
    return one.strength.capacity_new_n / LB


def test_printed_cells_come_out_of_a_structure(deck):
    """Southern pine, both 1.5 in: 10d common 128 lb (12N), 1/2 in bolt 530 along and 250 across (12A)."""
    assert pounds(deck, NAIL) == pytest.approx(128, abs=0.6)
    assert pounds(deck, BOLT) == pytest.approx(530, abs=5)
    across = {"load_to_grain_main_deg": 90, "load_to_grain_side_deg": 90}
    assert pounds(deck, BOLT, **across) == pytest.approx(250, abs=5)


@pytest.mark.parametrize(
    ("duration", "factor"),
    [("permanent", 0.9), ("two_months", 1.15), ("seven_days", 1.25), ("ten_minutes", 1.6)],
)
def test_load_duration(deck, duration, factor):
    assert pounds(deck, NAIL, load_duration=duration) / pounds(deck, NAIL) == pytest.approx(factor)


@pytest.mark.parametrize(
    ("part", "told", "factor"),
    [
        (NAIL, {"place": "open_to_rain"}, 0.7),
        (NAIL, {"layout": {"warmest": "110 F"}}, 0.8),
        (NAIL, {"layout": {"warmest": "140 F"}}, 0.7),
        (NAIL, {"layout": {"warmest": "110 F"}, "place": "open_to_rain"}, 0.7 * 0.7),
        (NAIL, {"layout": {"toe_nailed": True}}, 0.83),
        (NAIL, {"layout": {"diaphragm": True}}, 1.1),
        (NAIL, {"main_end_grain": True}, 0.67),
        (BOLT, {"layout": {"end_distance": "1.75 in"}}, 0.5),
        (BOLT, {"layout": {"row_spacing": "1.5 in"}}, 0.75),
    ],
)
def test_each_factor_is_reached(deck, part, told, factor):
    assert pounds(deck, part, **told) / pounds(deck, part) == pytest.approx(factor, rel=1e-3)


def test_withdrawal_of_each_kind_by_its_equation(deck):
    """W = 1380 G^2.5 D, 1800 G^1.5 D^0.75, 2850 G^2 D lb/in, G 0.55; embedded length as the NDS counts it."""
    pull = {"demand": None, "demand_withdrawal": "50 lb"}
    assert pounds(deck, NAIL, **pull) == pytest.approx(1380 * 0.55**2.5 * 0.148 * 1.5, rel=1e-3)
    lag = 1800 * 0.55**1.5 * 0.5**0.75 * (4 / 2 + 0.5 - 0.3125)  # thread L/2 + 1/2 in, less the tip
    assert pounds(deck, LAG, main="post", **pull) == pytest.approx(lag, rel=1e-3)
    assert pounds(deck, SCREW, **pull) == pytest.approx(2850 * 0.55**2 * 0.190 * 1.5, rel=1e-3)


@pytest.mark.parametrize("part", [NAIL, SCREW])
def test_what_may_not_be_pulled_from_end_grain_is_refused(deck, part):
    refused = found(deck, part, demand=None, demand_withdrawal="50 lb", main_end_grain=True)
    assert refused.strength is None
    assert "end grain" in refused.refer[0]


def test_lags_pulled_from_end_grain_keep_three_quarters(deck):
    pull = {"demand": None, "demand_withdrawal": "50 lb", "main": "post"}
    plain, end = (pounds(deck, LAG, **pull, main_end_grain=one) for one in (None, True))
    assert end / plain == pytest.approx(0.75)


def test_double_shear_of_a_bolt_counts_both_planes(deck):
    """1/2 in bolt, a post of 5.5 in between two of 1.5 in, G 0.55: mode IIIs governs, once for each plane."""
    bolt = {**BOLT, "size": "1/2 in x 10 in"}
    double, single = (pounds(deck, bolt, main="post", double_shear=two) for two in (True, None))
    assert double == pytest.approx(2 * single, rel=1e-6)


def test_four_diameters_of_a_lag_are_too_short_for_a_capacity(deck):
    short = found(deck, {**LAG, "size": "1/2 in x 3 in"})
    assert short.strength.capacity_new_n is None
