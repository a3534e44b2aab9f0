"""A demand above the strength when new: told in numbers, drawn, and not blamed on age."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from longhold.assessment.line import assess
from longhold.documents.charts import Setting, strength_chart
from longhold.documents.joint_view import joint_view
from longhold.documents.lives import deciding_end, deciding_years
from longhold.intake.load import load

DEMO = Path(__file__).resolve().parents[2] / "demo"


def asked(factor, units="us"):
    """The nails of one joint under a demand of ``factor`` times what they carry when new."""
    deck = load(DEMO / "boardwalk.toml").model_copy(update={"units": units})
    joint = next(one for one in deck.joints if one.id == "J12")

    def found(demand):
        changes = {"demand": demand, "main": "ledger", "side": "joist", "role": "structural"}
        made = deck.model_copy(update={"joints": [joint.model_copy(update=changes)]})
        return made, assess(made, draws=200).findings[0]

    capacity = min(part.strength.capacity_new_n for part in found(100.0)[1].parts if part.strength)
    made, finding = found(factor * capacity)
    return made, finding, capacity


@pytest.fixture(scope="module")
def heavy():
    return asked(1.6)


def short_part(finding):
    return next(part for part in finding.parts if part.id == finding.weakest_part)


def test_the_answer_begins_with_both_loads_and_does_not_blame_age(heavy):
    _made, finding, capacity = heavy
    first = finding.answer.split(". ")[0]
    asked_lb, asked_n, new_lb, new_n = (
        float(one.replace(",", "")) for one in re.findall(r"([\d.,]+) (?:lb|N)\b", first)
    )
    assert asked_lb / new_lb == pytest.approx(1.6, rel=0.01)
    assert asked_n / asked_lb == pytest.approx(4.448, rel=0.01)
    assert new_n == pytest.approx(capacity, rel=0.01)
    assert first.endswith("too much from the first day, whatever corrosion does")
    assert not re.search(r"ends (in|within|after)|strength is left", finding.answer)
    assert deciding_years(finding) == "too weak when new"
    assert "more than the strength when new" in deciding_end(finding)


def test_the_chart_reaches_the_demand_and_names_it(heavy):
    made, finding, _ = heavy
    part = short_part(finding)
    svg = str(strength_chart(part.strength, Setting.of(made)))
    # ends of the grid lines: 0 and the highest tick; the line of the demand lies at its share between them
    values = [float(one) for one in re.findall(r'class="tick end">([\d.]+)<', svg)]
    grid = [float(one) for one in re.findall(r'<line[^>]*y1="([\d.]+)"[^>]*class="grid"', svg)]
    limits = re.findall(r'<line[^>]*x1="([\d.]+)" x2="([\d.]+)" y1="([\d.]+)" y2="[\d.]+" class="limit"', svg)
    y = next(float(one[2]) for one in limits if one[0] != one[1])
    at = values[0] + (grid[0] - y) / (grid[0] - grid[-1]) * (values[-1] - values[0])
    assert at == pytest.approx(160.0, abs=1.0)
    assert "160 % of what it carries new" in re.sub(r"<[^>]+>", " ", svg).replace("  ", " ")


def test_a_demand_far_above_is_said_to_lie_above_the_chart():
    made, finding, _ = asked(30.0, "si")
    svg = str(strength_chart(short_part(finding).strength, Setting.of(made)))
    assert "above this chart" in svg
    assert " lb" not in finding.answer


def test_the_page_tells_it_beside_the_chart(heavy):
    made, finding, _ = heavy
    view = joint_view(finding, made, Setting.of(made))
    assert "160 % of what carries it when new" in view.strength.words
    assert next(life.words for life in view.lives) == "The demand is more than the strength when new"


def test_a_demand_that_is_carried_says_nothing_of_it():
    made, finding, _ = asked(0.5)
    assert "from the first day" not in finding.answer
    assert "carries new" not in str(strength_chart(short_part(finding).strength, Setting.of(made)))
