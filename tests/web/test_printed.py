"""Pages on paper: all that is folded on the screen is there, nothing is cut off, nothing is left to press."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Page

DEMO = Path(__file__).parents[2] / "demo"
pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]


def _printed(screen: Page) -> str:
    from pypdf import PdfReader

    reader = PdfReader(io.BytesIO(screen.pdf(format="A4", print_background=True)))
    return " ".join(" ".join(one.extract_text() for one in reader.pages).split())


def test_a_label_is_printed_with_its_calculation(screen: Page) -> None:
    screen.emulate_media(color_scheme="dark")
    screen.goto("/label?text=45+um+zinc")
    text = _printed(screen)
    assert "7.14 g/m²" in text
    assert "Source: a653-units" in text
    assert "Put it in a joint" not in text
    assert "Read it" not in text
    screen.emulate_media(media="print", color_scheme="dark")
    white = screen.evaluate("getComputedStyle(document.body).backgroundColor")
    assert white == "rgb(255, 255, 255)"


def test_a_calculation_on_the_page_is_laid_out_as_in_the_report(screen: Page) -> None:
    screen.goto("/label?text=45+um+zinc")
    screen.get_by_text("How each amount comes about").click()
    steps = screen.locator("ol.steps").first
    assert steps.evaluate("one => getComputedStyle(one).display") == "block"
    assert steps.locator("li").first.evaluate("one => getComputedStyle(one, '::before').content") == "none"


def test_cells_of_a_sheet_are_printed_whole(screen: Page) -> None:
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill("On paper")
    screen.get_by_role("button", name="Begin").click()
    long = "beams bolted to the posts at the far end, beyond the second landing, all of one kind"
    screen.locator("#state").wait_for()
    screen.evaluate("document.querySelectorAll('.sheet-fold').forEach(one => (one.open = true))")
    screen.locator('[id="joints[0].name"]').fill(long)
    screen.locator('[id="joints[0].name"]').press("Tab")
    screen.get_by_text("Version 2 is saved.").wait_for()
    text = _printed(screen)
    assert long in text
    assert "open to rain" in text
    assert "Several cells at once" not in text
    assert "As a file" not in text


def test_a_printed_sheet_says_words_whole_and_no_keys(screen: Page) -> None:
    screen.goto("/structures")
    screen.get_by_label("Bring one in").set_input_files(DEMO / "boardwalk.toml")
    screen.get_by_role("button", name="Bring it in").click()
    screen.locator("#state").wait_for()
    text = _printed(screen)
    assert text.count("moderate") == 6
    assert text.count("specified") >= 10
    assert "units inch and pound" in text
    assert "International Residential Code" in text
    assert "us_irc" not in text
    assert "\N{MINUS SIGN}" not in text, "the sign of a folded part"
