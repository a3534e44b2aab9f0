"""The report names how each face lies, and prints what is published of such faces where it computes them."""

from __future__ import annotations

import datetime
import re
from html import unescape

import pytest

from longhold.air.faces import shelter_cautions
from longhold.assessment.line import assess
from longhold.documents.report import report_html
from longhold.model.surroundings import places


@pytest.fixture(scope="module")
def page(small_structure) -> str:
    straps = {"id": "a"}, {"id": "b", "faces": "underside"}
    described = small_structure(*straps, site={"distance_to_salt_water": "100 ft"})
    text = report_html([assess(described, draws=200)], datetime.date(2026, 11, 25))
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", text)))


def test_the_face_table_says_how_a_face_lies(page: str) -> None:
    assert "a: outer face, upright" in page
    assert "b: outer face, facing down" in page


def test_a_way_that_nobody_stated_is_listed(page: str) -> None:
    assert "a: how its faces lie" in page
    assert "b: how its faces lie" not in page


def test_the_published_cautions_of_a_sheltered_face_are_printed(page: str) -> None:
    cautions = shelter_cautions(places()["open_to_rain"], "wall", "underside")
    assert len(cautions) > 5
    for one in cautions:
        assert one.words[1:] in page
        assert one.source in page


def test_the_factor_and_its_range_are_printed(page: str) -> None:
    assert re.search(r"k = 1\.4 \(1 to 2\)", page)
    assert re.search(r"k = 2\.4 \(2 to 3\)", page)
