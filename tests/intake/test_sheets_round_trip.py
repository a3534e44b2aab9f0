"""A structure written as a workbook, or as TOML, and read again is the same structure."""

import datetime
import io
import json
import tomllib
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from python_calamine import CalamineWorkbook
from structures import structures

from longhold import intake
from longhold.base.errors import InputError
from longhold.intake.convert import converted
from longhold.intake.described import described
from longhold.intake.sheet_fields import plan
from longhold.intake.sheet_reading import read_structure_sheets
from longhold.intake.sheet_writing import structure_workbook
from longhold.intake.toml_text import toml_text
from longhold.model.structure import Structure

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo" / "boardwalk.toml"


def said(record):
    """Which fields were said, all the way down: what was not is listed as an assumption."""
    if isinstance(record, list):
        return [said(one) for one in record]
    if isinstance(record, dict):
        return {name: said(one) for name, one in record.items()}
    if not hasattr(record, "model_fields_set"):
        return record
    return {
        name: said(getattr(record, name))
        for name in record.model_fields_set
        if getattr(record, name) not in (None, [])
    }


def read_back(structure, tmp_path):
    path = tmp_path / "made.xlsx"
    path.write_bytes(structure_workbook(described(structure)))
    read = read_structure_sheets(path)
    assert read.problems == []
    return Structure.model_validate(read.given)


@pytest.mark.slow
@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
@given(structures())
def test_any_structure_is_the_same_after_a_workbook_and_after_toml(tmp_path_factory, structure):
    assert Structure.model_validate(tomllib.loads(toml_text(described(structure)))) == structure
    again = read_back(structure, tmp_path_factory.mktemp("made"))
    assert again == structure
    assert again.joints == structure.joints
    assert [said(joint) for joint in again.joints] == [
        said(joint) if joint.layout is None or joint.layout.model_fields_set else said(one)
        for joint, one in zip(structure.joints, again.joints, strict=True)
    ]


def test_the_demo_goes_through_every_form_and_stays_the_same(tmp_path):
    wanted, last = intake.load(DEMO), DEMO
    for name in ("a.xlsx", "b.json", "c.xlsx", "d.toml"):
        made, path = converted(last, tmp_path / name), tmp_path / name
        path.write_bytes(made if isinstance(made, bytes) else made.encode())
        last = path
        assert intake.load(path) == wanted
    given = tomllib.loads(last.read_text(encoding="utf-8"))
    assert given["site"]["distance_to_salt_water"] == "150 ft"
    assert given == tomllib.loads(DEMO.read_text(encoding="utf-8"))


def test_another_library_reads_what_was_written(tmp_path):
    path = tmp_path / "demo.xlsx"
    path.write_bytes(converted(DEMO, path))
    book = CalamineWorkbook.from_path(str(path))
    assert book.sheet_names[:6] == ["Start here", "Structure", "Near", "Timbers", "Joints", "Parts"]
    given = tomllib.loads(DEMO.read_text(encoding="utf-8"))
    heads, _, *rows = book.get_sheet_by_name("Joints").to_python()
    for row, joint in zip(rows, given["joints"], strict=True):
        shown = {head: value for head, value in zip(heads, row, strict=True) if value != ""}
        assert shown == {name: value for name, value in joint.items() if name != "parts"}
    heads, _, *rows = book.get_sheet_by_name("Parts").to_python()
    listed = [{"joint": joint["id"], **part} for joint in given["joints"] for part in joint["parts"]]
    shown = [{head: value for head, value in zip(heads, row, strict=True) if value != ""} for row in rows]
    assert shown == listed
    values = {row[0]: row[1] for row in book.get_sheet_by_name("Structure").to_python()}
    assert values["build_date"] == datetime.date(2026, 4, 1)
    assert values["code.edition"] == "2021"


@pytest.mark.parametrize("text", ["=HYPERLINK(1)", "+1", "-1", "@now", "=cmd|' /C calc'!A0"])
def test_text_that_looks_like_a_formula_is_text(tmp_path, text, small_structure):
    structure = small_structure().model_copy(update={"name": text})
    raw = structure_workbook({**described(structure), "name": text})
    cell = openpyxl.load_workbook(io.BytesIO(raw))["Structure"]["B2"]
    assert (cell.value, cell.data_type, cell.quotePrefix) == (text, "s", True)
    rows = CalamineWorkbook.from_filelike(io.BytesIO(raw)).get_sheet_by_name("Structure").to_python()
    assert rows[1][1] == text


def test_every_field_of_the_model_has_a_column():
    """Against the JSON Schema, which is made from the model by another way."""
    schema = Structure.model_json_schema()

    def fields(node, before=""):
        node = schema["$defs"][node["$ref"].rsplit("/", 1)[-1]] if "$ref" in node else node
        for name, about in node["properties"].items():
            options = [one for one in about.get("anyOf", [about]) if one.get("type") != "null"]
            if (
                "$ref" in options[0]
                and "properties" in schema["$defs"][options[0]["$ref"].rsplit("/", 1)[-1]]
            ):
                yield from fields(options[0], f"{before}{name}.")
            elif "$ref" in (
                inner := options[0].get("items")
                or next(iter(options[0].get("patternProperties", {}).values()), {})
            ) and ("properties" in schema["$defs"][inner["$ref"].rsplit("/", 1)[-1]]):
                lists.append((name, inner))
            else:
                yield f"{before}{name}"

    lists = []
    wanted = {"Structure": set(fields(schema))}
    while lists:
        name, inner = lists.pop()
        wanted[name.capitalize()] = set(fields(inner))
    assert {one.name: {field.path for field in one.fields} for one in plan()} == wanted
    for one in plan():
        assert len(set(one.heads)) == len(one.heads)


def test_what_a_workbook_cannot_hold_is_refused_with_its_place(small_structure):
    given = described(small_structure())
    given["note"] = "_x000D_"
    given["timbers"]["joist"]["species"] = "  "
    with pytest.raises(InputError) as caught:
        structure_workbook(given)
    assert {problem.where for problem in caught.value.problems} == {"note", "timbers.joist.species"}


def test_a_pack_too_long_for_a_cell_goes_on_below(small_structure, tmp_path):
    rules = "\r\n".join(f"rule {i} = {i}" for i in range(9000))
    given = described(small_structure())
    given["code"] = {"pack": "town.toml", "edition": "1", "rules": rules}
    assert read_back(Structure.model_validate(given), tmp_path).code.rules == rules


def test_files_that_a_structure_names_are_named_from_the_new_folder(tmp_path):
    text = intake.starter().replace('station = "Atlanta"', 'file = "year.csv"')
    (tmp_path / "year.csv").write_text(
        "month,temperature_c,relative_humidity_pct\n" + "".join(f"{i},{i},70\n" for i in range(1, 13)),
        encoding="utf-8",
    )
    (tmp_path / "deck.toml").write_text(text, encoding="utf-8")
    (tmp_path / "sub").mkdir()
    target = tmp_path / "sub" / "deck.xlsx"
    target.write_bytes(converted(tmp_path / "deck.toml", target))
    wanted, found = intake.load(tmp_path / "deck.toml"), intake.load(target)
    assert found.site.climate.temperature == wanted.site.climate.temperature
    assert read_structure_sheets(target).given["site"]["climate"]["file"] == "../year.csv"


def test_an_empty_table_in_json_is_still_there_after_a_workbook(tmp_path, small_structure):
    given = json.loads(json.dumps(described(small_structure())))
    given["joints"][0]["layout"] = {}
    given["joints"][0]["side"] = None
    (tmp_path / "deck.json").write_text(json.dumps(given), encoding="utf-8")
    target = tmp_path / "deck.xlsx"
    target.write_bytes(converted(tmp_path / "deck.json", target))
    assert intake.load(target) == intake.load(tmp_path / "deck.json")
    assert intake.load(target).joints[0].layout is not None


def test_no_text_of_the_demo_is_higher_than_its_row(tmp_path):
    """A line of 11 points takes 13 or more, and a column holds about as many signs as it is wide."""
    path = tmp_path / "walk.xlsx"
    path.write_bytes(converted(DEMO, path))
    book = openpyxl.load_workbook(path)
    checked = 0
    for name in ("Structure", "Parts"):
        sheet = book[name]
        for row in range(3, sheet.max_row + 1):
            for cell in sheet[row]:
                wide = sheet.column_dimensions[cell.column_letter]
                if isinstance(cell.value, str) and not wide.hidden and not cell.font.i:
                    lines = -(-len(cell.value) // int(wide.width))
                    assert lines == 1 or sheet.row_dimensions[row].height >= 13 * lines
                    checked += lines > 1
    assert checked >= 5
