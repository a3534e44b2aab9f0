"""Forms of accounts: what is wrong stands beside its field, and what was typed stays."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.conftest import HERE
from tests.web.test_accounts import ROLES, WORDS, sign_in

from longhold.store import Store
from longhold.web.app import make_app
from longhold.web.settings import Settings


@pytest.fixture
def asking(tmp_path: Path) -> Iterator[TestClient]:
    """A page with an owner, an editor and a viewer, each called by the role."""
    with Store.open(tmp_path / "store.db") as store:
        for role in ROLES:
            store.add_account(role, WORDS, role)
    app = make_app(Settings(store=tmp_path / "store.db", accounts=True))
    with TestClient(app, base_url="http://127.0.0.1", client=HERE, follow_redirects=False) as client:
        yield client


def _beside(page: str, field: str) -> str:
    """What is said beneath a field, to which the field points."""
    (control,) = re.findall(rf'<input id="{field}"[^>]*>', page)
    assert 'aria-invalid="true"' in control
    assert f'aria-describedby="wrong-{field}-1' in control
    (said,) = re.findall(rf'<p class="wrong" id="wrong-{field}-1">(.*?)</p>', page)
    return unescape(said)


@pytest.mark.parametrize(
    ("name", "password", "field", "said"),
    [
        ("Editor", WORDS, "name", "There is an account of this name already."),
        ("Noor", "short", "password", "Must have 10 to 1,000 characters; it has 5."),
        ("Noor", "", "password", "Must have 10 to 1,000 characters; it has 0."),
        ("", WORDS, "name", "Is empty."),
    ],
)
def test_a_wrong_account_is_told_beside_its_field_and_stays_as_typed(
    asking: TestClient, name: str, password: str, field: str, said: str
) -> None:
    form = sign_in(asking, "owner")
    sent = {"name": name, "password": password, "role": "editor", "form_token": form}
    answer = asking.post("/accounts", data=sent)
    assert answer.status_code == 422
    assert said in _beside(answer.text, field)
    assert f'<input id="name" name="name" value="{name}"' in answer.text
    assert '<option value="editor" selected>editor: reads and changes' in answer.text


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ("not this one", "four red windows", "password"),
        ("", "", "password"),
        (WORDS, "short", "new_password"),
    ],
)
def test_a_wrong_password_of_one_s_own_is_told_beside_its_field(
    asking: TestClient, old: str, new: str, field: str
) -> None:
    form = sign_in(asking, "viewer")
    sent = {"password": old, "new_password": new, "form_token": form}
    answer = asking.post("/account/password", data=sent)
    assert answer.status_code == 422
    assert _beside(answer.text, field)
    other = {"password": "new_password", "new_password": "password"}[field]
    assert f'id="wrong-{other}' not in answer.text
