"""A session that ends while somebody types: nothing typed is lost, on a phone and at a desk."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe
from tests.web.conftest import DESK, PHONE, kept, served

from longhold.store import Store

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]
WORDS = "three green doors"
ENDED = "your session has ended"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    with Store.open(tmp_path / "store.db") as store:
        store.add_account("Ann", WORDS, "owner")
        store.add_account("Ben", WORDS, "editor")
        store.add_account("Vera", WORDS, "viewer")
    return tmp_path / "store.db"


@pytest.fixture(params=["phone", "desk"])
def page(request: pytest.FixtureRequest, browser: Browser, file: Path) -> Iterator[Page]:
    """The sheet of a structure that Ann began."""
    with served(file, accounts=True) as address:
        size = PHONE if request.param == "phone" else DESK
        context = browser.new_context(base_url=address, viewport=size)
        context.set_default_timeout(15_000)
        began = context.new_page()
        began.goto("/login?then=/structures")
        _sign_in(began, "Ann")
        began.get_by_label("Begin a new one").fill("Deck")
        began.get_by_role("button", name="Begin").click()
        began.get_by_role("heading", name="Deck").wait_for()
        yield began
        context.close()


def _sign_in(page: Page, name: str) -> None:
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(WORDS)
    page.get_by_role("button", name="Sign in").click()
    page.locator(".you").wait_for()


def _end_session(page: Page, file: Path) -> None:
    (cookie,) = page.context.cookies()
    with Store.open(file) as store:
        store.close_session(cookie["value"])


def _typed(page: Page, text: str) -> None:
    page.locator("#note").fill(text)
    page.locator("#note").blur()


def _newest(file: Path) -> tuple[int, object, str]:
    with Store.open(file) as store:
        newest = store.newest(1)
    return newest.number, newest.content.get("note"), newest.author


def _sign_in_beside(page: Page, name: str) -> Page:
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Sign in in another tab").click()
    beside = opened.value
    _sign_in(beside, name)
    return beside


def test_what_is_typed_after_the_session_ended_is_saved_once_one_signs_in(page: Page, file: Path) -> None:
    _end_session(page, file)
    _typed(page, "first")
    page.get_by_text(ENDED).wait_for()
    assert "Nothing you typed is lost" in page.locator("#state").inner_text()
    _typed(page, "second")
    assert page.locator("#note").input_value() == "second"
    assert not Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa"]}).response["violations"]
    kept(page, "session-ended")
    beside = _sign_in_beside(page, "Ben")
    assert beside.url == page.url
    page.get_by_text("Version 3 is saved.").wait_for()
    assert _newest(file) == (3, "second", "Ben")
    assert page.locator("#note").input_value() == "second"
    assert page.locator(".you a").inner_text() == "Ben"
    page.locator("#undo").click()
    page.get_by_text("Version 4 is saved.").wait_for()
    assert _newest(file) == (4, "first", "Ben")


def test_who_signed_in_anew_elsewhere_goes_on_typing(page: Page, file: Path) -> None:
    """The session is there again, and the page holds what forms of the former one carried."""
    _end_session(page, file)
    beside = page.context.new_page()
    beside.goto("/login")
    _sign_in(beside, "Ann")
    _typed(page, "third")
    page.get_by_text("Version 2 is saved.").wait_for()
    assert _newest(file) == (2, "third", "Ann")


def test_a_change_that_the_role_forbids_by_now_leaves_what_was_typed(page: Page, file: Path) -> None:
    _end_session(page, file)
    _typed(page, "fourth")
    page.get_by_text(ENDED).wait_for()
    _sign_in_beside(page, "Vera")
    page.get_by_text("Not saved: Your role does not allow this").wait_for()
    assert page.locator("#note").input_value() == "fourth"
    assert _newest(file)[0] == 1


def test_a_form_is_not_sent_and_keeps_what_is_typed_until_somebody_signs_in(page: Page, file: Path) -> None:
    page.goto("/structures")
    _end_session(page, file)
    page.get_by_label("Begin a new one").fill("Pier")
    page.get_by_role("button", name="Begin").click()
    page.get_by_text(ENDED).wait_for()
    assert page.get_by_label("Begin a new one").input_value() == "Pier"
    kept(page, "form-session-ended")
    _sign_in_beside(page, "Ben").close()
    page.get_by_role("button", name="Begin").click()
    page.get_by_role("heading", name="Pier").wait_for()


def test_what_the_server_cannot_take_leaves_the_sheet(page: Page) -> None:
    answers = iter([503, 413])
    fault = '<main id="content"><p class="lede">The store is busy.</p></main>'

    def refuse(route) -> None:  # type: ignore[no-untyped-def]
        status = next(answers, None)
        if status is None:
            route.continue_()
        else:
            route.fulfill(status=status, content_type="text/html", body=fault)

    page.route("**/edit", refuse)
    _typed(page, "fifth")
    page.get_by_text("Not saved yet: The store is busy.").wait_for()
    page.get_by_text("Not saved: The store is busy. What you typed still stands in its cell.").wait_for()
    assert page.locator("#note").input_value() == "fifth"
    _typed(page, "sixth")
    page.get_by_text("Version 2 is saved.").wait_for()
