"""The field form in a real browser: opened once, used without a signal, sent once, nothing lost."""

from __future__ import annotations

import io
import json
import os
import tomllib
import urllib.request
import uuid
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from tests.web.conftest import PHONE, kept

from longhold.base.limits import MOST_BODY_BYTES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]
DEMO = Path(__file__).parents[2] / "demo" / "standing_walk.toml"


@pytest.fixture
def number(address: str) -> int:
    """Number of the demo's standing walk, kept."""
    content = json.loads(json.dumps(tomllib.loads(DEMO.read_text()), default=str))
    body = json.dumps({"name": f"Walk {uuid.uuid4()}", "content": content})
    asked = urllib.request.Request(
        f"{address}/api/structures", body.encode(), {"content-type": "application/json"}
    )
    with urllib.request.urlopen(asked) as answer:
        return int(json.load(answer)["structure_id"])


@pytest.fixture
def phone(browser: Browser, address: str) -> Iterator[BrowserContext]:
    context = browser.new_context(base_url=address, viewport=PHONE)
    yield context
    context.close()


def on_server(address: str, number: int) -> list[dict[str, Any]]:
    with urllib.request.urlopen(f"{address}/api/structures/{number}/readings") as answer:
        found: list[dict[str, Any]] = json.load(answer)["items"]
    return found


def entered(page: Page, joint: str, reading: str = "1.3 mil") -> None:
    page.get_by_label("Where").select_option(f"{joint}|hanger|outer")
    page.get_by_label("What was measured").select_option("zinc")
    page.get_by_label("Reading, with its unit").fill(reading)
    page.get_by_role("button", name="Keep it on this device").click()


def waiting(page: Page, words: str) -> None:
    page.locator("#count", has_text=words).wait_for(timeout=20_000)


def opened(phone: BrowserContext, number: int) -> Page:
    page = phone.new_page()
    page.goto(f"/structures/{number}/field")
    page.get_by_text("Ready: this page opens without a signal now.").wait_for(timeout=30_000)
    return page


def test_without_a_signal_and_sent_once_when_it_is_back(phone, address, number):
    page = opened(phone, number)
    assert not Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa"]}).response["violations"]
    phone.set_offline(True)
    page.reload()
    page.get_by_role("heading", name="Field form").wait_for()
    for count, joint in enumerate(("W01", "W02", "W03"), start=1):
        entered(page, joint)
        waiting(page, f"{count} waiting to be sent")
    kept(page, "field-offline")
    page.close()
    assert on_server(address, number) == []
    page = phone.new_page()
    page.goto(f"/structures/{number}/field")
    waiting(page, "3 waiting to be sent")
    phone.set_offline(False)
    page.get_by_text("3 sent: the server has them.").wait_for(timeout=30_000)
    waiting(page, "Nothing waits on this device.")
    assert sorted(one["reading"]["joint"] for one in on_server(address, number)) == ["W01", "W02", "W03"]
    page.reload()
    waiting(page, "Nothing waits on this device.")
    assert len(on_server(address, number)) == 3


def test_a_connection_that_breaks_after_the_server_kept_it(phone, address, number):
    """The answer is lost on its way: the phone cannot know, sends again, and there is one."""
    page = opened(phone, number)
    sent = []

    def lose(route: Any) -> None:
        sent.append(route.fetch())
        route.abort("connectionreset")

    page.route("**/api/structures/*/readings", lose, times=1)
    entered(page, "W01")
    page.get_by_text("No signal: entries stay on this device").wait_for()
    waiting(page, "1 waiting to be sent")
    assert [one.status for one in sent] == [200]
    assert len(on_server(address, number)) == 1
    page.get_by_role("button", name="Send now").click()
    waiting(page, "Nothing waits on this device.")
    assert len(on_server(address, number)) == 1


def test_one_that_is_refused_stays_with_the_reason_and_is_put_right(phone, address, number):
    page = opened(phone, number)
    entered(page, "W01", "1.3 kg")
    page.get_by_text("Not taken:").wait_for()
    waiting(page, "1 to put right")
    kept(page, "field-refused")
    assert on_server(address, number) == []
    page.get_by_role("button", name="Change").click()
    page.get_by_label("Reading, with its unit").fill("1.3 mil")
    page.get_by_role("button", name="Keep it on this device").click()
    waiting(page, "Nothing waits on this device.")
    assert len(on_server(address, number)) == 1


def test_a_photograph_is_made_smaller_and_one_of_100_mb_is_refused(phone, address, number, tmp_path):
    from PIL import Image

    page = opened(phone, number)
    photo = tmp_path / "strap.png"
    Image.effect_noise((3000, 2000), 90).save(photo)
    page.get_by_label("Photograph").set_input_files(photo)
    entered(page, "W01")
    page.get_by_text("1 sent: the server has it.").wait_for()
    name = on_server(address, number)[0]["reading"]["photograph"]
    assert name.startswith("W01-")
    huge = tmp_path / "huge.jpg"
    with huge.open("wb") as file:
        file.truncate(100 * 1024 * 1024)
    page.evaluate(
        """() => {
          const chosen = new DataTransfer();
          chosen.items.add(new File([new Uint8Array(100 * 1024 * 1024)], "huge.jpg", { type: "image/jpeg" }));
          document.getElementById("photograph").files = chosen.files;
        }"""
    )
    entered(page, "W02")
    page.get_by_text("The photograph has 100 MB; up to 40 MB are taken.").wait_for()
    assert page.get_by_label("Reading, with its unit").input_value() == "1.3 mil"
    assert len(on_server(address, number)) == 1


def test_entries_are_saved_as_a_file_that_the_page_takes(phone, address, number):
    page = opened(phone, number)
    phone.set_offline(True)
    entered(page, "W01")
    waiting(page, "1 waiting to be sent")
    with page.expect_download() as saving:
        page.get_by_role("button", name="Save as a file").click()
    text = Path(saving.value.path()).read_text()
    body = json.dumps({"name": "field.csv", "table": text}).encode()
    asked = urllib.request.Request(
        f"{address}/api/structures/{number}/readings/table", body, {"content-type": "application/json"}
    )
    with urllib.request.urlopen(asked) as answer:
        assert json.load(answer)["new"] == 1
    phone.set_offline(False)  # it sends by itself then, and no button is left to press
    waiting(page, "Nothing waits on this device.")
    assert len(on_server(address, number)) == 1


def test_plain_http_on_another_name_says_so_and_offers_the_file(browser, address, number, tmp_path):
    """A browser has no service workers there: the form lives while it stays open."""
    from PIL import Image

    context = browser.new_context(viewport=PHONE)
    page = context.new_page()

    def there(route: Any) -> None:
        asked = route.request
        if asked.method != "GET":
            route.abort("internetdisconnected")
            return
        route.fulfill(response=route.fetch(url=asked.url.replace("http://walk.test", address)))

    page.route("http://walk.test/**", there)
    photo = tmp_path / "strap.png"
    Image.effect_noise((1200, 800), 60).save(photo)
    page.goto(f"http://walk.test/structures/{number}/field")
    assert page.evaluate("window.isSecureContext") is False
    page.get_by_text("This address has no TLS").wait_for()
    assert "leave it open" in page.locator("#offline").inner_text()
    assert not Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa"]}).response["violations"]
    entered(page, "W01")
    waiting(page, "1 waiting to be sent")
    kept(page, "field-no-tls")
    with page.expect_download() as saving:
        page.get_by_role("button", name="Save as a file").click()
    assert "1.3 mil" in Path(saving.value.path()).read_text()
    page.get_by_label("Photograph").set_input_files(photo)
    entered(page, "W03")
    waiting(page, "2 waiting to be sent")
    with page.expect_download() as saving:
        page.get_by_role("button", name="Save as a file").click()
    assert saving.value.suggested_filename == "field readings.zip"
    file = tmp_path / "field readings.zip"
    saving.value.save_as(file)
    with zipfile.ZipFile(file) as archive:
        assert archive.testzip() is None
        table, picture = archive.namelist()
        with Image.open(io.BytesIO(archive.read(picture))) as taken:
            assert taken.size == (1200, 800)
        assert picture in archive.read(table).decode()
    context.close()
    desk = browser.new_context(base_url=address)
    page = desk.new_page()
    for told in ("2 readings are kept", "2 were kept already"):
        page.goto(f"/structures/{number}/care")
        page.get_by_label("Readings, one on a line").set_input_files(file)
        page.get_by_role("button", name="Keep the table").click()
        page.get_by_text(told).wait_for()
    assert {one["reading"]["photograph"] for one in on_server(address, number)} == {"", picture}
    desk.close()


def test_many_photographs_are_saved_in_files_that_the_page_takes(phone, address, number, tmp_path):
    """Noise shrinks badly: a few such pictures pass what one request may bring."""
    from PIL import Image

    page = opened(phone, number)
    phone.set_offline(True)
    photo = tmp_path / "strap.png"
    Image.frombytes("RGB", (1600, 1600), os.urandom(1600 * 1600 * 3)).save(photo)
    for count in range(1, 13):
        page.get_by_label("Photograph").set_input_files(photo)
        entered(page, "W01", f"1.{count:02d} mil")
        waiting(page, f"{count} waiting to be sent")
    page.get_by_role("button", name="Save as a file").click()
    links = page.locator("#saved a")
    links.first.wait_for()
    sizes = []
    for at in range(links.count()):
        with page.expect_download() as saving:
            links.nth(at).click()
        file = tmp_path / saving.value.suggested_filename
        saving.value.save_as(file)
        sizes.append(file.stat().st_size)
        with zipfile.ZipFile(file) as archive:
            assert archive.testzip() is None
    assert len(sizes) > 1
    assert max(sizes) < MOST_BODY_BYTES
    kept(page, "field-files")


def test_opened_from_a_planned_visit(phone, address, number):
    page = phone.new_page()
    page.goto(
        f"/structures/{number}/care/visit?currency=USD&labor_per_joint=150&visit_per_joint=4&failure=4000"
    )
    page.get_by_role("link", name="Field form for a phone").click(timeout=120_000)
    page.get_by_text("Ready: this page opens without a signal now.").wait_for(timeout=30_000)
    phone.set_offline(True)
    page.reload()
    enter = page.get_by_role("button", name="Enter it").first
    spot, measured = enter.get_attribute("data-spot"), enter.get_attribute("data-measured")
    enter.click()
    assert page.get_by_label("Where").input_value() == spot
    assert page.get_by_label("What was measured").input_value() == measured
    value = {
        "zinc": "1.3 mil",
        "thickness_left": "0.04 in",
        "diameter_left": "0.14 in",
        "rust": "no red rust",
    }
    page.get_by_label("Reading, with its unit").fill(value[str(measured)])
    page.get_by_role("button", name="Keep it on this device").click()
    waiting(page, "1 waiting to be sent")
    kept(page, "field-planned")
    phone.set_offline(False)  # it sends by itself then, and no button is left to press
    waiting(page, "Nothing waits on this device.")
    (found,) = on_server(address, number)
    assert "|".join((found["reading"]["joint"], found["reading"]["part"], found["reading"]["face"])) == spot
