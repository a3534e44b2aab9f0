"""The flow from offers to papers, asked without a browser."""

from __future__ import annotations

import io
import json
import re
from html import unescape

import openpyxl
import pytest
from httpx2 import Response
from pypdf import PdfReader
from starlette.testclient import TestClient
from tests.web.conftest import settled

HEADS = "item,kind,size,label,price,currency,pack\n"
STEEL = "N1,nail,16d common,HDG per ASTM A153,20.00,USD,250\n"
ALLOY = "N2,nail,16d common,316 stainless,75.00,USD,250\n"

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def _no_settings_of_the_user(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LONGHOLD_CONFIG", "off")


@pytest.fixture
def at(client: TestClient) -> str:
    """A structure that was begun."""
    begun = client.post("/structures", data={"name": "Deck"}, follow_redirects=False)
    return str(begun.headers["location"])


def _choose(client: TestClient, at: str, offers: str = "", **costs: str) -> Response:
    """The page of the choice from a list, or from the invented one."""
    if offers:
        kept = settled(client, client.post(f"{at}/choose/list", files={"file": ("list.csv", offers)}))
        number = kept.url.path.rpartition("/")[2]
    else:
        number = client.post(f"{at}/choose/list", data={"demo": "1"}).url.params["offers"]
    data = {"offers": number, "currency": "USD", "labor_per_joint": "45", **costs}
    return settled(client, client.post(f"{at}/choose/costs", data=data))


def _press(client: TestClient, page: Response, **said: str) -> Response:
    return settled(client, client.post(f"{page.url.path}/change", data=said))


def _bought(page: Response) -> dict[str, str]:
    """Item by part, of the first joint that has it."""
    lines = re.findall(r'<div class="part-line"><p><b>(\w+): ([\w-]+)</b>', page.text)
    return dict(reversed(lines))


def test_the_choice_is_that_of_the_command_line(client: TestClient, at: str) -> None:
    from longhold.choose.choice import choose, market_for
    from longhold.intake.load import structure_of
    from longhold.intake.offers import load_offers
    from longhold.intake.reading import parse_text
    from longhold.intake.starter_file import starter
    from longhold.model.costs import Costs

    page = _choose(client, at)
    listed = load_offers("demo/offers.csv").offers
    market = market_for(
        structure_of(parse_text(starter(), "toml")), listed, Costs(currency="USD", labor_per_joint=45.0)
    )
    packs = choose(market).purchase.packs
    order = page.text[page.text.index("Order and costs") :]
    shown = dict(re.findall(r'rowheader">([\w-]+)</th>.*?Packs: </span>(\d+) of', order))
    assert shown == {item: str(count) for item, count in packs.items()}
    for said in ("cheapest today", "cheapest over the life", "longest life", 'class="chart"'):
        assert said in page.text.casefold()


def test_an_item_out_of_stock_is_told_beside_the_choice_and_can_be_done_without(
    client: TestClient, at: str
) -> None:
    page = _choose(client, at)
    hanger = _bought(page)["hanger"]
    out = _press(client, page, out=hanger)
    assert f"Without {hanger}:" in unescape(out.text)
    assert _bought(out)["hanger"] == hanger, "the choice itself stays"
    without = _press(client, out, ban=hanger)
    assert _bought(without)["hanger"] != hanger
    assert "out of stock: what" not in without.text
    back = _press(client, without, unban=hanger)
    assert back.url == page.url, "the same question has the same address"


def test_what_is_bought_already_is_used_at_every_joint_alike(client: TestClient, at: str) -> None:
    page = _choose(client, at)
    item = _bought(page)["hanger"]
    other = next(one for one in ("HA-103", "HA-104") if one != item)
    used = _press(client, page, use=json.dumps(["J2", "hanger", other]))
    assert _bought(used)["hanger"] == other
    assert "It is used as you said." in used.text
    free = _press(client, used, free=json.dumps(["J2", "hanger", other]))
    assert free.url == page.url


def test_where_nothing_will_do_the_demands_and_the_ways_out_are_told(client: TestClient, at: str) -> None:
    page = _choose(client, at)
    locked = _press(client, page, use=json.dumps(["J2", "hanger", "HA-101"]))
    text = unescape(locked.text)
    assert "Nothing on offer will do" in text
    assert "what is locked is used" in text
    assert "Give up the lock" in text
    short = unescape(_choose(client, at, HEADS + STEEL + ALLOY).text)
    assert "No offer fits lag" in short
    assert "no lag screw is on offer" in short
    papers = unescape(settled(client, client.get(f"{locked.url.path}/papers")).text)
    assert "Nothing is bought for J2" in papers


def test_papers_come_from_the_same_result(client: TestClient, at: str) -> None:
    page = _choose(client, at)
    ready = settled(client, client.get(f"{page.url.path}/papers"))
    names = re.findall(r'/papers/([\w.]+)" download', ready.text)
    got = {name: client.get(f"{page.url.path}/papers/{name}") for name in names}
    assert {one.status_code for one in got.values()} == {200}
    assert all("attachment" in one.headers["content-disposition"] for one in got.values())
    items = set(_bought(page).values())
    for name in ("schedule.pdf", "order.pdf", "submittal.pdf", "site_card.pdf", "papers.pdf"):
        text = "".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(got[name].content)).pages)
        assert any(item in text.replace("\u200b", "") for item in items), name
    book = openpyxl.load_workbook(io.BytesIO(got["papers.xlsx"].content))
    cells = {str(cell) for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row}
    assert items <= cells
    for name in ("papers.html", "choice.html"):
        assert all(item in got[name].text for item in items)
        assert "sandbox" in got[name].headers["content-security-policy"]
    assert client.get(f"{page.url.path}/papers/x.pdf").status_code == 404


def test_papers_name_what_was_typed_beside_the_structure(client: TestClient, at: str) -> None:
    typed = {"expecting": "1", "where": "joints[1].quantity", "value": "umpteen"}
    client.post(f"{at}/edit", data=typed, follow_redirects=False)
    page = _choose(client, at)
    settled(client, client.get(f"{page.url.path}/papers"))
    for name in ("schedule.pdf", "order.pdf", "submittal.pdf", "site_card.pdf"):
        sheets = PdfReader(io.BytesIO(client.get(f"{page.url.path}/papers/{name}").content)).pages
        assert "umpteen" in sheets[0].extract_text(), name
    for name in ("papers.html", "choice.html"):
        assert "umpteen" in client.get(f"{page.url.path}/papers/{name}").text, name


def test_two_currencies_need_a_rate_and_what_was_typed_stays(client: TestClient, at: str) -> None:
    euro = ALLOY.replace("USD", "EUR").replace("N2", "N3")
    page = _choose(client, at, HEADS + STEEL + euro, note="by phone")
    assert page.status_code == 422
    assert "EUR for one USD" in page.text
    assert 'id="wrong-rate_EUR-1"' in page.text
    assert ">by phone</textarea>" in page.text
    told = _choose(client, at, HEADS + STEEL + euro, rate_EUR="0.92")
    assert told.status_code == 200


def test_changed_costs_keep_what_was_said_and_come_back(client: TestClient, at: str) -> None:
    page = _choose(client, at)
    banned = _press(client, page, ban=_bought(page)["hanger"])
    key = banned.url.path.rpartition("/")[2]
    form = client.get(f"{at}/choose/costs", params={"offers": "1", "of": key}).text
    assert 'name="labor_per_joint" value="45"' in form
    changed = _choose(client, at, labor_per_joint="90", of=key)
    assert "What you said" in changed.text
    assert "To that choice" in client.get(f"{at}/choose").text
    listed = settled(client, client.post(f"{at}/choose/list", files={"file": ("l.csv", HEADS + STEEL)}))
    number = listed.url.path.rpartition("/")[2]
    real = client.get(f"{at}/choose/costs", params={"offers": number}).text
    assert "invented" not in real, "costs that go with the invented list stay with it"


def test_a_structure_that_was_changed_since_is_told(client: TestClient, at: str) -> None:
    page = _choose(client, at)
    client.post(f"{at}/edit", data={"expecting": "1", "where": "note", "value": "x"})
    again = client.get(page.url.path)
    assert "Choose for version 2" in again.text
    assert "version 2 of the structure" in _press(client, again, renew="1").text


def test_a_structure_that_cannot_be_used_is_put_right_first(client: TestClient, at: str) -> None:
    client.post(f"{at}/choose/list", data={"demo": "1"})
    client.post(f"{at}/edit", data={"expecting": "1", "add": "joints", "empty": "yes"})
    answer = client.get(f"{at}/choose/costs?offers=1", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, at)


@pytest.mark.parametrize(
    "said",
    [
        {"use": "nonsense"},
        {"use": '["J2"]'},
        {"use": '["J2", "hanger", 3]'},
        {"use": '["J9", "hanger", "HA-101"]'},
        {"use": '["J2", "hanger", "<script>"]'},
        {"ban": "no such item"},
        {"out": "no such item"},
    ],
)
def test_a_button_that_says_what_is_not_there_is_refused(
    client: TestClient, at: str, said: dict[str, str]
) -> None:
    page = _choose(client, at)
    answer = client.post(f"{page.url.path}/change", data=said)
    assert answer.status_code == 422
    assert '<script>"' not in answer.text


def test_a_choice_can_be_stopped(client: TestClient, at: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from longhold.web import asked

    monkeypatch.setattr(asked, "PATIENCE_S", 0.0)
    number = client.post(f"{at}/choose/list", data={"demo": "1"}).url.params["offers"]
    data = {"offers": number, "currency": "USD", "labor_per_joint": "46"}
    working = client.post(f"{at}/choose/costs", data=data)
    form = re.search(
        r'action="(/work/\w+/stop)"><input type="hidden" name="back" value="([^"]+)"', working.text
    )
    assert form is not None
    back = client.post(form[1], data={"back": unescape(form[2])})
    assert "What does work cost?" in back.text
    assert 'name="labor_per_joint" value="46"' in back.text, "what was typed stays"
