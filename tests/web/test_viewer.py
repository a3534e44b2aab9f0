"""What a viewer sees: all of it, with everything that changes something shut, and why."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.conftest import HERE
from tests.web.test_accounts import WORDS, sign_in

from longhold.store import Store
from longhold.web.app import make_app
from longhold.web.settings import Settings

_SENT = re.compile(r'<form\b[^>]*method="post"[^>]*>.*?</form>', re.DOTALL)
_READING_ONLY = 'id="reading-only"'


@pytest.fixture
def asking(tmp_path: Path) -> Iterator[TestClient]:
    """A page on which Vera reads and Ed edits; Ed has begun a deck and changed it once."""
    with Store.open(tmp_path / "store.db") as store:
        store.add_account("Vera", WORDS, "viewer")
        store.add_account("Ed", WORDS, "editor")
        store.add_account("Ann", WORDS, "owner")
    app = make_app(Settings(store=tmp_path / "store.db", accounts=True))
    with TestClient(app, base_url="http://127.0.0.1", client=HERE) as client:
        token = {"form_token": sign_in_quietly(client, "Ed")}
        client.post("/structures", data={"name": "Deck", **token})
        client.post(
            "/structures/1/edit", data={"expecting": 1, "where": "note", "value": "by the creek", **token}
        )
        yield client


def sign_in_quietly(client: TestClient, name: str) -> str:
    client.follow_redirects = False
    token = sign_in(client, name)
    client.follow_redirects = True
    return token


def test_a_viewer_s_sheet_takes_nothing_and_says_why(asking: TestClient) -> None:
    edited = asking.get("/structures/1").text
    assert _READING_ONLY not in edited
    assert "readonly" not in edited
    sign_in_quietly(asking, "Vera")
    page = asking.get("/structures/1").text
    assert "You are signed in as a viewer" in page
    editor = page.partition('id="editor"')[2].partition("As a file")[0]
    cells = re.findall(r'<(?:input|select) id="[^"]*"[^>]*>', editor)
    assert len(cells) > 30
    assert all(" readonly" in one or " disabled" in one for one in cells)
    assert "data-add" not in editor
    assert 'value="by the creek"' in editor


@pytest.mark.parametrize(
    "path",
    [
        "/label",
        "/structures",
        "/structures/1",
        "/structures/1?version=1",
        "/structures/1/history",
        "/structures/1/care",
        "/structures/1/delivery",
        "/structures/1/choose",
    ],
)
def test_every_form_that_sends_is_shut_for_a_viewer_and_open_for_an_editor(
    asking: TestClient, path: str
) -> None:
    others = [one for one in _SENT.findall(asking.get(path).text) if "/logout" not in one]
    assert others
    assert all('name="form_token"' in one for one in others)
    sign_in_quietly(asking, "Vera")
    page = asking.get(path).text
    assert page.count(_READING_ONLY) == 1
    shut = [one for one in _SENT.findall(page) if "/logout" not in one]
    assert len(shut) == len(others)
    assert all('<fieldset class="shut" disabled>' in one for one in shut)


def test_a_viewer_may_still_change_the_password_and_leave(asking: TestClient) -> None:
    sign_in_quietly(asking, "Vera")
    page = asking.get("/account").text
    forms = _SENT.findall(page)
    assert len(forms) == 2
    assert not any("shut" in one for one in forms)


def test_a_viewer_s_field_form_does_not_promise_to_send(asking: TestClient) -> None:
    assert "They are sent by themselves" in asking.get("/structures/1/field").text
    sign_in_quietly(asking, "Vera")
    page = asking.get("/structures/1/field").text
    assert "They are sent by themselves" not in page
    assert "A viewer sends nothing: save what you keep here as a file" in page
