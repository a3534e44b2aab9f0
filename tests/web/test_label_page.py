"""The page that reads a label."""

from __future__ import annotations

from html import unescape

from starlette.testclient import TestClient


def test_a_label_is_read(client: TestClient) -> None:
    """ASTM A653/A653M, Table 1: G185 has at least 0.64 oz/ft2 on one side."""
    page = client.get("/label", params={"text": "G185"})
    assert page.status_code == 200
    assert "0.64 oz/ft²" in page.text


def test_what_cannot_be_read_is_said_beside_the_field_and_stays(client: TestClient) -> None:
    page = client.get("/label", params={"text": "G-185x <b>"})
    assert page.status_code == 422
    assert "G-185x <b>" in unescape(page.text)
    assert "<b>G" not in page.text
    assert 'aria-invalid="true"' in page.text


def test_what_was_not_understood_is_told_first_beside_what_was_typed(client: TestClient) -> None:
    page = unescape(client.get("/label", params={"text": "ASTM A153 class Q"}).text)
    told = page.index("Not understood, and left out: “class”, “Q”")
    assert told < page.index("<h2>")
    assert 'aria-describedby="wrong-text"' in page
    assert "Not understood, and left out:" not in client.get("/label", params={"text": "G185"}).text


def test_a_label_without_end_is_refused(client: TestClient) -> None:
    assert client.get("/label", params={"text": "G90 " * 600}).status_code == 422


def test_without_words_examples_teach_and_can_be_read(client: TestClient) -> None:
    from longhold.web.label_page import _EXAMPLES

    page = client.get("/label")
    for one in _EXAMPLES:
        assert one in page.text
        assert client.get("/label", params={"text": one}).status_code == 200


def test_each_amount_opens_how_it_comes_about(client: TestClient) -> None:
    """ASTM A653/A653M, 8.1.3: 7.14 g/m2 of zinc make one um; so 45 um weigh 321.3 g/m2."""
    page = unescape(client.get("/label", params={"text": "45 um zinc"}).text)
    told = page.partition("How each amount comes about")[2]
    assert "321" in told
    assert "7.14" in told
    assert "a653-units" in told
    assert "How each amount comes about" not in client.get("/label", params={"text": "A4-70"}).text


def test_signs_of_a_keyboard_are_printed_as_signs(client: TestClient) -> None:
    page = unescape(client.get("/label", params={"text": "HDG per ASTM A153"}).text)
    assert "≤ 9.52 mm" in page
    assert "0.85 oz/ft²" in page
    assert "oz/ft2" not in page.partition("How each amount comes about")[0]
    assert "<=" not in page
