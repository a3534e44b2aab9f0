"""The owner's answers: what is renewed and what it costs, other hardware, the page, the command."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from longhold.assessment.line import assess
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.cli import portfolio as command
from longhold.cli.main import run
from longhold.intake.load import load, load_costs
from longhold.model.offer import Offer
from longhold.portfolio.classes import Limits
from longhold.portfolio.drawing import Terms, renewals_by_year
from longhold.portfolio.engine import OnThisProcess
from longhold.portfolio.exports import ranked_csv
from longhold.portfolio.folder import gather_folder
from longhold.portfolio.gathering import Gathering
from longhold.portfolio.instead import Change, change_of, changed_by
from longhold.portfolio.joints import totals_of, write_parts
from longhold.portfolio.keeping import Folder
from longhold.portfolio.line import run_portfolio
from longhold.portfolio.map import portfolio_map
from longhold.portfolio.mapping import MARKS
from longhold.portfolio.money import Prices, money_by_year
from longhold.portfolio.ranking import RANKINGS, StructureRow, ranked, weakest_of

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def portfolio(folder, tmp_path):
    gathered = gather_folder(folder, OnThisProcess())
    return run_portfolio(gathered, tmp_path / "out", OnThisProcess(), Terms(300), None)[0]


def test_renewals_are_those_counted_by_hand():
    # lives of 10 and 30 years over 50: renewed after 10, 20, 30, 40 and after 30
    found = renewals_by_year(np.array([10.0, 30.0]), 50.0)
    assert np.flatnonzero(found).tolist() == [10, 20, 30, 40]
    assert found[30] == 1.0
    assert found.sum() == 2.5


def test_money_is_counted_by_hand_and_never_invented(portfolio):
    bare = money_by_year(portfolio, 2026, None)
    assert bare.currency == ""
    assert all(np.isnan(row.money) for row in bare.rows)
    strap = Offer(item="1", kind="strap", size="16 ga", label="G90", price=50.0, currency="USD", pack=10)
    money = money_by_year(portfolio, 2026, Prices((strap,)))
    # of north, south and west two have straps of G90; nothing else has a price
    assert money.unpriced_kinds == 3
    for row in money.rows:
        assert row.money == pytest.approx(5.0 * row.priced)
        assert row.present == pytest.approx(row.money / 1.03 ** (row.year - 2026))
        assert row.priced <= row.renewals
    totals = totals_of(portfolio)
    dated = sum(row.renewals for row in money.rows) + money.before
    assert dated == pytest.approx(totals.renewals.sum())


def test_other_hardware_gives_what_assess_gives_for_it(portfolio, folder, tmp_path):
    found = changed_by(Change("strap", "G185"), portfolio, tmp_path / "instead", OnThisProcess())
    assert found.joints == 3

    def ends(change):
        total = 0.0
        for name in ("north", "south", "west"):
            structure = load(folder / f"{name}.toml")
            joint = structure.joints[1]
            part = joint.parts[0].model_copy(update={"label": "G185"} if change else {})
            joints = [joint.model_copy(update={"parts": [part]})]
            (one,) = assess(structure.model_copy(update={"joints": joints}), draws=300).findings
            total += 1.0 - one.protection_chance
        return total

    assert found.ends == pytest.approx((ends(False), ends(True)))
    assert found.ends[1] < found.ends[0]


def test_a_change_that_cannot_be_made_is_refused(portfolio, tmp_path):
    with pytest.raises(InputError, match="FAMILY=LABEL"):
        change_of("nails to stainless")
    with pytest.raises(InputError, match="no joint has such a part"):
        changed_by(Change("bolt", "G90"), portfolio, tmp_path / "a", OnThisProcess())
    with pytest.raises(InputError, match="G9x"):
        changed_by(Change("strap", "G9x"), portfolio, tmp_path / "b", OnThisProcess())


def test_rankings_put_first_what_they_say(portfolio):
    totals = totals_of(portfolio)
    first = {by: ranked(portfolio, totals, by) for by in RANKINGS}
    falls = [row.falls_below for row in first["chance"]]
    assert falls == sorted(falls, reverse=True)
    structural = [row.expected_structural for row in first["consequence"]]
    assert structural == sorted(structural, reverse=True)
    years = [row.below_after_years or np.inf for row in first["date"]]
    assert years == sorted(years)


@pytest.mark.parametrize(
    ("limits", "drawn", "asked"),
    [(None, "verified", "verified"), (None, "memory", "memory"), (Limits.usual(), "verified", "own")],
)
def test_no_answer_is_surer_than_the_rounding_that_it_went_through(folder, tmp_path, limits, drawn, asked):
    gathered = gather_folder(folder, OnThisProcess())
    found, _ = run_portfolio(gathered, tmp_path / "out", OnThisProcess(), Terms(200), limits)
    marks = np.full_like(found.drawn.mark, MARKS.index(drawn))
    told = replace(found, drawn=replace(found.drawn, mark=marks))
    rows = ranked(told, totals_of(told), "chance")
    assert {row.rests_on for row in rows} == {asked}
    assert weakest_of(rows) == asked
    # the least age at renewal is our own, whatever the lives rest on
    assert money_by_year(told, 2026, None).mark == "own"


def test_invented_costs_are_said_where_their_money_stands(portfolio):
    strap = Offer(item="1", kind="strap", size="16 ga", label="G90", price=50.0, currency="USD", pack=10)
    costs = load_costs(ROOT / "demo" / "costs.toml")
    money = money_by_year(portfolio, 2026, Prices((strap,), costs))
    assert money.mark == "invented"
    assert "invented" in money.note


@pytest.mark.slow
def test_the_command_writes_results_table_page_and_workbook(folder, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    words = ["portfolio", str(folder), "--workers", "1", "--draws", "200", "--instead", "strap=G185"]
    code = run([*words, "--report", "owner.html", "--xlsx", "owner.xlsx"])
    told = capsys.readouterr().out
    assert code == 1
    assert "2 structures could not be assessed" in told
    assert "Instead, strap: G185" in told
    out = tmp_path / "portfolio-results"
    with (out / "ranked.csv").open(encoding="utf-8") as stream:
        assert len([*csv.DictReader(stream)]) == 3
    assert json.loads((out / "manifest.json").read_text(encoding="utf-8"))["state"] == "done"
    page = (tmp_path / "owner.html").read_text(encoding="utf-8")
    assert "Which structures first" in page
    assert "no money is" in page
    from pyarrow import parquet

    (part,) = out.glob("joints/*/part.parquet")
    rows = parquet.ParquetFile(part).read().to_pylist()
    assert sum(row["quantity"] for row in rows) == 15
    assert {row["rests_on"] for row in rows} <= set(Mark)
    assert "Weakest of what this rests on: " in told
    assert "Weakest of what this rests on: " in page
    assert run([*words, "--draws", "300"]) == 2
    assert "of other draws" in capsys.readouterr().err


def test_pits_that_no_chance_counts_are_told_beside_it(folder, tmp_path):
    """304 kept from rain 9 km from the sea: F1 -3, F3 -7 ask for class III as recalled; it is of II."""
    north = load(folder / "north.toml")
    told = {"label": "304 stainless", "class_short_accepted": "looked at every spring"}
    strap = north.joints[1]
    part = strap.parts[0].model_copy(update=told)
    quay = strap.model_copy(update={"place": "under_cover", "parts": [part]})
    site = north.site.model_copy(update={"distance_to_salt_water": 9000.0})
    gathering = Gathering()
    gathering.add(north.model_copy(update={"joints": [quay, north.joints[0]], "site": site}), "quay.toml")
    found, _ = run_portfolio(gathering.gathered(), tmp_path / "out", OnThisProcess(), Terms(200), None)
    (row,) = ranked(found, totals_of(found), "chance")
    assert (row.pits_not_computed, row.left_out) == (1, ", pits not computed for 1 of its joints")
    kept = Folder(tmp_path / "kept", {})
    (name,) = write_parts(found, kept)
    assert kept.read_table(name).column("left_out").to_pylist() == ["pits not computed", ""]


def ranked_row(rank: int, longitude: float) -> StructureRow:
    return StructureRow(
        rank=rank,
        structure=f"S{rank}",
        source="",
        site="",
        latitude=34.0,
        longitude=longitude,
        joints=1,
        fails=0,
        refer=0,
        holds=1,
        not_assessed=0,
        falls_below=0.1,
        expected_ends=0.1,
        expected_structural=0.0,
        worst_joint="",
        below_after_years=None,
        below_in_year=None,
        life_years=None,
        pits_not_computed=0,
        rests_on="own",
    )


def test_the_first_to_look_at_have_their_rank_on_the_map() -> None:
    # two at one place share a mark and the rank of the first; the thirtieth has no number
    found = portfolio_map(
        [ranked_row(1, -80.0), ranked_row(2, -80.0), ranked_row(3, -90.0), ranked_row(30, -100.0)]
    )
    assert re.findall(r'class="rank">(\d+)<', str(found)) == ["1", "3"]
    assert str(found).count("<circle") == 3


def test_tables_hold_no_digits_of_adding_and_no_signs_that_turn_text_around() -> None:
    one = replace(ranked_row(1, -80.0), structure="A\u202ekcab", expected_ends=0.1 + 0.2, falls_below=1 / 3)
    (told,) = csv.DictReader(io.StringIO(ranked_csv([one])))
    assert (told["structure"], told["expected_ends"]) == ("A kcab", "0.3")
    assert float(told["falls_below"]) == pytest.approx(1 / 3, abs=1e-9)


def test_a_run_into_a_file_tells_how_far_it_is(monkeypatch, capsys) -> None:
    with command._told() as tell:
        tell("sites", 50, 10_000)  # not a minute gone: nothing is told
        monkeypatch.setattr(command.time, "monotonic", lambda: float("inf"))
        tell("sites", 5_000, 10_000)
    assert capsys.readouterr().err == "sites: 5,000 of 10,000\n"
