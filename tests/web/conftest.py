"""A page to ask, in memory for most tests and on a port with a real browser for some."""

from __future__ import annotations

import os
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from starlette.testclient import TestClient

from longhold.web.app import make_app
from longhold.web.settings import Settings

if TYPE_CHECKING:
    from httpx2 import Response
    from playwright.sync_api import Browser, Page

ASIDE = Path(os.environ.get("LONGHOLD_SCREENSHOTS", "build/screenshots"))
"""Where the pictures that a browser takes are kept to be looked at."""
HERE = ("127.0.0.1", 50000)
"""Where tests ask from: this machine."""
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 1000}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """The page of this machine with an empty store, asked without a network."""
    app = make_app(Settings(store=tmp_path / "store.db"))
    with TestClient(
        app, base_url="http://127.0.0.1:8765", client=HERE, raise_server_exceptions=False
    ) as asking:
        yield asking


@contextmanager
def served(store: Path, *, accounts: bool = False) -> Iterator[str]:
    """Address of a page that is served on a free port of this machine."""
    import uvicorn

    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    port = listening.getsockname()[1]
    settings = Settings(port=port, store=store, accounts=accounts)
    server = uvicorn.Server(uvicorn.Config(make_app(settings), log_level="error", ws="none"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(10)
    listening.close()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a page of this machine alone."""
    with served(tmp_path_factory.mktemp("store") / "store.db") as found:
        yield found


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """The browser of this machine, without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        yield started
        started.close()


@pytest.fixture(params=["phone", "desk"])
def screen(request: pytest.FixtureRequest, browser: Browser, address: str) -> Iterator[Page]:
    """A browser page on a phone and at a desk, which fails for any fault or request to elsewhere."""
    context = browser.new_context(
        base_url=address, viewport=PHONE if request.param == "phone" else DESK, color_scheme="light"
    )
    page = context.new_page()
    faults: list[str] = []
    page.on("request", lambda one: None if one.url.startswith((address, "data:")) else faults.append(one.url))
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda said: faults.append(said.text) if _is_fault(said) else None)
    yield page
    context.close()
    assert not faults


def _is_fault(said: Any) -> bool:
    # a browser notes every answer that is not 200, which a refused form or change is not
    expected = ("status of 422", "status of 409")
    return said.type == "error" and not any(one in said.text for one in expected)


def settled(client: TestClient, page: Response) -> Response:
    """The page that stands under an address once what it waits for is computed."""
    until = time.monotonic() + 120
    while 'id="working"' in page.text:
        assert time.monotonic() < until, "it never ended"
        page = client.get(str(page.url))
    return page


def kept(page: Page, name: str) -> None:
    """Keep a picture of what the screen shows."""
    ASIDE.mkdir(parents=True, exist_ok=True)
    width = (page.viewport_size or PHONE)["width"]
    page.screenshot(path=ASIDE / f"{name}-{width}.png", full_page=True)
