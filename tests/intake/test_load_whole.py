"""Structure files: good ones load, bad ones are refused with every reason at once."""

import json
import re
import time
from pathlib import Path

import pytest

from longhold import intake
from longhold.base.errors import InputError, Problem
from longhold.model.site import Site
from longhold.model.structure import Structure

TEXT = intake.starter()


def problems_after(*changes: tuple[str, str]) -> dict[str, Problem]:
    """Problems by place after replacing text in the starter file."""
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(InputError) as caught:
        intake.loads(text)
    return {problem.where: problem for problem in caught.value.problems}


def only_problem_after(old: str, new: str) -> Problem:
    (problem,) = problems_after((old, new)).values()
    return problem


def as_json(structure: Structure) -> str:
    return json.dumps(structure.model_dump(mode="json", exclude_none=True, exclude_defaults=True))


def test_the_starter_loads():
    structure = intake.loads(TEXT)
    assert [joint.id for joint in structure.joints] == ["J1", "J2", "J3", "J4"]
    assert structure.joints[0].parts[0].measures.diameter_mm == 12.7


def test_json_and_toml_say_the_same(tmp_path):
    structure = intake.loads(TEXT)
    path = tmp_path / "deck.json"
    path.write_text(as_json(structure), encoding="utf-8")
    assert intake.load(path) == structure


@pytest.mark.parametrize("name", ["deck", "deck.txt"])
def test_without_a_telling_name_the_content_decides(tmp_path, name):
    path = tmp_path / name
    path.write_text(as_json(intake.loads(TEXT)), encoding="utf-8")
    assert intake.load(path).name == "Back deck"
    path.write_text(TEXT, encoding="utf-8")
    assert intake.load(path).name == "Back deck"


def test_windows_line_ends_and_byte_order_mark_are_read(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    assert intake.load(path) == intake.loads(TEXT)


def test_every_problem_is_told_at_once_with_its_path():
    found = problems_after(
        ('design_life = "30 years"', "design_life = 30"),
        ('place = "open_to_rain"', 'plase = "open_to_rain"'),
        ('size = "10d common x 1-1/2 in"', 'size = "16d"'),
        ("count = 16", "count = -1"),
        ('main = "band"', 'main = "bend"'),
        ('id = "J4"', 'id = "J3"'),
        ('size = "2x10"', 'size = "2x11"'),
    )
    assert set(found) == {
        "design_life",
        "joints[0].place",
        "joints[0].plase",
        "joints[0].parts[0].count",
        "joints[0].main",
        "joints[1].parts[1].size",
        "joints[3].id",
        "timbers.ledger.size",
    }
    assert "joint 'J2', part 'nail'" in found["joints[1].parts[1].size"].do
    assert "16d common is 0.162 in thick" in found["joints[1].parts[1].size"].allowed
    assert found["joints[1].parts[1].size"].value == "16d"


@pytest.mark.parametrize(
    ("old", "new", "where", "says"),
    [
        ('"30 years"', "30", "design_life", "A number without its unit is never guessed"),
        ('"30 years"', '"30"', "design_life", 'needs a unit, such as "50 years"'),
        ('"30 years"', '"30 feet"', "design_life", "which does not fit"),
        ('"30 years"', '"0 years"', "design_life", "must be more than zero"),
        ('"30 years"', '"30 yoars"', "design_life", "which is not known"),
        ('units = "us"', 'units = "metric"', "units", "one of us, si"),
        ("units =", "unitz =", "unitz", "Did you mean units?"),
        ("units =", "xyz =", "xyz", "Known here are name, units"),
        ('edition = "2021"', "edition = 2021", "code.edition", 'Write "2021"'),
        ("build_date = 2026-05-01", 'build_date = "in May"', "build_date", "a date such as 2026-04-01"),
        ("count = 16", "count = 1.5", "joints[0].parts[0].count", "a whole number"),
        ("count = 16", "count = 0", "joints[0].parts[0].count", "at least 1"),
        ('label = "ASTM A653 G185"', 'label = ""', "joints[1].parts[0].label", "may not be empty"),
        ("quantity = 14", "quantity = true", "joints[1].quantity", "a whole number"),
        ('id = "J3"', 'id = "J 3"', "joints[2].id", "letters, digits"),
        ("[timbers.joist]", '[timbers."my joist"]', "timbers.my joist", "letters, digits"),
        ('demand = "350 lb"', 'demand = "350 kg"', "joints[1].demand", '"400 lb"'),
        ('demand = "350 lb"', 'demand = "-350 lb"', "joints[1].demand", "must be more than zero and at most"),
        ('kind = "nail"', 'kind = "nale"', "joints[1].parts[1].kind", "Did you mean nail?"),
        (
            'label = "305',
            'thickness = "2 mm", label = "305',
            "joints[2].parts[0].thickness",
            "no wood screw has thickness",
        ),
        ('"1/2 in x 4 in"', '"1/2 ft x 4 in"', "joints[0].parts[0].size", "not possible"),
        ('"1/2 in x 4 in"', '"1/2 in x 400 in"', "joints[0].parts[0].size", "of 400 in is not possible"),
        (
            '"30 years"',
            '"0.5 years"',
            "design_life",
            "of 0.5 years is not possible; it must lie between 1 and",
        ),
        ('"30 years"', '"0 years"', "design_life", "must be more than zero and at most 300 years"),
        ('"30 years"', '"600 years"', "design_life", "must be more than zero and at most 300 years"),
        (
            "2026-05-01",
            "1492-05-01",
            "build_date",
            "of 1492 is not possible; it must lie between 1700 and 2200.",
        ),
        ('"1/2 in x 4 in"', '"-1/2 in x 4 in"', "joints[0].parts[0].size", ""),
        ('size = "2x8"', 'thickness = "20 ft"', "timbers.joist.thickness", "not possible"),
        ('size = "2x8"', "", "timbers.joist", "needs a size"),
        ('distance_to_salt_water = "250 miles"', "", "site", "needs distance_to_salt_water"),
        ('station = "Atlanta"', "", "site.climate", "needs a station"),
        (
            'station = "Atlanta"',
            'temperature = "60 F"\nrelative_humidity_pct = 170',
            "site.climate.relative_humidity_pct",
            "at most 100",
        ),
        (
            'station = "Atlanta"',
            'temperature = ["60 F", 61]\nrelative_humidity_pct = [70, 71]',
            "site.climate.temperature[1]",
            "needs a number with its unit",
        ),
    ],
)
def test_a_fault_is_told_where_it_is_with_what_is_allowed(old, new, where, says):
    assert where in problems_after((old, new))
    problem = problems_after((old, new))[where]
    assert says in str(problem)
    assert "Input should" not in str(problem)


def test_one_fault_is_told_once():
    assert only_problem_after('"30 years"', "30").where == "design_life"
    assert only_problem_after('size = "16d common"', 'size = "16d"').where == "joints[3].parts[0].size"
    assert only_problem_after('main = "band"', 'main = "bend"').where == "joints[0].main"
    assert only_problem_after('"joist"\nside = "joist"', '"joist"\nside = "joists"').do.startswith(
        "Did you mean 'joist'?"
    )


def test_part_ids_of_one_joint_differ():
    problem = only_problem_after(
        '{ id = "nail", kind = "nail", size = "10d', '{ id = "hanger", kind = "nail", size = "10d'
    )
    assert problem.where == "joints[1].parts[1].id"


@pytest.mark.parametrize("text", ["", "joints = []\n", "# only a comment\n"])
def test_an_empty_structure_is_refused_field_by_field(text):
    with pytest.raises(InputError) as caught:
        intake.loads(text)
    missing = {problem.where for problem in caught.value.problems}
    assert missing == {"name", "design_life", "code", "site", "timbers", "joints"}


def test_at_most_twenty_problems_are_shown_and_the_rest_counted():
    text = TEXT + "".join(f'\n[[joints]]\nid = "X{i}"\n' for i in range(30))
    with pytest.raises(InputError) as caught:
        intake.loads(text, file="deck.toml")
    lines = str(caught.value).splitlines()
    assert len(lines) == 21
    assert lines[-1] == f"deck.toml: and {len(caught.value.problems) - 20} more"


def test_a_joint_that_is_no_table_is_told():
    text = as_json(intake.loads(TEXT))
    data = json.loads(text)
    data["joints"][1] = "hanger"
    data["joints"][2]["parts"][0] = None
    with pytest.raises(InputError) as caught:
        intake.loads(json.dumps(data), "json")
    assert {problem.where for problem in caught.value.problems} == {"joints[1]", "joints[2].parts[0]"}
    assert "must be a table" in str(caught.value)


def test_a_site_alone_loads_and_is_not_taken_for_a_structure(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(
        'name = "x"\ndistance_to_salt_water = "3 km"\n[climate]\nstation = "Boston"\n', encoding="utf-8"
    )
    assert isinstance(intake.load_site(path), Site)
    with pytest.raises(InputError, match="site alone"):
        intake.load(path)


def test_a_structure_is_not_taken_for_a_site(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_text(TEXT, encoding="utf-8")
    with pytest.raises(InputError, match=r"without a \[site\] heading"):
        intake.load_site(path)


def test_messages_name_the_file(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_text(TEXT.replace('"30 years"', "30"), encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(f"{path}: design_life is 30")):
        intake.load(path)


@pytest.mark.slow
def test_five_thousand_joints_load_in_seconds(tmp_path):
    data = json.loads(as_json(intake.loads(TEXT)))
    data["joints"] = [{**data["joints"][i % 4], "id": f"J{i}"} for i in range(5000)]
    path = tmp_path / "pier.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    start = time.perf_counter()
    assert len(intake.load(path).joints) == 5000
    assert time.perf_counter() - start < 10


def test_demo_files_load():
    demo = Path(__file__).parents[2] / "demo"
    assert len(intake.load(demo / "boardwalk.toml").joints) == 12
    assert intake.load_site(demo / "inland_site.toml").shore == "sheltered"
