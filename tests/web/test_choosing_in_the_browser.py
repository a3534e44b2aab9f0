"""Choosing and ordering as a person does it in one sitting, on a phone and at a desk."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tests.web.conftest import kept
from tests.web.test_in_the_browser import _is_accessible

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]

OPEN_LIST = """\
Nr.,Article,Dimension,Finish,Price,Per
A1,lag screw,1/2 in x 4 in,HDG per ASTM A153,30.00,25
A2,lag screw,1/2 in x 4 in,316 stainless,225.00,25
B1,U-shoe,18 ga,ASTM A653 G185,102.50,50
B2,U-shoe,18 ga,316 stainless,395.00,50
N1,nail,10d common x 1-1/2 in,HDG per ASTM A153,20.00,500
N2,nail,10d common x 1-1/2 in,316 stainless,87.50,500
W1,wood screw,#10 x 2-1/2 in,305 stainless,40.00,100
W2,wood screw,#10 x 2-1/2 in,316 stainless,55.00,100
M1,nail,16d common,HDG per ASTM A153,25.00,250
M2,nail,16d common,316 stainless,75.00,250
M3,nail,16d common,316 stainless,-75.00,250
"""
"""A list that names no currency; its words and prices are our own invention."""


def _begin(screen: Page, name: str) -> str:
    name = f"{name} {(screen.viewport_size or {})['width']}"
    screen.goto("/structures")
    screen.get_by_label("Begin a new one").fill(name)
    screen.get_by_role("button", name="Begin").click()
    screen.get_by_role("link", name="Choose and order").click()
    screen.get_by_role("heading", name="What can be bought?").wait_for()
    return name


def test_from_the_invented_list_to_the_papers(screen: Page, tmp_path: Path) -> None:
    name = _begin(screen, "Deck to order for")
    _is_accessible(screen)
    kept(screen, "choose-offers")
    screen.get_by_role("button", name="Take the invented list").click()
    screen.get_by_label("Renewing one joint").fill("-45")
    screen.get_by_role("button", name="Choose").click()
    screen.get_by_role("alert").wait_for()
    assert screen.get_by_label("Renewing one joint").input_value() == "-45"
    _is_accessible(screen)
    kept(screen, "choose-costs")
    screen.get_by_label("Renewing one joint").fill("45")
    screen.get_by_role("button", name="Choose").click()
    screen.get_by_role("heading", name=f"{name}: what to buy").wait_for(timeout=120_000)
    _is_accessible(screen)
    kept(screen, "choose-choice")
    screen.emulate_media(media="print")
    assert screen.locator("article.line").first.is_visible(), "on paper too it is told what goes where"
    assert not screen.get_by_role("button", name="bought already").first.is_visible()
    screen.emulate_media(media="screen")
    screen.get_by_text("Why not another for hanger?").first.click()
    kept(screen, "choose-why")

    screen.get_by_role("button", name="is out of stock").nth(1).click()
    screen.get_by_role("heading", name="Out of stock").wait_for(timeout=120_000)
    _is_accessible(screen)
    kept(screen, "choose-out")
    screen.get_by_role("button", name="Buy without").click()
    screen.get_by_text("Not ", exact=False).first.wait_for(timeout=120_000)
    screen.get_by_role("button", name="bought already").first.click()
    screen.get_by_text("It is used as you said.").first.wait_for(timeout=120_000)
    _is_accessible(screen)
    kept(screen, "choose-said")

    screen.get_by_role("link", name="Papers to order and build by").first.click()
    screen.get_by_role("heading", name=f"Papers for {name}").wait_for(timeout=120_000)
    _is_accessible(screen)
    kept(screen, "choose-papers")
    for paper in ("Schedule", "Order", "Submittal", "Site card"):
        with screen.expect_download() as getting:
            screen.get_by_role("link", name=f"{paper} PDF").click()
        got = tmp_path / getting.value.suggested_filename
        getting.value.save_as(got)
        assert got.read_bytes().startswith(b"%PDF-")


def test_a_list_that_must_be_asked_about_and_joints_that_nothing_serves(screen: Page, tmp_path: Path) -> None:
    name = _begin(screen, "Deck with a list")
    wide = (screen.viewport_size or {})["width"]
    sent = tmp_path / "list.csv"
    sent.write_text(OPEN_LIST.replace("Finish", f"Finish {wide}"), encoding="utf-8")
    screen.get_by_label("A supplier's list").set_input_files(sent)
    screen.get_by_role("button", name="Read it").click()
    screen.get_by_role("heading", name="Which column is which?").wait_for()
    _is_accessible(screen)
    kept(screen, "choose-columns")
    screen.get_by_role("button", name="Read it so").click()
    screen.get_by_text("This is still open").first.wait_for()
    screen.get_by_label("Kind", exact=True).select_option("Article")
    screen.locator("#fixed-currency").fill("USD")
    screen.get_by_role("button", name="Read it so").click()
    screen.get_by_text("is said to be the kind too").first.wait_for()
    _is_accessible(screen)
    kept(screen, "choose-columns-wrong")
    screen.get_by_label("Item", exact=True).select_option("Nr.")
    screen.get_by_role("button", name="Read it so").click()
    screen.get_by_role("heading", name="What the list holds").wait_for()
    assert screen.get_by_text("must not be negative").count() == 1
    _is_accessible(screen)
    kept(screen, "choose-holds")
    screen.get_by_role("link", name="Go on with these offers").click()
    screen.get_by_role("button", name="Choose").click()
    screen.get_by_role("alert").wait_for()
    assert screen.get_by_label("Renewing one joint").get_attribute("aria-invalid") == "true"
    screen.get_by_label("Renewing one joint").fill("45")
    screen.get_by_role("button", name="Choose").click()
    screen.get_by_role("heading", name=f"{name}: what to buy").wait_for(timeout=120_000)
    screen.get_by_text("Why not another for lag?").click()
    screen.get_by_role("button", name="Use A1 for lag").or_(
        screen.get_by_role("button", name="Use A2 for lag")
    ).click()
    screen.get_by_role("heading", name="What you said").wait_for(timeout=120_000)
    while (ban := screen.get_by_role("button", name="Not N")).count():
        pressed = screen.url
        ban.first.click()
        screen.wait_for_url(lambda url: url != pressed)  # noqa: B023  asked before it changes
        screen.get_by_role("heading", name="What you said").wait_for(timeout=120_000)
    screen.get_by_role("heading", name="Nothing on offer will do").wait_for(timeout=120_000)
    _is_accessible(screen)
    kept(screen, "choose-conflict")
