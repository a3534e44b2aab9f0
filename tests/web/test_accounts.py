"""Who gets in, how far, and what the page refuses to be without."""

from __future__ import annotations

import re
import ssl
import subprocess
import sys
from collections.abc import Iterator
from ipaddress import ip_network
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.web.conftest import HERE

from longhold.base.errors import InputError
from longhold.store import Role, Store
from longhold.web.accounts_pages import SignIn
from longhold.web.app import make_app
from longhold.web.settings import Settings

WORDS = "three green doors"
ROLES: tuple[Role, ...] = ("viewer", "editor", "owner")


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A store with one person of each role, named after it."""
    with Store.open(tmp_path / "store.db") as store:
        for role in ROLES:
            store.add_account(role, WORDS, role)
    return tmp_path / "store.db"


@pytest.fixture
def asking(kept: Path) -> Iterator[TestClient]:
    """A page that asks who it is, on loopback."""
    app = make_app(Settings(store=kept, accounts=True))
    with TestClient(app, base_url="http://127.0.0.1", client=HERE, follow_redirects=False) as client:
        yield client


def sign_in(client: TestClient, name: str, password: str = WORDS) -> str:
    """Sign in, and give the token that forms carry."""
    answer = client.post("/login", data={"name": name, "password": password})
    assert answer.status_code == 303, answer.text
    return form_token(client)


def form_token(client: TestClient) -> str:
    return re.search(r'name="form_token" value="(\w+)"', client.get("/account").text)[1]  # type: ignore[index]


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A certificate of our own making with its key."""
    folder = tmp_path_factory.mktemp("pem")
    certificate, key = folder / "c.pem", folder / "k.pem"
    subprocess.run(
        [
            *("openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes"),
            *("-days", "2", "-subj", "/CN=deck.example", "-keyout", str(key), "-out", str(certificate)),
        ],
        check=True,
        capture_output=True,
    )
    return certificate, key


def test_other_machines_are_not_let_near_without_tls(kept: Path) -> None:
    with pytest.raises(InputError, match=r"--host is '0.0.0.0'.*TLS.*--certificate"):
        make_app(Settings(host="0.0.0.0", names=("deck.example",), store=kept))


@pytest.mark.needs("openssl")
def test_nor_without_an_owner_nor_without_a_name(tmp_path: Path, kept: Path, pair: tuple[Path, Path]) -> None:
    certificate, key = pair
    safe = Settings(
        host="0.0.0.0", names=("deck.example",), store=tmp_path / "empty.db", certificate=certificate, key=key
    )
    with pytest.raises(InputError, match="longhold account add NAME --role owner"):
        make_app(safe)
    with Store.open(tmp_path / "empty.db") as store:
        store.add_account("Vera", WORDS, "editor")
    with pytest.raises(InputError, match="no account of an owner"):
        make_app(safe)
    nameless = Settings(host="0.0.0.0", store=kept, certificate=certificate, key=key)
    with pytest.raises(InputError, match="--name"):
        make_app(nameless)
    with pytest.raises(InputError, match="come together"):
        make_app(Settings(host="0.0.0.0", names=("deck.example",), store=kept, certificate=certificate))
    other = tmp_path / "other.pem"
    other.write_text("none")
    for wrong in ((certificate, certificate), (other, key), (tmp_path / "no.pem", key)):
        with pytest.raises(InputError, match="--certificate"):
            make_app(Settings(store=kept, certificate=wrong[0], key=wrong[1]))


def test_the_command_refuses_in_words(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "longhold", "serve", "--host", "0.0.0.0", "--store", str(tmp_path / "s.db")],
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, "Traceback" in done.stderr) == (2, False)
    assert "passwords would travel in the open" in done.stderr


def test_the_first_owner_is_added_by_a_command_and_no_password_is_an_argument(
    tmp_path: Path,
) -> None:
    store = ["--store", str(tmp_path / "s.db")]

    def command(*words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "longhold", "account", *words, *store],
            input=typed,
            capture_output=True,
            text=True,
            timeout=60,
        )

    short = command("add", "Ann", "--role", "owner", typed="short\n")
    assert (short.returncode, "10 to 1,000 characters" in short.stderr) == (2, True)
    added = command("add", "Ann", "--role", "owner", typed=f"{WORDS}\n")
    assert (added.returncode, added.stdout) == (0, "Ann may sign in, as owner.\n"), added.stderr
    assert "Ann" in command("list").stdout
    assert command("close", "Ann").returncode == 2  # somebody must be left who decides
    assert command("password", "ann", typed="four red windows\n").returncode == 0
    with Store.open(tmp_path / "s.db") as there:
        assert there.check_password("Ann", "four red windows") is not None


def test_nothing_is_read_without_signing_in(asking: TestClient) -> None:
    assert asking.get("/").headers["location"] == "/login"
    later = asking.get("/structures?search=deck")
    assert later.headers["location"] == "/login?then=/structures%3Fsearch%3Ddeck"
    told = asking.get("/api/structures")
    assert (told.status_code, told.headers["content-type"]) == (401, "application/problem+json")
    assert told.headers["www-authenticate"].startswith("Bearer")  # RFC 9110, 11.6.1
    assert asking.get("/api/openapi.json").status_code == 401
    assert asking.post("/structures", data={"name": "x"}).status_code == 401
    inside = asking.get("/label?words=G90", headers={"hx-request": "true"})
    assert (inside.status_code, inside.headers["hx-redirect"]) == (401, "/login?then=/label%3Fwords%3DG90")
    css = re.search(r'href="(/static/[^"]+page\.css)"', asking.get("/login").text)[1]  # type: ignore[index]
    assert asking.get(css).status_code == 200


@pytest.mark.parametrize(
    ("sent", "page", "then"),
    [
        (
            "/structures/4/care/reading",
            "http://127.0.0.1/structures/4/care?said=kept",
            "/structures/4/care?said=kept",
        ),
        ("/structures/4/care/reading", "http://127.0.0.1/structures/4/care/reading", "/structures/4/care"),
        ("/structures/4/archive", "http://elsewhere.example/structures/9", "/structures/4"),
        ("/structures/4/archive", "http://127.0.0.1//elsewhere.example", "/"),
        ("/structures/4/archive", "", "/structures/4"),
        ("/logout", "", "/"),
    ],
)
def test_a_form_sent_after_the_session_ended_says_so_and_leads_back_to_its_page(
    asking: TestClient, sent: str, page: str, then: str
) -> None:
    answer = asking.post(sent, data={"name": "typed"}, headers={"referer": page} if page else {})
    assert answer.status_code == 401
    assert "what you just sent was not saved" in answer.text
    (found,) = re.findall(r'name="then" value="([^"]*)"', answer.text)
    assert found == then
    there = asking.post("/login", data={"name": "editor", "password": WORDS, "then": found})
    assert there.headers["location"] == then


def test_a_change_of_the_script_after_the_session_ended_leads_nowhere(asking: TestClient) -> None:
    """The page stays, with what was typed in it."""
    answer = asking.post("/structures/1/edit", data={"value": "typed"}, headers={"hx-request": "true"})
    assert (answer.status_code, "hx-redirect" in answer.headers) == (401, False)


def test_a_page_learns_who_is_signed_in_by_now(asking: TestClient) -> None:
    assert asking.get("/account/token").status_code == 303
    form = sign_in(asking, "editor")
    assert asking.get("/account/token").json() == {"token": form, "name": "editor"}


def test_the_cookie_tells_no_script_and_no_other_site(asking: TestClient, kept: Path) -> None:
    """Attributes by RFC 6265 and its revision; the store keeps a hash of the token and not the token."""
    answer = asking.post("/login", data={"name": "Editor", "password": WORDS, "then": "/label"})
    cookie = answer.headers["set-cookie"]
    assert answer.headers["location"] == "/label"
    assert {"HttpOnly", "SameSite=lax", "Path=/"} <= {part.strip() for part in cookie.split(";")}
    token = cookie.partition("=")[2].partition(";")[0]
    assert len(token) >= 40
    assert token.encode() not in b"".join(one.read_bytes() for one in kept.parent.glob("store.db*"))


@pytest.mark.needs("openssl")
def test_by_tls_the_cookie_is_tied_to_this_host(kept: Path, pair: tuple[Path, Path]) -> None:
    app = make_app(Settings(store=kept, accounts=True, certificate=pair[0], key=pair[1]))
    with TestClient(app, base_url="https://127.0.0.1", client=HERE, follow_redirects=False) as client:
        answer = client.post("/login", data={"name": "owner", "password": WORDS})
        assert answer.headers["set-cookie"].startswith("__Host-longhold=")
        assert "; Secure" in answer.headers["set-cookie"]
        assert "Domain" not in answer.headers["set-cookie"]
        assert client.get("/").headers["strict-transport-security"].startswith("max-age=")


@pytest.mark.parametrize("then", ["https://evil.example", "//evil.example", "/\\evil.example", "/a\r\nx: y"])
def test_signing_in_leads_nowhere_else(asking: TestClient, then: str) -> None:
    answer = asking.post("/login", data={"name": "viewer", "password": WORDS, "then": then})
    assert answer.headers["location"] == "/"


def test_signing_out_ends_the_session_for_whoever_has_the_token(asking: TestClient) -> None:
    form = sign_in(asking, "viewer")
    token = asking.cookies["longhold"]
    assert asking.post("/logout", data={"form_token": form}).headers["location"] == "/login"
    asking.cookies.set("longhold", token)
    assert asking.get("/").headers["location"] == "/login"


def test_a_session_ends_with_its_time_its_account_or_its_password(asking: TestClient) -> None:
    import datetime

    store: Store = asking.app.state.store  # type: ignore[attr-defined]
    ids = {one.name: one.id for one in store.accounts()}
    over = store.open_session(ids["editor"], datetime.timedelta(seconds=-1))
    asking.cookies.set("longhold", over.token)
    assert asking.get("/").status_code == 303
    for ends in (
        lambda: store.set_password(ids["editor"], WORDS),
        lambda: store.close_account(ids["editor"]),
    ):
        asking.cookies.set("longhold", store.open_session(ids["editor"]).token)
        assert asking.get("/").status_code == 200
        ends()
        assert asking.get("/").status_code == 303


def _posts(client: TestClient) -> list[tuple[str, str]]:
    """Every way of the whole application to send something that is no reading."""
    return sorted(
        (method, re.sub(r"\{[^}]+\}", "1", route.path))
        for route in _routes(client.app.routes)  # type: ignore[attr-defined]
        for method in getattr(route, "methods", None) or ()
        if method not in ("GET", "HEAD", "OPTIONS")
    )


def _routes(routes: list[Any]) -> Iterator[Any]:
    for route in routes:
        inside = getattr(route, "original_router", None)
        yield from [route] if inside is None else _routes(inside.routes)


def test_a_viewer_can_send_nothing_at_all(asking: TestClient) -> None:
    form = sign_in(asking, "viewer")
    own = {"/login", "/logout", "/account/password", "/api/session"}
    posts = _posts(asking)
    assert ("POST", "/structures/1/edit") in posts
    assert len(posts) > 10
    for method, path in posts:
        if path not in own:
            answer = asking.request(method, path, headers={"x-form-token": form})
            assert answer.status_code == 403, (method, path)
            assert "role" in answer.text
    assert asking.get("/structures").status_code == 200


def test_an_editor_changes_and_does_not_decide_who_may(asking: TestClient) -> None:
    form = sign_in(asking, "editor")
    assert asking.post("/structures", data={"name": "Deck", "form_token": form}).status_code == 303
    for answer in (
        asking.get("/accounts"),
        asking.post("/accounts", data={"name": "N", "password": WORDS, "role": "owner", "form_token": form}),
        asking.post("/accounts/1", data={"role": "owner", "form_token": form}),
    ):
        assert answer.status_code == 403


def test_an_owner_decides_who_may(asking: TestClient) -> None:
    form = sign_in(asking, "owner")
    sent = {"name": "Noor", "password": WORDS, "role": "viewer", "form_token": form}
    assert asking.post("/accounts", data=sent).status_code == 303
    again = asking.post("/accounts", data=sent)
    assert (again.status_code, "already" in again.text) == (422, True)
    store: Store = asking.app.state.store  # type: ignore[attr-defined]
    ids = {one.name: one.id for one in store.accounts()}
    asking.post(f"/accounts/{ids['Noor']}", data={"role": "editor", "form_token": form})
    asking.post(f"/accounts/{ids['viewer']}", data={"close": "true", "form_token": form})
    now = {one.name: (one.role, one.closed_at is None) for one in store.accounts()}
    assert (now["Noor"], now["viewer"]) == (("editor", True), ("viewer", False))
    last = asking.post(f"/accounts/{ids['owner']}", data={"close": "true", "form_token": form})
    assert (last.status_code, "only owner" in last.text) == (422, True)


def test_everybody_changes_their_own_password_and_no_other_session_stays(asking: TestClient) -> None:
    store: Store = asking.app.state.store  # type: ignore[attr-defined]
    form = sign_in(asking, "viewer")
    other = store.open_session(1)
    sent = {"password": "not this one at all", "new_password": "four red windows", "form_token": form}
    assert asking.post("/account/password", data=sent).status_code == 422
    assert asking.post("/account/password", data={**sent, "password": WORDS}).status_code == 303
    assert (asking.get("/").status_code, store.session(other.token)) == (200, None)
    assert store.check_password("viewer", "four red windows") is not None


def test_a_form_of_a_signed_in_person_must_be_our_own(asking: TestClient) -> None:
    """Besides the origin, which old browsers do not send."""
    form = sign_in(asking, "editor")
    for wrong in ("", "0" * 64, form[:-1] + ("0" if form[-1] != "0" else "1")):
        assert asking.post("/structures", data={"name": "D", "form_token": wrong}).status_code == 403
        assert (
            asking.post("/structures", data={"name": "D"}, headers={"x-form-token": wrong}).status_code == 403
        )
    files = {"file": ("d.toml", b"name = 'd'")}
    assert asking.post("/structures/file", files=files).status_code == 403
    assert asking.post("/structures/file", files=files, data={"form_token": form}).status_code != 403
    assert asking.post("/work/x/stop", headers={"x-form-token": form}).status_code == 303
    former = form
    assert sign_in(asking, "editor") != former
    assert asking.post("/structures", data={"name": "D", "form_token": former}).status_code == 403


def test_every_form_that_sends_carries_the_token(asking: TestClient) -> None:
    form = sign_in(asking, "owner")
    made = asking.post("/structures", data={"name": "Deck", "form_token": form}).headers["location"]
    for path in ("/", "/structures", "/account", "/accounts", made, f"{made}/history"):
        page = asking.get(path).text
        forms = re.findall(r'<form[^>]*method="post"[^>]*>(.{0,200})', page, re.DOTALL)
        assert forms, path
        assert all(one.startswith(f'<input type="hidden" name="form_token" value="{form}">') for one in forms)
        assert f'"x-form-token": "{form}"' in page


def test_guesses_are_few_and_told_apart_by_address_and_name(kept: Path) -> None:
    with Store.open(kept) as store:
        tried = SignIn(store, by_address=3, by_name=5)
        for _ in range(3):
            assert (tried.wait("192.0.2.1", "owner"), tried.open("192.0.2.1", "owner", "wrong words")) == (
                0,
                None,
            )
        assert tried.wait("192.0.2.1", "owner") > 60
        assert tried.wait("192.0.2.1", "somebody else") > 60
        assert tried.wait("192.0.2.2", "owner") == 0
        assert tried.wait("192.0.2.3", " OWNER ") > 60
        right = SignIn(store, by_address=1, by_name=1)
        for _ in range(3):  # who knows the password has not guessed
            assert right.wait("192.0.2.1", "owner") == 0
            assert right.open("192.0.2.1", "owner", WORDS) is not None


def test_the_page_says_how_long_to_wait(asking: TestClient) -> None:
    asking.app.state.sign_in = SignIn(asking.app.state.store, by_address=1)  # type: ignore[attr-defined]
    assert asking.post("/login", data={"name": "owner", "password": "wrong words"}).status_code == 422
    told = asking.post("/login", data={"name": "owner", "password": WORDS})
    assert (told.status_code, "Wait" in told.text) == (429, True)
    assert int(told.headers["retry-after"]) > 60  # RFC 9110, 10.2.3: seconds


def test_a_name_that_is_not_there_is_told_apart_by_nothing(asking: TestClient) -> None:
    there, not_there = (
        asking.post("/login", data={"name": name, "password": "wrong words here"})
        for name in ("owner", "nobody")
    )
    assert there.status_code == not_there.status_code == 422
    assert there.text.replace('value="owner"', "") == not_there.text.replace('value="nobody"', "")


def test_nobody_asks_without_end(kept: Path) -> None:
    app = make_app(Settings(store=kept, accounts=True, most_requests=20))
    with TestClient(app, base_url="http://127.0.0.1", client=HERE, follow_redirects=False) as client:
        answers = [client.get("/label") for _ in range(22)]
        assert [one.status_code for one in answers] == [303] * 20 + [429] * 2
        told = client.get("/api/structures")
        assert told.json()["status"] == 429
        assert int(told.headers["retry-after"]) >= 1
        token = app.state.store.open_session(1).token
        client.cookies.set("longhold", token)
        assert client.get("/label").status_code == 200  # somebody else's requests are not mine


def _proxied(kept: Path, peer: str) -> TestClient:
    settings = Settings(store=kept, names=("deck.example",), proxy=(ip_network("192.0.2.8/32"),))
    return TestClient(
        make_app(settings),
        base_url="http://deck.example",
        client=(peer, 40_000),
        follow_redirects=False,
        headers={"x-forwarded-proto": "https", "x-forwarded-for": "198.51.100.1"},
    )


def test_only_the_declared_proxy_may_connect_and_only_by_https(kept: Path) -> None:
    with _proxied(kept, "192.0.2.8") as client:
        assert client.get("/login").status_code == 200
        assert client.get("/login", headers={"x-forwarded-proto": "http"}).status_code == 403
        assert client.get("/login", headers={"x-forwarded-proto": "https, http"}).status_code == 403
        signed = client.post("/login", data={"name": "owner", "password": WORDS})
        assert "__Host-longhold=" in signed.headers["set-cookie"]
    with _proxied(kept, "192.0.2.9") as client:
        assert client.get("/login").status_code == 403


def test_behind_the_proxy_guesses_count_for_who_really_asks(kept: Path) -> None:
    """What stands before the last entry of X-Forwarded-For the asker may have written."""
    with _proxied(kept, "192.0.2.8") as client:
        client.app.state.sign_in = SignIn(client.app.state.store, by_address=1)  # type: ignore[attr-defined]
        sent = {"name": "viewer", "password": "wrong words here"}

        def tried(forwarded: str) -> int:
            return client.post("/login", data=sent, headers={"x-forwarded-for": forwarded}).status_code

        assert [tried("198.51.100.1"), tried("198.51.100.1"), tried("198.51.100.2")] == [422, 429, 422]
        assert tried("203.0.113.77, 198.51.100.1") == 429


def test_without_a_declared_proxy_nobody_is_believed(asking: TestClient) -> None:
    asking.app.state.sign_in = SignIn(asking.app.state.store, by_address=1)  # type: ignore[attr-defined]
    sent = {"name": "viewer", "password": "wrong words here"}
    answers = [
        asking.post("/login", data=sent, headers={"x-forwarded-for": f"198.51.100.{n}"}).status_code
        for n in (1, 2)
    ]
    assert answers == [422, 429]


@pytest.mark.slow
@pytest.mark.needs("openssl")
def test_a_server_by_tls_from_the_command_line(tmp_path: Path, kept: Path, pair: tuple[Path, Path]) -> None:
    import urllib.request

    words = ["serve", "--port", "0", "--no-browser", "--accounts", "--store", str(kept)]
    words += ["--certificate", str(pair[0]), "--key", str(pair[1])]
    server = subprocess.Popen([sys.executable, "-m", "longhold", *words], stderr=subprocess.PIPE, text=True)
    try:
        assert server.stderr is not None
        found = (re.search(r"https://\S+", line) for line in server.stderr)
        address = next(one[0] for one in found if one is not None)
        trusting = ssl.create_default_context(cafile=str(pair[0]))
        trusting.check_hostname = False  # the certificate is of deck.example
        with urllib.request.urlopen(f"{address}login", context=trusting, timeout=60) as answer:
            assert answer.status == 200
            assert answer.headers["strict-transport-security"]
            assert "server" not in answer.headers
    finally:
        server.terminate()
        server.communicate(timeout=30)


def field_entry() -> dict[str, Any]:
    return {
        "id": "0b7c",
        "joint": "W01",
        "part": "hanger",
        "face": "outer",
        "date": "2026-06-12",
        "measured": "zinc",
        "reading": "1.3 mil",
    }


def kept_walk(asking: TestClient, token: str) -> int:
    with (Path(__file__).parents[2] / "demo" / "standing_walk.toml").open("rb") as file:
        answer = asking.post("/structures/file", files={"file": file}, data={"form_token": token})
    return int(answer.headers["location"].rpartition("/")[2])


def test_the_field_form_sends_as_the_person_who_is_signed_in_by_then(asking: TestClient) -> None:
    """What was entered without a signal is sent with the token of the session of that day, by nobody else."""
    walk = kept_walk(asking, sign_in(asking, "editor"))
    assert asking.get(f"/structures/{walk}/field").status_code == 200
    entries, address = {"entries": [field_entry()]}, f"/api/structures/{walk}/readings"
    bare = asking.post(address, json=entries)
    assert bare.status_code == 403, bare.text
    old = asking.get(f"/structures/{walk}/field/token").json()["token"]
    asking.cookies.clear()
    out = asking.get(f"/structures/{walk}/field/token")
    assert out.status_code in (303, 401), "the form asks to sign in, and keeps what it holds"
    assert asking.post(address, json=entries, headers={"x-form-token": old}).status_code in (303, 401, 403)
    sign_in(asking, "editor")
    assert asking.post(address, json=entries, headers={"x-form-token": old}).status_code == 403
    token = asking.get(f"/structures/{walk}/field/token").json()["token"]
    sent = asking.post(address, json=entries, headers={"x-form-token": token})
    assert [one["state"] for one in sent.json()["answers"]] == ["kept"]
    (kept,) = asking.get(address).json()["items"]
    assert kept["author"] == "editor"


def test_a_viewer_cannot_send_the_field_form(asking: TestClient) -> None:
    walk = kept_walk(asking, sign_in(asking, "editor"))
    asking.cookies.clear()
    token = sign_in(asking, "viewer")
    sent = asking.post(
        f"/api/structures/{walk}/readings",
        json={"entries": [field_entry()]},
        headers={"x-form-token": token},
    )
    assert sent.status_code == 403


def test_the_field_form_over_plain_http_under_another_name_is_refused_in_words(asking: TestClient) -> None:
    walk = kept_walk(asking, sign_in(asking, "editor"))
    plain = asking.post(
        f"http://deck.example/api/structures/{walk}/readings", json={"entries": [field_entry()]}
    )
    assert plain.status_code in (400, 403, 421)
    assert "Traceback" not in plain.text
    assert asking.get(f"http://127.0.0.1/api/structures/{walk}/readings").json()["total"] == 0
