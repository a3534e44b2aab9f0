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


def test_every_disclosure_opens_by_keyboard(by_keyboard, page_file):
    by_keyboard(page_file)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper(on_paper, page_file, paper):
    on_paper(page_file, paper)
