"""``choose --papers``: files are whole, inputs are safe, and what is missing is told before any work."""

import importlib.util
import io
import shutil
from pathlib import Path

import pytest

from longhold.cli import papering
from longhold.cli.main import run

DEMO = Path(__file__).parents[2] / "demo"
FILES = {"schedule.pdf", "order.pdf", "submittal.pdf", "site_card.pdf", "papers.xlsx", "papers.html"}


@pytest.fixture
def desk(tmp_path):
    """A folder with the inputs, and the words that name them."""
    for name in ("boardwalk.toml", "inland_site.toml", "offers.csv", "costs.toml"):
        shutil.copy(DEMO / name, tmp_path / name)
    words = [str(tmp_path / "boardwalk.toml"), "--offers", str(tmp_path / "offers.csv")]
    return tmp_path, ["choose", *words, "--costs", str(tmp_path / "costs.toml"), "--draws", "200"]


@pytest.mark.slow
def test_a_folder_gets_every_paper_from_one_result(desk, capsys):
    import pypdf
    import python_calamine

    folder, words = desk
    out = folder / "out"
    out.mkdir()
    assert run([*words, "--papers", str(out)]) == 1
    assert {entry.name for entry in out.iterdir()} == FILES
    told = capsys.readouterr().out
    said = "".join(page.extract_text() for page in pypdf.PdfReader(out / "order.pdf").pages)
    rows = (
        python_calamine.CalamineWorkbook.from_path(out / "papers.xlsx").get_sheet_by_name("Order").to_python()
    )
    (total,) = [row for row in rows if row[0] == "All"]
    price = next(value for value in reversed(total) if value != "")
    assert f"{price:,.2f}" in said
    assert f"Packs: {price:,.0f} USD." in " ".join(told.split())
    assert f"{price:,.2f} USD" in (out / "papers.html").read_text(encoding="utf-8")
    assert len(pypdf.PdfReader(out / "site_card.pdf").pages) == 1
    for name in FILES - {"papers.xlsx", "papers.html"}:
        first = pypdf.PdfReader(out / name).pages[0].extract_text()
        assert "J11" in first
        assert "invented" in first
        assert "not a certificate" in first


@pytest.mark.slow
@pytest.mark.parametrize("name", ["papers.pdf", "papers.xlsx", "PAPERS.HTML"])
def test_one_file_by_its_ending(desk, name, capsys):
    folder, words = desk
    before = set(folder.iterdir())
    assert run([*words, "--papers", str(folder / name)]) == 1
    assert set(folder.iterdir()) - before == {folder / name}
    start = (folder / name).read_bytes()[:15]
    assert start.startswith({"pdf": b"%PDF", "lsx": b"PK", "tml": b"<!doctype html>"}[name[-3:].lower()])


@pytest.mark.parametrize(
    ("target", "says"),
    [("missing/papers.pdf", "no folder"), ("missing", "no such folder"), ("papers.docx", "is no folder")],
)
def test_what_cannot_be_written_is_refused_before_any_work(desk, target, says, capsys, monkeypatch):
    folder, words = desk
    monkeypatch.setattr("longhold.choose.choice.market_for", pytest.fail)
    before = sorted(folder.rglob("*"))
    assert run([*words, "--papers", str(folder / target)]) == 2
    assert says in capsys.readouterr().err
    assert sorted(folder.rglob("*")) == before


def test_inputs_are_never_overwritten(desk, capsys):
    folder, words = desk
    prices = folder / "papers.html"
    shutil.copy(folder / "offers.csv", prices)
    words[words.index("--offers") + 1] = str(prices)
    kept = prices.read_bytes()
    for target in (folder, prices):
        assert run([*words, "--papers", str(target)]) == 2
        assert "is a file that is read here" in capsys.readouterr().err
        assert prices.read_bytes() == kept


@pytest.mark.parametrize(
    ("module", "ending", "extra"), [("typst", "pdf", "longhold[pdf]"), ("openpyxl", "xlsx", "longhold[xlsx]")]
)
def test_a_missing_library_is_named_with_its_extra(desk, module, ending, extra, capsys, monkeypatch):
    folder, words = desk
    real = importlib.util.find_spec
    monkeypatch.setattr(papering, "find_spec", lambda name: None if name == module else real(name))
    before = sorted(folder.iterdir())
    for target in (folder / f"papers.{ending}", folder):
        assert run([*words, "--papers", str(target)]) == 2
        said = capsys.readouterr().err
        assert extra in said
        assert "Traceback" not in said
    assert sorted(folder.iterdir()) == before


@pytest.mark.slow
def test_html_needs_no_library(desk, monkeypatch):
    folder, words = desk
    monkeypatch.setattr(papering, "find_spec", lambda _: None)
    assert run([*words, "--papers", str(folder / "papers.html")]) == 1


@pytest.mark.slow
def test_a_paper_that_cannot_be_set_leaves_the_old_files_as_they_were(desk, monkeypatch, capsys):
    from longhold.documents.papers import pdf

    folder, words = desk
    out = folder / "out"
    out.mkdir()
    for name in FILES:
        (out / name).write_bytes(b"old")

    def stopped(*_):
        raise pdf.NotSetError("the paper could not be set: a fault")

    monkeypatch.setattr(pdf, "card_pdf", stopped)
    assert run([*words, "--papers", str(out)]) == 3
    assert {entry.name: entry.read_bytes() for entry in out.iterdir()} == dict.fromkeys(FILES, b"old")


@pytest.mark.slow
def test_letters_that_the_pdf_lacks_are_told_at_the_screen(desk, capsys):
    import pypdf

    folder, words = desk
    file = folder / "boardwalk.toml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("Post bases", "橋の釘 =1+1 #x"), encoding="utf-8"
    )
    assert run([*words, "--papers", str(folder / "all.pdf")]) == 1
    assert "U+6A4B" in capsys.readouterr().out
    pages = pypdf.PdfReader(io.BytesIO((folder / "all.pdf").read_bytes())).pages
    assert "��� =1+1 #x" in "".join(page.extract_text() for page in pages)
