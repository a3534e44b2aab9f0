"""``choose``: out of stock, other sites, the page, the time limit, and a list on which nothing fits."""

import shutil
from pathlib import Path

import pytest

from longhold.cli.main import run

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def desk(tmp_path):
    """A folder with the inputs, and the words that name them: a few joints, for the sake of time."""
    for name in ("inland_site.toml", "offers.csv", "costs.toml"):
        shutil.copy(DEMO / name, tmp_path / name)
    head, *joints = (DEMO / "boardwalk.toml").read_text(encoding="utf-8").split("[[joints]]")
    few = [one for one in joints if any(f'"{name}"' in one for name in ("J02", "J06", "J10"))]
    assert len(few) == 3
    (tmp_path / "few.toml").write_text("[[joints]]".join([head, *few]), encoding="utf-8")
    words = [str(tmp_path / "few.toml"), "--offers", str(tmp_path / "offers.csv")]
    return tmp_path, ["choose", *words, "--costs", str(tmp_path / "costs.toml"), "--draws", "200"]


def _told(capsys):
    return " ".join(capsys.readouterr().out.split())


def test_every_item_bought_can_be_found_on_the_page_and_the_inputs_are_safe(desk, capsys):
    folder, words = desk
    page = folder / "choice.html"
    assert run([*words, "--report", str(page)]) == 0
    told, html = _told(capsys), page.read_text(encoding="utf-8")
    for item in ("HA-104", "NA-124", "BO-252", "NA-128"):
        assert item in told
        assert item in html
    assert "are invented" in told
    assert "are invented" in html
    assert "{{" not in html
    assert run([*words, "--report", str(folder / "offers.csv")]) == 2
    assert (folder / "offers.csv").read_bytes() == (DEMO / "offers.csv").read_bytes()


def test_out_of_stock_is_told_as_such_and_not_as_a_ban(desk, capsys):
    _, words = desk
    assert run([*words, "--without", "HA-104", "--without", "HA-204"]) == 0
    told = _told(capsys)
    assert "Without HA-104 and HA-204 nothing on offer will do for J02" in told
    assert "what is out of stock is not used" in told
    assert "wait until HA-104 is in stock again: then HA-104" in told
    assert " ban" not in told
    assert run([*words, "--ban", "HA-104", "--ban", "HA-204"]) == 1
    told = _told(capsys)
    assert "lift the ban" in told
    assert "stock" not in told


def test_an_item_out_of_stock_that_is_not_on_the_list_is_refused_by_its_option(desk, capsys):
    _, words = desk
    assert run([*words, "--without", "HA-999"]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "without" in told
    assert "HA-999" in told


def test_another_site_gives_another_purchase(desk, capsys):
    folder, words = desk
    assert run(words) == 0
    coast = _told(capsys)
    assert run([*words, "--at", str(folder / "inland_site.toml")]) == 0
    inland = _told(capsys)
    assert "BO-252" in coast
    assert "BO-150" in inland
    assert "BO-252" not in inland


def test_one_purchase_under_several_names_is_told_once(desk, capsys):
    _, words = desk
    assert run(words) == 0
    told = _told(capsys)
    assert told.count("cheapest today") == 1
    assert "cheapest today, cheapest over the life and longest life" in told


def test_where_nothing_fits_there_is_neither_an_age_nor_a_proof(desk, capsys):
    folder, words = desk
    lines = (folder / "offers.csv").read_text(encoding="utf-8").splitlines()
    only = [lines[0], *(line for line in lines if line.startswith("PO-"))]
    (folder / "offers.csv").write_text("\n".join(only), encoding="utf-8")
    assert run([*words, "--report", str(folder / "none.html")]) == 1
    for told in (_told(capsys), (folder / "none.html").read_text(encoding="utf-8")):
        assert "nothing to buy" in told
        assert "0 years" not in told.replace("50 years", "")
        assert "proved:" not in told


@pytest.mark.parametrize("seconds", ["0", "-1", "soon"])
def test_a_time_limit_that_is_none_is_refused(desk, seconds):
    _, words = desk
    assert run([*words, "--seconds", seconds]) == 2


def test_too_little_time_still_buys_for_every_joint(desk, capsys):
    _, words = desk
    assert run([*words, "--seconds", "0.1", "--turning"]) == 0
    told = _told(capsys)
    assert all(item in told for item in ("HA-104", "BO-252", "NA-128"))
    assert "proved: none costs less than" in told or "not proved in the time given" in told
