"""Workbooks that are wrong: every cell told at once, hostile and broken files refused in plain words."""

import datetime
import io
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest

from longhold import intake
from longhold.base.errors import InputError
from longhold.intake import workbook
from longhold.intake.convert import converted
from longhold.intake.sheet_writing import structure_workbook

DEMO = Path(__file__).parents[2] / "demo" / "boardwalk.toml"


@pytest.fixture(scope="module")
def demo_bytes():
    return converted(DEMO, Path("demo.xlsx"))


@pytest.fixture
def changed(demo_bytes, tmp_path):
    """Loads the demo's workbook after cells were changed: {(sheet, head, row): value}."""

    def made(changes, sheets=None):
        book = openpyxl.load_workbook(io.BytesIO(demo_bytes))
        for (sheet, head, row), value in changes.items():
            heads = {cell.value: cell.column for cell in book[sheet][1]}
            book[sheet].cell(row, heads.get(head, head)).value = value
        if sheets is not None:
            sheets(book)
        path = tmp_path / "changed.xlsx"
        book.save(path)
        return path

    return made


def problems(path):
    with pytest.raises(InputError) as caught:
        intake.load(path)
    return {problem.where: str(problem) for problem in caught.value.problems}


def main_row(demo_bytes, field):
    sheet = openpyxl.load_workbook(io.BytesIO(demo_bytes))["Structure"]
    return next(row[0].row for row in sheet.iter_rows() if row[0].value == field)


def column(demo_bytes, sheet, field):
    heads = openpyxl.load_workbook(io.BytesIO(demo_bytes))[sheet]
    return next(
        cell.column_letter for row in heads.iter_rows(max_row=3) for cell in row if cell.value == field
    )


def test_every_problem_is_told_at_once_with_its_cell(changed, demo_bytes):
    life = main_row(demo_bytes, "design_life")
    repainted = f"Parts!{column(demo_bytes, 'Parts', 'topcoat_repainted')}6 (topcoat_repainted)"
    found = problems(
        changed(
            {
                ("Structure", "value", life): 50,
                ("Timbers", "size", 3): "2x11",
                ("Joints", "place", 4): "open to rian",
                ("Joints", "main", 5): "joists",
                ("Joints", "quantity", 6): 1.5,
                ("Joints", "demand", 4): 400,
                ("Joints", "id", 7): "J04",
                ("Parts", "joint", 3): "J99",
                ("Parts", "label", 5): None,
                ("Parts", "topcoat_repainted", 6): "perhaps",
                ("Parts", "size", 7): datetime.date(2026, 3, 4),
                ("Parts", "kind", 8): "nale",
            }
        )
    )
    wanted = {
        f"Structure!B{life} (design_life)": "A number without its unit is never guessed",
        "Timbers!K3 (size)": "is not in the lumber table",
        "Joints!D4 (place)": "Did you mean open_to_rain?",
        "Joints!E5 (main)": "Did you mean 'joist'?",
        "Joints!G6 (quantity)": "a whole number",
        "Joints!K4 (demand)": "needs a number with its unit",
        "Joints!B7 (id)": "is the id of another joint",
        "Parts!B3": "is no joint of this workbook",
        "Parts!E5 (label)": "is missing",
        repainted: "must be yes or no",
        "Parts!F7 (size)": "A program may turn 3/4 into a date",
        "Parts!D8 (kind)": "Did you mean nail?",
    }
    told = {where: text for where, text in found.items() if where in wanted}
    assert set(told) == set(wanted), found
    for where, says in wanted.items():
        assert says in told[where]
        assert "in quotes" not in told[where]
    # a joint that lost its only part, and parts whose joint has lost its id
    assert set(found) - set(wanted) == {"Joints!B3 (id)", "Parts!B10", "Parts!B11"}


def test_a_head_that_is_not_known_and_values_under_none(changed):
    found = problems(
        changed(
            {
                ("Joints", 30, 1): "plase",
                ("Joints", 30, 4): "x",
                ("Parts", 40, 9): "x",
                ("Parts", 40, 10): "y",
            }
        )
    )
    assert "Did you mean place?" in found["Joints!AD1"]
    assert "stands under no head" in found["Parts!AN9"]
    assert len(found) == 2


def test_a_field_twice_or_unknown_on_the_main_sheet(changed):
    found = problems(
        changed(
            {
                ("Structure", 1, 60): "name",
                ("Structure", 2, 60): "x",
                ("Structure", 1, 61): "sight",
                ("Structure", 2, 61): "x",
            }
        )
    )
    assert "name stands above already, at Structure!B2" in found["Structure!B60"]
    assert "Did you mean" in found["Structure!A61"] or "Known here are" in found["Structure!A61"]


def test_numbers_and_dates_as_people_type_them(changed, demo_bytes):
    edition, date = main_row(demo_bytes, "code.edition"), main_row(demo_bytes, "build_date")
    found = intake.load(
        changed(
            {
                ("Structure", "value", edition): 2021,
                ("Structure", "value", date): "2026-04-01",
                ("Joints", "quantity", 4): 22.0,
                ("Joints", "quantity", 5): "22",
                ("Joints", "main_end_grain", 5): True,
                ("Joints", "place", 6): "open_to_rain ",
            }
        )
    )
    assert found.code.edition == "2021"
    assert found.build_date == datetime.date(2026, 4, 1)
    assert [joint.quantity for joint in found.joints[1:3]] == [22, 22]
    assert found.joints[2].main_end_grain is True


def test_a_percent_cell_counts_as_it_is_shown(changed, demo_bytes):
    row = main_row(demo_bytes, "site.climate.relative_humidity_pct")

    def percent(book):
        book["Structure"].cell(row, 2).number_format = "0%"

    path = changed(
        {
            ("Structure", "value", row): 0.7,
            ("Structure", "value", main_row(demo_bytes, "site.climate.temperature")): "60 F",
            ("Structure", "value", main_row(demo_bytes, "site.climate.station")): None,
        },
        percent,
    )
    assert intake.load(path).site.climate.relative_humidity_pct == 70.0


def test_a_formula_counts_by_its_written_value_and_without_one_is_told(changed, demo_bytes, tmp_path):
    path = changed({("Joints", "name", 4): '=A1&"x"', ("Joints", "quantity", 5): "=1+1"})
    found = problems(path)
    assert "formula whose value is not written" in found["Joints!C4 (name)"]
    assert "formula whose value is not written" in found["Joints!G5 (quantity)"]
    written = rezipped(
        path, tmp_path / "written.xlsx", "xl/worksheets/sheet5.xml", b"<f>1+1</f><v />", b"<f>1+1</f><v>7</v>"
    )
    assert list(problems(written)) == ["Joints!C4 (name)"]


def rezipped(path, target, part, old, new):
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as made:
        for name in source.namelist():
            content = source.read(name)
            if name == part:
                assert old in content, content[:3000]
                content = content.replace(old, new, 1)
            made.writestr(name, content)
    return target


@pytest.mark.parametrize("style", [b"", b"999", b"-99999"])
def test_a_cell_whose_style_the_file_does_not_hold_is_told(demo_bytes, tmp_path, style):
    source = tmp_path / "demo.xlsx"
    source.write_bytes(demo_bytes)
    sheet = "xl/worksheets/sheet5.xml"
    cell = re.search(rb'<c r="G4"( s="\d+")?', zipfile.ZipFile(source).read(sheet))
    path = rezipped(source, tmp_path / "given.xlsx", sheet, cell[0], b'<c r="G4" s="%s"' % style)
    assert "has a number format that this file does not hold" in problems(path)["Joints!G4 (quantity)"]


def test_an_error_in_a_cell_is_told(changed):
    assert (
        "holds the error #REF!" in problems(changed({("Joints", "demand", 4): "#REF!"}))["Joints!K4 (demand)"]
    )


def test_the_template_is_empty_and_its_example_is_no_data(tmp_path):
    path = tmp_path / "template.xlsx"
    path.write_bytes(structure_workbook(None))
    found = problems(path)
    assert {where.split(" ")[-1] for where in found} == {
        "(name)", "(design_life)", "(code.pack)", "(code.edition)", "(site.name)", "Timbers", "Joints",
    }  # fmt: skip
    book = openpyxl.load_workbook(path)
    book["Joints"]["C3"] = "My own joint"
    book.save(path)
    assert "the row was changed, and an example is not read" in problems(path)["Joints!A3"]


def test_a_filled_in_template_loads(tmp_path):
    path = tmp_path / "template.xlsx"
    path.write_bytes(structure_workbook(None))
    book = openpyxl.load_workbook(path)
    for row in book["Structure"].iter_rows(min_row=2):
        row[1].value = row[3].value  # the examples are those of the structure that "new" writes
    for sheet in ("Timbers", "Joints", "Parts"):
        for cell in book[sheet][3][1:]:
            book[sheet].cell(4, cell.column).value = cell.value
    book["Joints"]["E4"] = "joist"
    book.save(path)
    deck = intake.load(path)
    assert (deck.name, deck.joints[0].parts[0].label, deck.site.climate.station) == (
        "Back deck",
        "ASTM A653 G185",
        "Atlanta",
    )


def test_the_template_offers_the_words_that_are_allowed():
    book = openpyxl.load_workbook(io.BytesIO(structure_workbook(None)))
    rules = {
        str(rule.sqref).split(":")[0]: rule.formula1
        for rule in book["Joints"].data_validations.dataValidation
    }
    sheet, cells = rules["D4"].lstrip("=").split("!")
    offered = [row[0].value for row in book[sheet][cells.replace("$", "")]]
    assert offered[:3] == ["open_to_rain", "under_cover", "dry_inside"]
    assert rules["E4"] == "=Timbers!$B$3:$B$5000"
    assert book["Joints"].freeze_panes == "C3"
    assert book["Joints"].print_title_rows == "$1:$1"


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("deck.xlsx", b"name,place\nJ1,open\n", "is not a workbook"),
        (
            "deck.xlsx",
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
            "is an old workbook (.xls), or one locked with a password",
        ),
        ("deck.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "is an old workbook"),
        ("deck.xlsx", b"", "is empty"),
        ("deck.xlsx", b"PK\x03\x04 and nothing else", "is broken"),
    ],
)
def test_what_is_no_workbook_is_refused(tmp_path, name, content, says):
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        intake.load(path)
    assert says in str(caught.value)


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(InputError, match="there is no such file"):
        intake.load(tmp_path / "no.xlsx")


def test_a_workbook_that_is_cut_off_is_refused(tmp_path, demo_bytes):
    path = tmp_path / "cut.xlsx"
    for length in range(100, len(demo_bytes), 1777):
        path.write_bytes(demo_bytes[:length])
        with pytest.raises(InputError, match="is broken"):
            intake.load(path)


def test_a_part_that_does_not_unpack_is_told_in_plain_words(tmp_path, demo_bytes):
    with zipfile.ZipFile(io.BytesIO(demo_bytes)) as book:
        entry = book.getinfo("xl/worksheets/sheet5.xml")
    start = entry.header_offset + 30 + len(entry.filename)
    path = tmp_path / "damaged.xlsx"
    path.write_bytes(demo_bytes[:start] + b"\x07" * 9 + demo_bytes[start + 9 :])
    with pytest.raises(InputError, match="is broken: a part of it cannot be unpacked"):
        intake.load(path)


def test_a_workbook_with_a_damaged_byte_is_read_right_or_refused(tmp_path, demo_bytes):
    path, wanted = tmp_path / "bad.xlsx", intake.load(DEMO)
    for at in range(50, len(demo_bytes), 997):
        path.write_bytes(demo_bytes[:at] + bytes([demo_bytes[at] ^ 0xFF]) + demo_bytes[at + 1 :])
        said = told_or_loaded(path)
        assert said == wanted or (isinstance(said, str) and str(path) in said)


def told_or_loaded(path):
    try:
        return intake.load(path)
    except InputError as error:
        return str(error)


def packed(path, parts):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in parts.items():
            made.writestr(name, content)
    return path


def test_other_packages_are_named(tmp_path):
    for parts, says in (
        ({"a.txt": "x"}, "is a zip file, but no workbook"),
        ({"content.xml": "<a/>", "mimetype": "x"}, "is an OpenDocument file"),
        ({"xl/workbook.bin": "x"}, r"is a binary workbook \(.xlsb\)"),
        ({"xl/workbook.xml": "<a/>"}, "cannot be read as a workbook"),
        ({"xl/workbook.xml": "not xml"}, "is not XML"),
    ):
        with pytest.raises(InputError, match=says):
            intake.load(packed(tmp_path / "x.xlsx", parts))


@pytest.mark.slow
def test_a_bomb_is_refused_before_it_is_unpacked(tmp_path):
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("xl/workbook.xml", "<a/>")
        with made.open("xl/worksheets/sheet1.xml", "w") as stream:
            for _ in range(300):
                stream.write(bytes(1_000_000))
    assert path.stat().st_size < 1_000_000
    with pytest.raises(InputError, match="unpacks to 300 MB, more than is read"):
        intake.load(path)


LAUGHS = b"""<?xml version="1.0"?><!DOCTYPE a [<!ENTITY l "ha"><!ENTITY m "&l;&l;&l;">]>"""
OUTSIDE = b"""<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/hostname">]>"""


@pytest.mark.parametrize("head", [LAUGHS, OUTSIDE, b"<!-- " + b"x" * 200_000 + b" --><!DOCTYPE a>"])
@pytest.mark.parametrize(
    "part", ["xl/workbook.xml", "xl/worksheets/sheet5.xml", "[Content_Types].xml", "xl/styles.xml"]
)
def test_entities_and_document_types_are_refused(tmp_path, demo_bytes, head, part):
    source, target = tmp_path / "good.xlsx", tmp_path / "bad.xlsx"
    source.write_bytes(demo_bytes)
    with zipfile.ZipFile(source) as good, zipfile.ZipFile(target, "w") as bad:
        for name in good.namelist():
            content = good.read(name)
            if name == part:
                content = head + content[content.index(b"?>") + 2 if content.startswith(b"<?xml") else 0 :]
            bad.writestr(name, content)
    with pytest.raises(InputError, match="declares entities or a document type"):
        intake.load(target)


@pytest.mark.parametrize("part", ["xl/workbook.xml", "xl/worksheets/sheet5.xml"])
@pytest.mark.parametrize("head", [b"0" * 60_000_000, b'<a b="' + b"0" * 60_000_000])
def test_a_text_without_end_is_refused_at_once(tmp_path, demo_bytes, head, part):
    """A reader that is fed in pieces goes over it again at each: this one took a core for minutes."""
    source, target = tmp_path / "good.xlsx", tmp_path / "bad.xlsx"
    source.write_bytes(demo_bytes)
    with zipfile.ZipFile(source) as good, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as bad:
        for name in good.namelist():
            bad.writestr(name, head if name == part else good.read(name))
    with pytest.raises(InputError, match="a text of more than a million letters"):
        intake.load(target)


def test_a_row_far_away_costs_no_time(changed, tmp_path):
    path = changed({("Joints", "name", 40): "x"})
    far = rezipped(path, tmp_path / "far.xlsx", "xl/worksheets/sheet5.xml", b'r="40"', b'r="999999999999"')
    with pytest.raises(InputError, match="has a row past 1,048,576"):
        intake.load(far)


@pytest.mark.parametrize(
    ("old", "new"),
    [(b'r="40"', b'r="f"'), (b"<v>", b"<v>&amp;"), (b"<dataValidation ", b'<dataValidation sqref="x" a')],
)
def test_a_fault_of_the_library_is_told_without_its_words(changed, tmp_path, old, new):
    """Found by tools/fuzz.py: "invalid literal for int() with base 10", "expected <class 'float'>"."""
    path = changed({("Joints", "name", 40): 3})
    broken = rezipped(path, tmp_path / "broken.xlsx", "xl/worksheets/sheet5.xml", old, new)
    with pytest.raises(InputError, match="it is not written as workbooks are") as caught:
        intake.load(broken)
    assert "Joints" in str(caught.value)


def test_missing_and_misnamed_sheets_are_told(changed):
    def renamed(book):
        book["Joints"].title = "Joint"
        del book["Parts"]

    with pytest.raises(InputError) as caught:
        intake.load(changed({}, renamed))
    assert "has no sheet Joints; its sheets are Start here, Structure, Near, Timbers, Joint." in str(
        caught.value
    )
    assert "Is it 'Joint'?" in str(caught.value)
    assert "has no sheet Parts" in str(caught.value)


def test_a_misnamed_sheet_that_is_not_needed_is_not_passed_over(changed):
    def renamed(book):
        book["Near"].title = "Nearby"

    with pytest.raises(InputError, match="Then name that sheet Near"):
        intake.load(changed({}, renamed))


def test_sheets_of_the_users_own_and_macros_do_no_harm(changed, tmp_path):
    def more(book):
        book.create_sheet("My sums")["A1"] = "=1+1"

    path = changed({}, more)
    macros = tmp_path / "deck.xlsm"
    macros.write_bytes(path.read_bytes())
    with zipfile.ZipFile(macros, "a") as package:
        package.writestr("xl/vbaProject.bin", b"never run")
    assert intake.load(macros) == intake.load(DEMO)
    assert workbook.macro_words("deck.xlsm", macros.read_bytes()).startswith(
        "deck.xlsm holds macros: none was"
    )
    for name, raw in (
        ("deck.xlsx", path.read_bytes()),
        ("deck.csv", macros.read_bytes()),
        ("deck.xlsx", b"PK"),
    ):
        assert workbook.macro_words(name, raw) == ""


def test_without_the_library_the_extra_is_named(monkeypatch, changed):
    path = changed({})
    monkeypatch.setitem(__import__("sys").modules, "openpyxl", None)
    with pytest.raises(InputError, match=r"pip install 'longhold\[xlsx\]'"):
        intake.load(path)
    with pytest.raises(InputError, match=r"pip install 'longhold\[xlsx\]'"):
        structure_workbook(None)


def test_column_letters():
    from openpyxl.utils import get_column_letter

    assert [workbook.column_letters(at) for at in range(2000)] == [
        get_column_letter(at + 1) for at in range(2000)
    ]
