"""One joint in a minute."""

from __future__ import annotations

import re
from html import unescape

import pytest
from httpx2 import Response
from starlette.datastructures import QueryParams
from starlette.testclient import TestClient
from tests.web.conftest import settled

HANGER = {
    "at": "39.0 -98.0 Kansas",
    "place": "dry_inside",
    "preservative": "none",
    "kind": ["hanger", "nail", "nail"],
    "size": ["18 ga", "10d common x 1-1/2 in", ""],
    "label": ["G185", "HDG per ASTM A153", ""],
    "count": ["1", "10", ""],
}


def _asked(client: TestClient, params: object, path: str = "/joint") -> Response:
    """The page once what it waits for is computed."""
    return settled(client, client.get(path, params=params))  # type: ignore[arg-type]


def _value(page: str, field: str) -> str:
    found = re.search(rf'<input id="{field}"[^>]* value="([^"]*)"', page)
    assert found is not None
    return unescape(found[1])


def test_the_answer_is_that_of_the_command_line(client: TestClient) -> None:
    from longhold import assess
    from longhold.intake.load import structure_of
    from longhold.web.joint_form import JointForm

    page = _asked(client, HANGER)
    assert page.status_code == 200
    form = JointForm.of(QueryParams(page.request.url.query.decode()))
    found = assess(structure_of(form.given())).findings[0]
    assert found.answer.split(". ")[0] in unescape(page.text).replace("\xa0", " ")
    assert "Show the calculation" in page.text


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"at": ""}, "at"),
        ({"at": "91 0"}, "at"),
        ({"life": "soon"}, "life"),
        ({"species": "plastic"}, "species"),
        ({"preservative": "magic"}, "preservative"),
        ({"timber_size": "9x99"}, "timber_size"),
        ({"side_size": "thick"}, "side_size"),
        ({"salt_water": "45"}, "salt_water"),
        ({"demand": "heavy"}, "demand"),
        ({"code": "nobody 1900"}, "code"),
        ({"place": "moon"}, "place"),
        ({"label": ["zzz", "A153"]}, "label-0"),
        ({"label": ["G185", "zzz"]}, "label-1"),
        ({"size": ["18 ga", "tiny"]}, "size-1"),
        ({"count": ["1", "ten"]}, "count-1"),
        ({"kind": ["hanger", "glue"]}, "kind-1"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(
    client: TestClient, change: dict[str, object], field: str
) -> None:
    sent = {**HANGER, **change}
    page = _asked(client, sent)
    assert page.status_code == 422
    assert f'id="wrong-{field}-1"' in page.text
    assert f'href="#{field}"' in page.text
    if field not in change:  # of a list only the first part is looked at
        return
    typed = change[field]
    assert isinstance(typed, str)
    if f'<input id="{field}"' in page.text:
        assert _value(page.text, field) == typed


def test_all_that_is_wrong_is_told_at_once_each_by_its_field(client: TestClient) -> None:
    sent = {
        **HANGER,
        "at": "91 0",
        "life": "9000 years",
        "salt_water": "45",
        "place": "moon",
        "preservative": "magic",
        "label": ["zzz", "", "yyy"],
        "size": ["18 ga", "", "tiny"],
        "count": ["1", "", ""],
    }
    page = _asked(client, sent)
    told = dict(re.findall(r'<li><a href="#([\w-]+)">([^<]+)</a>:', page.text))
    wanted = {"at", "life", "salt_water", "place", "preservative", "label-0", "label-2", "size-2"}
    assert set(told) == wanted
    assert told["label-2"] == "Words on the label of part 3"
    assert "11 things" not in page.text
    for field in wanted:
        described = re.search(rf'id="{field}"[^>]* aria-describedby="([^"]+)"', page.text)
        assert described is not None, field
        assert f"wrong-{field}-1" in described[1].split()
    assert "more than zero and at most 300 years" in page.text, "in the unit that was typed"
    assert not re.search(r"joints\[|part\d|timber side", page.text.partition("<form")[0])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"salt_water": "900000 miles"}, "between 0 miles and 12,000 miles"),
        ({"salt_water": "90000000 ft"}, "between 0 ft and 65 million ft"),
        ({"size": ["18 ga", "10 in x 900 in", ""]}, "in."),
        ({"demand": "-350 lb"}, "zero and at most 2.2 million lb"),
    ],
)
def test_bounds_are_told_in_the_unit_that_was_typed(
    client: TestClient, change: dict[str, object], said: str
) -> None:
    assert said in re.sub(r"<[^>]+>", "", _asked(client, {**HANGER, **change}).text.partition("<form")[0])


def test_presses_on_the_map_add_no_lines_for_parts(client: TestClient) -> None:
    sent: dict[str, object] = {
        "kind": ["lag_screw"],
        "size": ["1/2 in x 4 in"],
        "label": ["G90"],
        "count": [""],
    }
    for _ in range(3):
        page = client.get("/joint", params={**sent, "view": "20,0,360", "map.x": "170", "map.y": "115"}).text
        for name in ("size", "label", "count"):
            sent[name] = re.findall(rf'<input id="{name}-\d" name="{name}" value="([^"]*)"', page)
        sent["kind"] = ["lag_screw", *["nail"] * (len(sent["size"]) - 1)]  # type: ignore[arg-type]
    assert sent["size"] == ["1/2 in x 4 in", ""]


def test_a_lower_class_is_accepted_on_the_page(client: TestClient) -> None:
    sent = {
        "at": "54.0 8.0",
        "salt_water": "100 m",
        "place": "open_to_rain",
        "code": "eu_1993_1_4 2006",
        "kind": "bolt",
        "size": "12 mm x 200 mm",
        "label": "A2-70",
        "count": "1",
        "accepted": "<b>The owner</b>, looked at yearly",
        "cleaning": "specified",
    }
    form = client.get("/joint", params={**sent, "change": "1"})
    assert 'id="accepted-0" name="accepted" value="&lt;b&gt;The owner' in form.text
    from longhold.web.joint_form import JointForm

    given = JointForm.of(QueryParams({name: str(text) for name, text in sent.items()})).given()
    assert given["joints"][0]["parts"][0]["class_short_accepted"] == sent["accepted"]
    assert given["joints"][0]["parts"][0]["cleaning"] == "specified"
    assert re.search(r'<option value="specified" selected>to a written cleaning plan', form.text)


def test_a_press_on_the_map_fills_the_position_and_comes_closer(client: TestClient) -> None:
    world = client.get(
        "/joint", params={"view": "20,0,360", "map.x": "170", "map.y": "115", "life": "12 years"}
    )
    assert _value(world.text, "at") == "20.0000 0.0000"
    assert _value(world.text, "life") == "12 years"
    assert "span=90.00000" in world.text
    desk = client.get("/joint", params={"view": "20,0,360", "wide.x": "340", "wide.y": "230"})
    assert _value(desk.text, "at") == "20.0000 0.0000", "the map at a desk is twice as large"


def test_a_press_on_open_sea_is_said_and_not_taken(client: TestClient) -> None:
    """Bermuda is some 570 miles east of Cape Hatteras, the nearest point of the mainland; half way is sea."""
    pressed = {"view": "34,-70,4", "map.x": "170", "map.y": "115", "at": "39.0 -98.0 Kansas"}
    page = client.get("/joint", params=pressed).text
    told = re.search(r'id="at-sea">([^<]+)', page)
    assert told is not None
    assert "open sea, 34.00 N 70.00 W" in told[1]
    miles = re.search(r"nearest land is ([\d,]+) miles", told[1])
    assert miles is not None
    assert 180 < int(miles[1]) < 390, "less than the way to either"
    assert _value(page, "at") == "39.0 -98.0 Kansas"


def test_open_sea_typed_as_a_position_is_told_beside_it(client: TestClient) -> None:
    page = client.get("/joint", params={"at": "20 -40", "kind": "nail", "label": "HDG", "size": "10d common"})
    assert page.status_code == 422
    assert re.search(r'id="at"[^>]*aria-invalid="true"', page.text)
    assert 'href="#at">Latitude and longitude</a>: Lies in Antarctica or in the open sea' in page.text
    assert "Check latitude and longitude" in page.text, "the form has no field for a climate"


def test_a_joint_without_parts_is_told_so(client: TestClient) -> None:
    page = client.get("/joint", params={**HANGER, "label": ["", ""], "size": ["", ""]})
    assert page.status_code == 422
    assert "part" in page.text


@pytest.mark.parametrize("text", ["../../etc/passwd", "town.toml 2021", "/etc/hosts.toml x", "{{7*7}} 1"])
def test_no_file_of_the_server_is_read_for_a_code(client: TestClient, text: str) -> None:
    page = client.get("/joint", params={**HANGER, "code": text})
    assert page.status_code == 422
    assert "root:" not in page.text
    assert "49 1" not in page.text


def test_what_would_pass_is_what_the_command_lists(client: TestClient) -> None:
    from longhold.assessment.allowed import allowed_at
    from longhold.intake.load import structure_of
    from longhold.web.joint_form import JointForm

    page = _asked(client, HANGER, "/joint/allowed")
    structure = structure_of(JointForm.of(QueryParams(page.request.url.query.decode())).given())
    for part in allowed_at(structure, structure.joints[0]):
        for option in part.options:
            assert option.words in unescape(page.text).replace("\xa0", " ")


def test_what_nobody_gave_can_be_said_in_the_answer(client: TestClient) -> None:
    said = client.get(
        "/joint",
        params={**HANGER, "path": "joints[0].double_shear", "value": "yes"},
        follow_redirects=False,
    )
    assert said.status_code == 303
    assert "double_shear%3Dyes" in said.headers["location"].replace("=yes", "%3Dyes")
    form = client.get(said.headers["location"] + "&change=1")
    assert 'value="joints[0].double_shear=yes"' in unescape(form.text)


@pytest.mark.parametrize(("path", "typed"), [("target_chance", "abc"), ("strength_fraction", "12")])
def test_what_cannot_be_said_stands_beside_its_field_and_the_answer_stays(
    client: TestClient, path: str, typed: str
) -> None:
    page = _asked(client, {**HANGER, "path": path, "value": typed})
    assert page.status_code == 422
    shown = unescape(page.text)
    field = re.search(r'<details class="change" open id="not-taken">.*?</details>', shown, re.S)
    assert field is not None
    assert f'name="path" value="{path}"' in field[0]
    assert 'class="wrong"' in field[0]
    assert f"“{typed}” was not taken" in shown
    assert "Show the calculation" in shown


def test_the_prefilled_example_can_be_checked_under_a_load(client: TestClient) -> None:
    page = _asked(client, {"at": "39.0 -98.0 Kansas", "demand": "200 lb"}, "/joint/allowed")
    assert page.status_code == 200
    assert "Nothing can be found enough" not in page.text
    first = re.search(r"Would pass: (\d+) of", page.text)
    assert first is not None
    assert int(first[1]) > 0


def test_what_cannot_be_decided_says_its_cause_above_all_that_was_tried(client: TestClient) -> None:
    given = {"at": "39.0 -98.0", "demand": "200 lb", "timber_size": "2x8", "side_size": "2x8"}
    lag = {"kind": "lag_screw", "size": "1/2 in x 4 in", "label": "HDG per ASTM A153"}
    page = _asked(client, {**given, **lag}, "/joint/allowed")
    cause = page.text.index("The stated load is not checked, for the timber that holds its point")
    assert cause < page.text.index("Would pass: 0 of")
    assert "change=1" in page.text[cause : cause + 800]


def test_a_map_far_inland_says_where_it_lies(client: TestClient) -> None:
    inland = client.get("/joint", params={"view": "38.5,-98,1", "units": "si"}).text
    assert "the nearest to its middle is 1,000 km to the south." in inland
    shown = re.search(r'<img src="/map.svg\?([^"]+)"', inland)
    assert shown is not None
    picture = client.get(f"/map.svg?{unescape(shown[1])}").text
    assert 'class="here"' in picture
    assert 'class="land"' in picture
    assert "°" not in picture, "degrees are too small to be read on it"
    assert "No shore in this map" not in client.get("/joint", params={"view": "50.07,-5.72,1"}).text


def _map_form(client: TestClient, **sent: str) -> tuple[str, tuple[float, float, float], str]:
    """Position that the form holds, the view of its map, and what is said at sea."""
    page = client.get("/joint", params=sent).text
    latitude, longitude, span = re.search(r'name="view" value="([^"]+)"', page)[1].split(",")  # type: ignore[index]
    said = re.search(r'id="at-sea">([^<]+)', page)
    at = re.search(r'id="at" name="at" value="([^"]*)"', page)
    assert at is not None
    return at[1], (float(latitude), float(longitude), float(span)), said[1] if said else ""


def test_a_press_far_out_moves_the_map_and_one_beside_land_comes_closer(client: TestClient) -> None:
    """37.91 N 75.18 W is in the Atlantic, some miles off Assateague Island; 34 N 50 W is in its middle."""
    _, view, said = _map_form(client, view="34,-50,4", **{"map.x": "170", "map.y": "115"})
    assert "open sea" in said
    assert view == (34.0, -50.0, 4.0), "it does not come closer to nothing"
    at, view, said = _map_form(client, view="37.91,-75.18,90", **{"map.x": "170", "map.y": "115"})
    assert "just off the shore" in said
    assert at == ""
    assert view[2] == 22.5
    _, _, said = _map_form(client, view="37.91,-75.18,0.5", **{"map.x": "170", "map.y": "115"})
    assert "the nearest land is" in said, "seven miles are no slip of the finger here"


def test_wider_shows_the_position_that_was_typed(client: TestClient) -> None:
    at, view, _ = _map_form(client, at="33.97 -77.92 Wilmington", view="36,159,0.1", wider="1")
    assert at == "33.97 -77.92 Wilmington"
    assert view == (33.97, -77.92, 0.4)
    _, view, _ = _map_form(client, at="33.97 -77.92 Wilmington", view="34,-78,4", wider="1")
    assert view == (34.0, -78.0, 16.0), "what shows it already stays"
