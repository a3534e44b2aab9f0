"""Suppliers' lists as CSV and workbooks: columns said once and remembered, every line read or told."""

import datetime
import zipfile
from pathlib import Path

import openpyxl
import pytest

from longhold.base.errors import InputError
from longhold.intake.offer_columns import propose
from longhold.intake.offer_questions import first_reading, with_answer
from longhold.intake.offer_table import open_list
from longhold.intake.offers import list_columns, load_offers, open_known
from longhold.intake.remembered_lists import columns_text, load_columns, remembered_lists, where_remembered
from longhold.intake.workbook import Cell, Row
from longhold.model.offer_list import ListColumns

DEMO = Path(__file__).parents[2] / "demo" / "offers.csv"
HEADS = [
    "Art.-Nr.",
    "Warengruppe",
    "Abmessung",
    "Bezeichnung",
    "Preis (EUR)",
    "VE",
    "Lieferzeit",
    "Gültig ab",
    "Mindestmenge",
]
LINE = ["0101", "Nägel", "16d common", "ASTM A153 class D", "24,50", "250 Stk.", "2 Wochen", "25.11.2026", 3]


@pytest.fixture(autouse=True)
def _settings(tmp_path, monkeypatch):
    monkeypatch.setenv("LONGHOLD_CONFIG", str(tmp_path / "settings"))


@pytest.fixture
def sheet(tmp_path):
    def made(*rows, name="list.xlsx", more=None):
        book = openpyxl.Workbook()
        for row in rows:
            book.active.append(row)
        if more is not None:
            more(book)
        book.save(tmp_path / name)
        return tmp_path / name

    return made


def read(path, **told):
    how, questions = first_reading(open_list(path), list_columns(None, **told))
    assert questions == ()
    return load_offers(path, how=how)


def test_a_workbook_and_csv_of_the_demo_are_the_same_offers(sheet):
    lines = [line.split(",") for line in DEMO.read_text(encoding="utf-8").splitlines()]
    found = load_offers(sheet(*lines))
    assert found.offers == load_offers(DEMO).offers
    assert len(found.offers) == len(lines) - 1
    assert found.refused == ()


def test_heads_in_another_language_below_a_title_are_known(sheet):
    def titled(book):
        book.active.insert_rows(1, 3)
        book.active["A1"] = "Price list, invented"
        book.active.merge_cells("A1:F1")

    found = read(sheet(HEADS, LINE, [], LINE[:0], more=titled))
    (offer,) = found.offers
    assert (offer.item, offer.kind, offer.price, offer.currency) == ("0101", "nail", 24.5, "EUR")
    assert (offer.pack, offer.lead_days, offer.least_packs) == (250, 14, 3)
    assert offer.price_date == datetime.date(2026, 11, 25)


def test_the_list_of_a_supplier_is_known_again(sheet):
    how, _ = first_reading(open_list(sheet(HEADS, LINE)), ListColumns(name="Invented supplier"))
    target = where_remembered("Invented supplier")
    target.parent.mkdir(parents=True)
    target.write_text(columns_text(how), encoding="utf-8")
    assert load_columns(target) == how
    assert remembered_lists() == [(str(target), how)]
    shuffled = [*HEADS[::-1], "Neu"]
    found = load_offers(sheet(shuffled, [*LINE[::-1], "x"], name="next.xlsx"))
    assert found.offers[0].item == "0101"
    assert found.read_by == str(target)
    other = target.with_name("other.toml")
    other.write_text(columns_text(how.model_copy(update={"fixed": {"currency": "CHF"}})), encoding="utf-8")
    with pytest.raises(InputError, match="has the heads of 2 remembered lists"):
        load_offers(sheet(HEADS, LINE, name="third.xlsx"))


def test_nothing_is_remembered_where_settings_are_off(monkeypatch):
    monkeypatch.setenv("LONGHOLD_CONFIG", "off")
    assert remembered_lists() == []
    with pytest.raises(InputError, match="no folder of settings"):
        where_remembered("x")


@pytest.mark.parametrize(
    ("text", "where", "says"),
    [
        ("[columns]\nitm = 'x'\n", "columns", "item"),
        ("dates = 'backwards'\n", "dates", "day_first"),
        ("[kinds]\nU = 'hook'\n", "kinds.U", "hanger"),
        ("colums = 1\n", "colums", "Did you mean columns?"),
        ("name = \n", "line 1", "no value can be read"),
    ],
)
def test_a_wrong_file_of_columns_is_told(tmp_path, text, where, says):
    path = tmp_path / "columns.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_columns(path)
    assert str(path) in str(caught.value)
    assert where in str(caught.value)
    assert says in str(caught.value)


def test_what_the_list_leaves_open_is_asked_and_nothing_else(sheet):
    heads = ["Item No.", "Type", "Size", "Finish", "Coating", "Unit price"]
    path = sheet(heads, ["A1", "Nails", "16d common", "ASTM A153 class D", "x", "1.234"])
    how, questions = first_reading(open_list(path), ListColumns())
    assert [one.about for one in questions] == ["label", "currency", "decimal"]
    assert questions[0].choices == ("Finish", "Coating")
    for question, answer in zip(questions, ("Finish", "USD", ","), strict=True):
        how = with_answer(how, question, answer)
    (offer,) = load_offers(path, how=how).offers
    assert (offer.price, offer.currency, offer.label) == (1234.0, "USD", "ASTM A153 class D")


def test_other_cells_settle_how_numbers_and_dates_are_written(sheet):
    heads = ["item", "type", "size", "finish", "price (USD)", "date"]
    lines = [
        [f"A{i}", "nail", "16d common", "G90" if i else "ASTM A153 class D", price, date]
        for i, (price, date) in enumerate([("1.234", "3/4/2026"), ("12,50", "25/4/2026")])
    ]
    found = read(sheet(heads, *lines))
    assert found.offers[0].price == 1234.0
    assert found.offers[0].price_date == datetime.date(2026, 4, 3)


OWN = ["item", "kind", "size", "label", "price", "currency", "pack", "lead_days", "price_date"]
GOOD = ["G1", "nail", "16d common", "ASTM A153 class D", 24.0, "USD", 250, 3, datetime.date(2026, 11, 2)]


@pytest.mark.parametrize(
    ("head", "value", "says"),
    [
        ("price", "=1+1", "Sheet!E2 (price) holds a formula whose value is not written"),
        ("price", "#N/A", "Sheet!E2 (price) holds the error #N/A"),
        ("price", -3, "Sheet!E2 (price) is '-3': must not be negative"),
        ("price", True, "Sheet!E2 (price) is 'True': must be a number"),
        ("price", "€ 3.50", "shows the sign of EUR, and the currency is USD"),
        ("price", "1.234", "could be 1234 or 1.234"),
        ("price", None, "E2 (price) is blank"),
        ("label", "shiny", "Sheet!D2 (label) is 'shiny':"),
        ("size", datetime.date(2026, 3, 4), "Sheet!C2 (size) is"),
        ("size", "16d", "tells no kind of nail"),
        ("kind", "hook", "Sheet!B2 (kind) is 'hook': must be one of nail"),
        ("currency", "US$", "Sheet!F2 (currency) is 'US$'"),
        ("pack", 0, "Sheet!G2 (pack) is '0'"),
        ("pack", "2 x 250", "must be one whole number"),
        ("lead_days", "in stock", "must be a number of days or weeks"),
        ("price_date", "3/4/2026", "could be day or month first"),
        ("item", "G1", "stands in line 3 already"),
    ],
)
def test_a_cell_that_cannot_be_read_is_told_and_the_rest_is_kept(sheet, head, value, says):
    bad = ["B1", *GOOD[1:]]
    bad[OWN.index(head)] = value
    rows = [bad, GOOD] if head != "item" else [["G0", *GOOD[1:]], GOOD, bad]
    found = load_offers(sheet(OWN, *rows))
    assert "G1" in [one.item for one in found.offers]
    ((_, why),) = found.refused
    assert says in why


def test_a_cell_shows_its_currency_and_its_leading_zeros(sheet):
    heads = [head for head in OWN if head != "currency"]
    path = sheet(heads, [42, *GOOD[1:5], *GOOD[6:]])
    book = openpyxl.load_workbook(path)
    book.active["E2"].number_format = '#,##0.00 "€"'
    book.active["A2"].number_format = "00000"
    book.save(path)
    (offer,) = load_offers(path).offers
    assert (offer.item, offer.currency) == ("00042", "EUR")


def test_a_price_for_a_number_of_pieces_is_turned_into_that_of_a_pack(sheet):
    (offer,) = load_offers(sheet([*OWN, "price_for"], [*GOOD, 100])).offers
    assert (offer.price, offer.pack) == (60.0, 250)


def test_several_sheets_are_never_guessed(sheet):
    def more(book):
        book.create_sheet("Notes")["A1"] = "x"
        book.create_sheet("Empty")

    path = sheet(OWN, GOOD, more=more)
    with pytest.raises(InputError, match=r"has 2 sheets that hold something: Sheet, Notes.*--sheet"):
        load_offers(path)
    assert len(load_offers(path, sheet="sheet").offers) == 1
    with pytest.raises(InputError, match="is no sheet of"):
        load_offers(path, sheet="Prices")
    with pytest.raises(InputError, match="the list is no workbook"):
        load_offers(DEMO, sheet="Prices")


def test_a_hidden_sheet_is_not_read(sheet):
    def more(book):
        book.create_sheet("Old")["A1"] = "x"
        book["Old"].sheet_state = "hidden"

    assert len(load_offers(sheet(OWN, GOOD, more=more)).offers) == 1


def test_a_column_without_a_head_and_heads_that_stand_twice(sheet):
    nameless = [*OWN[:4], None, *OWN[5:]]
    path = sheet(nameless, GOOD)
    with pytest.raises(InputError, match=r"has no column price.*column E"):
        load_offers(path)
    assert load_offers(path, {"price": "column E"}).offers[0].price == 24.0
    twice = sheet([*OWN, "Price"], [*GOOD, 9.0], name="twice.xlsx")
    with pytest.raises(InputError, match="is the head of columns E and J"):
        load_offers(twice)
    assert load_offers(twice, {"price": "column J"}).offers[0].price == 9.0


def test_macros_are_passed_over_and_no_workbook_is_told(sheet, tmp_path):
    path = sheet(OWN, GOOD, name="list.xlsm")
    with zipfile.ZipFile(path, "a") as package:
        package.writestr("xl/vbaProject.bin", b"never run")
    assert len(load_offers(path).offers) == 1
    (tmp_path / "renamed.xlsx").write_bytes(DEMO.read_bytes())
    with pytest.raises(InputError, match="is not a workbook"):
        load_offers(tmp_path / "renamed.xlsx")


def test_csv_with_tabs_and_a_title_line(tmp_path):
    path = tmp_path / "list.csv"
    text = "Price list, invented\n\n" + "\t".join(OWN) + "\n" + "\t".join(map(str, GOOD)) + "\n"
    path.write_text(text, encoding="utf-8")
    assert len(load_offers(path).offers) == 1
    assert "line 9, column E (price) is 'x'" in load_offers_refused(
        path, text + "\n" * 4 + text.splitlines()[3].replace("24.0", "x").replace("G1", "G2") + "\n"
    )


def load_offers_refused(path, text):
    path.write_text(text, encoding="utf-8")
    ((_, why),) = load_offers(path).refused
    return why


def test_a_head_that_names_two_things_is_not_guessed():
    found = propose([Row(1, tuple(map(Cell, ["Item", "Item number", "Price", "Price per box", "Colour"])))])
    assert found.unclear == {"item": ["Item", "Item number"], "price": ["Price", "Price per box"]}
    assert found.columns == {}


@pytest.mark.slow
def test_fifty_thousand_lines_of_a_workbook_are_read_and_more_are_refused(tmp_path):
    book = openpyxl.Workbook(write_only=True)
    made = book.create_sheet("list")
    made.append(OWN)
    for i in range(50_000):
        made.append([f"A{i}", *GOOD[1:]])
    book.save(tmp_path / "most.xlsx")
    assert len(load_offers(tmp_path / "most.xlsx").offers) == 50_000
    one_line_more(tmp_path / "most.xlsx", tmp_path / "more.xlsx")
    with pytest.raises(InputError, match="more than 50,000 lines"):
        load_offers(tmp_path / "more.xlsx")


def one_line_more(path, target):
    """The same workbook with its last row once again below it."""
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as made:
        for name in source.namelist():
            data = source.read(name)
            if name.startswith("xl/worksheets/"):
                rows, end = data.rsplit(b"</row>", 1)
                last = rows[rows.rindex(b"<row ") :] + b"</row>"
                number = last.split(b'"')[1]
                below = last.replace(number + b'"', b"%d" % (int(number) + 1) + b'"')
                data = rows + b"</row>" + below + end
            made.writestr(name, data)


UNITLESS = ["Item", "Kind", "Size", "Label", "Price", "Currency", "Quoted"]


def test_a_head_tells_the_unit_of_its_sizes_and_else_it_is_asked(sheet):
    line = ["A1", "wood screw", "4,5 x 60", "A4", 9.5, "EUR", "2026-11-02"]
    path = sheet(UNITLESS, line)
    how, questions = first_reading(open_list(path), ListColumns())
    assert [(one.about, one.choices) for one in questions] == [("unit", ("mm", "in"))]
    (offer,) = load_offers(path, how=with_answer(how, questions[0], "mm")).offers
    assert (offer.part.measures.diameter_mm, offer.part.measures.length_mm) == (4.5, 60.0)
    assert offer.price_date == datetime.date(2026, 11, 2)
    told = ["Size (mm)" if head == "Size" else head for head in UNITLESS]
    assert read(sheet(told, line, name="told.xlsx")).offers == (offer.model_copy(),)
    inches = ["A1", "bolt", "1/2 x 6-1/2", "ASTM A153 class C", 9.5, "USD", None]
    (bolt,) = read(sheet(UNITLESS, inches, name="inches.xlsx"), unit="in").offers
    assert bolt.part.measures.diameter_mm == pytest.approx(12.7)
    assert bolt.part.measures.length_mm == pytest.approx(165.1)


def test_a_size_with_its_own_unit_keeps_it(sheet):
    line = ["A1", "wood screw", "4.5 mm x 60 mm", "A4", 9.5, "EUR", None]
    (offer,) = read(sheet(UNITLESS, line), unit="in").offers
    assert offer.part.measures.diameter_mm == 4.5


def test_a_list_of_one_column_is_no_list(tmp_path):
    path = tmp_path / "one.csv"
    path.write_text("Description\nHDG nail 16d\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"only column of the list.*semicolon"):
        first_reading(open_list(path), ListColumns())


def test_the_remembered_sheet_of_a_workbook_is_found_again(sheet):
    def more(book):
        book.create_sheet("Terms", 0)["A1"] = "Prices hold for a month."

    path = sheet(HEADS, LINE, more=more)
    with pytest.raises(InputError, match="has 2 sheets"):
        open_known(path)
    how, _ = first_reading(open_list(path, "Sheet"), ListColumns(name="Invented supplier"))
    target = where_remembered("Invented supplier")
    target.parent.mkdir(parents=True)
    target.write_text(columns_text(how), encoding="utf-8")
    assert open_known(path).sheet.name == "Sheet"
    assert load_offers(path).offers[0].item == "0101"


def test_a_column_of_currencies_is_known_by_what_stands_in_it(sheet):
    heads = ["Item No.", "Type", "Size", "Finish", "Price", "Whrg"]
    lines = [
        ["A1", "Nail", "16d common", "304", 20.0, "EUR"],
        ["A2", "Nail", "16d common", "304", 21.0, "USD"],
    ]
    found = read(sheet(heads, *lines)).offers
    assert [one.currency for one in found] == ["EUR", "USD"]
    _, questions = first_reading(
        open_list(sheet(heads, *lines, ["A3", "Nail", "8d", "304", 2, "x"])), ListColumns()
    )
    assert [one.about for one in questions] == ["currency"]
    assert "--column currency=HEAD" in questions[0].option


def test_a_negative_number_in_a_cell_is_told_as_it_is_in_text(sheet):
    heads = ["Item", "Kind", "Size", "Label", "Price (USD)"]
    good = ["A1", "nail", "16d common", "304", 20.0]
    (refused,) = read(sheet(heads, good, ["A2", "nail", "16d common", "304", -20.0])).refused
    assert "E3 (price) is '-20': must not be negative" in refused[1]


def test_a_bound_is_told_as_people_write_it(tmp_path):
    text = ",".join(OWN) + "\n" + ",".join(map(str, GOOD)) + "\n"
    free = text.splitlines()[1].replace("24.0", "0").replace("G1", "G2")
    why = load_offers_refused(tmp_path / "list.csv", text + free + "\n")
    assert why.endswith("must be a number of more than 0 and at most 1,000,000,000.")
