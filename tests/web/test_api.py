"""The interface for programs: the same answers as the commands, refusals as problem details."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from starlette.testclient import TestClient
from tests.web.conftest import HERE

from longhold.base.errors import InputError, Problem
from longhold.intake.reading import parse_text
from longhold.intake.starter_file import starter
from longhold.store import Store
from longhold.web.jobs import JobRunner

DECK: dict[str, Any] = json.loads(json.dumps(parse_text(starter(), "toml"), default=str))


def command(*words: str, folder: Path) -> Any:
    """What a command of longhold prints as JSON."""
    done = subprocess.run(
        [sys.executable, "-m", "longhold", *words], capture_output=True, text=True, cwd=folder, timeout=300
    )
    assert done.returncode in (0, 1), done.stderr
    return json.loads(done.stdout)


def is_problem(answer: Any, status: int) -> dict[str, Any]:
    """Problem details by RFC 9457: media type, and the members of section 3.1."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    told: dict[str, Any] = answer.json()
    assert told["status"] == status
    assert told["title"]
    assert told["detail"]
    return told


def until_over(client: TestClient, number: int, seconds: float = 240.0) -> dict[str, Any]:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        told: dict[str, Any] = client.get(f"/api/jobs/{number}").json()
        if told["state"] not in ("queued", "running"):
            return told
        time.sleep(0.05)
    raise AssertionError(f"job {number} is not over")


def test_a_label_is_told_as_by_the_command(client: TestClient, tmp_path: Path) -> None:
    words = "hanger G185 with 10d nails A153 D"
    told = client.get("/api/label", params={"text": words})
    assert told.json() == command("label", words, "--json", folder=tmp_path)
    is_problem(client.get("/api/label"), 422)
    is_problem(client.get("/api/label", params={"text": "a" * 2001}), 422)


def test_packs_are_told_as_by_the_command(client: TestClient, tmp_path: Path) -> None:
    packs = client.get("/api/codes", params={"limit": 500}).json()["items"]
    assert packs == command("codes", "list", "--json", folder=tmp_path)
    one = client.get("/api/codes/us_irc").json()
    assert one == command("codes", "list", "us_irc", "--json", folder=tmp_path)
    is_problem(client.get("/api/codes/..%2Fus_irc"), 404)


def test_lists_come_in_pages_that_join_to_the_whole(client: TestClient) -> None:
    names = client.get("/api/vocabulary").json()["items"]
    assert {"species", "part-kinds"} <= set(names)
    for address in ("/api/codes", "/api/places", *(f"/api/vocabulary/{name}" for name in names)):
        whole = client.get(address, params={"limit": 500}).json()
        joined, offset = [], 0
        while offset is not None:
            page = client.get(address, params={"limit": 3, "offset": offset}).json()
            joined += page["items"]
            offset = page["next_offset"]
        assert joined == whole["items"]
        assert len(joined) == whole["total"] > 2
    for wrong in ({"limit": 0}, {"limit": 501}, {"offset": -1}, {"offset": 2**70}):
        is_problem(client.get("/api/codes", params=wrong), 422)


def test_the_schema_of_a_structure_is_that_of_the_command(client: TestClient) -> None:
    schema = client.get("/api/structure-schema").json()
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(DECK)


def test_a_structure_is_kept_changed_renamed_restored_and_archived(client: TestClient) -> None:
    made = client.post("/api/structures", json={"name": "Deck", "content": DECK, "note": "first"})
    assert made.status_code == 201
    address = made.headers["location"]
    assert client.get(address).json() == made.json()
    assert (made.json()["number"], made.json()["content"]) == (1, DECK)
    other = {**DECK, "name": "Deck, changed"}
    second = client.put(address, json={"content": other, "expecting": 1}).json()
    assert (second["number"], second["parent"], second["content"]) == (2, 1, other)
    third = client.post(f"{address}/restore", json={"version": 1, "expecting": 2}).json()
    assert (third["number"], third["restored_from"], third["content"]) == (3, 1, DECK)
    versions = client.get(f"{address}/versions", params={"limit": 2}).json()
    assert ([one["number"] for one in versions["items"]], versions["next_offset"]) == ([3, 2], 2)
    assert client.get(f"{address}/versions/2").json() == second
    assert client.patch(address, json={"name": "Walk"}).json()["name"] == "Walk"
    assert client.delete(address).json()["archived_at"]
    assert client.get("/api/structures").json()["items"] == []
    assert client.get("/api/structures", params={"archived": True}).json()["total"] == 1
    is_problem(client.put(address, json={"content": DECK, "expecting": 3}), 422)
    assert client.post(f"{address}/unarchive").json()["archived_at"] is None


def test_who_saved_meanwhile_is_told_and_loses_nothing(client: TestClient) -> None:
    address = client.post("/api/structures", json={"name": "Deck", "content": DECK}).headers["location"]
    client.put(address, json={"content": {"name": "Ann's"}, "expecting": 1})
    told = is_problem(client.put(address, json={"content": {"name": "Ben's"}, "expecting": 1}), 409)
    assert (told["expecting"], told["newest"]) == (1, 2)
    assert client.get(address).json()["content"] == {"name": "Ann's"}
    is_problem(client.post(f"{address}/restore", json={"version": 1, "expecting": 1}), 409)
    taken = is_problem(client.post("/api/structures", json={"name": "deck", "content": {}}), 409)
    assert taken["title"] == "Not the newest version"


@pytest.mark.parametrize(
    ("method", "path", "sent"),
    [
        ("POST", "/api/structures", b"{"),
        ("POST", "/api/structures", b"[1]"),
        ("POST", "/api/structures", b'{"name": "D"}'),
        ("POST", "/api/structures", b'{"name": "", "content": {}}'),
        ("POST", "/api/structures", b'{"name": "D", "content": {}, "more": 1}'),
        ("POST", "/api/structures", b'{"name": "D", "content": {"x": NaN}}'),
        ("POST", "/api/structures", b'{"name": "D\\u0000", "content": {}}'),
        ("POST", "/api/structures", b'{"name": "D", "content": {"x": "\\ud800"}}'),
        ("POST", "/api/structures", b'{"name": "D", "content": ' + b'{"x":' * 900 + b"1" + b"}" * 901),
        ("POST", "/api/assessments", b'{"structure": {}}'),
        ("POST", "/api/assessments", b'{"structure": {"code": {"pack": "/etc/passwd.toml"}}}'),
        ("POST", "/api/assessments/joint", b'{"at": "nowhere", "parts": []}'),
        ("POST", "/api/assessments/joint", b'{"at": "nowhere", "parts": [{"kind": "nail", "label": "HDG"}]}'),
    ],
)
def test_what_cannot_be_used_is_said_where_it_stands(
    client: TestClient, method: str, path: str, sent: bytes
) -> None:
    answer = client.request(method, path, content=sent, headers={"content-type": "application/json"})
    told = is_problem(answer, 422)
    assert told["problems"]
    assert all(one["said"] for one in told["problems"])


@pytest.mark.parametrize(
    ("sent", "where", "said"),
    [
        (b'{"name": 3, "content": {}}', "name", "must be text"),
        (b'{"name": "D", "content": []}', "content", "must be an object"),
        (b'{"name": "", "content": {}}', "name", "must have 1 characters or more"),
        (b"[]", "", "the body must be an object"),
        (b'{"name": "D",', "", "the body is not JSON: the fault is at character 13"),
    ],
)
def test_what_is_wrong_with_a_body_is_said_in_words(
    client: TestClient, sent: bytes, where: str, said: str
) -> None:
    headers = {"content-type": "application/json"}
    told = is_problem(client.post("/api/structures", content=sent, headers=headers), 422)
    assert any(one["where"] == where and said in one["said"] for one in told["problems"]), told


@pytest.mark.parametrize(
    ("headers", "said"),
    [
        ({"content-type": "text/plain"}, "content-type: application/json"),
        ({"content-type": "application/x-www-form-urlencoded"}, "content-type: application/json"),
        ({"content-type": "application/json", "content-encoding": "gzip"}, "without content-encoding"),
    ],
)
def test_a_body_of_another_kind_or_coding_is_not_taken(
    client: TestClient, headers: dict[str, str], said: str
) -> None:
    answer = client.post("/api/structures", content=b"\x1f\x8bname=D", headers=headers)
    assert said in is_problem(answer, 415)["detail"]


def test_bytes_that_are_no_text_are_refused_in_words(client: TestClient) -> None:
    headers = {"content-type": "application/json"}
    told = is_problem(client.post("/api/structures", content=b'{"name": "\xff"}', headers=headers), 400)
    assert told["detail"] == "The body is not JSON in UTF-8."


def test_a_limit_is_told_where_a_number_is_beyond_it(client: TestClient) -> None:
    (one,) = is_problem(client.get("/api/structures?limit=0"), 422)["problems"]
    assert one == {"where": "limit", "said": "limit is '0': must be 1 or more."}


def test_numbers_that_nothing_has_are_refused(client: TestClient) -> None:
    for path in (
        "/api/structures/1",
        "/api/structures/1/versions",
        "/api/jobs/7",
        "/api/nowhere",
        "/api/codes/x",
    ):
        is_problem(client.get(path), 404)
    is_problem(client.get(f"/api/structures/{2**70}"), 422)
    answer = client.put("/api/structures")
    is_problem(answer, 405)
    assert answer.headers["allow"] == "GET, POST"  # RFC 9110, 15.5.6


@pytest.mark.slow
def test_an_assessment_is_a_job_whose_result_is_the_document_of_the_command(
    client: TestClient, tmp_path: Path
) -> None:
    asked = client.post("/api/assessments", json={"structure": DECK, "draws": 300})
    assert asked.status_code == 202
    same = client.post("/api/assessments", json={"structure": DECK, "draws": 300}).json()
    assert same["id"] == asked.json()["id"] or same["state"] == "queued"
    over = until_over(client, asked.json()["id"])
    assert (over["state"], over["progress"]) == ("done", 1.0), over
    (tmp_path / "deck.json").write_text(json.dumps(DECK))
    by_command = command("assess", "deck.json", "--json", "--draws", "300", folder=tmp_path)
    assert client.get(f"{asked.headers['location']}/result").json() == by_command
    joint = {
        "at": "33.97 -77.92",
        "parts": [{"kind": "nail", "size": "10d common", "label": "HDG per ASTM A153"}],
    }
    one = client.post("/api/assessments/joint", json=joint)
    assert until_over(client, one.json()["id"])["state"] == "done"
    document = client.get(f"{one.headers['location']}/result").json()
    assert (document["kind"], len(document["findings"])) == ("longhold assessment", 1)


def _runner(client: TestClient, compute: Callable[..., Any]) -> JobRunner:
    """A runner of the page's store for jobs that take no time."""
    runner = JobRunner(client.app.state.store, {"test": compute})  # type: ignore[attr-defined]
    runner.start()
    return runner


def test_a_job_is_called_off_at_its_next_step(client: TestClient) -> None:
    store: Store = client.app.state.store  # type: ignore[attr-defined]
    begun, stopped = threading.Event(), threading.Event()

    def long(_: Any, step: Callable[[int, int], None]) -> dict[str, Any]:
        try:
            for number in range(1000):
                step(number, 1000)
                begun.set()
                time.sleep(0.02)
        finally:
            stopped.set()
        return {}

    job = store.queue_job("test", {})
    runner = _runner(client, long)
    assert begun.wait(5)
    assert is_problem(client.get(f"/api/jobs/{job.id}/result"), 409)["title"] == "Not done yet"
    assert is_problem(client.post(f"/api/jobs/{job.id}/again"), 409)["title"] == "Not to be queued again"
    assert client.post(f"/api/jobs/{job.id}/cancel").json()["state"] == "canceled"
    assert stopped.wait(5)
    assert client.get(f"/api/jobs/{job.id}").json()["state"] == "canceled"
    runner.close()


def test_a_server_that_is_stopped_lets_go_of_its_job_which_can_be_queued_again(client: TestClient) -> None:
    store: Store = client.app.state.store  # type: ignore[attr-defined]
    begun = threading.Event()

    def long(_: Any, step: Callable[[int, int], None]) -> dict[str, Any]:
        while True:
            begun.set()
            step(0, 1)
            time.sleep(0.02)

    job = store.queue_job("test", {})
    runner = _runner(client, long)
    assert begun.wait(5)
    runner.close()
    told = client.get(f"/api/jobs/{job.id}").json()
    assert (told["state"], told["fault"]) == ("interrupted", "The program was stopped while it ran.")
    assert client.post(f"/api/jobs/{job.id}/again").json()["state"] == "queued"
    runner = _runner(client, lambda *_: {"whole": True})
    assert until_over(client, job.id)["state"] == "done"
    assert client.get(f"/api/jobs/{job.id}/result").json() == {"whole": True}
    runner.close()


def test_a_job_that_fails_says_why_and_a_fault_of_our_own_only_where_to_ask(
    client: TestClient, caplog: pytest.LogCaptureFixture
) -> None:
    store: Store = client.app.state.store  # type: ignore[attr-defined]
    faults = {"input": InputError(Problem("joints", 1, "are too few.")), "own": RuntimeError("Ada Lovelace")}

    def failing(inputs: Any, _: object) -> dict[str, Any]:
        raise faults[inputs["which"]]

    jobs = {which: store.queue_job("test", {"which": which}) for which in faults}
    runner = _runner(client, failing)
    said = {which: until_over(client, job.id)["fault"] for which, job in jobs.items()}
    runner.close()
    assert said["input"] == "joints is 1: are too few."
    assert "reference" in said["own"]
    assert "RuntimeError" in caplog.text
    assert "Lovelace" not in caplog.text + said["own"]


@pytest.mark.slow
def test_a_job_of_a_server_that_was_killed_is_found_interrupted(tmp_path: Path) -> None:
    script = (
        "import sys, time\nfrom longhold.store import Store\n"
        "store = Store.open(sys.argv[1])\nstore.queue_job('test', {})\nstore.claim_job()\n"
        "print('claimed', flush=True)\ntime.sleep(100)\n"
    )
    place = tmp_path / "store.db"
    server = subprocess.Popen([sys.executable, "-c", script, str(place)], stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    assert server.stdout.readline() == "claimed\n"
    server.send_signal(signal.SIGKILL)
    server.communicate()
    from longhold.web.app import make_app
    from longhold.web.settings import Settings

    with TestClient(make_app(Settings(store=place)), base_url="http://127.0.0.1", client=HERE) as client:
        told = client.get("/api/jobs", params={"state": "interrupted"}).json()
        assert [one["kind"] for one in told["items"]] == ["test"]


def test_what_is_saved_by_a_program_stands_under_the_name_of_who_signed_in(tmp_path: Path) -> None:
    from longhold.web.app import make_app
    from longhold.web.settings import Settings

    with Store.open(tmp_path / "store.db") as store:
        store.add_account("Ann", "three green doors", "owner")
        store.add_account("Vera", "three green doors", "viewer")
    app = make_app(Settings(store=tmp_path / "store.db", accounts=True))
    with TestClient(app, base_url="http://127.0.0.1", client=HERE) as client:
        is_problem(client.post("/api/session", json={"name": "Ann", "password": "wrong words"}), 401)
        tokens = {}
        for name in ("Ann", "Vera"):
            opened = client.post("/api/session", json={"name": name, "password": "three green doors"})
            assert opened.status_code == 201
            tokens[name] = {"authorization": f"Bearer {opened.json()['token']}"}
        sent = {"name": "Deck", "content": DECK}
        made = client.post("/api/structures", json=sent, headers=tokens["Ann"])
        assert made.json()["author"] == "Ann"
        is_problem(client.post("/api/structures", json=sent, headers=tokens["Vera"]), 403)
        is_problem(client.post("/api/assessments", json={"structure": DECK}, headers=tokens["Vera"]), 403)
        assert client.get("/api/structures", headers=tokens["Vera"]).json()["total"] == 1
        assert client.get("/api/session", headers=tokens["Vera"]).json() == {"name": "Vera", "role": "viewer"}
        assert client.delete("/api/session", headers=tokens["Vera"]).status_code == 204
        is_problem(client.get("/api/structures", headers=tokens["Vera"]), 401)
        document = client.get("/api/openapi.json", headers=tokens["Ann"]).json()
        assert document["components"]["securitySchemes"]["session"]["scheme"] == "bearer"


def test_the_page_of_operations_lists_them_all_and_needs_nothing_from_outside(client: TestClient) -> None:
    page = client.get("/api/docs").text
    document = client.get("/api/openapi.json").json()
    assert document["openapi"].startswith("3.1")
    for path, methods in document["paths"].items():
        for method in methods:
            assert f"<code>{method.upper()} {path}</code>" in page
    assert "https://" not in page.replace("https://www.w3.org", "")


def test_what_waits_beside_a_structure_is_told_with_it_and_with_its_assessment(client: TestClient) -> None:
    number = client.post("/api/structures", json={"name": "deck", "content": DECK}).json()["structure_id"]
    at = f"/api/structures/{number}"
    typed = {"expecting": "1", "where": "joints[1].quantity", "value": "umpteen"}
    client.post(f"/structures/{number}/edit", data=typed, follow_redirects=False)
    told = client.get(at).json()["left_out"]
    assert told.startswith("Left out until put right: ")
    assert "umpteen" in told
    assert client.get(f"{at}/versions/1").json()["left_out"] == told
    job = client.post(f"{at}/assessments", json={"draws": 200}).json()
    assert job["left_out"] == told
    client.put(at, json={"content": DECK | {"note": "anew"}, "expecting": 1})
    assert client.get(f"{at}/versions/1").json()["left_out"] == ""
    assert "umpteen" in client.get(at).json()["left_out"]
