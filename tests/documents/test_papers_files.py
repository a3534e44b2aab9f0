"""The files of the papers, read again by other libraries and compared with what they were made from."""

import dataclasses
import datetime
import io
import re
import zipfile
from html.parser import HTMLParser

import pytest

from longhold.documents.papers.html import papers_html
from longhold.documents.papers.letters import _printable, breakable
from longhold.documents.papers.model import (
    Calculation,
    Card,
    CardBox,
    Cell,
    Column,
    Head,
    Paper,
    Papers,
    StepRow,
    Table,
)
from longhold.documents.papers.pdf import card_pdf, paper_pdf, papers_pdf, unprintable
from longhold.documents.papers.sheet import papers_xlsx

HOSTILE = (
    "=cmd|'/C calc'!A1",
    "+1-2",
    "-3 days",
    "@SUM(A1:A9)",
    "#set text(red)",
    '#import "@preview/x:0.1.0": *',
    "*bold* _low_ `raw` $x$ <label> [link] // gone /* gone */ ~ \\u{41}",
    "<script>alert(1)</script>&amp;",
    "_x0041_ stays",
    "\tstarts with a tab",
    "{{ 7*7 }} {% raw %}",
    "#N/A",
    "TRUE",
    "00123",
    "1e5",
)
COLUMNS = (Column("Item"), Column("Name", wide=3.0), Column("Packs", "count"), Column("Price, USD", "money"))


def papers_with(texts, name="Pier", us=True):
    """Papers whose every free text is one of some."""
    texts = list(texts)
    rows = tuple(
        (Cell(text), Cell(text), Cell(f"{n + 1}", n + 1), Cell(f"{(n + 1) * 1234.5:,.2f}", (n + 1) * 1234.5))
        for n, text in enumerate(texts)
    )
    packs, price = sum(row[2].value for row in rows), sum(row[3].value for row in rows)
    total = (Cell("All"), Cell(""), Cell(f"{packs}", packs), Cell(f"{price:,.2f}", price))
    order = Table("Order", "What to order", COLUMNS, rows, total=total, note=texts[0])
    put = (("x_1", "2 µm"),)
    step = StepRow(
        what=texts[-1], equation="r = x_1^2 / 2", inputs=put, symbol="r", gives="2 µm", rests_on="own"
    )
    calculations = (Calculation(1, texts[0], (StepRow(title="Loss"), step)),)
    pointing = tuple((Cell(text), Cell("calculation 1", calculation=1)) for text in texts)
    clauses = Table(
        "Parts and clauses", "Clauses", (Column("Part", wide=2.0), Column("Calculation")), pointing
    )
    head = Head(
        structure=name,
        site=texts[0],
        code="A code, edition 2021",
        facts=(("Site", texts[0]), ("Date", "2026-11-26")),
        rests_on="Of all that these papers rest on, the weakest are invented [invented].",
        notes=tuple(texts[:20]),
        caution="A forecast, not a certificate: the local code decides.",
        foot="2026-11-26, Longhold 0.1.0",
        as_of=datetime.date(2026, 11, 26),
        us_paper=us,
    )
    boxes = tuple(CardBox(text, text, ((text, text, "2 in each"),)) for text in texts[:4])
    return Papers(
        head,
        Paper("schedule", "Schedule", "An answer with 1 number.", tuple(texts[:20]), (clauses,)),
        Paper("order", "Order", "Another answer.", (), (order,), notes=tuple(texts[:20])),
        Paper("submittal", "Submittal", "A third.", (), (clauses,), calculations=calculations),
        Card("Which box", boxes, (texts[0],), tuple(texts[:20]), ((texts[0], texts[-1], texts[0]),)),
    )


def pages(pdf):
    import pypdf

    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def bare(text):
    """Letters alone: a typesetter may break lines and join letters, and must not change any."""
    return re.sub(r"[\s\u200b\u00ad]+", "", text)


@pytest.mark.parametrize("us", [True, False])
def test_the_pdf_says_every_text_letter_by_letter(us):
    papers = papers_with(HOSTILE, us=us)
    for paper in papers.listed:
        said = bare("".join(pages(paper_pdf(papers, paper))))
        for table in paper.tables:
            for row in table.rows:
                for cell in row:
                    assert bare(cell.text) in said
    card = pages(card_pdf(papers))
    for text in HOSTILE:
        assert bare(text) in bare("".join(card))


def test_pages_are_counted_heads_repeat_and_each_says_it_is_a_forecast():
    papers = papers_with([f"item {number}" for number in range(200)])
    found = pages(paper_pdf(papers, papers.order))
    assert len(found) > 3
    for number, text in enumerate(found, start=1):
        assert f"page {number} of {len(found)}" in text
        assert "A forecast, not a certificate" in text
        assert ("Price, USD" in text) == ("\nitem" in text)
    said = "\n".join(found)
    assert [int(n) for n in re.findall(r"^item (\d+) item", said, re.MULTILINE)] == list(range(200))


def test_the_submittal_names_the_page_on_which_a_calculation_stands():
    papers = papers_with([f"part {number}" for number in range(120)])
    found = pages(paper_pdf(papers, papers.submittal))
    pointed = {int(number) for text in found for number in re.findall(r"calculation 1,\s*page (\d+)", text)}
    (page,) = pointed
    assert page > 1
    assert "Calculation 1. part 0" in found[page - 1]
    assert sum("Calculation 1. part 0" in text for text in found) == 1


def test_the_pdf_is_the_same_every_time_is_archival_and_carries_only_its_own_fonts():
    import pypdf

    papers = papers_with(["Brücke"], name="Łódź pier")
    pdf = papers_pdf(papers)
    assert pdf == papers_pdf(papers)
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert reader.metadata.title.endswith("Łódź pier")
    assert reader.metadata.creation_date.date() == papers.head.as_of
    assert b"<pdfaid:part>2</pdfaid:part>" in reader.root_object["/Metadata"].get_object().get_data()
    fonts = {
        font.get_object()["/BaseFont"].split("+")[-1]
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert fonts
    assert all(name.startswith(("AtkinsonHyperlegibleNext", "NotoSans")) for name in fonts)


def test_letters_without_a_glyph_are_told_and_others_print():
    fine = papers_with(["Brücke über die Łódź; мост через реку; Ωμέγα; Ấn; µm² ≤ ½ √ №"])
    assert unprintable(fine) == ""
    assert "мост через реку" in "".join(pages(paper_pdf(fine, fine.order)))
    missing = papers_with(["橋 and עברית"])
    told = unprintable(missing)
    assert "U+6A4B" in told
    assert "U+05E2" in told
    said = "".join(pages(paper_pdf(missing, missing.order)))
    assert bare("U+6A4B") in bare(said)
    assert "�" in said


def test_the_list_of_letters_is_what_the_fonts_hold():
    from pathlib import Path

    from fontTools.ttLib import TTFont

    import longhold.documents.papers as room

    folder = Path(room.__file__).parent / "fonts"
    for weight in ("regular", "bold"):
        covered = set()
        for family in ("text", "more"):
            covered |= set(TTFont(folder / f"{family}_{weight}.ttf").getBestCmap())
        assert _printable() <= covered
    assert (folder / "OFL_text.txt").read_text(encoding="utf-8").count("SIL Open Font License")
    assert (folder / "OFL_more.txt").read_text(encoding="utf-8").count("SIL Open Font License")


def test_breaks_are_only_added_and_only_where_words_are_long():
    for text in (
        "hot-dip galvanized after fabrication, ASTM A123",
        "https://x.example/" + "a1" * 40,
        "é" * 50,
    ):
        assert breakable(text).replace("\u200b", "") == text
    assert "\u200b" not in breakable("hot-dip galvanized after fabrication, ASTM A123, 2.66 mm, R507.2.3")
    assert max(len(piece) for piece in breakable("a1" * 40).split("\u200b")) <= 7


def test_control_characters_do_not_reach_the_pdf():
    papers = papers_with(["a\x00b\x1b[31mc", "line\nbreak\ttab"])
    said = "".join(pages(paper_pdf(papers, papers.order)))
    assert "\x1b" not in said
    assert "a�b�[31mc" in said


def opened(papers):
    import openpyxl

    return openpyxl.load_workbook(io.BytesIO(papers_xlsx(papers)))


def head_row(sheet, first):
    return next(row for row in range(1, 60) if sheet.cell(row, 1).value == first)


def test_the_sheet_read_by_another_library_is_the_paper_cell_by_cell():
    import python_calamine

    papers = papers_with(HOSTILE)
    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(papers_xlsx(papers)))
    (table,) = papers.order.tables
    rows = book.get_sheet_by_name("Order").to_python(skip_empty_area=False)
    top = next(number for number, row in enumerate(rows) if row[0] == "Item")
    assert rows[top][:4] == [column.head for column in table.columns]
    for wanted, found in zip([*table.rows, table.total], rows[top + 1 :], strict=False):
        for cell, value in zip(wanted, found, strict=False):
            if cell.value is None:
                assert value == cell.text
            else:
                assert value == pytest.approx(cell.value)


def test_text_is_never_a_formula_and_formulas_stand_only_beside_the_written_value():
    book = opened(papers_with(HOSTILE))
    formulas = []
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    formulas.append(cell)
                elif isinstance(cell.value, str) and cell.value.startswith(("=", "+", "-", "@", "\t")):
                    assert cell.quotePrefix
                    assert cell.data_type == "s"
    assert len(formulas) == 2
    for cell in formulas:
        written = cell.offset(row=-1).value
        first, last = re.fullmatch(r"=SUM\([A-Z](\d+):[A-Z](\d+)\)", cell.value).groups()
        column = [cell.parent.cell(row, cell.column).value for row in range(int(first), int(last) + 1)]
        assert len(column) == len(HOSTILE)
        assert written == pytest.approx(sum(column))


def test_the_sheets_are_real_tables_and_print_on_whole_pages():
    book = opened(papers_with(HOSTILE, name="Pier & Sons"))
    for name in ("Order", "Parts and clauses", "Calculations"):
        sheet = next(one for one in book if one.title.startswith(name))
        (table,) = sheet.tables.values()
        top, last = (int(part) for part in re.findall(r"\d+", table.ref))
        heads = [cell.value for cell in sheet[top] if cell.value]
        assert [column.name for column in table.tableColumns] == heads
        assert sheet.print_title_rows == f"${top}:${top}"
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.freeze_panes == f"A{top + 1}"
        assert ("&P of &N" in sheet.oddFooter.right.text) is (name != "Calculations")
        assert sheet.oddHeader.left.text == "Pier && Sons"
        assert last > top
    assert len({table for sheet in book for table in sheet.tables}) == len(
        [table for sheet in book for table in sheet.tables]
    )
    assert book["Site card"].page_setup.orientation == "portrait"


def test_a_workbook_is_the_same_every_time():
    papers = papers_with(["Brücke"])
    made = papers_xlsx(papers)
    assert made == papers_xlsx(papers)
    with zipfile.ZipFile(io.BytesIO(made)) as file:
        assert {entry.date_time[:3] for entry in file.infolist()} == {(2026, 11, 26)}
    assert opened(papers).properties.modified.date() == papers.head.as_of


class Texts(HTMLParser):
    """Text of a page, and what it loads or runs."""

    def __init__(self):
        super().__init__()
        self.text, self.tags, self.links, self._style = [], set(), [], False

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self._style = tag in {"style", "script"}
        self.links += [value for name, value in attrs if name in {"src", "href", "action"}]

    def handle_endtag(self, tag):
        self._style = False

    def handle_data(self, data):
        if not self._style:
            self.text.append(data)


def test_the_page_says_every_text_runs_nothing_and_loads_nothing():
    papers = papers_with(HOSTILE, name=HOSTILE[7])
    page = Texts()
    page.feed(papers_html(papers))
    said = bare("".join(page.text))
    for text in HOSTILE:
        assert bare(text) in said
    assert not page.tags & {"script", "iframe", "object", "form", "img", "link"}
    assert all(link.startswith("#") for link in page.links)


def test_the_page_points_to_its_calculations():
    papers = papers_with(["part"])
    html = papers_html(papers)
    assert 'href="#calculation-1"' in html
    assert html.count('id="calculation-1"') == 1


@pytest.mark.parametrize("count", [1, 9])
def test_the_card_is_one_page(count):
    papers = papers_with(["Joist hangers on the ledger, heavier zinc"] * 4)
    boxes = (papers.card.boxes[0],) * count
    papers = dataclasses.replace(papers, card=dataclasses.replace(papers.card, boxes=boxes))
    assert len(pages(card_pdf(papers))) == 1


def test_a_card_too_long_for_a_page_loses_nothing():
    papers = papers_with(["Joist hangers on the ledger"])
    boxes = tuple(CardBox(f"J{number}", "Name", (("HA-1", "hanger", "1 in each"),)) for number in range(90))
    papers = dataclasses.replace(papers, card=dataclasses.replace(papers.card, boxes=boxes))
    said = "".join(pages(card_pdf(papers)))
    assert all(f"J{number}" in said for number in range(90))
    assert "Never mix" in said


@pytest.mark.slow
@pytest.mark.needs("chromium")
@pytest.mark.parametrize("width", [390, 1440])
def test_the_page_is_never_wider_than_the_screen(quiet_page, tmp_path, width):
    file = tmp_path / "papers.html"
    file.write_text(papers_html(papers_with([*HOSTILE, "unbreakable" * 15])), encoding="utf-8")
    quiet_page(file, width, "light")


@pytest.mark.slow
@pytest.mark.needs("chromium")
def test_the_page_prints_its_card_on_one_sheet(browser, tmp_path):
    import pypdf

    file = tmp_path / "papers.html"
    file.write_text(papers_html(papers_with(["J01 ledger"] * 6)), encoding="utf-8")
    page = browser.new_page()
    page.goto(file.as_uri())
    printed = page.pdf(prefer_css_page_size=True)
    found = [one.extract_text() for one in pypdf.PdfReader(io.BytesIO(printed)).pages]
    assert "Which box" in found[-1]
    assert "Never mix" in found[-1]
    assert "What the label must read" in found[-1]


def test_the_calculations_are_the_last_sheet_with_pages_of_their_own():
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(papers_xlsx(papers_with(["item"]))))
    assert book.sheetnames[:2] == ["About", "Site card"]
    *others, last = book.worksheets
    assert last.title == "Calculations"
    assert (last.page_setup.firstPageNumber, last.page_setup.useFirstPageNumber) == (1, True)
    assert last.oddFooter.right.text == "Calculations, page &P"
    assert all(one.oddFooter.right.text == "Page &P of &N" for one in others)
    said = [cell.value for row in book["About"] for cell in row if cell.value]
    assert any("print the sheets before it" in str(one) for one in said)
