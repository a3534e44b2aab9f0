"""Files, names and paths that were made to harm, sent the way a browser sends them."""

from __future__ import annotations

import gzip
import io
import json
import re
import time
import tracemalloc
import zipfile
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from longhold.base.files import MOST_BYTES

INJECTED = (
    "{{ 7*7 }}{% for x in ().__class__.__base__.__subclasses__() %}x{% endfor %}${7*7}<b onclick=a()>'\""
)


def begun(client: TestClient, name: str = "Deck") -> str:
    """Address of a new structure."""
    answer = client.post("/structures", data={"name": name}, follow_redirects=False)
    assert answer.status_code == 303
    return str(answer.headers["location"])


def sent(client: TestClient, name: str, content: bytes) -> Any:
    return client.post("/structures/file", files={"file": (name, content)}, follow_redirects=False)


def repacked(client: TestClient, **changed: bytes) -> bytes:
    """A good workbook with some of its parts put in place of its own."""
    good = client.get(f"{begun(client)}/file.xlsx").content
    packed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(good)) as old,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            new.writestr(name, changed.pop(name, None) or old.read(name))
        for name, content in changed.items():
            new.writestr(name, content)
    return packed.getvalue()


def test_the_workbook_that_these_are_made_of_is_taken_in(client: TestClient) -> None:
    assert sent(client, "deck.xlsx", repacked(client)).status_code == 303


def test_a_small_file_that_unpacks_to_a_huge_one_is_refused_without_unpacking(client: TestClient) -> None:
    bomb = repacked(client, **{"xl/worksheets/sheet1.xml": b" " * 600_000_000})
    assert len(bomb) < 1_000_000
    sent(client, "deck.xlsx", repacked(client))  # what is loaded once is no part of it
    tracemalloc.start()
    begin = time.perf_counter()
    answer = sent(client, "bomb.xlsx", bomb)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert answer.status_code == 422
    assert "unpacks to" in answer.text
    assert peak < MOST_BYTES + 10_000_000  # reading any file sets aside as much as may be read
    assert time.perf_counter() - begin < 30.0


def test_a_file_that_lies_about_its_size_is_refused(client: TestClient) -> None:
    """The size in the directory says 4 bytes; what is read stops there, and its checksum is then wrong."""
    bomb = bytearray(repacked(client, **{"xl/worksheets/sheet1.xml": b" " * 3_000_000}))
    size, said = (3_000_000).to_bytes(4, "little"), (4).to_bytes(4, "little")
    assert bomb.count(size) >= 2
    lying = bytes(bomb).replace(size, said)
    answer = sent(client, "lying.xlsx", lying)
    assert (answer.status_code, "lying.xlsx" in answer.text) == (422, True)


LAUGHS = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))


@pytest.mark.parametrize(
    "head",
    [
        f'<!DOCTYPE a [<!ENTITY l0 "ha">{LAUGHS}]>'.encode(),
        b'<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]>',
        b'<!DOCTYPE a [<!ENTITY % x SYSTEM "http://127.0.0.1:9/x.dtd"> %x;]>',
    ],
)
@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/sharedStrings.xml", "[Content_Types].xml"])
def test_entities_of_xml_are_never_followed(client: TestClient, part: str, head: bytes) -> None:
    body = (
        head
        + b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>&l9;&x;</t></si></sst>'
    )
    begin = time.perf_counter()
    answer = sent(client, "deck.xlsx", repacked(client, **{part: b'<?xml version="1.0"?>' + body}))
    assert answer.status_code == 422
    assert "root:" not in answer.text
    assert time.perf_counter() - begin < 10.0


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("deep.json", b'{"a":' * 100_000),
        ("deep.json", b"[" * 100_000 + b"]" * 100_000),
        ("deep.toml", b"a = " + b"[" * 100_000),
        ("deep.toml", b"a" + b".a" * 50_000 + b" = 1"),
        ("number.json", b'{"design_life": ' + b"9" * 1_000_000 + b"}"),
        ("half.json", b'{"name": "\\ud800", "x": "\xff"}'),
        ("zero.toml", b"name = '\0'"),
        ("model.ifc", b"ISO-10303-21;" + b"(" * 100_000),
        ("empty.xlsx", b""),
        ("half.xlsx", b"PK\x03\x04" + b"\0" * 100),
        ("page.html", b"<script>"),
    ],
)
def test_a_file_that_is_none_is_refused_in_words(client: TestClient, name: str, content: bytes) -> None:
    answer = sent(client, name, content)
    assert answer.status_code == 422, answer.text
    assert "was not taken in" in answer.text


def test_what_is_packed_is_not_unpacked_for_the_asker(client: TestClient) -> None:
    packed = gzip.compress(b'{"name": "D", "content": {}}' + b" " * 50_000_000)
    headers = {"content-type": "application/json", "content-encoding": "gzip"}
    assert client.post("/api/structures", content=packed, headers=headers).status_code in (400, 415, 422)


def test_a_form_of_too_many_fields_is_refused(client: TestClient) -> None:
    many = {f"f{n}": "x" for n in range(5000)}
    files = {"file": ("a.toml", b"")}
    assert client.post("/structures/file", data=many, files=files).status_code == 400


@pytest.mark.parametrize(
    "name", ["../../../tmp/evil.toml", "..\\..\\evil.toml", "/etc/cron.d/evil.toml", "a\0b.toml"]
)
def test_the_name_of_a_file_leads_nowhere(client: TestClient, tmp_path: Path, name: str) -> None:
    good = client.get(f"{begun(client)}/file.toml").content
    before = {one for one in tmp_path.rglob("*") if "store.db" not in one.name}
    answer = sent(client, name, good)
    assert answer.status_code in (303, 422)
    assert {one for one in tmp_path.rglob("*") if "store.db" not in one.name} == before
    assert not Path("/tmp/evil.toml").exists()
    assert not Path("/etc/cron.d/evil.toml").exists()


def test_files_of_the_server_that_a_structure_names_are_not_read(client: TestClient, tmp_path: Path) -> None:
    secret = tmp_path / "secret.toml"
    secret.write_text('id = "leaked words"\n')
    content: dict[str, Any] = json.loads(client.get(f"{begun(client)}/file.json").content)
    changes = (
        {"code": {**content["code"], "pack": str(secret)}},
        {"code": {**content["code"], "pack": "../secret.toml"}},
        {"site": {**content["site"], "weather": {"file": str(secret)}}},
        {"site": {**content["site"], "weather": "/etc/passwd"}},
    )
    for number, change in enumerate(changes):
        refused = client.post("/api/assessments", json={"structure": {**content, **change}})
        assert refused.status_code == 422
        kept = {"name": f"Deck {number}", "content": {**content, **change}}
        made = client.post("/api/structures", json=kept)
        assert made.status_code == 201, made.text
        address = made.headers["location"]
        page = client.get(address.removeprefix("/api"))
        for answer in (refused, page, client.get(f"{address.removeprefix('/api')}/answer")):
            assert answer.status_code < 500
            assert "leaked" not in answer.text
            assert "root:" not in answer.text


@pytest.mark.parametrize(
    "rest", ["file.toml%2F..%2F..", "file/../../etc/passwd", "file.py", "file.", "file.xlsx%00"]
)
def test_files_out_are_those_of_the_structure_alone(client: TestClient, rest: str) -> None:
    assert client.get(f"{begun(client)}/{rest}").status_code in (404, 422)


def test_words_are_shown_as_words_wherever_they_were_typed(client: TestClient) -> None:
    """None is computed by a template, and none becomes a tag of the page."""
    address = begun(client, INJECTED)
    where = {"where": "site.name", "value": INJECTED, "expecting": "1"}
    client.post(f"{address}/edit", data=where)
    pages = [
        client.get("/label", params={"text": INJECTED}),
        client.get(
            "/joint", params={"at": INJECTED, "label": INJECTED, "species": INJECTED, "kind": INJECTED}
        ),
        client.get("/structures", params={"search": INJECTED}),
        client.get("/structures"),
        client.get(address),
        client.get(f"{address}/history"),
        client.get("/login", params={"then": INJECTED}),
        client.get(f"/{INJECTED}"),
    ]
    for page in pages:
        assert page.status_code < 500
        assert "<b onclick" not in page.text
        assert not re.search(r"(?<![\d.])49(?![\d.])", re.sub(r"/static/\w+|\d+ kept", "", page.text))
    assert "{{ 7*7 }}" in pages[4].text


def test_a_name_adds_no_header(client: TestClient) -> None:
    address = begun(client)
    content = json.loads(client.get(f"{address}/file.json").content)
    made = client.post("/api/structures", json={"name": 'D"; x=y', "content": content}).headers["location"]
    head = client.get(f"{made.removeprefix('/api')}/file.toml").headers
    assert head["content-disposition"] == "attachment; filename*=UTF-8''D%22%3B%20x%3Dy.toml"


def test_numbers_beyond_every_row_are_not_there(client: TestClient) -> None:
    for path in (
        "/structures/{}",
        "/structures/{}/history",
        "/structures/{}/answer",
        "/structures/{}/file.toml",
    ):
        assert client.get(path.format(10**30)).status_code in (404, 422), path
    assert client.get("/structures", params={"offset": 10**30}).status_code in (200, 404, 422)


def test_nothing_of_a_person_is_logged(client: TestClient, caplog: pytest.LogCaptureFixture) -> None:
    client.post("/login", data={"name": "Ada Lovelace", "password": "three green doors"})
    sent(client, "Lovelace.toml", b"name = 'Ada Lovelace'\nx")
    client.get("/label", params={"text": "Lovelace"})
    client.get("/Lovelace")
    client.post("/api/structures", content=b'{"name": "Lovelace"')
    assert "Lovelace" not in caplog.text
    assert "green" not in caplog.text
