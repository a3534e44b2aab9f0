"""What the page says can be done on the page: no option of the command, no command to type."""

from __future__ import annotations

import io
import re
from html import unescape
from typing import TYPE_CHECKING

import openpyxl
import pytest
from starlette.testclient import TestClient
from tests.web.conftest import kept, settled

if TYPE_CHECKING:
    from playwright.sync_api import Page

HEADS = "item,kind,size,label,price,currency,pack\n"
GOOD = "A1,nail,16d common,HDG per ASTM A153,20.00,USD,250\n"
WRONG_LISTS = {
    "a kind that is unknown": f"{HEADS}{GOOD}B1,wobble,16d common,HDG per ASTM A153,3,USD,250\n",
    "no kind that is known": f"{HEADS}B1,wobble,16d common,HDG per ASTM A153,3,USD,250\n",
    "no currency": "item,kind,size,label,price\nB1,nail,16d common,HDG per ASTM A153,3\n",
    "some without currency": f"{HEADS}{GOOD}B1,nail,16d common,HDG per ASTM A153,3,,250\n",
    "a sign of several": f"{HEADS}{GOOD}B1,nail,16d common,HDG per ASTM A153,$ 3,,250\n",
    "heads of nobody": "a,b,c,d,e,f\n1,2,3,4,5,6\n",
    "one head twice": "item,kind,kind,size,label,price,currency\nA1,nail,nail,16d common,G90,3,USD\n",
    "one column": "item\nA1\n",
    "a price of two readings": f'{HEADS}{GOOD}B1,nail,16d common,HDG per ASTM A153,"1.234",USD,250\n',
    "two decimal signs": (
        f'{HEADS}B0,nail,16d common,HDG per ASTM A153,1.50,USD,1\nB1,nail,16d common,G90,"1.234,50",USD,1\n'
    ),
    "no unit": "item,kind,size,label,price,currency\nB1,wood_screw,4.2 x 60,G90,3,USD\n",
    "dates of two readings": (
        "item,kind,size,label,price,currency,price_date\nB1,nail,16d common,G90,3,USD,2/3/2026\n"
    ),
    "nothing below": HEADS,
}
WRONG_DELIVERIES = {
    "no column that is needed": "what,how many\nnail,3\n",
    "no label": "kind,size,quantity\nnail,16d common,3\n",
    "two quantities": "kind,label,quantity ordered,quantity delivered\nnail,G90,3,3\n",
    "one head twice": "kind,label,quantity,quantity\nnail,G90,3,3\n",
    "a quantity that is none": "kind,size,label,quantity\nnail,16d common,G90,some\n",
    "one line twice": "kind,size,label,quantity\nnail,16d common,G90,3\nnail,16d common,G90,3\n",
}
WRONG_LOTS = [
    "lot=0&standard=A153&label=G90",
    "lot=500",
    "lot=500&standard=zzz&least=45 um",
    "lot=500&standard=A153",
    "lot=500&standard=A153&label=ASTM A153 class D&least=45 um",
    "lot=500&standard=A153&least=305 g/m2",
    "lot=500&standard=A123&least=44 um",
    "lot=500&standard=A153&label=316 stainless",
    "lot=500&standard=A153&label=galvanized",
    "lot=500&standard=A153&label=ASTM A153 class D&pieces=9000",
    "lot=500&standard=A153&label=ASTM A153 class D&surface=9999999 m2",
    "lot=3&standard=ISO 1461&least=45 um&readings=1,50",
    "lot=2&standard=A123&least=75 um&readings=1,50",
    "lot=500&standard=EN 10244&label=EN 10244-2 class A&readings=1,50",
]
WRONG_SPOTS = [
    "spots=6 cm2",
    "by=ISO 1461:1987&area=1 m2&spots=6 cm2",
    "by=ISO 1461&area=0 m2&spots=6 cm2",
    "by=ISO 1461&area=1 cm2&spots=6 cm2",
    "by=ISO 1461&area=1 m2&spots=6 cm2 x 0 mm",
    "by=ISO 1461&area=1 m2&spots=6 cm2&mass=99999999 t",
    "by=ISO 1461&area=1 m2&spots=6 cm2&repaired=90 um",
    "by=A123&area=1 m2&spots=6 cm2",
    "by=zzz&area=1 m2&spots=6 cm2",
]


@pytest.fixture(autouse=True)
def _no_settings_of_the_user(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LONGHOLD_CONFIG", "off")


@pytest.fixture
def at(client: TestClient) -> str:
    """A structure that was begun."""
    begun = client.post("/structures", data={"name": "Deck"}, follow_redirects=False)
    return str(begun.headers["location"])


def _shown(html: str) -> str:
    """What people read of a page: its text, and what waits in its fields."""
    return unescape(re.sub(r"(?s)<(script|style).*?</\1>|<[^>]*>", " ", html))


def _options(text: str) -> list[str]:
    return re.findall(r".{0,60}(?<![\w-])--[a-z][a-z-]*.{0,20}|.{0,40}'longhold [a-z]+.{0,20}", text)


def _two_sheets() -> bytes:
    book = openpyxl.Workbook()
    assert book.active is not None
    for sheet in (book.active, book.create_sheet("Other")):
        sheet.append(["kind", "size", "label", "quantity"])
        sheet.append(["nail", "16d common", "G90", 3])
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


@pytest.mark.parametrize("wrong", WRONG_LISTS)
def test_a_wrong_list_is_told_without_options(client: TestClient, at: str, wrong: str) -> None:
    sent = {"file": ("list.csv", WRONG_LISTS[wrong])}
    page = settled(client, client.post(f"{at}/choose/list", files=sent))
    assert _options(_shown(page.text)) == []
    if "/list/" in page.url.path:
        fields = {f"column-{name}": name for name in ("item", "kind", "size", "label", "price")}
        said = {**fields, "fixed-currency": "USD", "decimal": ".", "dates": "day_first"}
        again = settled(client, client.post(page.url.path, data=said))
        assert _options(_shown(again.text)) == []


@pytest.mark.parametrize("field", ["delivered", "order"])
@pytest.mark.parametrize("wrong", WRONG_DELIVERIES)
def test_a_wrong_delivery_is_told_without_options(
    client: TestClient, at: str, wrong: str, field: str
) -> None:
    right = ("right.csv", "kind,size,label,quantity\nnail,16d common,G90,3\n")
    files = {"delivered": right, "order": right, field: ("came.csv", WRONG_DELIVERIES[wrong])}
    page = client.post(f"{at}/delivery", files=files)
    assert _options(_shown(page.text)) == []


def test_a_delivery_of_two_sheets_is_told_what_to_do_here(client: TestClient, at: str) -> None:
    page = client.post(f"{at}/delivery", files={"delivered": ("came.xlsx", _two_sheets())})
    assert page.status_code == 422
    assert _options(_shown(page.text)) == []
    assert "Send a workbook with that sheet alone" in page.text


@pytest.mark.parametrize("asked", [*WRONG_LOTS, *WRONG_SPOTS])
def test_a_wrong_lot_is_told_beside_its_field_without_options(
    client: TestClient, at: str, asked: str
) -> None:
    text = _shown(client.get(f"{at}/delivery?{asked}").text)
    assert _options(text) == []


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ("lot=500&standard=A153&label=ASTM A153 class D&pieces=9000", "pieces"),
        ("lot=500&standard=A153&label=ASTM A153 class D&surface=0 m2", "surface"),
        ("by=ISO 1461&area=1 m2&spots=6 cm2&mass=99999999 t", "mass"),
        ("by=ISO 1461&area=1 cm2&spots=6 cm2", "spots"),
    ],
)
def test_a_value_that_cannot_be_is_told_beside_its_field(
    client: TestClient, at: str, asked: str, field: str
) -> None:
    page = client.get(f"{at}/delivery?{asked}")
    assert page.status_code == 422
    assert f'id="wrong-{field}-1"' in page.text


def test_what_is_wrong_with_a_kind_is_told_with_where_to_say_it(client: TestClient, at: str) -> None:
    sent = {"file": ("list.csv", WRONG_LISTS["a kind that is unknown"])}
    page = settled(client, client.post(f"{at}/choose/list", files=sent))
    told = re.search(r"<li>Line 3: (.*?)</li>", unescape(page.text))
    assert told is not None
    assert told[1].endswith("Read the list in another way: say what 'wobble' means.")
    assert ">Read it in another way: say what its words mean</a>" in page.text


def test_a_list_of_which_no_kind_is_known_asks_for_its_words(client: TestClient, at: str) -> None:
    sent = {"file": ("list.csv", WRONG_LISTS["no kind that is known"])}
    page = settled(client, client.post(f"{at}/choose/list", files=sent))
    assert page.status_code == 422
    assert 'name="word-1" value="wobble"' in page.text
    said = {"word-1": "wobble", "kind-1": "nail", "fixed-currency": ""}
    again = settled(client, client.post(f"{at}/choose/list/1", data=said))
    assert "list.csv: 1 offer." in again.text


def test_a_unit_that_the_list_leaves_open_can_be_said(client: TestClient, at: str) -> None:
    sent = {"file": ("list.csv", WRONG_LISTS["no unit"])}
    page = settled(client, client.post(f"{at}/choose/list", files=sent))
    assert 'name="unit"' in page.text
    said = {f"column-{name}": name for name in ("item", "kind", "size", "label", "price", "currency")}
    again = settled(client, client.post(page.url.path, data={**said, "unit": "mm"}))
    assert "list.csv: 1 offer." in again.text


def test_programs_are_told_without_options(client: TestClient, at: str) -> None:
    number = int(at.rpartition("/")[2])
    sent = {"delivered": {"name": "came.csv", "table": WRONG_DELIVERIES["no label"]}}
    refused = client.post(f"/api/structures/{number}/deliveries", json=sent)
    assert refused.status_code == 422
    assert _options(refused.text) == []
    lot = client.post("/api/lots", json={"standard": "A153", "lot": 5, "label": "G90", "pieces": 9})
    assert lot.status_code == 422
    assert [one["where"] for one in lot.json()["problems"]] == ["pieces"]


@pytest.mark.parametrize(
    ("section", "asked", "fields"),
    [
        ("sampling", "standard=&lot=&label=&least=", ("standard", "lot")),
        ("bare", "by=&area=&spots=&mass=", ("by", "area", "spots")),
    ],
)
def test_a_lower_form_that_is_sent_blank_says_what_is_missing_and_takes_only_its_own_place(
    client: TestClient, at: str, section: str, asked: str, fields: tuple[str, ...]
) -> None:
    page = client.get(f"{at}/delivery?{asked}", headers={"HX-Request": "true"})
    assert page.status_code == 422
    inside = re.findall(rf'(?s)<section id="{section}".*?</section>', page.text)[0]
    assert [one for one in fields if f'id="wrong-{one}-1"' in inside] == list(fields)
    assert "hx-retarget" not in page.headers, "what was typed above would go"
    assert f'hx-target="#{section}"' in inside
    assert client.get(f"{at}/delivery").status_code == 200, "before anything is sent nothing is missing"


def test_files_that_must_be_chosen_again_are_told(client: TestClient, at: str) -> None:
    files = {"delivered": ("came.csv", WRONG_DELIVERIES["no label"])}
    page = client.post(f"{at}/delivery", files=files, data={"reference": "DN 7"})
    assert page.status_code == 422
    assert "A browser keeps no chosen file" in page.text
    assert 'value="DN 7"' in page.text
    assert "A browser keeps no chosen file" not in client.get(f"{at}/delivery").text


@pytest.mark.parametrize("start", [b"\xff\xd8\xff\xe0 picture", b"\x89PNG\r\n\x1a\n picture"])
def test_a_picture_in_place_of_a_list_is_told_as_one(client: TestClient, at: str, start: bytes) -> None:
    page = client.post(f"{at}/delivery", files={"delivered": ("label.csv", start)})
    assert "label.csv: is a picture (" in unescape(page.text), "and its name keeps its small letter"
    assert "UTF-8" not in page.text


def test_what_is_not_there_is_told_in_a_sentence(client: TestClient) -> None:
    said = re.findall(r'<p class="lede">(.*?)</p>', client.get("/structures/99").text)
    assert [one[0] for one in said] == [one[0].upper() for one in said] != []


@pytest.mark.parametrize(
    ("where", "field", "text"),
    [
        ("/compare", "labels", "galvanized\n" * 500),
        ("{at}/delivery", "readings", "1,50\n" * 1000),
        ("{at}/delivery", "spots", "6 cm2\n" * 900),
    ],
)
def test_more_letters_than_are_read_are_counted_and_nothing_is_cut_off_unseen(
    client: TestClient, at: str, where: str, field: str, text: str
) -> None:
    page = client.get(where.format(at=at), params={field: text})
    assert page.status_code == 422
    assert f"{len(text.strip() if '{at}' in where else text):,} letters; up to 4,000 are read" in page.text


def test_a_picture_of_a_plan_names_what_it_may_show(client: TestClient, at: str) -> None:
    wrong = client.get(f"{at}/delivery/lot.svg?of=zz&lot=5&standard=A123&least=75 um")
    assert wrong.status_code == 422
    assert "must be 'mean' or 'bad'" in unescape(wrong.text)


def test_only_an_assumed_price_is_called_nobodys_price(client: TestClient, at: str) -> None:
    settled(client, client.post(f"{at}/choose/list", files={"file": ("list.csv", HEADS + GOOD)}))
    page = unescape(settled(client, client.get(f"{at}/choose/costs?offers=1")).text)
    told = dict(re.findall(r'<b class="small" id="own-([^"]+)">([^<]*)</b>', page))
    assert "nobody’s price" in told["failure"]
    multipliers = {name: said for name, said in told.items() if name.startswith("access.")}
    assert multipliers
    assert not [said for said in multipliers.values() if "price" in said]


def test_what_was_typed_above_stays_when_a_lower_form_is_sent(screen: Page) -> None:
    screen.goto("/structures")
    screen.fill("#name", "Deck with a delivery")
    screen.get_by_role("button", name="Begin", exact=True).click()
    screen.wait_for_url(re.compile(r"/structures/\d+$"))
    screen.goto(f"{screen.url}/delivery")
    screen.fill("#reference", "DN 77")
    screen.set_input_files("#delivered", {"name": "came.csv", "mimeType": "text/csv", "buffer": b"kind\n"})
    screen.get_by_role("button", name="May they be repaired").click()
    screen.locator("#wrong-area-1").wait_for(timeout=20_000)
    assert screen.input_value("#reference") == "DN 77"
    assert screen.evaluate("document.querySelector('#delivered').files.length") == 1
    screen.get_by_role("button", name="How many, and what follows").click()
    screen.locator("#wrong-lot-1").wait_for(timeout=20_000)
    assert screen.input_value("#reference") == "DN 77"
    kept(screen, "delivery-blank-forms")


def test_an_empty_order_is_told_beside_the_order(client: TestClient) -> None:
    client.post("/structures", data={"name": "Deck"})
    came = ("came.csv", b"kind,size,label,quantity\nnail,16d common,HDG,5\n")
    page = client.post("/structures/1/delivery", files={"delivered": came, "order": ("asked.csv", b"")}).text
    assert re.search(r'<a href="#order">The order</a>: asked\.csv: is empty', page)
