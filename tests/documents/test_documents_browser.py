"""The report in a real browser: silent, alone, never wider than the screen, usable by keyboard."""

import pytest

from longhold.documents.report import report_html

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]


@pytest.fixture
def report(make, make_structure, make_site, as_of, hostile, tmp_path):
    evil, long = hostile
    described = make_structure(name=f"{long} {evil}", note=f"{evil}{long}")
    inland = described.at(described.site.model_copy(update={"name": long}))
    file = tmp_path / "report.html"
    html = report_html([make(described), make(inland, site=make_site(2.0))], as_of)
    file.write_text(html, encoding="utf-8")
    return file


@pytest.mark.parametrize("width", [390, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_silent_alone_and_never_wider_than_the_screen(quiet_page, report, width, scheme):
    page = quiet_page(report, width, scheme)
    assert page.evaluate("document.fonts.check('16px \"Longhold Text\"')")
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    dark = sum(int(part) for part in ground[4:-1].split(",")[:3]) < 3 * 128
    assert dark == (scheme == "dark")


def test_every_disclosure_opens_by_keyboard(by_keyboard, report):
    page = by_keyboard(report, at_least=21)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.tagName") in {"A", "SUMMARY", "BODY"}


def test_the_first_tab_skips_to_the_summary(browser, report):
    page = browser.new_page(viewport={"width": 1440, "height": 900})
    page.goto(report.as_uri())
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "#summary"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#summary"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper(on_paper, report, paper):
    page = on_paper(report, paper)
    style = "getComputedStyle(document.querySelector('{}')).{}"
    assert page.evaluate(style.format("thead", "display")) == "table-header-group"
    assert page.evaluate(style.format("nav.contents", "display")) == "none"
    note = page.evaluate(
        "getComputedStyle(document.querySelector('details.fold > summary'), '::after').content"
    )
    assert "not printed" in note
