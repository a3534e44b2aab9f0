"""The page on the air in a real browser: silent, alone, never wider than the screen, usable by keyboard."""

import dataclasses

import pytest

from longhold.assessment.air_line import assess_air
from longhold.documents.air_page import air_html
from longhold.model.site import Site

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]


@pytest.fixture(scope="module")
def findings():
    here, inland, worst = (
        {"latitude": 33.97, "longitude": -77.92},
        {"latitude": 39.74, "longitude": -104.99},
        {"latitude": -16.85, "longitude": 179.98, "distance_to_salt_water": "10 m", "shore": "surf"},
    )
    return [assess_air(Site(name="x", **site), draws=200, years=200.0) for site in (here, inland, worst)]


@pytest.fixture(params=["one", "three"])
def page_file(request, findings, as_of, hostile, tmp_path):
    names = [*hostile, "Taveuni"]
    named = [
        dataclasses.replace(found, described=found.described.model_copy(update={"name": name[:190]}))
        for found, name in zip(findings, names, strict=True)
    ]
    shown = named[2:] if request.param == "one" else named
    file = tmp_path / "air.html"
    file.write_text(air_html(shown, as_of, "us", {"open_to_rain": [hostile[1]] * 9}), encoding="utf-8")
    return file


@pytest.mark.parametrize("width", [390, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_silent_alone_and_never_wider_than_the_screen(quiet_page, page_file, width, scheme):
    quiet_page(page_file, width, scheme)


@pytest.mark.parametrize("width", [390, 1440])
def test_no_words_of_a_drawing_hide_each_other_or_leave_it(browser, misplaced_words, page_file, width):
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.goto(page_file.as_uri())
    page.evaluate("document.fonts.ready")
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert page.evaluate(misplaced_words) == []


def test_every_disclosure_opens_by_keyboard(by_keyboard, page_file):
    by_keyboard(page_file, at_least=6)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper(on_paper, page_file, paper):
    on_paper(page_file, paper)
