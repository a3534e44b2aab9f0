"""Suppliers' lists on the page: read, asked about, refused line by line, known again."""

from __future__ import annotations

import io
import re
from html import unescape
from importlib.resources import files
from pathlib import Path

import openpyxl
import pytest
from httpx2 import Response
from starlette.testclient import TestClient
from tests.web.conftest import settled

DEMO = Path(__file__).parents[2] / "demo"
HEADS = "item,kind,size,label,price,currency,pack\n"
GOOD = "A1,nail,16d common,HDG per ASTM A153,20.00,USD,250\n"
ASKED = "Nr.,Article,Dimension,Finish,Price,Per\nA1,nail,16d common,HDG per ASTM A153,20.00,250\n"


@pytest.fixture(autouse=True)
def _no_settings_of_the_user(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LONGHOLD_CONFIG", "off")


@pytest.fixture
def at(client: TestClient) -> str:
    """Where one chooses for a structure that was begun."""
    begun = client.post("/structures", data={"name": "Deck"}, follow_redirects=False)
    return f"{begun.headers['location']}/choose"


def _send(client: TestClient, at: str, content: str | bytes, name: str = "list.csv") -> tuple[int, str, str]:
    """Status, address and text of where a list leads."""
    answer = settled(client, client.post(f"{at}/list", files={"file": (name, content)}))
    return answer.status_code, answer.url.path.removeprefix(at), unescape(answer.text)


def _fields(page: str) -> dict[str, str]:
    """What a browser sends of the form of columns: every field with what is in it."""
    found = dict(re.findall(r'<input[^>]* name="([^"]+)" value="([^"]*)"', page))
    for name, inside in re.findall(r'(?s)<select id="[^"]+" name="([^"]+)"[^>]*>(.*?)</select>', page):
        chosen = re.search(r'<option(?: value="([^"]*)")? selected>([^<]*)<', inside)
        found[name] = "" if chosen is None else chosen[2] if chosen[1] is None else chosen[1]
    return {name: unescape(text) for name, text in found.items()}


def _say(client: TestClient, at: str, where: str, **said: str) -> Response:
    """Send the form of columns with some answers."""
    fields = _fields(client.get(at + where).text) | {
        name.replace("_", "-"): text for name, text in said.items()
    }
    return settled(client, client.post(at + where.partition("?")[0], data=fields))


def _workbook(*rows: tuple[object, ...], title: str = "Prices", more: bool = False) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = title
    for row in rows:
        sheet.append(row)
    if more:
        book.create_sheet("Terms").append(["payment within 30 days"])
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def test_the_invented_list_is_that_of_the_demonstration_and_says_so(client: TestClient, at: str) -> None:
    packed = files("longhold.web").joinpath("demo_offers.csv").read_bytes()
    assert packed == (DEMO / "offers.csv").read_bytes()
    costs = client.post(f"{at}/list", data={"demo": "1"})
    assert "invented for a demonstration" in costs.text
    again = client.post(f"{at}/list", data={"demo": "1"})
    assert again.url == costs.url, "it is kept once"


def test_a_list_with_our_heads_is_read_without_a_question(client: TestClient, at: str) -> None:
    status, where, text = _send(client, at, HEADS + GOOD)
    assert (status, where) == (200, "/offers/1")
    assert "list.csv: 1 offer." in text
    assert "list.csv" in client.get(at).text


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("B1,nail,16d common,HDG per ASTM A153,,USD,250", "(price) is blank"),
        ("B1,nail,16d common,HDG per ASTM A153,-3,USD,250", "must not be negative"),
        ("B1,nail,16d common,HDG per ASTM A153,0,USD,250", "price"),
        ("B1,nail,16d common,HDG per ASTM A153,=2+3,USD,250", "must be a number"),
        ("B1,nail,16d common,zzz,3,USD,250", "label"),
        ("B1,gizmo,16d common,HDG per ASTM A153,3,USD,250", "gizmo"),
        ("A1,nail,16d common,HDG per ASTM A153,3,USD,250", "stands in line 2 already"),
        ("B1,nail,<script>x</script>,HDG per ASTM A153,3,USD,250", "size"),
    ],
)
def test_a_line_that_is_no_offer_is_listed_with_its_reason(
    client: TestClient, at: str, line: str, why: str
) -> None:
    status, _, text = _send(client, at, f"{HEADS}{GOOD}{line}\n")
    assert status == 200
    assert "1 line could not be read" in text
    told = re.search(r"<li>Line 3: (.*?)</li>", text)
    assert told is not None
    assert why in told[1]
    assert "--fixed" not in told[1], "the page has no options"


def test_what_the_heads_leave_open_is_asked_and_known_the_next_time(client: TestClient, at: str) -> None:
    status, where, text = _send(client, at, ASKED)
    assert (status, where) == (200, "/list/1")
    assert "Which currency" in text
    names = re.findall(r'<select id="column-(\w+)"', text)
    assert set(names[:2]) >= {"currency"} | ({"kind"} & set(names[:2])), "what is asked comes first"
    short = _say(client, at, "/list/1")
    assert short.status_code == 422
    assert "This is still open" in short.text
    held = _say(client, at, "/list/1", column_kind="Article", column_item="Nr.", fixed_currency="USD")
    assert held.status_code == 200
    assert "list.csv: 1 offer." in held.text
    assert "USD (every line)" in held.text
    _, where, text = _send(client, at, ASKED.replace("20.00", "21.50"), "next month.csv")
    assert where.startswith("/offers/"), "a list with the same heads is not asked about again"
    assert "next month.csv: 1 offer." in text


def test_what_was_said_stays_where_something_is_still_open(client: TestClient, at: str) -> None:
    _send(client, at, ASKED)
    short = _say(client, at, "/list/1", column_item="Nr.", column_kind="Article", fixed_pack="99")
    assert short.status_code == 422
    assert "<option selected>Finish</option>" in short.text
    assert 'name="fixed-pack" value="99"' in short.text


def test_one_column_cannot_be_two_things(client: TestClient, at: str) -> None:
    _send(client, at, ASKED)  # the head of what is the kind is taken for the item by itself
    twice = _say(client, at, "/list/1", column_kind="Article", fixed_currency="USD")
    assert twice.status_code == 422
    assert re.search(r'id="wrong-column-item-1">[^<]*kind', twice.text)


def test_a_word_for_a_kind_is_said_once(client: TestClient, at: str) -> None:
    _, _, text = _send(client, at, f"{HEADS}{GOOD}B1,U-shoe thing,18 ga,ASTM A653 G185,3,USD,50\n")
    again = re.search(rf'href="{re.escape(at)}(/list/\d+\?again=\d+[^"]*)"', text)
    assert again is not None
    assert "Read it in another way: say what its words mean" in text
    assert "U-shoe thing" in client.get(at + again[1]).text
    assert "list.csv: 2 offers." in _say(client, at, again[1], kind_1="hanger").text


def test_a_workbook_is_read_and_a_formula_without_a_value_is_told(client: TestClient, at: str) -> None:
    heads = HEADS.strip().split(",")
    good = ("A1", "nail", "16d common", "HDG per ASTM A153", 20.0, "USD", 250)
    formula = ("A2", "nail", "16d common", "HDG per ASTM A153", "=20*2", "USD", 250)
    status, where, text = _send(client, at, _workbook(tuple(heads), good, formula), "list.xlsx")
    assert (status, where) == (200, "/offers/1")
    assert "list.xlsx: 1 offer; 1 line could not be read" in text
    assert "Prices!E3" in text


def test_a_price_with_the_other_decimal_sign_tells_which_was_taken_and_how_to_say_the_other(
    client: TestClient, at: str
) -> None:
    line = "A2,nail,8d common,HDG per ASTM A153,{},USD,250\n"
    _, _, text = _send(client, at, HEADS + GOOD + line.format('"1.234,50"').replace("A2", "A3"))
    assert "1 offer" not in text, "both signs stand in it: neither was said of it"
    told = _say(client, at, "/list/1?again=1", decimal=".")
    why = re.search(r"<li>Line 3: (.*?)</li>", unescape(told.text))
    assert why is not None
    assert "has ',' before its decimals, and its list is read with '.' before decimals" in why[1]
    assert "It was said of this list" in why[1]
    assert "read the list in another way: say its decimal sign" in why[1]
    other = _say(client, at, "/list/1?again=2", decimal=",")
    assert "has '.' before its decimals" in unescape(other.text), "now the other line is left aside"


def test_of_several_sheets_one_is_chosen(client: TestClient, at: str) -> None:
    heads = HEADS.strip().split(",")
    good = ("A1", "nail", "16d common", "HDG per ASTM A153", 20.0, "USD", 250)
    _, where, text = _send(client, at, _workbook(tuple(heads), good, more=True), "list.xlsx")
    assert where == "/list/1"
    assert "Which sheet is the list?" in text
    assert "list.xlsx: 1 offer." in _say(client, at, "/list/1?sheet=Prices").text


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("list.xlsm", b"PK"),
        ("list.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"),
        ("list.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"),
        ("list.xlsx", b"PK\x03\x04 no workbook"),
        ("list.pdf", b"%PDF-1.7"),
        ("list.csv", b""),
        ("list.csv", b"\xff\xfe\x00\x01\xff"),
        ("list.csv", b"\n\n\n"),
        ("../../etc/passwd", b"root"),
        ("<img src=x onerror=alert(1)>.csv", b""),
    ],
)
def test_a_file_that_is_no_list_is_told_and_nothing_is_kept(
    client: TestClient, at: str, name: str, content: bytes
) -> None:
    status, _, text = _send(client, at, content, name)
    assert status == 422
    assert "was not taken in" in text
    assert "/tmp" not in text
    page = client.get(at).text
    assert "Lists that are kept" not in page
    assert "<img src=x" not in page


def test_a_workbook_with_a_macro_under_another_name_runs_nothing(client: TestClient, at: str) -> None:
    import zipfile

    heads = HEADS.strip().split(",")
    good = ("A1", "nail", "16d common", "HDG per ASTM A153", 20.0, "USD", 250)
    packed = io.BytesIO(_workbook(tuple(heads), good))
    with zipfile.ZipFile(packed, "a") as file:
        file.writestr("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")
    status, _, text = _send(client, at, packed.getvalue(), "list.xlsx")
    assert status in (200, 422)
    assert status == 200
    assert "list.xlsx: 1 offer." in text
    assert "list.xlsx holds macros: none was run, and nothing of them was read." in text


def test_a_list_without_one_good_line_is_told_reason_by_reason(client: TestClient, at: str) -> None:
    alike = "".join(f"B{number},nail,16d common,zzz,3,USD,250\n" for number in range(10))
    unlike = "".join(f"C{number},gizmo{number},16d common,G90,3,USD,250\n" for number in range(30))
    status, _, text = _send(client, at, HEADS + alike + unlike)
    assert status == 422
    told = [int(line) for line in re.findall(r"<li>line (\d+)", text)]
    assert told == [2, *range(12, 31)], "each reason once, the first twenty"
    assert "So it is with 9 more." in text
    assert "none of its 40 lines" in text
    assert "and 11 more lines" in text
    assert "--fixed" not in text


def test_costs_that_nobody_gave_say_so_beside_their_field(client: TestClient, at: str) -> None:
    invented = client.post(f"{at}/list", data={"demo": "1"}).text
    assert "invented: put in your own" in re.search(r'id="hint-labor_per_joint".*?<input', invented, re.S)[0]  # type: ignore[index]
    _send(client, at, HEADS + GOOD)
    real = client.get(f"{at}/costs?offers=2").text
    assert "assumed, nobody’s price" in re.search(r'id="hint-failure".*?<input', real, re.S)[0]  # type: ignore[index]
    assert "invented: put in" not in real


def test_nothing_chosen_is_told(client: TestClient, at: str) -> None:
    answer = client.post(f"{at}/list", data={})
    assert answer.status_code == 422
    assert "No file was chosen" in answer.text
    assert re.search(r'id="file"[^>]*aria-describedby="wrong-file"', answer.text)


def test_more_lines_than_are_read_are_refused(client: TestClient, at: str) -> None:
    lines = "".join(f"A{number},nail,16d common,,,,\n" for number in range(50_001))
    status, _, text = _send(client, at, HEADS + lines)
    assert status == 422
    assert "more than 50,000 lines" in text


@pytest.mark.parametrize(
    "rest", ["list/9", "offers/9", "read/x", "costs?offers=9", "made/x", "made/x/papers"]
)
def test_what_is_not_kept_is_said(client: TestClient, at: str, rest: str) -> None:
    assert client.get(f"{at}/{rest}").status_code == 404
