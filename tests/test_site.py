"""The documentation builds without a warning, its links lead somewhere, and it asks nothing from outside."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

ROOT = Path(__file__).resolve().parents[1]
# what a browser fetches by itself when it opens a page
FETCHED = {
    ("link", "href"),
    *((tag, "src") for tag in ("script", "img", "source", "iframe", "embed", "audio", "video", "input")),
    *((tag, "srcset") for tag in ("img", "source")),
    ("object", "data"),
    ("video", "poster"),
}
PLACES = {("a", "href"), ("form", "action")}


@pytest.fixture(scope="module")
def site(tmp_path_factory) -> Path:
    """The pages, built as ``make docs`` builds them."""
    folder = tmp_path_factory.mktemp("site")
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    words = re.search(r"-m (sphinx .*)$", makefile, flags=re.MULTILINE)[1].split()
    assert words[-2:] == ["docs", "build/docs"]
    assert "--fail-on-warning" in words
    command = [sys.executable, "-m", *words[:-1], str(folder)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=300)
    assert (done.returncode, done.stderr) == (0, "")
    return folder


class Page(HTMLParser):
    """Addresses on a page, by what asks for them, and the places on it that a link may name."""

    def __init__(self, file: Path) -> None:
        super().__init__()
        self.addresses: list[tuple[str, str, str]] = []
        self.ids: set[str] = set()
        self.styles: list[str] = []
        self.feed(file.read_text(encoding="utf-8"))

    def handle_starttag(self, tag, attrs):
        for name, value in attrs:
            if name == "id" and value:
                self.ids.add(value)
            if (tag, name) in FETCHED | PLACES and value is not None:
                self.addresses.append((tag, name, value))
            if name == "style" and value:
                self.styles.append(value)


@pytest.fixture(scope="module")
def pages(site) -> dict[Path, Page]:
    found = {file: Page(file) for file in site.rglob("*.html")}
    assert len(found) > 60
    return found


@pytest.mark.slow
def test_no_page_asks_anything_from_outside(site, pages):
    for file, page in pages.items():
        for tag, name, address in page.addresses:
            if (tag, name) in FETCHED:
                assert not urlsplit(address).netloc, f"{file.name}: {tag} {address}"
                assert urlsplit(address).scheme in ("", "data"), f"{file.name}: {tag} {address}"
        assert not any("url(" in style for style in page.styles), file.name
    for sheet in site.rglob("*.css"):
        text = sheet.read_text(encoding="utf-8")
        assert "@import" not in text, sheet.name
        for address in re.findall(r"url\(\s*[\"']?([^\"')]+)", text):
            parts = urlsplit(address)
            assert not parts.netloc, f"{sheet.name}: {address}"
            within = parts.scheme == "data" or not parts.path or (sheet.parent / parts.path).is_file()
            assert within, f"{sheet.name}: {address}"


def broken(site: Path, pages: dict[Path, Page]) -> Iterator[str]:
    for file, page in pages.items():
        for _, _, address in page.addresses:
            parts = urlsplit(address)
            if parts.scheme or parts.netloc:
                continue
            target = (file.parent / unquote(parts.path)).resolve() if parts.path else file
            if not target.is_file():
                yield f"{file.relative_to(site)}: {address} is not there"
            elif parts.fragment and target in pages and unquote(parts.fragment) not in pages[target].ids:
                yield f"{file.relative_to(site)}: {address} names no place there"


@pytest.mark.slow
def test_links_within_the_pages_lead_somewhere(site, pages):
    assert list(broken(site, pages)) == []


@pytest.mark.slow
def test_every_page_of_docs_is_in_the_tree(site, pages):
    wanted = {file.relative_to(ROOT / "docs").with_suffix("") for file in (ROOT / "docs").rglob("*.md")}
    assert wanted <= {file.relative_to(site).with_suffix("") for file in pages}


@pytest.mark.slow
@pytest.mark.needs("chromium")
def test_in_a_browser_the_search_works_off_a_disk_and_phones_show_whole_pages(site):
    from playwright.sync_api import sync_playwright

    asked: list[str] = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page(viewport={"width": 390, "height": 900})
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: pytest.fail(str(error)))
        page.goto(f"{(site / 'search.html').as_uri()}?q=hankinson")
        page.wait_for_selector("ul.search a")
        assert page.locator("ul.search a", has_text="Strength that is left").count() == 1
        for name in ("index", "tutorial", "science/air", "science/strength", "codes", "reference/index"):
            page.goto((site / f"{name}.html").as_uri())
            assert page.evaluate("document.documentElement.scrollWidth") <= 390, name
        page.goto((site / "science" / "air.html").as_uri())
        fraction = page.locator("math mfrac").first.bounding_box()
        assert fraction is not None
        assert fraction["height"] > 20, "mathematics is not set as such"
        browser.close()
    assert [one for one in asked if not one.startswith(("file:", "data:"))] == []
