"""The couple diagram."""

from __future__ import annotations

import re
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest

from longhold.assessment.galvanic import CoupleCurves
from longhold.assessment.wet_path import WetPath
from longhold.documents.couple_chart import couple_diagram, couple_views
from longhold.documents.path_chart import path_view


def curves(**changes):
    volts = tuple(-1.05 + 0.01 * i for i in range(21))
    dissolves = tuple(10.0 ** ((v + 1.0) / 0.04) for v in volts)
    described = {
        "words": "head, beside the plate",
        "anode": "zinc",
        "cathode": "stainless",
        "potential_v": volts,
        "dissolves": dissolves,
        "takes_up_alone": (1.0,) * 21,
        "takes_up_joined": (10.0,) * 21,
        "free": (-1.0, 1.0),
        "joined": (-0.96, 10.0),
    }
    return CoupleCurves(**{**described, **changes})


def drawn(found):
    return ElementTree.fromstring(couple_diagram(found))


def points(data):
    return [tuple(float(one) for one in pair.split()) for pair in re.split("[ML]", data) if pair]


@pytest.mark.parametrize("scale", [1e-6, 1.0, 1e4])
def test_the_points_stand_where_the_lines_cross(scale):
    made = curves()
    scaled = {
        name: tuple(scale * one for one in getattr(made, name))
        for name in ("dissolves", "takes_up_alone", "takes_up_joined")
    }
    picture = drawn(curves(**scaled, free=(-1.0, scale), joined=(-0.96, 10.0 * scale)))
    lines = [points(one.get("d")) for one in picture.iter("path")]
    dissolves, joined, alone = lines[:3]
    spots = [(float(one.get("cx")), float(one.get("cy"))) for one in picture.iter("circle")]
    for (x, y), level in zip(spots, (alone, joined), strict=True):
        assert y == pytest.approx(level[0][1], abs=0.05)
        near = min(dissolves, key=lambda point: abs(point[0] - x))
        assert near[1] == pytest.approx(y, abs=0.6)


def test_the_wet_path_is_drawn_with_its_numbers():
    """A parabola to the reach of 20 mm: 1 V at the start, a quarter of it half way (galvanic.md)."""
    mm = tuple(30.0 * i / 40 for i in range(41))
    below = tuple(max(1.0 - one / 20.0, 0.0) ** 2 for one in mm)
    taken = tuple(0.05 if one < 20.0 else 0.0 for one in mm)
    view = path_view(WetPath("stainless", mm, below, taken, 20.0, 20.0), "si")
    halfway = next(row for row in view.rows if float(row[0]) == 9.0)
    assert float(halfway[1]) == pytest.approx(0.55**2, abs=1e-3)
    assert "20 mm are counted in full" in view.words
    assert len(view.rows) == 11
    picture = ElementTree.fromstring(view.picture)
    across = [[float(x) for x, _ in points(one.get("d"))] for one in picture.iter("path")]
    assert all(line == sorted(line) and line[0] >= 46.0 and line[-1] <= 348.1 for line in across)


def test_nothing_is_drawn_outside_the_box():
    picture = drawn(curves(takes_up_alone=(1e-30,) * 21, takes_up_joined=(1e30,) * 21))
    for line in picture.iter("path"):
        for x, y in points(line.get("d")):
            assert 0.0 <= x <= 348.1
            assert y >= 29.9


def test_the_words_and_the_table_carry_the_numbers():
    finding = SimpleNamespace(galvanic=(SimpleNamespace(curves=curves()), SimpleNamespace(curves=None)))
    (view,) = couple_views(finding)
    assert view.title == "The couple at the head, beside the plate"
    assert "−1.000 V" in view.words
    assert "10 A/m²" in view.words
    assert view.rows[0][0] == "−1.050"
    assert 8 <= len(view.rows) <= 12
    assert view.words in str(view.picture).replace("&#34;", '"')
