"""What the page refuses, and what it forbids itself."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.conftest import HERE

from longhold.base.errors import Problem
from longhold.base.whole_files import UnwrittenError
from longhold.web.app import make_app
from longhold.web.settings import Settings


def test_every_answer_forbids_what_a_page_does_not_need(client: TestClient) -> None:
    """Directives by W3C Content Security Policy Level 3; nosniff by the Fetch standard."""
    for path in ("/", "/label", "/nothing", "/static/x/page.css"):
        headers = client.get(path).headers
        policy = dict(
            part.strip().partition(" ")[::2] for part in headers["content-security-policy"].split(";")
        )
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == policy["style-src"] == "'self'"
        assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
        assert headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize("host", ["longhold.example", "127.0.0.1.evil.example", "", "[::1", "10.0.0.4:8765"])
def test_another_name_for_this_machine_is_not_answered(client: TestClient, host: str) -> None:
    """A name that somebody else lets point here would make his page one of ours (DNS rebinding)."""
    assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1:8765", "localhost:8765", "[::1]:8765", "LOCALHOST"])
def test_names_of_this_machine_are_answered(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 200


def test_a_form_of_another_site_is_refused(client: TestClient) -> None:
    for headers in (
        {"origin": "https://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site", "origin": "http://127.0.0.1:8765"},
    ):
        assert client.post("/work/x/stop", headers=headers).status_code == 403
    own = {"origin": "http://127.0.0.1:8765", "sec-fetch-site": "same-origin"}
    assert client.post("/work/x/stop", headers=own, follow_redirects=False).status_code == 303


@pytest.mark.parametrize("back", ["https://evil.example", "//evil.example", "javascript:alert(1)"])
def test_the_way_back_stays_on_the_page(client: TestClient, back: str) -> None:
    answer = client.post("/work/x/stop", data={"back": back}, follow_redirects=False)
    assert answer.headers["location"] == "/"


def test_more_than_is_taken_in_is_refused(tmp_path: Path) -> None:
    app = make_app(Settings(most_body_bytes=1024 * 1024, store=tmp_path / "store.db"))
    with TestClient(app, base_url="http://127.0.0.1", client=HERE, raise_server_exceptions=False) as asking:
        told = asking.post("/work/x/stop", content=b"a" * (1024 * 1024 + 1))
        assert (told.status_code, "1 MiB" in told.text) == (413, True)
        form = {"content-type": "application/x-www-form-urlencoded"}
        pieces = asking.post("/work/x/stop", content=(b"a" * 65536 for _ in range(20)), headers=form)
        assert pieces.status_code == 413
        lying = asking.post("/work/x/stop", content=b"", headers={"content-length": "-1"})
        assert lying.status_code == 413


@pytest.mark.parametrize(
    "path",
    [
        "/static/x/../app.py",
        "/static/x/..%2f..%2fapp.py",
        "/static/x/%2e%2e%2fapp.py",
        "/static/x//etc/passwd",
        "/static/x/page.css%00",
        "/static/x/__init__.py",
    ],
)
def test_no_file_but_our_own_is_served(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_what_is_not_there_is_said_in_words_and_to_programs_as_problem_details(client: TestClient) -> None:
    """RFC 9457: media type and members."""
    page = client.get("/nowhere/<script>alert(1)</script>")
    assert (page.status_code, "Nothing is here" in page.text, "<script>alert" in page.text) == (
        404,
        True,
        False,
    )
    told = client.get("/api/nowhere")
    assert told.headers["content-type"] == "application/problem+json"
    assert told.json()["status"] == 404


def test_a_fault_of_our_own_has_a_reference_and_says_nothing_of_the_person(
    client: TestClient, caplog: pytest.LogCaptureFixture
) -> None:
    @client.app.get("/broken")  # type: ignore[attr-defined, untyped-decorator]
    def broken(name: str) -> None:
        raise RuntimeError(name)

    answer = client.get("/broken?name=Ada+Lovelace")
    assert answer.status_code == 500
    line = caplog.messages[-1]
    reference = line.split()[1].rstrip(":")
    assert reference in answer.text
    assert "RuntimeError" in line
    assert "Lovelace" not in line + answer.text


def test_a_full_disk_is_told_and_any_other_fault_of_the_system_is_our_own(client: TestClient) -> None:
    @client.app.get("/refused")  # type: ignore[attr-defined, untyped-decorator]
    def refused(code: int) -> None:
        raise OSError(code, os.strerror(code))

    full = client.get(f"/refused?code={errno.ENOSPC}")
    assert full.status_code == 507
    assert "disk of this server is full; what was just sent may not be saved" in full.text
    assert client.get(f"/refused?code={errno.EIO}").status_code == 500


def test_a_disk_that_fills_while_an_upload_is_put_down_is_told(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("starlette.datastructures.UploadFile.write", full)
    sent = client.post("/structures/1/care/table", files=[("file", ("r.csv", b"joint"))])
    assert sent.status_code == 507
    assert "disk of this server is full" in sent.text


@pytest.mark.parametrize(("is_full", "status"), [(True, 507), (False, 422)])
def test_a_file_that_found_no_room_is_told_as_a_full_disk(
    client: TestClient, is_full: bool, status: int
) -> None:
    @client.app.get("/unwritten")  # type: ignore[attr-defined, untyped-decorator]
    def unwritten() -> None:
        raise UnwrittenError(Problem("copy", None, "cannot be written."), is_full=is_full)

    told = client.get("/unwritten")
    assert told.status_code == status
    assert ("disk of this server is full" in told.text) == is_full


def test_nobody_elsewhere_is_answered_where_nobody_signs_in(tmp_path: Path) -> None:
    """However the application was started: a host name alone is easily claimed."""
    app = make_app(Settings(store=tmp_path / "store.db"))
    with TestClient(app, base_url="http://127.0.0.1", client=("203.0.113.5", 4711)) as asking:
        told = asking.get("/structures")
        assert (told.status_code, "this machine alone" in told.text) == (403, True)
        assert asking.post("/api/structures", json={"name": "x", "content": {}}).status_code == 403
