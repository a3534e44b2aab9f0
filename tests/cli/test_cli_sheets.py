"""Commands that write and read workbooks: new, convert, offers, choose."""

from pathlib import Path

import openpyxl
import pytest

from longhold.cli.main import run

ROOT = Path(__file__).parents[2]
DEMO, LIST = ROOT / "demo" / "boardwalk.toml", ROOT / "demo" / "offers.csv"


@pytest.fixture(autouse=True)
def _settings(tmp_path, monkeypatch):
    monkeypatch.setenv("LONGHOLD_CONFIG", str(tmp_path / "settings"))


def test_new_writes_a_workbook_once(tmp_path, capsys):
    target = tmp_path / "deck.xlsx"
    assert run(["new", str(target)]) == 0
    assert openpyxl.load_workbook(target).sheetnames[1:6] == [
        "Structure",
        "Near",
        "Timbers",
        "Joints",
        "Parts",
    ]
    before = target.read_bytes()
    assert run(["new", str(target)]) == 2
    assert "is there already and is not overwritten" in capsys.readouterr().err
    assert target.read_bytes() == before
    assert list(tmp_path.iterdir()) == [target]
    assert run(["assess", str(target)]) == 2
    assert "Structure!B2 (name): is missing" in capsys.readouterr().err


def test_convert_writes_each_form_and_never_over_a_file_unasked(tmp_path, capsys):
    sheet, text = tmp_path / "deck.xlsx", tmp_path / "deck.toml"
    assert run(["convert", str(DEMO), str(sheet)]) == 0
    assert run(["convert", str(sheet), str(text)]) == 0
    text.write_text("mine", encoding="utf-8")
    assert run(["convert", str(sheet), str(text)]) == 2
    assert "--replace" in capsys.readouterr().err
    assert text.read_text(encoding="utf-8") == "mine"
    assert run(["convert", str(sheet), str(text), "--replace"]) == 0
    assert 'name = "Gull Point' in text.read_text(encoding="utf-8")
    for words in (
        (str(sheet), str(sheet)),
        (str(sheet), str(tmp_path / "deck.ods")),
        (str(tmp_path / "no.xlsx"), str(text)),
    ):
        assert run(["convert", *words, "--replace"]) == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["deck.toml", "deck.xlsx"]


def test_an_invalid_structure_is_not_converted(tmp_path, capsys):
    bad = tmp_path / "bad.toml"
    bad.write_text('name = "x"\n', encoding="utf-8")
    assert run(["convert", str(bad), str(tmp_path / "bad.xlsx")]) == 2
    assert "design_life: is missing" in capsys.readouterr().err
    assert not (tmp_path / "bad.xlsx").exists()


@pytest.mark.slow
def test_a_workbook_is_assessed_like_its_text(tmp_path, capsys):
    sheet = tmp_path / "deck.xlsx"
    assert run(["convert", str(DEMO), str(sheet)]) == 0
    capsys.readouterr()
    code = run(["assess", str(DEMO), "--json", "--draws", "200"])
    wanted = capsys.readouterr().out
    assert run(["assess", str(sheet), "--json", "--draws", "200"]) == code
    assert capsys.readouterr().out == wanted


def test_air_takes_a_workbook_too(tmp_path, capsys):
    sheet = tmp_path / "deck.xlsx"
    assert run(["convert", str(DEMO), str(sheet)]) == 0
    capsys.readouterr()
    assert run(["air", str(DEMO)]) == 0
    wanted = capsys.readouterr().out
    assert run(["air", str(sheet)]) == 0
    assert capsys.readouterr().out == wanted


@pytest.fixture
def foreign(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["Art.-Nr.", "Warengruppe", "Abmessung", "Oberfläche", "Preis (EUR)", "VE"])
    book.active.append(["1", "Nägel", "16d common", "ASTM A153 class D", 24.5, 250])
    book.active.append(["2", "Drahtanker", "16 ga", "G90", 24.5, 250])
    book.save(tmp_path / "list.xlsx")
    return tmp_path / "list.xlsx"


def test_offers_shows_saves_and_remembers(tmp_path, foreign, capsys):
    saved = tmp_path / "columns.toml"
    words = ["offers", str(foreign), "--save", str(saved), "--remember", "Invented supplier"]
    assert run(words) == 0
    out = capsys.readouterr().out
    assert "1 offer in" in out
    assert "(kind) is 'Drahtanker'" in out
    assert (tmp_path / "settings" / "lists" / "invented-supplier.toml").read_text(
        encoding="utf-8"
    ) == saved.read_text(encoding="utf-8")
    assert run(["offers", str(foreign), "--save", str(saved)]) == 2
    assert "is not overwritten" in capsys.readouterr().err
    assert run(["offers", str(foreign)]) == 0
    assert "invented-supplier.toml remembers it" in capsys.readouterr().out.replace("\n", "")
    assert run(["offers", str(foreign), "--columns", str(saved), "--kind", "Drahtanker=strap"]) == 0
    assert "2 offers in" in capsys.readouterr().out


def test_what_must_be_asked_is_named_where_nobody_can_answer(tmp_path, capsys):
    path = tmp_path / "list.csv"
    path.write_text("Nummer,Type,Size,Finish,Coating,Price\n1,nail,16d common,G90,x,3\n", encoding="utf-8")
    assert run(["offers", str(path)]) == 2
    said = capsys.readouterr().err
    for words in ("--column item=HEAD", "--column label=HEAD", "'Finish', 'Coating'", "--fixed currency=USD"):
        assert words in said


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--column", "itm=x"], "must be one of item, kind"),
        (["--column", "item"], "must read OURS=THEIRS"),
        (["--fixed", "colour=red"], "must be one of item, kind"),
        (["--kind", "U=hook"], "kinds.U"),
        (["--decimal", ";"], "decimal"),
        (["--dates", "x"], "day_first"),
        (["--columns", "no.toml"], "there is no such file"),
        (["--sheet", "x"], "the list is no workbook"),
    ],
)
def test_wrong_options_are_told(words, says, capsys):
    assert run(["offers", str(LIST), *words]) == 2
    assert says in capsys.readouterr().err


def test_choose_reads_a_list_by_its_columns(tmp_path, foreign, capsys):
    costs = ROOT / "demo" / "costs.toml"
    words = ["choose", str(DEMO), "--offers", str(foreign), "--costs", str(costs)]
    assert run(words) == 2
    assert "longhold offers LIST --remember NAME" in capsys.readouterr().err
    assert run([*words, "--columns", str(tmp_path / "no.toml")]) == 2
    assert "there is no such file" in capsys.readouterr().err


def test_macros_of_a_workbook_are_told_and_not_run(tmp_path, capsys):
    import zipfile

    sheet = tmp_path / "deck.xlsm"
    plain = tmp_path / "deck.xlsx"
    assert run(["convert", str(DEMO), str(plain)]) == 0
    sheet.write_bytes(plain.read_bytes())
    with zipfile.ZipFile(sheet, "a") as package:
        package.writestr("xl/vbaProject.bin", b"never run")
    store = ("--store", str(tmp_path / "store.db"))
    for file, told in ((sheet, True), (plain, False)):
        capsys.readouterr()
        assert run(["save", str(file), "--as", file.suffix[1:], *store]) == 0
        assert ("deck.xlsm holds macros: none was run" in capsys.readouterr().err) is told
