"""Each flow as a person does it, on a phone and at a desk."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe
from tests.web.conftest import kept

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]


def _is_accessible(page: Page) -> None:
    """WCAG 2.1 A and AA as far as axe-core can tell, and nothing wider than the screen."""
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]})
    assert not found.response["violations"], found.generate_report()
    wide, screen = page.evaluate(
        "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    )
    assert wide <= screen


def test_a_label(screen: Page) -> None:
    screen.goto("/")
    _is_accessible(screen)
    kept(screen, "first")
    screen.get_by_role("link", name="A label", exact=False).last.click()
    screen.get_by_label("Words on the box").fill("hanger G185 with 10d nails A153 D")
    screen.get_by_role("button", name="Read it").click()
    screen.get_by_role("heading", name="nail: ASTM A153 class D").wait_for()
    _is_accessible(screen)
    kept(screen, "label")


def test_one_joint_from_the_map_to_the_answer(screen: Page) -> None:
    screen.goto("/joint")
    for _ in range(3):
        screen.get_by_role("button", name="Map").click(position={"x": 96, "y": 98})
    assert screen.get_by_label("Latitude and longitude").input_value()
    screen.get_by_label("In what surroundings?").select_option("dry_inside")
    screen.get_by_label("Label of part 1").fill("zzz")
    screen.get_by_role("button", name="Answer").last.click()
    screen.get_by_role("alert").wait_for()
    _is_accessible(screen)
    kept(screen, "joint-wrong")
    screen.get_by_label("Label of part 1").fill("HDG per ASTM A153")
    screen.get_by_role("button", name="Answer").last.click()
    screen.locator("section.joint").wait_for(timeout=120_000)
    _is_accessible(screen)
    kept(screen, "joint-answer")
    screen.get_by_role("link", name="Change something").click()
    assert screen.get_by_label("Label of part 1").input_value() == "HDG per ASTM A153"


def test_by_keyboard_alone(screen: Page) -> None:
    screen.goto("/label")
    screen.keyboard.type("Z275")
    screen.keyboard.press("Tab")
    screen.keyboard.press("Enter")
    screen.get_by_role("heading", name="EN 10346").first.wait_for()
    screen.keyboard.press("Tab")
    assert screen.evaluate("document.activeElement.textContent") == "Skip to the content"
