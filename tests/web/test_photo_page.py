"""A photograph of a label on the page."""

from __future__ import annotations

import io

import pytest
from httpx2 import Response
from PIL import Image, ImageDraw, ImageFont
from starlette.testclient import TestClient
from tests.web.conftest import settled


def _photo(text: str) -> bytes:
    picture = Image.new("RGB", (900, 260), "#f4f0e6")
    font = ImageFont.load_default(size=56)
    ImageDraw.Draw(picture).text((60, 90), text, fill="#181818", font=font)
    packed = io.BytesIO()
    picture.save(packed, "JPEG", quality=85)
    return packed.getvalue()


def _sent(client: TestClient, name: str, data: bytes) -> Response:
    return settled(client, client.post("/label/photo", files={"photo": (name, data)}))


@pytest.mark.slow
def test_the_words_found_stand_in_a_field_before_they_are_interpreted(client: TestClient) -> None:
    page = _sent(client, "label.jpg", _photo("ASTM A653 G185"))
    assert page.status_code == 200
    assert "G185</textarea>" in page.text
    assert "0.64 oz" not in page.text, "nothing is interpreted yet"


@pytest.mark.slow
@pytest.mark.parametrize(
    "data", [b"", b"no picture", _photo("x")[:200], b"GIF89a", b"\x89PNG\r\n\x1a\n" + b"\0" * 50]
)
def test_what_is_no_photograph_is_said(client: TestClient, data: bytes) -> None:
    page = _sent(client, "x.jpg", data)
    assert page.status_code == 422
    assert 'role="alert"' in page.text


def test_a_photograph_that_is_not_held_any_more_is_asked_for_again(client: TestClient) -> None:
    page = client.get("/label/photo/photo-0000")
    assert page.status_code == 404
    assert "Send it again" in page.text


def test_the_address_a_photograph_is_sent_to_leads_to_where_one_is_chosen(client: TestClient) -> None:
    page = client.get("/label/photo")
    assert page.status_code == 200
    assert page.url.path == "/label"


def test_an_empty_photograph_is_told_as_one(client: TestClient) -> None:
    page = _sent(client, "label.jpg", b"")
    assert page.status_code == 422
    assert "<b>The photograph is empty. Hand in the picture itself.</b>" in page.text
