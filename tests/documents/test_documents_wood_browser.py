"""The page on the wood in a real browser: silent, alone, never wider than the screen, usable by keyboard."""

import dataclasses

import pytest

from longhold.assessment.wood_line import assess_wood
from longhold.documents.wood_page import wood_html
from longhold.intake import starter
from longhold.intake.load import loads

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]
PLACES = ("open_to_rain", "under_cover", "ground_contact", "splash")


@pytest.fixture(scope="module")
def answers():
    found = []
    for place in PLACES:
        deck = loads(starter().replace('place = "open_to_rain"', f'place = "{place}"'))
        found.append((deck, assess_wood(deck, deck.joints[0].id, draws=200)))
    return found


@pytest.fixture(params=PLACES)
def page_file(request, answers, as_of, hostile, tmp_path):
    deck, found = answers[PLACES.index(request.param)]
    joint = found.joint.model_copy(update={"name": hostile[1][:190]})
    file = tmp_path / "wood.html"
    file.write_text(wood_html(dataclasses.replace(found, joint=joint), deck, as_of, "us"), encoding="utf-8")
    return file


@pytest.mark.parametrize("width", [390, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_silent_alone_and_never_wider_than_the_screen(quiet_page, misplaced_words, page_file, width, scheme):
    page = quiet_page(page_file, width, scheme)
    assert page.evaluate(misplaced_words) == []


def test_every_disclosure_opens_by_keyboard(browser, page_file):
    page = browser.new_page(viewport={"width": 390, "height": 900})
    page.goto(page_file.as_uri())
    page.keyboard.press("Tab")
    target = page.evaluate("document.activeElement.getAttribute('href')")
    assert page.query_selector(target) is not None
    for number, summary in enumerate(page.query_selector_all("summary")):
        summary.focus()
        page.keyboard.press("Enter" if number % 2 else "Space")
        assert page.evaluate("e => e.parentElement.open", summary)
        assert summary.bounding_box()["height"] >= 44


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper(browser, page_file, paper):
    page = browser.new_page()
    page.goto(page_file.as_uri())
    assert page.pdf(format=paper).startswith(b"%PDF")
    page.emulate_media(media="print", color_scheme="dark")
    page.set_viewport_size({"width": 690, "height": 980})
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("document.documentElement.scrollWidth") <= 690
