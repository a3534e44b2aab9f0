"""The server is killed in the middle of what somebody does, and comes back."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = [pytest.mark.slow, pytest.mark.needs("chromium")]


class Server:
    """The command ``longhold serve`` on one port and one store, as often as it is started."""

    def __init__(self, store: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._store = store
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        words = ["serve", "--no-browser", "--port", str(self.port), "--store", str(self._store)]
        self._process = subprocess.Popen(
            [sys.executable, "-m", "longhold", *words], stderr=subprocess.PIPE, env=os.environ
        )
        until = time.monotonic() + 60
        while time.monotonic() < until:
            with socket.socket() as asking:
                if asking.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.05)
        pytest.fail("the server did not start")

    def kill(self) -> None:
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.communicate()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    one = Server(tmp_path / "store.db")
    one.start()
    yield one
    one.kill()


def test_what_is_typed_while_the_server_is_down_is_saved_once_it_is_back(
    server: Server, browser: Browser
) -> None:
    page = browser.new_page(base_url=f"http://127.0.0.1:{server.port}")
    page.goto("/structures")
    page.get_by_label("Begin a new one").fill("Killed")
    page.get_by_role("button", name="Begin").click()
    page.locator("#note").fill("before")
    page.locator("#note").press("Enter")
    page.get_by_text("Version 2 is saved.").wait_for()
    server.kill()
    page.locator("#note").fill("while it was down")
    page.locator("#note").press("Enter")
    page.get_by_text("Not saved yet").wait_for()
    server.start()
    page.get_by_text("Version 3 is saved.").wait_for(timeout=30_000)
    page.reload()
    assert page.locator("#note").input_value() == "while it was down"
    page.close()


def test_an_answer_that_was_being_computed_is_computed_anew(server: Server, browser: Browser) -> None:
    page = browser.new_page(base_url=f"http://127.0.0.1:{server.port}")
    asked = "/joint?at=12.34+-61.7&kind=nail&size=16d+common&label=HDG+per+ASTM+A153&count=4&life=33+years"
    page.goto(asked, wait_until="commit")
    server.kill()
    server.start()
    page.goto(asked)
    page.locator("section.joint").wait_for(timeout=180_000)
    page.close()
