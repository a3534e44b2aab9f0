"""Comparisons on the page: what came and went, what is wrong by joint and part, what is assumed elsewhere."""

from __future__ import annotations

import re
from html import unescape

import pytest
from starlette.testclient import TestClient
from tests.web.conftest import settled
from tests.web.test_structure_pages import _edit, _indoors


def _shown(client: TestClient, structure: str, /, **asked: str) -> str:
    page = settled(client, client.get(f"{structure}/compare", params=asked))
    return unescape(page.text).replace("\xa0", " ")


def test_a_joint_that_came_is_told_as_changed(client: TestClient) -> None:
    at = _indoors(client)
    _edit(client, at, 1, add="joints")
    page = _shown(client, at, old="1")
    assert "J2, the joint" in page
    assert "not there" in page
    assert "No input differs" not in page


def test_what_keeps_versions_from_being_compared_is_told_by_joint_and_part(client: TestClient) -> None:
    at = _indoors(client)
    _edit(client, at, 1, add="joints", empty="yes")
    page = _shown(client, at, old="1")
    assert "Version 2, J2: needs at least one part" in page
    assert not re.search(r"joints\[\d", re.sub(r"<option.*?</option>", "", page))


def test_a_site_that_is_compared_says_what_is_assumed_of_it(client: TestClient) -> None:
    at = _indoors(client)
    page = _shown(client, at, at="44.98 -93.27 Minneapolis", setting="urban")
    assumed = re.search(r"Assumed for Minneapolis.*?</table>", page, re.S)
    assert assumed is not None
    assert "site: shore" in assumed[0]
    assert "surrounding air" not in assumed[0], "that was said"


@pytest.mark.parametrize("path", ["/structures/1/compare?at=+", "/label?text=+", "/compare?labels=%0A"])
def test_a_question_with_nothing_typed_says_so(client: TestClient, path: str) -> None:
    _indoors(client)
    page = client.get(path)
    assert page.status_code == 422
    assert "nothing was typed" in page.text.lower()


@pytest.mark.parametrize("typed", ["x", "99", "99999999999999999999", "-1", "1.5"])
def test_a_version_that_is_none_is_told_beside_its_field(client: TestClient, typed: str) -> None:
    at = _indoors(client)
    page = client.get(f"{at}/compare", params={"old": typed})
    assert page.status_code == 422
    text = unescape(page.text)
    assert f"Must be the number of a version that is kept, 1 to 1, and is {typed!r}." in text
    assert re.search(r'<select id="old"[^>]*aria-invalid="true"', page.text)


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/structures/1?version=x", "version is 'x': must be a whole number."),
        ("/structures/1/history?offset=y", "offset is 'y': must be a whole number."),
    ],
)
def test_a_number_in_an_address_that_is_none_is_named_with_what_was_given(
    client: TestClient, path: str, said: str
) -> None:
    _indoors(client)
    page = client.get(path)
    assert page.status_code == 422
    assert said in unescape(page.text)
