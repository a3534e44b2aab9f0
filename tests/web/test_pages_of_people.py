"""Pages of people, of photographs and for programs in a browser: on a phone and at a desk, light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from tests.web.conftest import DESK, PHONE, served
from tests.web.conftest import kept as picture

from longhold.store import Store

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]
WORDS = "three green doors"


@pytest.fixture(scope="module")
def asking(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a page that asks who one is."""
    file: Path = tmp_path_factory.mktemp("people") / "store.db"
    with Store.open(file) as store:
        store.add_account("Ann", WORDS, "owner")
        store.add_account("A person with a long name, of the second building", WORDS, "viewer")
        store.close_account(store.add_account("Gone", WORDS, "editor").id)
    with served(file, accounts=True) as found:
        yield found


def _is_sound(page: Page, name: str) -> None:
    picture(page, name)
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]})
    assert not found.response["violations"], found.generate_report()
    wide, screen = page.evaluate(
        "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    )
    assert wide <= screen, name


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", ["phone", "desk"])
def test_pages_of_people_are_sound(
    browser: Browser, asking: str, size: str, scheme: Literal["light", "dark"]
) -> None:
    context = browser.new_context(
        base_url=asking, viewport=PHONE if size == "phone" else DESK, color_scheme=scheme
    )
    page = context.new_page()
    page.goto("/login")
    _is_sound(page, f"login-{scheme}")
    page.get_by_label("Name").fill("Ann")
    page.get_by_label("Password").fill("three red doors")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("alert").wait_for()
    _is_sound(page, f"login-wrong-{scheme}")
    page.get_by_label("Password").fill(WORDS)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("link", name="Ann").wait_for()
    colors = "button => [getComputedStyle(button).color, getComputedStyle(document.body).backgroundColor]"
    ink, paper = page.get_by_role("button", name="Sign out").evaluate(colors)
    assert ink != paper, "what ends a session is seen"
    for path in ("/account", "/accounts", "/api/docs", "/structures"):
        page.goto(path)
        _is_sound(page, f"{path.strip('/').replace('/', '-')}-{scheme}")
    page.goto("/label")
    page.get_by_role("button", name="Read the photograph").click()
    page.get_by_text("No photograph was chosen").wait_for()
    _is_sound(page, f"photo-{scheme}")
    context.close()
