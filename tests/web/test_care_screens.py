"""Screens of looking after a structure: read by everyone, light and dark, narrow and wide, and on paper."""

from __future__ import annotations

import io
import json
import tomllib
import urllib.request
import uuid
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from pypdf import PdfReader
from tests.web.conftest import kept

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]
DEMO = Path(__file__).parents[2] / "demo"
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
COSTS = "currency=USD&labor_per_joint=150&visit_per_joint=4&failure=4000&on=2031-05-14"
LOT = "standard=A123&lot=800&least=75um&readings=1,80"
WAIT_MS = 120_000


@pytest.fixture
def walk(address):
    """Number of the demo's standing walk with its readings, kept."""
    content = json.loads(json.dumps(tomllib.loads((DEMO / "standing_walk.toml").read_text()), default=str))
    number = _sent(f"{address}/api/structures", {"name": f"Walk {uuid.uuid4()}", "content": content})
    table = (DEMO / "readings.csv").read_text()
    address = f"{address}/api/structures/{number['structure_id']}/readings/table"
    assert _sent(address, {"name": "readings.csv", "table": table})["new"] == 9
    return number["structure_id"]


def _sent(address, body):
    asked = urllib.request.Request(address, json.dumps(body).encode(), {"content-type": "application/json"})
    with urllib.request.urlopen(asked) as answer:
        return json.load(answer)


def _sound(page, name):
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page, options=RULES).response["violations"]
        assert not found, (name, scheme, [(one["id"], one["nodes"][0]["html"]) for one in found])
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, name
        kept(page, f"care-{name}-{scheme}")
    page.emulate_media(color_scheme="light")


def test_every_screen_is_read_by_everyone(screen, walk):
    page, at = screen, f"/structures/{walk}"
    for name, address, there in (
        ("kept", "/care", "#spot"),
        ("forecast", "/care/forecast", "text=Joints before and after"),
        ("visit-asked", "/care/visit", "#currency"),
        ("visit", f"/care/visit?{COSTS}", "text=What to do with each joint"),
        ("visit-wrong", "/care/visit?currency=USD&on=soon", "#wrong-on-1"),
        ("field", f"/field?{COSTS}", "#entry"),
        ("delivery", "/delivery", "#delivered"),
        ("lot", f"/delivery?{LOT}", "text=Record (PDF)"),
        ("bare", "/delivery?by=ISO1461&area=0.1+m2&spots=6+cm2", "text=may not be repaired"),
        ("life", "/care/life", "text=Download"),
    ):
        page.goto(at + address)
        page.locator(there).first.wait_for(timeout=WAIT_MS)
        _sound(page, name)
    page.goto(f"{at}/care")
    page.get_by_role("button", name="Keep it").click()
    page.locator("#wrong-list").wait_for()
    _sound(page, "wrong")
    page.goto(f"{at}/delivery")
    page.locator("#delivered").set_input_files(DEMO / "delivery.csv")
    page.locator("#order").set_input_files(DEMO / "order.csv")
    page.get_by_role("button", name="Check it").click()
    page.get_by_text("Held against the order order.csv.").wait_for()
    _sound(page, "checked")
    page.goto(f"{at}/delivery")
    page.locator("#lines").fill("hanger, 18 ga, ASTM A653 G60, 1 x 50")
    page.get_by_role("button", name="Check it").click()
    page.get_by_role("link", name="If it were used all the same").click()
    page.get_by_role("columnheader", name="As it came").wait_for(state="attached", timeout=WAIT_MS)
    _sound(page, "effect")


@pytest.mark.parametrize(
    ("there", "gone"), [("care", "Keep the table"), ("delivery", "How many"), ("field", "Send now")]
)
def test_on_paper_no_form_and_no_empty_page(browser, address, walk, there, gone):
    context = browser.new_context(base_url=address)
    page = context.new_page()
    page.goto(f"/structures/{walk}/{there}")
    pages = [one.extract_text() for one in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages]
    context.close()
    assert len(pages) == 1
    assert gone not in pages[0]
