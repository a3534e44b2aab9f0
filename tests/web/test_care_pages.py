"""Looking after a kept structure on the page: readings, what to do, deliveries, the life file."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import icalendar
import pytest
from tests.web.conftest import settled

DEMO = Path(__file__).parents[2] / "demo"
COSTS = {"currency": "USD", "labor_per_joint": "150", "visit_per_joint": "4", "failure": "4000"}


@pytest.fixture
def walk(client):
    """Number of the demo's standing walk, kept."""
    with (DEMO / "standing_walk.toml").open("rb") as file:
        answer = client.post("/structures/file", files={"file": ("walk.toml", file)}, follow_redirects=False)
    return int(answer.headers["location"].rpartition("/")[2])


def typed(client, walk, **changed):
    fields = {
        "spot": "W01|hanger|outer",
        "measured": "zinc",
        "reading": "1.3 mil",
        "date": "2026-06-12",
        **changed,
    }
    return client.post(f"/structures/{walk}/care/reading", data=fields)


def test_one_reading_is_kept_and_the_same_is_not_kept_twice(client, walk):
    assert "The reading is kept." in typed(client, walk).text
    assert "kept already" in typed(client, walk).text
    assert client.app.state.store.readings(walk).total == 1


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("reading", "1.3 kg", "kg"),
        ("date", "1990-01-01", "when the structure was built"),
        ("spot", "", "ames no joint"),
        ("measured", "", "ust be one of"),
        ("spots", "many", "whole number"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(client, walk, field, value, said):
    page = typed(client, walk, note="by the stairs", **{field: value})
    assert page.status_code == 422
    beside = page.text.partition(f'id="wrong-{field}-1">')[2].partition("</p>")[0]
    assert said in beside
    assert "by the stairs" in page.text
    assert client.app.state.store.readings(walk).total == 0


def test_a_table_with_one_wrong_line_keeps_nothing(client, walk):
    table = (DEMO / "readings.csv").read_text() + "W01,,hanger,outer,2026-06-12,zinc,9 parsec,,,,,\n"
    page = client.post(f"/structures/{walk}/care/table", files={"file": ("r.csv", table)})
    assert page.status_code == 422
    assert "Nothing of it was kept" in page.text
    assert "parsec" in page.text
    assert client.app.state.store.readings(walk).total == 0


@pytest.mark.slow
def test_readings_change_the_forecast_and_the_life_file_holds_them(client, walk):
    table = (DEMO / "readings.csv").read_bytes()
    page = client.post(f"/structures/{walk}/care/table", files={"file": ("r.csv", table)})
    assert "9 readings are kept." in page.text
    page = settled(client, client.get(f"/structures/{walk}/care/forecast"))
    assert "correct the forecast" in page.text
    assert "Before the readings" in page.text
    assert client.get(f"/structures/{walk}/care/forecast/report").status_code == 200
    again = client.get(f"/structures/{walk}/care/readings.csv")
    assert (
        "9 were kept already"
        in client.post(f"/structures/{walk}/care/table", files={"file": ("again.csv", again.content)}).text
    )
    page = settled(client, client.get(f"/structures/{walk}/care/life"))
    assert "Download" in page.text
    archive = zipfile.ZipFile(io.BytesIO(client.get(f"/structures/{walk}/care/life.zip").content))
    names = archive.namelist()
    assert table in [archive.read(name) for name in names if name.startswith("readings/")]


@pytest.mark.slow
def test_what_to_do_and_the_next_visit(client, walk):
    assert "What to do" in client.get(f"/structures/{walk}/care/visit").text
    wrong = client.get(f"/structures/{walk}/care/visit", params={**COSTS, "on": "soon", "failure": "much"})
    assert wrong.status_code == 422
    assert 'id="wrong-on-1"' in wrong.text
    assert 'id="wrong-failure-1"' in wrong.text
    assert 'value="soon"' in wrong.text
    asked = {**COSTS, "on": "2031-05-14"}
    page = settled(client, client.get(f"/structures/{walk}/care/visit", params=asked))
    assert "What to do with each joint" in page.text
    sheets = client.get(f"/structures/{walk}/care/visit/field sheets.pdf", params=asked)
    assert sheets.content.startswith(b"%PDF")
    found = icalendar.Calendar.from_ical(
        client.get(f"/structures/{walk}/care/visit/visits.ics", params=asked).text
    )
    assert next(str(one["DTSTART"].dt) for one in found.walk("VEVENT")) == "2031-05-14"


def test_a_delivery_line_by_line_and_its_record(client, walk):
    files = {
        "order": ("order.csv", (DEMO / "order.csv").read_bytes()),
        "delivered": ("came.csv", (DEMO / "delivery.csv").read_bytes()),
    }
    page = client.post(
        f"/structures/{walk}/delivery", files=files, data={"against": "order", "reference": "N 17"}
    )
    assert page.status_code == 200
    assert "Refused" in page.text
    assert "Delivery N 17" in page.text
    assert client.get(f"{page.url.path}/record.pdf").content.startswith(b"%PDF")
    assert client.get(f"/structures/{walk}/delivery/{'0' * 64}").status_code == 404


def test_typed_lines_and_what_is_wrong_with_them(client, walk):
    address = f"/structures/{walk}/delivery"
    lines = "nail, 10d common x 1-1/2 in, HDG per ASTM A153, many"
    page = client.post(address, data={"lines": lines})
    assert page.status_code == 422
    assert "many" in page.text.partition('id="wrong-delivered-1">')[2].partition("</p>")[0]
    assert lines in page.text
    assert client.post(address, data={}).status_code == 422
    page = client.post(address, data={"lines": lines.replace("many", "2 x 250")})
    assert page.status_code == 200
    assert "1 line delivered" in page.text


def test_how_many_pieces_to_measure(client, walk):
    address = f"/structures/{walk}/delivery"
    page = client.get(address, params={"standard": "A123", "lot": "800", "least": "75um"})
    assert "5 pieces" in page.text  # ASTM A123: five of a lot of 501 to 1,200
    asked = {"standard": "A123", "lot": "800", "least": "75um"}
    assert client.get(f"{address}/lot.pdf", params=asked).content.startswith(b"%PDF")
    wrong = client.get(address, params={"standard": "A123", "lot": "some", "least": "75um"})
    assert wrong.status_code == 422
    assert 'id="wrong-lot-1"' in wrong.text
