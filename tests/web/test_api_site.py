"""Readings, deliveries and lots over the interface for programs: kept once, or refused with one message."""

from __future__ import annotations

import base64
import csv
import io
import time
import uuid
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "demo"
PIXEL = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)


@pytest.fixture
def walk(client):
    """Number of the demo's standing walk, kept."""
    with (DEMO / "standing_walk.toml").open("rb") as file:
        answer = client.post("/structures/file", files={"file": ("walk.toml", file)}, follow_redirects=False)
    return int(answer.headers["location"].rpartition("/")[2])


def entry(**changed):
    return {
        "id": str(uuid.uuid4()),
        "joint": "W01",
        "part": "hanger",
        "face": "outer",
        "date": "2026-06-12",
        "measured": "zinc",
        "reading": "1.3 mil",
        **changed,
    }


def sent(client, walk, *entries):
    answer = client.post(f"/api/structures/{walk}/readings", json={"entries": list(entries)})
    assert answer.status_code == 200, answer.text
    return answer.json()["answers"]


def total(client, walk):
    return client.get(f"/api/structures/{walk}/readings").json()["total"]


def test_entries_are_kept_once_and_say_so(client, walk):
    one = entry(
        photograph={"name": "w01.png", "media_type": "image/png", "data": base64.b64encode(PIXEL).decode()}
    )
    assert [told["state"] for told in sent(client, walk, one, entry(joint="W02"))] == ["kept", "kept"]
    assert [told["state"] for told in sent(client, walk, one)] == ["had"]
    kept = client.get(f"/api/structures/{walk}/readings").json()
    assert kept["total"] == 2
    assert kept["items"][0]["reading"]["words"] == "1.3 mil"
    assert kept["items"][0]["reading"]["value"] == pytest.approx(33.02)  # 1 mil is 25.4 um
    store = client.app.state.store
    assert [(info.name, info.size_bytes) for info in store.attachments(walk).items] == [
        ("w01.png", len(PIXEL))
    ]


def test_a_reading_is_taken_back_by_a_program(client, walk):
    sent(client, walk, entry())
    at = f"/api/structures/{walk}/readings"
    kept = client.get(at).json()["items"][0]
    assert (kept["counts"], kept["turn"]) == (True, None)
    back = client.put(f"{at}/{kept['entry']}/turn", json={"counts": False, "why": "wrong joint"})
    assert back.status_code == 200
    assert (back.json()["counts"], back.json()["turn"]["why"]) == (False, "wrong joint")
    assert client.post(f"{at}/forecast").status_code == 422  # none that counts
    assert client.get(at).json()["total"] == 1
    assert client.put(f"{at}/none/turn", json={"counts": False}).status_code == 404
    assert client.put(f"{at}/{kept['entry']}/turn", json={"counts": True}).json()["counts"] is True


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"measured": "diameter_left", "part": "nail", "face": "shank", "reading": "2 in"}, "when new"),
        ({"date": "1990-01-01"}, "when the structure was built"),
        ({"date": "2999-01-01"}, "lies in the future"),
        ({"joint": "Z99"}, "is not in the structure"),
        ({"part": "spring"}, "is no part of joint W01"),
        ({"reading": "1.3 kg"}, "kg"),
        ({"reading": "1.3"}, "unit"),
        ({"measured": "rust", "reading": "a lot"}, "grade of rust"),
        ({"reading": ""}, "reading"),
        ({"photograph": {"name": "a.jpg", "data": "####"}}, "is not base64"),
        (
            {"photograph": {"name": "a.jpg", "data": base64.b64encode(b"MZ no picture").decode()}},
            "is no JPEG",
        ),
        ({"photograph": {"name": "a.jpg", "data": "A" * 15_000_000}}, "must be 10 MiB or less"),
    ],
)
def test_an_entry_that_cannot_be_used_is_refused_and_the_others_are_kept(client, walk, changed, said):
    wrong, right = entry(**changed), entry(joint="W02")
    told = sent(client, walk, wrong, right)
    assert [one["state"] for one in told] == ["refused", "kept"]
    assert said in told[0]["said"]
    assert total(client, walk) == 1
    assert client.app.state.store.attachments(walk).total == 0
    put_right = {**entry(joint="W03"), "id": wrong["id"]}
    assert [one["state"] for one in sent(client, walk, put_right, right)] == ["kept", "had"]
    assert total(client, walk) == 2


def test_a_photograph_of_100_mb_is_refused_before_it_is_read(client, walk):
    huge = entry(photograph={"name": "a.jpg", "data": "A" * 134_000_000})
    answer = client.post(f"/api/structures/{walk}/readings", json={"entries": [huge]})
    assert answer.status_code == 413
    assert "25 MiB" in answer.json()["detail"]
    assert total(client, walk) == 0


def test_a_connection_lost_while_sending_keeps_nothing(client, walk):
    """The body ends before it says that it does."""
    whole = str({"entries": [entry()]}).replace("'", '"')
    answer = client.post(
        f"/api/structures/{walk}/readings", content=whole[:60], headers={"content-type": "application/json"}
    )
    assert answer.status_code == 422
    assert total(client, walk) == 0


def test_a_table_is_kept_whole_or_not_at_all(client, walk):
    table = (DEMO / "readings.csv").read_text()
    lines = len(list(csv.reader(io.StringIO(table)))) - 1
    address = f"/api/structures/{walk}/readings/table"
    wrong = f"{table}Z99,,hanger,outer,2026-06-12,zinc,1.3 mil,,,,,\n"
    answer = client.post(address, json={"name": "readings.csv", "table": wrong})
    assert answer.status_code == 422
    assert [one["where"] for one in answer.json()["problems"]] == [f"line {lines + 2}, joint"]
    assert (total(client, walk), client.app.state.store.attachments(walk).total) == (0, 0)
    first = client.post(address, json={"name": "readings.csv", "table": table})
    assert first.json()["new"] == lines
    assert isinstance(first.json()["missing"], list)
    again = client.post(address, json={"name": "readings.csv", "table": table})
    assert (again.json()["new"], again.json()["already"]) == (0, lines)
    assert total(client, walk) == lines


@pytest.mark.slow
def test_what_is_kept_corrects_the_forecast(client, walk):
    assert client.post(f"/api/structures/{walk}/readings/forecast").status_code == 422
    table = (DEMO / "readings.csv").read_text()
    client.post(f"/api/structures/{walk}/readings/table", json={"table": table})
    job = client.post(f"/api/structures/{walk}/readings/forecast").json()
    until = time.monotonic() + 240
    while client.get(f"/api/jobs/{job['id']}").json()["state"] in ("queued", "running"):
        assert time.monotonic() < until
        time.sleep(0.5)
    found = client.get(f"/api/jobs/{job['id']}/result").json()
    assert len(found["readings"]) + len(found["kept"]) == len(list(csv.reader(io.StringIO(table)))) - 1


def test_a_delivery_is_checked_and_kept_once(client, walk):
    order = {"name": "order.csv", "table": (DEMO / "order.csv").read_text()}
    came = {"name": "delivery.csv", "table": (DEMO / "delivery.csv").read_text()}
    address = f"/api/structures/{walk}/deliveries"
    told = client.post(address, json={"delivered": came, "order": order, "reference": "N 17"}).json()
    assert {one["verdict"] for one in told["lines"]} <= {"accepted", "noted", "refused", "open"}
    assert (
        client.post(address, json={"delivered": came, "order": order, "reference": "N 17"}).json()["entry"]
        == told["entry"]
    )
    kept = client.get(address).json()
    assert kept["total"] == 1
    assert len(kept["items"][0]["content"]["delivered"]) == len(told["lines"])
    bad = {"name": "x.csv", "table": "kind,label,quantity\nnail,A153,many\n"}
    answer = client.post(address, json={"delivered": bad})
    assert answer.status_code == 422
    assert "x.csv" in answer.json()["detail"] or "many" in answer.text
    assert client.get(address).json()["total"] == 1


@pytest.mark.slow
def test_what_may_take_the_place_of_a_refused_line_is_a_job(client):
    with (DEMO / "boardwalk.toml").open("rb") as file:
        kept = client.post("/structures/file", files={"file": ("pier.toml", file)}, follow_redirects=False)
    address = f"/api/structures/{kept.headers['location'].rpartition('/')[2]}/deliveries"
    sent = {
        name: {"name": f"{name}.csv", "table": (DEMO / f"{name}.csv").read_text(encoding="utf-8")}
        for name in ("order", "offers")
    }
    came = {"name": "delivery.csv", "table": (DEMO / "delivery.csv").read_text(encoding="utf-8")}
    told = client.post(address, json={"delivered": came, "order": sent["order"]}).json()
    assert told["instead"] is None
    # one line of the list is no offer, and is told
    sent["offers"]["table"] += "\nBROKEN,joist hanger\n"
    asked = {"offers": sent["offers"], "draws": 200}
    answer = client.post(f"{address}/{told['entry']}/effects", json=asked)
    assert answer.status_code == 202
    job = answer.json()
    until = time.monotonic() + 240
    while client.get(f"/api/jobs/{job['id']}").json()["state"] in ("queued", "running"):
        assert time.monotonic() < until
        time.sleep(0.5)
    found = client.get(f"/api/jobs/{job['id']}/result").json()
    assert found["lines"] == told["lines"]
    assert {one["joint"].partition(" ")[0] for one in found["effects"]} == {"J07", "J08"}
    offers = {one["item"]: one for one in csv.DictReader(io.StringIO(sent["offers"]["table"]))}
    assert found["instead"]
    assert any(note.startswith("Left aside in offers.csv: ") for note in found["notes"])
    for one in found["instead"]:
        assert one["packs"] == -(-5700 // one["pieces_a_pack"])  # the screws that came in zinc
        assert one["cost"] == pytest.approx(one["packs"] * float(offers[one["item"]]["price"]))
    assert client.post(f"{address}/none/effects", json={}).status_code == 404
    wrong = client.post(
        f"{address}/{told['entry']}/effects", json={"offers": {"name": "o.csv", "table": "x"}}
    )
    assert wrong.status_code == 422


def test_a_lot(client):
    # ASTM A123: three pieces of a lot of 4 to 500, five of 501 to 1,200
    told = client.post("/api/lots", json={"standard": "A123", "lot": 800, "least": "75um"}).json()
    assert told["plan"]["pieces"] == 5
    assert told["judgement"] is None
    table = "piece,reading (um)\n1,120\n"
    read = {"name": "gauge.csv", "table": table}
    told = client.post(
        "/api/lots", json={"standard": "A123", "lot": 800, "least": "75um", "readings": read}
    ).json()
    assert told["judgement"]["decision"] == "too_few"
    wrong = client.post("/api/lots", json={"standard": "A123", "lot": 800})
    assert wrong.status_code == 422
