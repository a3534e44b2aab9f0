"""Orders, deliveries and readings from the files that people have."""

from __future__ import annotations

from pathlib import Path

import pytest

from longhold.base.errors import InputError
from longhold.intake import starter
from longhold.intake.delivery import load_delivery, load_order
from longhold.intake.gauge_readings import load_readings

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def written(tmp_path):
    def write(text: str, name: str = "list.csv") -> Path:
        file = tmp_path / name
        file.write_text(text, encoding="utf-8")
        return file

    return write


def test_the_demo_says_that_it_is_invented():
    assert "Invented" in load_order(DEMO / "order.csv").notes[0]
    delivery = load_delivery(DEMO / "delivery.csv")
    assert "Invented" in delivery.notes[0]
    assert delivery.lines[0].quantity == 40  # 4 boxes of 10


def test_a_structure_is_an_order_of_its_parts(written):
    order = load_order(written(starter(), "deck.toml"))
    assert order.lines
    assert all(line.places and line.quantity > 0 for line in order.lines)
    assert all(
        line.certificate for line in load_order(written(starter(), "deck.toml"), certificates=True).lines
    )


def test_the_workbook_of_papers_is_an_order(tmp_path):
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.active.title = "About"
    book.active.append(["Papers for a pier"])
    sheet = book.create_sheet("Order")
    sheet.append(["Order: What to order"])
    sheet.append(
        ["Item", "What", "Label must read", "Pieces needed", "In a pack", "Packs", "Price of a pack, USD"]
    )
    sheet.append(["LA-1", "lag screw, 1/2 in x 4 in", "stainless 316", 24, 25, 2, 270])
    sheet.append(["All", None, None, None, None, 2, None])
    sheet.append(["Spare: 5 % more pieces"])
    parts = book.create_sheet("Parts")
    parts.append(["Joint", "Part", "What", "Item"])
    parts.append(["J1", "lag", "lag screw", "LA-1"])
    book.save(tmp_path / "papers.xlsx")
    order = load_order(tmp_path / "papers.xlsx")
    (line,) = order.lines
    assert order.name == "a pier"
    assert (line.item, line.part.kind, line.part.size) == ("LA-1", "lag_screw", "1/2 in x 4 in")
    assert (line.quantity, line.needed, line.places) == (50, 24, (("J1", "lag"),))
    assert (line.piece_price, line.currency) == (270 / 25, "USD")


def test_heads_in_other_words_are_known(written):
    file = written(
        "Art.-Nr.;Artikelgruppe;Größe;Bezeichnung;Menge;Zeugnis\nA1;Nagel;16d common;A4;3 x 250;nein\n"
    )
    with pytest.raises(InputError, match="no column kind"):
        load_delivery(file)
    (line,) = load_delivery(file, {"kind": "Artikelgruppe"}).lines
    assert (line.kind, line.quantity, line.certificate) == ("Nagel", 750, "")
    assert line.part is not None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("kind,size,label,quantity\n", "no delivered line"),
        ("kind,size,label\nbolt,1/2 in x 8 in,G90\n", "has no column quantity"),
        ("kind,size,label,quantity\nbolt,1/2 in x 8 in,G90,-4\n", r"line 2, column D \(quantity\) is '-4'"),
        ("kind,size,label,quantity\nbolt,1/2 in x 8 in,G90,0\n", "must be 1 or more"),
        ("kind,size,label,quantity\nbolt,1/2 in x 8 in,G90,\n", "is blank"),
        (
            "kind,size,label,quantity\nbolt,1/2 in x 8 in,G90,4\nBolt,1/2 in x 8 in,g90,5\n",
            "line 3 .* says the same as line 2",
        ),
        ("kind,size,label,quantity\nbolt,1/2 in x 8 in," + "x" * 400 + ",4\n", "longer than a label"),
    ],
)
def test_a_delivery_that_cannot_be_read_is_refused_in_one_message(written, text, words):
    with pytest.raises(InputError, match=words):
        load_delivery(written(text))


def test_what_cannot_be_read_of_a_box_stays_a_line(written):
    lines = load_delivery(written("kind,size,label,quantity\nboltz,8,G90,4\nbolt,huge,G90,4\n")).lines
    assert [one.part for one in lines] == [None, None]
    assert "no kind that is known" in lines[0].unread
    assert "cannot be read" in lines[1].unread


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("kind,size,label,quantity,certificate\nbolt,1/2 in x 8 in,G90,4,perhaps\n", "must be yes or no"),
        ("kind,size,label,quantity\nbolt,1/2 in x 8 in,,4\n", "is blank"),
        ("kind,size,label,quantity\nboltz,1/2 in x 8 in,G90,4\n", "no kind that is known"),
        (f"kind,size,label,quantity\nbolt,1/2 in x 8 in,G90,{'9' * 5000}\n", "must be one whole number"),
        (f"kind,size,label,quantity\nbolt,1/2 in x 8 in,G90,{'9' * 5000} x 4\n", "must be one whole number"),
        ("kind,size,label,quantity,price\nbolt,1/2 in x 8 in,G90,4,cheap\n", "must be a number"),
    ],
)
def test_an_order_must_be_whole(written, text, words):
    with pytest.raises(InputError, match=words):
        load_order(written(text))


def test_readings_come_in_any_unit_of_thickness(written):
    um = load_readings(written("piece,reading (um)\n1,84\n1,86\n2,80\n"))
    assert [one.readings_um for one in um] == [(84.0, 86.0), (80.0,)]
    mil = load_readings(written("Piece;Thickness;Unit\n1;3,3;mil\n"))
    assert mil[0].readings_um == pytest.approx((83.82,))
    beside = load_readings(written("piece,specimen,reading\n1,top,84 µm\n1,foot,0.083 mm\n"))
    assert [(one.name, one.readings_um[0]) for one in beside] == [
        ("top", 84.0),
        ("foot", pytest.approx(83.0)),
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("piece,reading (um)\n", "holds no reading"),
        ("a,b\n1,2\n", "has no heads piece and reading"),
        ("piece,reading\n1,84\n", "has no unit"),
        ("piece,reading (g/m2)\n1,84\n", "'g/m2', which is no unit of thickness"),
        ("piece,reading (um)\n1,-3\n", r"line 2, column B is '-3': must not be negative"),
        ("piece,reading (mm)\n1,84\n", "84,000 um, and no coat of zinc is thicker than 1,000 um"),
        ("piece,reading (um)\n1,thick\n", "must be one number"),
        ("piece,reading (um)\n,84\n", "which piece"),
        ("piece,reading (um)\n1,\n", "is blank"),
    ],
)
def test_readings_that_cannot_be_are_refused(written, text, words):
    with pytest.raises(InputError, match=words):
        load_readings(written(text))


@pytest.mark.parametrize("load", [load_order, load_delivery])
def test_two_columns_that_say_the_same_are_told_and_one_may_be_named(written, load):
    file = written(
        "kind,size,label,Quantity ordered,Quantity delivered\nbolt,1/2 in x 8 in,ASTM A153 class C,50,40\n"
    )
    with pytest.raises(InputError) as told:
        load(file)
    assert str(told.value) == (
        f"{file}: the file: has 2 columns that say the quantity: D (Quantity ordered) and "
        "E (Quantity delivered). Which one counts? "
        "Give the others another head, or name it: --column quantity=HEAD."
    )
    assert load(file, {"quantity": "quantity delivered"}).lines[0].quantity == 40


def test_two_columns_under_one_head_cannot_be_told_apart_by_it(written):
    file = written("kind,size,label,qty,qty\nbolt,1/2 in x 8 in,ASTM A153 class C,50,40\n")
    for columns in ({}, {"quantity": "qty"}):
        with pytest.raises(InputError) as told:
            load_delivery(file, columns)
        said = str(told.value)
        assert said.endswith("D (qty) and E (qty). Which one counts? Give the others another head.")


def test_the_same_in_a_workbook(tmp_path):
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.active.append(["Kind", "Size", "Label", "Qty", "Pieces"])
    book.active.append(["bolt", "1/2 in x 8 in", "ASTM A153 class C", 50, 40])
    book.save(tmp_path / "came.xlsx")
    with pytest.raises(InputError, match=r"2 columns that say the quantity: D \(Qty\) and E \(Pieces\)"):
        load_delivery(tmp_path / "came.xlsx")
