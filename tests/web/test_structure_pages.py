"""Structures on the page: kept, edited by several people, brought back, in and out as files."""

from __future__ import annotations

import io
import json
import re
import zipfile
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest
from starlette.datastructures import QueryParams
from starlette.testclient import TestClient
from tests.web.conftest import HERE, settled

from longhold.store import Store, WaitingChange
from longhold.web.app import make_app
from longhold.web.joint_form import JointForm
from longhold.web.settings import Settings

DEMO = Path(__file__).parents[2] / "demo"


def _begin(client: TestClient, name: str = "Deck") -> str:
    return client.post("/structures", data={"name": name}, follow_redirects=False).headers["location"]


def _indoors(client: TestClient) -> str:
    """A structure that is answered at once: one nail where it is dry."""
    at = QueryParams(
        {"at": "39.0 -98.0 Kansas", "place": "dry_inside", "preservative": "none", "units": "us"}
    )
    nail = {"kind": "nail", "size": "10d common", "label": "HDG per ASTM A153"}
    told = json.dumps(JointForm.of(QueryParams({**at, **nail})).given()).encode()
    sent = client.post("/structures/file", files={"file": ("one.json", told)}, follow_redirects=False)
    return str(sent.headers["location"])


def _cell(page: str, where: str) -> str:
    found = re.search(rf'id="{re.escape(where)}" value="([^"]*)"', page)
    assert found is not None, where
    return unescape(found[1])


def _edit(client: TestClient, at: str, expecting: int, **more: str) -> int:
    answer = client.post(f"{at}/edit", data={"expecting": str(expecting), **more}, follow_redirects=False)
    return answer.status_code


def test_a_change_is_a_version_and_any_version_comes_back(client: TestClient) -> None:
    at = _begin(client)
    assert _edit(client, at, 1, where="design_life", value="44 years") == 303
    assert _cell(client.get(at).text, "design_life") == "44 years"
    client.post(f"{at}/restore", data={"version": "1", "expecting": "2"})
    page = client.get(at).text
    assert _cell(page, "design_life") == "30 years"
    assert 'name="version" value="2"' in page, "redo"
    history = client.get(f"{at}/history").text
    assert "design life = 44 years" in history
    assert _cell(client.get(f"{at}?version=2").text, "design_life") == "44 years"


def test_undo_goes_back_step_by_step_and_redo_forward_again(client: TestClient) -> None:
    at = _begin(client)
    for number, life in enumerate(("41 years", "42 years", "43 years"), 1):
        _edit(client, at, number, where="design_life", value=life)

    def press(button: str) -> str:
        page = client.get(at).text
        form = re.search(
            rf'value="(\d+)"><input type="hidden" name="expecting" value="(\d+)"><[^>]*id="{button}"', page
        )
        assert form is not None, f"there is no {button}"
        client.post(f"{at}/restore", data={"version": form[1], "expecting": form[2]})
        return _cell(client.get(at).text, "design_life")

    assert [press("undo") for _ in range(3)] == ["42 years", "41 years", "30 years"]
    assert 'id="undo"' not in client.get(at).text
    assert [press("redo") for _ in range(2)] == ["41 years", "42 years"]


def _versions(client: TestClient, at: str) -> int:
    return int(re.findall(r"(\d+) versions?\b", client.get(f"{at}/history").text)[0])


def test_what_cannot_be_used_waits_as_typed_and_is_no_version(client: TestClient) -> None:
    at = _begin(client)
    _edit(client, at, 1, where="joints[1].quantity", value="many")
    _edit(client, at, 1, where="joints[0].parts[0].label", value="zzz")
    _edit(client, at, 1, where="design_life", value="44 years")
    assert _versions(client, at) == 2, "only what was right"
    page = client.get(at).text
    assert "2 cells are not saved yet" in page
    for where, typed in {
        "joints[1].quantity": "many",
        "joints[0].parts[0].label": "zzz",
        "design_life": "44 years",
    }.items():
        assert _cell(page, where) == typed, "a page that is loaded again shows what was typed"
    assert 'data-where="joints[1].quantity"' in page
    _edit(client, at, 2, where="joints[1].quantity", value="3")
    page = client.get(at).text
    assert (_cell(page, "joints[1].quantity"), _versions(client, at)) == ("3", 3)
    assert 'data-where="joints[0].parts[0].label"' in page
    _back(client, at, page)
    page = client.get(at).text
    assert _cell(page, "joints[0].parts[0].label").startswith("hot-dip")
    assert "to put right" not in page
    assert _versions(client, at) == 3


def test_cells_that_go_together_are_saved_together(client: TestClient) -> None:
    at = _begin(client)
    page = client.get(at).text
    size = _cell(page, "joints[0].parts[0].size")
    _edit(client, at, 1, where="joints[0].parts[0].kind", value="washer")
    told = unescape(client.get(at).text)
    assert "does not go with the rest of it" in told
    assert 'data-where="joints[0].parts[0].size"' in told
    assert _cell(told, "joints[0].parts[0].size") == size
    assert _versions(client, at) == 1
    _edit(client, at, 1, where="joints[0].parts[0].size", value="1/2 in")
    assert _versions(client, at) == 2
    history = client.get(f"{at}/history").text
    assert "kind = washer; J1, part lag, size = 1/2 in" in history


def test_a_fault_of_an_older_cell_holds_that_cell_and_not_the_one_typed_now(client: TestClient) -> None:
    at = _begin(client)
    _edit(client, at, 1, where="joints[0].id", value="J2")
    assert _edit(client, at, 1, where="design_life", value="40 years") == 303
    saved = client.get(f"{at}/file.json").json()
    assert (saved["design_life"], saved["joints"][0]["id"]) == ("40 years", "J1")
    assert _cell(client.get(at).text, "joints[0].id") == "J2", "it waits on"
    _edit(client, at, 2, where="joints[1].id", value="J1")
    saved = client.get(f"{at}/file.json").json()
    assert [one["id"] for one in saved["joints"]][:2] == ["J2", "J1"], "right together"
    assert "to put right" not in client.get(at).text


def test_undo_takes_back_what_was_typed_last(client: TestClient) -> None:
    at = _begin(client)
    typed = {"joints[2].quantity": "many", "joints[0].quantity": "few", "joints[1].quantity": "some"}
    for where, text in (*typed.items(), ("joints[2].quantity", "most")):
        _edit(client, at, 1, where=where, value=text)
    for where in ("joints[2].quantity", "joints[1].quantity", "joints[0].quantity"):
        page = client.get(at).text
        assert not _cell(page, where).isdecimal()
        _back(client, at, page)
        assert _cell(client.get(at).text, where) not in (*typed.values(), "most")
    assert "to put right" not in client.get(at).text


def _back(client: TestClient, at: str, page: str) -> None:
    """Press Undo, which stands first of the buttons that put something back."""
    form = re.search(r'<form method="post" action="[^"]*/back">(.*?)</form>', page, re.S)
    assert form is not None
    assert 'id="undo"' in form[1]
    sent = {name: unescape(text) for name, text in re.findall(r'name="(\w+)" value="([^"]*)"', form[1])}
    client.post(f"{at}/back", data=sent)


def test_an_old_page_puts_back_no_other_cell(client: TestClient) -> None:
    at = _begin(client)
    _edit(client, at, 1, where="joints[0].quantity", value="few")
    old = client.get(at).text
    _back(client, at, old)
    _edit(client, at, 1, where="joints[1].quantity", value="some")
    _back(client, at, old)
    assert _cell(client.get(at).text, "joints[1].quantity") == "some"


def test_an_edit_leaves_alone_what_waits_elsewhere_and_drops_what_is_saved_by_now(tmp_path: Path) -> None:
    place = tmp_path / "store.db"
    with TestClient(make_app(Settings(store=place)), base_url="http://127.0.0.1", client=HERE) as client:
        at = _begin(client)
        _edit(client, at, 1, where="joints[1].quantity", value="some")
        with Store.open(place) as store:
            store.change_waiting(1, 1, WaitingChange(add={"note": "as saved"}))  # as a cut may leave it
            first = store.waiting(1)[0]
        _edit(client, at, 1, where="note", value="as saved")
        _edit(client, at, 2, where="joints[0].quantity", value="few")
        with Store.open(place) as store:
            kept, new = store.waiting(1)
    assert (kept.id, kept.typed_at, kept.typed) == (first.id, first.typed_at, "some")
    assert (new.cell, new.typed) == ("joints[0].quantity", "few")


def test_what_waits_follows_a_timber_that_a_paste_renames(client: TestClient) -> None:
    at = _begin(client)
    _edit(client, at, 1, where="timbers.joist.size", value="tiny")
    _edit(client, at, 1, where="timbers.joist", heads="", block="beam")
    page = client.get(at).text
    assert _cell(page, "timbers.beam.size") == "tiny"
    _edit(client, at, 2, where="timbers.beam", heads=",size", block="girder\t2x10")
    page = client.get(at).text
    assert _cell(page, "timbers.girder.size") == "2x10"
    assert "not saved yet" not in page


def test_what_waits_follows_its_row(client: TestClient) -> None:
    at = _begin(client)
    _edit(client, at, 1, where="joints[2].quantity", value="many")
    _edit(client, at, 1, remove="joints[0]")
    assert _cell(client.get(at).text, "joints[1].quantity") == "many"
    _edit(client, at, 2, where="joints[1].id", value="J77")
    assert _cell(client.get(at).text, "joints[1].quantity") == "many"
    _edit(client, at, 3, where="timbers.joist.size", value="tiny")
    _edit(client, at, 3, where="timbers.joist", value="beam")
    assert _cell(client.get(at).text, "timbers.beam.size") == "tiny"


def test_what_waits_follows_a_row_that_has_no_id(client: TestClient) -> None:
    """What stands near has a place in its list and no name; the row above goes and comes back."""
    at, near = _begin(client), "site.air.near"
    for version, (row, setting) in enumerate(
        [(0, "salted_road"), (1, "salt_water_splash"), (2, "indoor_pool_hall")]
    ):
        block = f"{setting}\t{10 + row} ft"
        _edit(client, at, 2 * version + 1, add=near, empty="yes")
        _edit(client, at, 2 * version + 2, where=f"{near}[{row}]", heads="setting,distance", block=block)
    _edit(client, at, 7, where=f"{near}[0].distance", value="close")
    _edit(client, at, 7, where=f"{near}[2].distance", value="far")
    _edit(client, at, 7, remove=f"{near}[0]")
    page = client.get(at).text
    assert [_cell(page, f"{near}[{row}].distance") for row in (0, 1)] == ["11 ft", "far"]
    assert "close" not in page, "it went with its row"
    client.post(f"{at}/restore", data={"version": "7", "expecting": "8"})
    page = client.get(at).text
    assert [_cell(page, f"{near}[{row}].distance") for row in (0, 1, 2)] == ["10 ft", "11 ft", "far"]


def test_what_is_said_in_the_answer_takes_the_place_of_what_waited_in_that_cell(client: TestClient) -> None:
    at = _indoors(client)
    _edit(client, at, 1, where="target_chance", value="abc")
    _edit(client, at, 1, where="design_life", value="long")
    client.post(f"{at}/say", data={"expecting": "1", "path": "target_chance", "value": "0.8"})
    page = client.get(at).text
    assert _cell(page, "target_chance") == "0.8"
    assert _cell(page, "design_life") == "long"
    assert "1 cell is not saved yet" in page


def test_an_old_answer_leads_to_what_would_pass_in_that_version(client: TestClient) -> None:
    at = _indoors(client)
    _edit(client, at, 1, where="design_life", value="7 years")
    old = settled(client, client.get(f"{at}/answer?version=1")).text
    assert f'href="{at}/allowed/J1?version=1">What would pass here?' in old
    passes = settled(client, client.get(f"{at}/allowed/J1?version=1")).text
    assert "This is of version 1." in passes
    assert "reach 30 years" in passes
    assert f'href="{at}/answer?version=1">Back to the answer' in passes
    assert "reach 7 years" in settled(client, client.get(f"{at}/allowed/J1")).text


def test_what_was_not_taken_stands_in_an_open_joint(client: TestClient) -> None:
    at = _indoors(client)
    sent = {"expecting": "1", "path": "joints[0].access", "value": "sideways"}
    page = settled(client, client.post(f"{at}/say", data=sent)).text
    assert re.search(r'<details class="joint-fold" open><summary><span class="soft">J1<', page)


def test_a_structure_that_is_wrong_already_is_mended_cell_by_cell(client: TestClient) -> None:
    at = _begin(client)
    _edit(client, at, 1, add="joints", empty="yes")
    _edit(client, at, 2, where="joints[4].name", value="Post")
    _edit(client, at, 3, where="joints[4].place", value="open to rain")
    page = client.get(at).text
    assert (_cell(page, "joints[4].name"), _versions(client, at)) == ("Post", 4)
    assert "before it can be assessed" in page
    asked = client.get(f"{at}/answer", follow_redirects=False)
    assert (asked.status_code, asked.headers["location"]) == (303, at)


def test_what_cannot_be_said_in_the_answer_saves_nothing_and_stays_as_typed(client: TestClient) -> None:
    at = _indoors(client)
    sent = {"expecting": "1", "path": "target_chance", "value": "abc"}
    page = settled(client, client.post(f"{at}/say", data=sent))
    assert page.status_code == 422
    field = re.search(r'<details class="change" open id="not-taken">.*?</details>', page.text, re.S)
    assert field is not None
    assert 'value="abc"' in field[0]
    assert f'href="{at}/allowed/J1">What would pass here?' in page.text
    assert 'class="wrong"' in field[0]
    assert "1 version:" in client.get(f"{at}/history").text
    assert _edit(client, at, 1, where="note", value="somebody else’s") == 303
    late = settled(client, client.post(f"{at}/say", data={**sent, "value": "0.8"}))
    assert 'value="0.8"' in late.text
    assert "Version 2 was saved meanwhile" in late.text
    again = {"path": "target_chance", "value": "0.8", "expecting": "2"}
    told = settled(client, client.get(f"{at}/answer", params=again))
    assert (told.status_code, "meanwhile" in told.text) == (200, False), "nobody saved after it"
    _edit(client, at, 2, where="joints[0].quantity", value="many")
    for page in ("answer", "report", "choose"):
        shown = settled(client, client.get(f"{at}/{page}")).text
        assert re.search(r"Left out until put right: J1, [\w ]+ “many”\.", shown), page
    assert "Left out" not in client.get(f"{at}/report", params={"version": "1"}).text
    sent["expecting"] = "2"
    assert client.post(f"{at}/say", data={**sent, "value": "0.8"}, follow_redirects=False).status_code == 303
    assert "least chance to last = 0.8" in client.get(f"{at}/history").text


def test_two_people_at_once_are_told_and_nothing_is_overwritten(client: TestClient) -> None:
    at = _begin(client)
    assert _edit(client, at, 1, where="note", value="mine") == 303
    answer = client.post(f"{at}/edit", data={"expecting": "1", "where": "note", "value": "yours"})
    assert answer.status_code == 409
    assert "meanwhile" in answer.text
    assert 'data-cell="note" data-typed="yours"' in answer.text
    assert re.search(r'now there: <b class="typed">mine<', answer.text)
    assert _cell(client.get(at).text, "note") == "mine"
    back = client.post(f"{at}/restore", data={"version": "1", "expecting": "1"})
    assert back.status_code == 409


def test_what_was_typed_meanwhile_follows_its_row(client: TestClient) -> None:
    at = _begin(client)
    _edit(client, at, 1, remove="joints[0]")
    typed = {"expecting": "1", "where": "joints[2].quantity", "value": "77"}
    moved = client.post(f"{at}/edit", data=typed)
    assert moved.status_code == 409
    assert 'data-cell="joints[1].quantity" data-typed="77"' in moved.text
    gone = client.post(f"{at}/edit", data={**typed, "where": "joints[0].quantity"})
    assert "gone" in gone.text
    assert "77" in gone.text
    pasted = {"expecting": "1", "where": "joints[0]", "heads": "id", "block": "A1\nA2"}
    assert "A1\nA2</textarea>" in client.post(f"{at}/edit", data=pasted).text


def test_a_script_gets_only_the_state_and_a_page_where_rows_moved(client: TestClient) -> None:
    at = _begin(client)
    script = {"hx-request": "true"}
    data = {"expecting": "1", "where": "note", "value": "x"}
    state = client.post(f"{at}/edit", data=data, headers=script)
    assert state.text.startswith('<div id="state"')
    assert "hx-retarget" not in state.headers
    moved = client.post(f"{at}/edit", data={"expecting": "2", "add": "joints"}, headers=script)
    assert moved.headers["hx-retarget"] == "#content"
    assert "joints[4].id" in moved.text


def test_a_pasted_cell_that_is_too_long_is_told_and_nothing_is_pasted(client: TestClient) -> None:
    at = _begin(client)
    sent = {"expecting": "1", "where": "joints[0]", "heads": "id,name", "block": f"J9\t{'x' * 200_000}"}
    answer = client.post(f"{at}/edit", data=sent)
    assert answer.status_code == 422
    assert "a cell of more than 131,072 letters" in answer.text
    assert _cell(client.get(at).text, "joints[0].id") != "J9"


def test_pasted_cells_make_the_rows_that_they_need(client: TestClient) -> None:
    at = _begin(client)
    sent = {"where": "joints[3]", "heads": "id,quantity", "block": "J4\t5\nJ9\t6\n"}
    assert _edit(client, at, 1, **sent) == 303
    page = client.get(at).text
    assert [_cell(page, f"joints[{row}].quantity") for row in (3, 4)] == ["5", "6"]
    for wrong in ("joints[9]", "joints", "x", "", "timbers.nothing"):
        assert _edit(client, at, 2, **{**sent, "where": wrong}) == 422


def test_a_pasted_cell_that_cannot_be_is_told_and_all_others_stay(client: TestClient) -> None:
    at = _begin(client)
    block = "joist\t2x10\nledger\ttiny\ntwo words\t2x8\nboard\t2x6\tover the edge\nrim\t2x12\n"
    told = client.post(
        f"{at}/edit",
        data={"expecting": "1", "where": "timbers.joist", "heads": ",size", "block": block},
        headers={"hx-request": "true"},
    )
    page = unescape(told.text)
    assert "“two words” was not taken: must be letters, digits" in page
    assert "“over the edge” was not taken" in page
    assert 'data-where="timbers.ledger.size">timber ledger, size<' in page
    stay = {name: _cell(page, f"timbers.{name}.size") for name in ("joist", "ledger", "band", "board", "rim")}
    assert stay == {"joist": "2x10", "ledger": "tiny", "band": "2x8", "board": "2x6", "rim": "2x12"}


def test_a_pasted_cell_that_is_wrong_waits_as_a_typed_one_does(client: TestClient) -> None:
    """The others of the block are saved, and the structure is assessed as before."""
    at = _begin(client)
    block = "2\topen to rain\nmany\tunder cover\n3\tmoon"
    assert _edit(client, at, 1, where="joints[0]", heads="quantity,place", block=block) == 303
    page = unescape(client.get(at).text)
    assert "2 things to put right before what you typed is saved" in page
    told = re.findall(r'<li class="waits"><a href="[^"]+" data-where="([^"]+)"', page)
    assert told == ["joints[1].quantity", "joints[2].place"]
    assert _cell(page, "joints[1].quantity") == "many"
    joints = client.app.state.store.newest(1).content["joints"]  # type: ignore[attr-defined]
    assert [one["place"] for one in joints[:2]] == ["open_to_rain", "under_cover"]
    assert joints[0]["quantity"] == 2
    assert joints[1].get("quantity") != "many"
    assert joints[2]["quantity"] == 3
    _edit(client, at, 2, where="joints[1].quantity", value="16")
    assert "1 thing to put right" in client.get(at).text
    assert client.app.state.store.newest(1).content["joints"][1]["quantity"] == 16  # type: ignore[attr-defined]


def test_a_wrong_cell_of_a_row_that_a_paste_adds_waits_in_it(client: TestClient) -> None:
    at = _begin(client)
    _edit(client, at, 1, where="joints[3]", heads="id,quantity", block="J4\t5\nJ9\tmany\n")
    page = unescape(client.get(at).text)
    assert 'class="waits"><a href="#joints[4].quantity"' in page
    assert "quantity" not in client.app.state.store.newest(1).content["joints"][4]  # type: ignore[attr-defined]


def test_known_codes_and_their_editions_are_offered(client: TestClient) -> None:
    page = client.get(_begin(client)).text
    assert '<option value="us_irc">International Residential Code</option>' in page
    assert re.search(r'id="code.pack"[^>]* list="code-list"', page)
    editions = re.search(r'<datalist id="edition-list">(.*?)</datalist>', page)
    assert editions is not None
    assert '"2021"' in editions[1]
    assert '"2004+A2"' not in editions[1], "that is another code's"


@pytest.mark.parametrize("words", ["open to rain", "Open to Rain", "open_to_rain", "open-to-rain"])
def test_words_as_shown_are_taken_like_those_of_files(client: TestClient, words: str) -> None:
    at = _begin(client)
    sent = {"where": "joints[1]", "heads": "place", "block": f"{words}\nunder cover"}
    assert _edit(client, at, 1, **sent) == 303
    page = client.get(at).text
    assert "to put right" not in page
    assert re.search(r'id="joints\[1\]\.place".*?<option value="open_to_rain" selected>', page)
    assert re.search(r'id="joints\[2\]\.place".*?<option value="under_cover" selected>', page)


def test_a_name_that_cannot_be_is_told_at_its_cell(client: TestClient) -> None:
    at = _begin(client)
    told = client.post(
        f"{at}/edit",
        data={"expecting": "1", "where": "timbers.joist", "value": "two words"},
        headers={"hx-request": "true"},
    )
    assert told.text.startswith('<div id="state"')
    assert "must be letters, digits" in told.text
    assert 'data-version="1"' in told.text, "nothing was saved"
    assert _cell(client.get(at).text, "timbers.joist") == "two words"


def test_everything_that_is_wrong_is_told_at_once_in_words_of_the_page(client: TestClient) -> None:
    at = _begin(client)
    wrong = {
        "design_life": "soon",
        "joints[0].place": "moon",
        "joints[0].parts[0].label": "zzz",
        "joints[1].parts[0].size": "tiny",
        "joints[1].parts[0].label": "yyy",
        "joints[2].main": "nothing",
        "joints[3].id": "J1",
        "timbers.board.preservative": "magic",
        "site.climate.station": "Nowhere",
    }
    for where, text in wrong.items():
        _edit(client, at, 1, where=where, value=text)
    page = unescape(client.get(at).text)
    told = re.findall(r'data-where="([^"]+)">([^<]+)</a>: <span>([^<]+)</span>', page)
    assert {where for where, _, _ in told} == set(wrong)
    names = {name for _, name, _ in told}
    assert {"J2, part hanger, size", "timber board, preservative"} <= names
    assert "joint 1 (J1), part lag, words on its label" in names, "two are J1 by now"
    for _, name, said in told:
        assert not re.search(r"\w\[\d|[a-z]_[a-z]|longhold schema", f"{name} {said}"), said


def test_a_new_row_is_a_copy_or_empty_as_the_button_says(client: TestClient) -> None:
    at = _begin(client)
    page = client.get(at).text
    assert "Add a copy of J4" in page
    assert "Add an empty joint" in page
    _edit(client, at, 1, add="joints", empty="yes")
    assert _cell(client.get(at).text, "joints[4].id") == "J5"
    page = unescape(client.get(at).text)
    assert _cell(page, "joints[4].name") == ""
    assert 'data-where="joints[4]">J5</a>: <span>needs at least one part' in page
    assert "in quotes" not in page
    _edit(client, at, 2, add="joints[0].parts")
    assert _cell(client.get(at).text, "joints[0].parts[1].label").startswith("hot-dip")


@pytest.mark.parametrize("path", [*sorted(DEMO.glob("boardwalk.toml"))])
@pytest.mark.parametrize("ending", [".toml", ".json", ".xlsx"])
def test_a_file_goes_in_and_comes_out_saying_the_same(
    client: TestClient, path: Path, ending: str, tmp_path: Path
) -> None:
    from longhold import load

    with path.open("rb") as file:
        sent = client.post("/structures/file", files={"file": (path.name, file)}, follow_redirects=False)
    assert sent.status_code == 303
    got = client.get(f"{sent.headers['location']}/file{ending}")
    back = tmp_path / f"back{ending}"
    back.write_bytes(got.content)
    assert load(back) == load(path)


def test_a_building_model_becomes_a_draft_with_what_is_missing_told(client: TestClient) -> None:
    with (DEMO / "deck_frame.ifc").open("rb") as file:
        sent = client.post("/structures/file", files={"file": ("frame.ifc", file)}, follow_redirects=False)
    assert sent.status_code == 303
    assert "to put right" in client.get(sent.headers["location"]).text


def _bomb() -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("[Content_Types].xml", b"0" * 300_000_000)
    return packed.getvalue()


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("x.exe", lambda: b"MZ"),
        ("x.toml", lambda: b"= nonsense"),
        ("x.toml", lambda: b"\xff\xfe\x00"),
        ("x.toml", lambda: b""),
        ("x.json", lambda: b"[1, 2"),
        ("x.json", lambda: b'{"a":' * 5000),
        ("x.xlsx", lambda: b"PK\x03\x04 not a zip"),
        ("x.xlsx", _bomb),
        ("x.ifc", lambda: b"ISO-10303-21; HEADER;"),
        ("../../etc/passwd.toml", lambda: b"name = 3"),
        ("<img src=x onerror=alert(1)>.toml", lambda: b"name = 3"),
    ],
)
def test_a_file_that_cannot_be_used_is_told_and_nothing_is_kept(
    client: TestClient, name: str, content: Callable[[], bytes]
) -> None:
    sent = client.post("/structures/file", files={"file": (name, content())})
    assert sent.status_code == 422
    assert "was not taken in" in sent.text
    assert "/tmp" not in sent.text
    assert "<img src=x" not in sent.text
    assert "Nothing is kept yet" in client.get("/structures").text


def test_a_file_on_the_server_is_not_read_for_a_structure(client: TestClient) -> None:
    text = (DEMO / "boardwalk.toml").read_text()
    for line in ('[code]\npack = "/etc/hosts.toml"', '[code]\npack = "../../x.toml"'):
        sent = client.post(
            "/structures/file", files={"file": ("x.toml", re.sub(r"\[code\]\npack = .*", line, text))}
        )
        assert sent.status_code == 422
    at = _begin(client)
    _edit(client, at, 1, where="site.climate.file", value="/etc/passwd")
    page = client.get(f"{at}?columns=all").text
    assert "root:" not in page
    assert 'data-where="site.climate.file"' in page


def test_the_same_version_is_shown_with_its_usual_columns_and_with_every_one(client: TestClient) -> None:
    at = _begin(client)
    usual = client.get(at).text
    every = client.get(f"{at}?columns=all").text
    assert every.count("data-head=") > 2 * usual.count("data-head=")
    assert client.get(at).text == usual


def test_names_are_shown_as_they_are_and_run_nowhere(client: TestClient) -> None:
    at = _begin(client, "<script>alert(1)</script>{{7*7}}")
    for page in (at, "/structures", f"{at}/history", f"{at}/compare"):
        text = client.get(page).text
        assert "<script>alert" not in text
        assert "&lt;script&gt;" in text
        assert "{{7*7}}" in text


@pytest.mark.parametrize("path", ["/structures/abc", "/structures/x/history", "/structures/1.5/answer"])
def test_an_address_that_means_nothing_is_told_in_our_words(client: TestClient, path: str) -> None:
    page = client.get(path)
    assert page.status_code == 404
    assert "Nothing is here" in page.text
    assert "parse" not in page.text


def test_buttons_without_what_they_need_say_so_beside_the_field(client: TestClient) -> None:
    empty = client.post("/structures", data={"name": "  "})
    assert empty.status_code == 422
    assert re.search(r'id="name"[^>]*aria-describedby="wrong-name-1 "', empty.text)
    assert "Nothing is kept yet" in client.get("/structures").text
    for sent in ({}, {"files": {"file": ("", b"")}}):
        none = client.post("/structures/file", **sent)  # type: ignore[arg-type]
        assert none.status_code == 422
        assert re.search(r'id="file"[^>]*aria-describedby="wrong-file-1 "', none.text)
        assert "No file was chosen" in none.text
    photo = client.post("/label/photo")
    assert photo.status_code == 422
    assert re.search(r'id="photo"[^>]*aria-describedby="wrong-photo"', photo.text)


def test_the_same_name_twice_makes_two(client: TestClient) -> None:
    assert _begin(client) != _begin(client)
    assert "Deck (2)" in client.get("/structures").text


def test_off_the_list_is_not_gone(client: TestClient) -> None:
    at = _begin(client)
    client.post(f"{at}/archive")
    assert at not in client.get("/structures").text
    assert client.get(at).status_code == 200


@pytest.mark.parametrize(
    "path", ["/structures/99", "/structures/99/answer", "/structures/x", "/structures/1?version=7"]
)
def test_what_is_not_kept_is_said(client: TestClient, path: str) -> None:
    _begin(client)
    assert client.get(path).status_code in (404, 422)


def test_what_was_saved_is_there_after_a_restart(tmp_path: Path) -> None:
    settings = Settings(store=tmp_path / "store.db")
    with TestClient(make_app(settings), base_url="http://127.0.0.1", client=HERE) as first:
        at = _begin(first)
        _edit(first, at, 1, where="note", value="kept")
    with TestClient(make_app(settings), base_url="http://127.0.0.1", client=HERE) as second:
        assert _cell(second.get(at).text, "note") == "kept"
    with Store.open(tmp_path / "store.db") as store:
        assert store.newest(1).number == 2


@pytest.mark.parametrize(("row", "typed"), [(0, "J2"), (1, "J1")])
def test_of_two_joints_with_one_id_the_typed_one_is_told(client: TestClient, row: int, typed: str) -> None:
    at = _begin(client)
    _edit(client, at, 1, where=f"joints[{row}].id", value=typed)
    page = client.get(at).text
    assert re.findall(r'data-where="([^"]*)">([^<]*)<', page) == [
        (f"joints[{row}].id", f"joint {row + 1} ({typed}), id")
    ]
    assert f"joint {2 - row} ({typed})" in page
    assert "Version 1 is saved." in page
