"""Looking after a kept structure on the page: readings, what to do, deliveries, the life file."""

from __future__ import annotations

import contextlib
import http.client
import io
import json
import re
import socket
import struct
import time
import zipfile
from pathlib import Path

import icalendar
import pytest
from pypdf import PdfReader
from tests.web.conftest import settled
from tests.web.test_api_site import PIXEL

from longhold.store import StoreBusy, StoreFull

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


@pytest.mark.parametrize(("fault", "status"), [(StoreFull, 507), (StoreBusy, 503)])
def test_a_store_that_cannot_write_is_no_fault_of_what_was_sent(client, walk, monkeypatch, fault, status):
    def refused(*_, **__):
        raise fault("the store", None, "cannot be written now.", "Send it again.")

    for name in ("keep_readings", "keep_attachment", "keep_delivery"):
        monkeypatch.setattr(type(client.app.state.store), name, refused)
    at = f"/structures/{walk}"
    table = {"file": ("r.csv", (DEMO / "readings.csv").read_bytes())}
    came = {"delivered": ("d.csv", (DEMO / "delivery.csv").read_bytes())}
    for answer in (
        typed(client, walk),
        client.post(f"{at}/care/table", files=table),
        client.post(f"{at}/delivery", files=came),
    ):
        assert answer.status_code == status
        assert "cannot be written now. Send it again." in answer.text


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


def test_a_reading_is_taken_back_and_counts_again(client, walk):
    typed(client, walk)
    at = f"/structures/{walk}/care"
    entry = client.app.state.store.readings(walk).items[0].entry
    assert f'action="{at}/reading/{entry}"' in client.get(at).text
    page = client.post(f"{at}/reading/{entry}", data={"counts": "false", "why": "wrong joint"})
    assert "The reading is taken back" in page.text
    assert "wrong joint" in page.text
    assert "1 of them taken back" in page.text
    assert "1.3 mil" not in client.get(f"{at}/readings.csv").text
    assert "There are no readings yet." in client.get(f"{at}/forecast").text
    assert "kept already and taken back" in typed(client, walk).text
    page = client.post(f"{at}/reading/{entry}", data={"counts": "true"})
    assert "The reading counts again." in page.text
    assert "1.3 mil" in client.get(f"{at}/readings.csv").text


def test_moisture_is_of_timber_and_corrects_no_forecast(client, walk):
    page = typed(client, walk, measured="moisture", reading="19 %")
    assert page.status_code == 422
    beside = page.text.partition('id="wrong-spot-1">')[2].partition("</p>")[0]
    assert "moisture is read in the timber" in beside
    page = typed(client, walk, spot="W01", measured="moisture", reading="19 %")
    assert "The reading is kept. It does not correct the forecast: a single moisture is weather" in page.text


def test_a_table_with_one_wrong_line_keeps_nothing(client, walk):
    table = (DEMO / "readings.csv").read_text() + "W01,,hanger,outer,2026-06-12,zinc,9 parsec,,,,,\n"
    page = client.post(f"/structures/{walk}/care/table", files={"file": ("r.csv", table)})
    assert page.status_code == 422
    assert "Nothing of it was kept" in page.text
    assert "parsec" in page.text
    assert client.app.state.store.readings(walk).total == 0


def test_a_forecast_without_readings_says_that_there_are_none_yet(client, walk):
    at = f"/structures/{walk}/care"
    for path in ("forecast", "forecast/report"):
        page = client.get(f"{at}/{path}")
        assert page.status_code == 200
        assert "There are no readings yet." in page.text
        assert "Nothing of it was kept" not in page.text
        assert "aria-invalid" not in page.text
        assert '<a href="#spot">' in page.text
        assert '<select id="spot"' in page.text


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
    assert "in the order in which they add most, less what they cost" in page.text
    without = {**asked, "failure": "0"}
    page_without = settled(client, client.get(f"/structures/{walk}/care/visit", params=without))
    assert "in the order in which they turn most" in page_without.text
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
    page = client.post(f"/structures/{walk}/delivery", files=files, data={"reference": "N 17"})
    assert page.status_code == 200
    assert "Refused" in page.text
    assert "Delivery N 17" in page.text
    assert "Held against the order order.csv." in page.text
    assert client.get(f"{page.url.path}/record.pdf").content.startswith(b"%PDF")
    assert client.get(f"/structures/{walk}/delivery/{'0' * 64}").status_code == 404


def test_typed_lines_and_what_is_wrong_with_them(client, walk):
    address = f"/structures/{walk}/delivery"
    lines = "nail, 10d common x 1-1/2 in, HDG per ASTM A153, many"
    page = client.post(address, data={"lines": lines})
    assert page.status_code == 422
    assert "many" in page.text.partition('id="wrong-lines-1">')[2].partition("</p>")[0]
    assert lines in page.text
    assert re.search(r'<textarea id="lines"[^>]*aria-invalid="true"[^>]*wrong-lines-1', page.text)
    assert '<p class="wrong" id="wrong-lines-1">Line 1, quantity is ' in page.text
    named = client.post(address, data={"lines": f"kind,size,label,quantity\n{lines}"}).text
    assert '<p class="wrong" id="wrong-lines-1">Line 2, quantity is ' in named
    assert client.post(address, data={}).status_code == 422
    page = client.post(address, data={"lines": lines.replace("many", "2 x 250")})
    assert page.status_code == 200
    assert "1 line delivered" in page.text
    assert "<h1>Delivery typed lines</h1>" in page.text
    assert "Held against the parts of the structure." in page.text


LABEL_LINES = "kind,size,label,quantity,photo\nnail,10d common x 1-1/2 in,,2 x 250,label.jpg\n"


@pytest.mark.parametrize("lines", [LABEL_LINES, LABEL_LINES.partition("\n")[2]])
def test_a_label_comes_as_a_photograph_and_is_read_once(client, walk, lines):
    address = f"/structures/{walk}/delivery"
    photo = ("label.jpg", (DEMO / "label.jpg").read_bytes(), "image/jpeg")
    page = client.post(address, data={"lines": lines}, files={"photographs": photo})
    assert page.status_code == 200
    assert "Read on the photograph label.jpg" in page.text
    entry = page.url.path.rpartition("/")[2]
    (kept,) = client.app.state.store.delivery(walk, entry).content["photographs"]
    assert "ASTM A653 G185" in kept["read"]  # as anybody reads on the picture
    names = [one.name for one in client.app.state.store.attachments(walk).items]
    assert "label.jpg" in names
    assert client.get(f"{page.url.path}/record.pdf").content.startswith(b"%PDF")


@pytest.mark.parametrize("named", ["label.jpg", "/etc/hostname", "../label.jpg"])
def test_a_photograph_that_was_not_sent_is_never_looked_for(client, walk, named):
    page = client.post(
        f"/structures/{walk}/delivery", data={"lines": LABEL_LINES.replace("label.jpg", named)}
    )
    assert page.status_code == 422
    assert "was not sent with the list" in page.text
    assert client.app.state.store.deliveries(walk).total == 0


def test_what_is_no_picture_is_refused_beside_its_field(client, walk):
    broken = ("label.jpg", b"\xff\xd8\xff" + bytes(1000), "image/jpeg")
    page = client.post(
        f"/structures/{walk}/delivery", data={"lines": LABEL_LINES}, files={"photographs": broken}
    )
    assert page.status_code == 422
    assert "begins like a picture" in page.text.partition('id="wrong-photographs-1">')[2].partition("</p>")[0]


def test_a_refused_line_used_all_the_same_is_told_with_its_chances(client, walk):
    lines = "hanger, 18 ga, ASTM A653 G60, 1 x 50"
    page = client.post(f"/structures/{walk}/delivery", data={"lines": lines})
    assert f"{page.url.path}/effect" in page.text
    told = settled(client, client.get(f"{page.url.path}/effect")).text
    assert "As it came" in told
    assert "W01 joist hanger, north bay" in told
    assert "No cost is told" in told


def test_the_record_holds_what_a_refused_line_would_do_and_names_the_structure(client, walk):
    order = ("sent order.csv", b"kind,size,label,quantity\nhanger,18 ga,ASTM A653 G185,50\n", "text/csv")
    data = {"lines": "hanger, 18 ga, ASTM A653 G60, 1 x 50"}
    page = client.post(f"/structures/{walk}/delivery", data=data, files={"order": order})
    settled(client, client.get(f"{page.url.path}/effect"))
    for name, there in (("record.pdf", False), ("effect.pdf", True)):
        found = client.get(f"{page.url.path}/{name}").content
        text = " ".join(" ".join(one.extract_text() for one in PdfReader(io.BytesIO(found)).pages).split())
        assert ("If a refused line were used all the same" in text) is there
        assert "Heron Creek" in text
        assert "sent.csv" not in text
        assert "Have it exchanged for what was ordered" in text


def test_the_risk_of_a_plan_is_drawn(client, walk):
    address = f"/structures/{walk}/delivery"
    asked = {"standard": "A123", "lot": "800", "least": "75um"}
    page = client.get(address, params=asked)
    assert "lot.svg?of=mean" in page.text
    assert "What the plan risks" in page.text
    for of in ("mean", "bad"):
        picture = client.get(f"{address}/lot.svg", params={**asked, "of": of})
        assert picture.headers["content-type"].startswith("image/svg")
        assert picture.text.startswith("<svg")


def test_bare_spots_by_the_limits_of_the_standard(client, walk):
    address = f"/structures/{walk}/delivery"
    # ISO 1461 6.3: 0.5 % of 0.1 m2 are 5 cm2, of 2 m2 100 cm2, and no single spot over 10 cm2
    for area, spots, said in (
        ("0.1 m2", "6 cm2", "may not be repaired"),
        ("0.1 m2", "5 cm2", "may be repaired"),
        ("2 m2", "9 cm2\n9 cm2", "may be repaired"),
        ("2 m2", "11 cm2", "may not be repaired"),
    ):
        page = client.get(address, params={"by": "ISO 1461", "area": area, "spots": spots})
        assert f"The spots {said}" in page.text, (area, spots)
    wrong = client.get(address, params={"by": "ISO 1461", "area": "0.1", "spots": "many"})
    assert wrong.status_code == 422
    assert 'id="wrong-area-1"' in wrong.text


def test_how_many_pieces_to_measure(client, walk):
    address = f"/structures/{walk}/delivery"
    page = client.get(address, params={"standard": "A123", "lot": "800", "least": "75um"})
    assert "5 pieces" in page.text  # ASTM A123: five of a lot of 501 to 1,200
    asked = {"standard": "A123", "lot": "800", "least": "75um"}
    assert client.get(f"{address}/lot.pdf", params=asked).content.startswith(b"%PDF")
    wrong = client.get(address, params={"standard": "A123", "lot": "some", "least": "75um"})
    assert wrong.status_code == 422
    assert 'id="wrong-lot-1"' in wrong.text


def test_the_form_of_a_lot_shows_the_standard_that_was_asked(client, walk):
    """With a space, with an edition, or by its label alone; what is no standard stays as it was typed."""

    def shown(**asked: str) -> tuple[str, str]:
        page = client.get(f"/structures/{walk}/delivery", params={"lot": "100", **asked})
        return page.text, re.findall(r'<select id="standard".*?</select>', page.text, re.DOTALL)[0]

    text, select = shown(standard="ISO 1461", least="45 um")
    assert "EN ISO 1461" in text
    assert '<option value="ISO1461" selected>' in select
    assert '<option value="ISO 1461:1999" selected>' in shown(standard="ISO 1461:1999", least="45 um")[1]
    text, select = shown(label="ASTM A153 class D")
    assert '<option value="A153"' in select
    assert "selected" not in select.replace('<option value="" selected>', "")
    assert "ASTM A153/A153M" in text
    text, select = shown(standard="A777", least="45 um")
    assert '<option value="A777" selected>' in select
    assert 'id="wrong-standard-1"' in text
    assert "Choose one" in shown(least="45 um")[0]


def test_what_is_wrong_with_a_lot_or_a_visit_is_told_at_once(client, walk):
    asked = {
        "standard": "A123",
        "lot": "0",
        "least": "75um",
        "pieces": "some",
        "gauge": "good",
        "surface": "big",
    }
    page = client.get(f"/structures/{walk}/delivery", params=asked | {"readings": "1,80\n1,x"})
    assert page.status_code == 422
    for name in ("lot", "pieces", "gauge", "surface"):
        assert f'id="wrong-{name}-1"' in page.text
    assert "Line 2, column B" in page.text  # of the two that were typed, without heads
    lines = "hanger, 18 ga, G185, 5\nhanger, 18 ga, G90, some"
    page = client.post(f"/structures/{walk}/delivery", data={"lines": lines})
    assert "Line 2, quantity is" in page.text
    page = client.post(f"/structures/{walk}/delivery", data={"lines": f"kind,size,label,quantity\n{lines}"})
    assert "Line 3, quantity is" in page.text
    wrong = {"currency": "usd", "labor_per_joint": "-1", "on": "2010-01-01", "next": "3 m", "limit": "7"}
    page = client.get(f"/structures/{walk}/care/visit", params=wrong)
    assert page.status_code == 422
    for name in ("labor_per_joint", "on", "next", "limit"):
        assert f'id="wrong-{name}-1"' in page.text
    assert "Rate usd" not in page.text


def test_a_socket_that_drops_in_mid_upload_leaves_nothing_half_kept(address):
    at, _ = _sent_whole(address, "POST", "/structures/file", _upload("walk.toml", "standing_walk.toml"))
    table = _upload("readings.csv", "readings.csv")
    reading = {"joint": "W01", "part": "hanger", "face": "outer", "date": "2026-06-12"}
    entry = {**reading, "id": "a" * 8, "measured": "zinc", "reading": "1.3 mil"}
    entries = ("application/json", json.dumps({"entries": [entry]}).encode())
    for path, (kind, body) in (
        (f"{at}/care/table", table),
        (f"{at}/delivery", _upload("came.csv", "delivery.csv", "delivered")),
        (f"/api{at}/readings", entries),
    ):
        for share in (0.0, 0.5, 0.99):
            _dropped(address, path, kind, body, int(len(body) * share))
    readings = json.loads(_sent_whole(address, "GET", f"/api{at}/readings")[1])
    assert readings["total"] == 0
    assert b"Checked before" not in _sent_whole(address, "GET", f"{at}/delivery")[1]
    assert b"9 readings are kept." in _sent_whole(address, "POST", f"{at}/care/table", table)[1]
    answers = json.loads(_sent_whole(address, "POST", f"/api{at}/readings", entries)[1])["answers"]
    assert [one["state"] for one in answers] == ["kept"]


def _upload(name, source, field="file"):
    head = f'--cut\r\ncontent-disposition: form-data; name="{field}"; filename="{name}"\r\n\r\n'
    return "multipart/form-data; boundary=cut", b"".join(
        (head.encode(), (DEMO / source).read_bytes(), b"\r\n--cut--\r\n")
    )


def _sent_whole(address, method, path, sent=("", b"")):
    """Answer to a whole request: its address to go on at, and what it says there."""
    connection = http.client.HTTPConnection(address.removeprefix("http://"), timeout=60)
    with contextlib.closing(connection):
        connection.request(method, path, sent[1] or None, {"content-type": sent[0]} if sent[0] else {})
        answer = connection.getresponse()
        return answer.headers.get("location", ""), answer.read()


def _dropped(address, path, kind, body, many):
    """Say how long the body is, send a part of it, and reset the connection as a lost signal does."""
    host, port = address.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), 30) as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        head = f"POST {path} HTTP/1.1\r\nhost: {host}:{port}\r\ncontent-type: {kind}\r\n"
        line.sendall(f"{head}content-length: {len(body)}\r\n\r\n".encode() + body[:many])
        time.sleep(0.1)


def photographed(*names):
    lines = ["joint,part,face,date,measured,reading,photograph"]
    lines += [f"W01,hanger,outer,2026-06-1{i},zinc,1.{i} mil,{name}" for i, name in enumerate(names)]
    return "\n".join([*lines, ""]).encode()


def sent_together(client, walk, *files):
    return client.post(f"/structures/{walk}/care/table", files=[("file", one) for one in files])


def archive_of(**files):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("__MACOSX/._left", b"by the way")
        for name, content in files.items():
            archive.writestr(name, content)
    return packed.getvalue()


@pytest.mark.parametrize("packed", [False, True])
def test_a_table_comes_with_the_photographs_that_it_names(client, walk, packed):
    table, other = photographed("w01.png", "not_sent.png"), PIXEL + b"another"
    files = {"r.csv": table, "w01.png": PIXEL, "by_itself.png": other}
    sent = [("visit.zip", archive_of(**files))] if packed else list(files.items())
    page = sent_together(client, walk, *sent)
    assert page.status_code == 200
    assert "2 readings are kept." in page.text
    assert "Named and not sent: not_sent.png." in page.text
    store = client.app.state.store
    kept = {one.name: one for one in store.attachments(walk).items}
    assert set(kept) == set(files)
    assert kept["w01.png"].joint == "W01"
    assert {name: store.attachment(one.id).data for name, one in kept.items()} == files
    assert kept["by_itself.png"].media_type == "image/png"


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ([("w01.png", PIXEL)], "no table of readings"),
        ([("a.csv", photographed("x")), ("b.csv", photographed("y"))], "one is taken at a time"),
        ([("a.csv", photographed("x")), ("run.exe", b"MZ")], "run.exe"),
        ([("a.csv", photographed("x")), ("w.png", b"no picture")], "w.png"),
        ([("v.zip", b"PK no archive")], "no archive that can be opened"),
    ],
)
def test_files_that_are_no_table_with_its_photographs_are_refused_whole(client, walk, files, said):
    page = sent_together(client, walk, *files)
    assert page.status_code == 422
    assert said in page.text
    assert client.app.state.store.attachments(walk).total == 0


def test_no_file_chosen_is_said(client, walk):
    # as a browser sends a field of files that was left empty
    left_empty = b'--x\r\nContent-Disposition: form-data; name="file"; filename=""\r\n\r\n\r\n--x--\r\n'
    head = {"content-type": "multipart/form-data; boundary=x"}
    page = client.post(f"/structures/{walk}/care/table", content=left_empty, headers=head)
    assert page.status_code == 422
    assert "choose one first" in page.text


def test_an_empty_form_tells_everything_that_is_missing(client, walk):
    page = client.post(f"/structures/{walk}/care/reading", data={})
    assert page.status_code == 422
    for field in ("spot", "measured", "reading", "date"):
        assert f'id="wrong-{field}-1"' in page.text
