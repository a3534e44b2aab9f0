"""The numbers of a portfolio are those of ``assess``; restart and death of a worker lose nothing."""

from __future__ import annotations

import os
import signal
import threading
import time
from pathlib import Path

import numpy as np
import pytest

from longhold.assessment.line import assess
from longhold.base.errors import InputError
from longhold.intake.load import load
from longhold.portfolio.classes import Limits
from longhold.portfolio.drawing import Terms
from longhold.portfolio.engine import OnThisProcess, dask_engine
from longhold.portfolio.folder import gather_folder
from longhold.portfolio.gathering import Gathering
from longhold.portfolio.joints import each_part, totals_of, with_faults_told, write_parts
from longhold.portfolio.line import run_portfolio
from longhold.portfolio.mapping import MARKS, OUTCOMES

ROOT = Path(__file__).resolve().parents[2]
JOINTS = ("J05", "J10", "J11")


def held_against_assess(portfolio, structures, terms):
    """Every number of every joint, bit for bit."""
    found = {}
    for part in each_part(portfolio):
        for joint, pair in zip(part.joints.tolist(), part.pair.tolist(), strict=True):
            found[int(portfolio.gathered.structure[joint]), portfolio.gathered.joint_ids[joint]] = (
                part.found,
                pair,
            )
    compared = 0
    for number, structure in enumerate(structures):
        for one in assess(structure, draws=terms.draws, seed=terms.seed).findings:
            ours, pair = found[number, one.joint.id]
            assert OUTCOMES[ours.outcome[pair]] == one.outcome
            assert MARKS[ours.mark[pair]] == one.mark.value
            for name in ("protection", "strength"):
                band = getattr(one, f"{name}_years")
                ages = getattr(ours, name)[pair]
                told = [np.nan] * 3 if band is None else [band.p10, band.p50, band.p90]
                np.testing.assert_array_equal(ages, told)
                chance = getattr(one, f"{name}_chance")
                np.testing.assert_array_equal(
                    getattr(ours, f"{name}_chance")[pair], np.nan if chance is None else chance
                )
                compared += 1
    return compared


def test_numbers_are_those_of_assess(folder, tmp_path):
    gathered = gather_folder(folder, OnThisProcess())
    terms = Terms(draws=400, seed=3)
    portfolio, _ = run_portfolio(gathered, tmp_path / "out", OnThisProcess(), terms, None)
    structures = [load(folder / line.source) for line in portfolio.gathered.structures]
    assert held_against_assess(portfolio, structures, terms) == 12


@pytest.mark.slow
def test_numbers_are_those_of_assess_out_of_doors(tmp_path):
    # a nailed strap, an angle with screws of another metal, a bolt: all in or under one kind of joist
    deck = load(ROOT / "demo" / "boardwalk.toml")
    structures = [deck.model_copy(update={"joints": [one for one in deck.joints if one.id in JOINTS]})]
    gathering = Gathering()
    gathering.add(structures[0], "deck")
    terms = Terms(draws=300)
    portfolio, _ = run_portfolio(gathering.gathered(), tmp_path / "out", OnThisProcess(), terms, None)
    assert held_against_assess(portfolio, structures, terms) == 2 * len(JOINTS)


def test_equal_sites_and_kinds_are_held_once(folder):
    gathered = gather_folder(folder, OnThisProcess())
    north, west = (
        next(line for line in gathered.structures if line.name == name) for name in ("north", "west")
    )
    assert north.site == west.site
    assert len(gathered.sites) == 2
    assert len(gathered.kinds) == 6  # two each of G90, G185 and the label that cannot be read


def test_a_bad_structure_stops_no_other_and_is_told(folder, tmp_path):
    gathered = gather_folder(folder, OnThisProcess())
    portfolio, _ = run_portfolio(gathered, tmp_path / "out", OnThisProcess(), Terms(200), None)
    assert [line.name for line in portfolio.gathered.structures] == ["north", "south", "west"]
    told = {one.source: one.message for one in portfolio.gathered.not_assessed}
    assert set(told) == {"label.toml", "broken.toml"}
    assert "joint A1" in told["label.toml"]
    assert "G9x" in told["label.toml"]


def test_a_joint_that_nobody_foresaw_is_told_and_stops_no_other(folder, tmp_path, monkeypatch):
    import longhold.portfolio.drawing as drawing

    real = drawing.joint_lives

    def sometimes(joint, setting):
        if joint.place == "ground_contact" and joint.parts[0].label == "G185":
            raise ZeroDivisionError("nobody foresaw this")
        return real(joint, setting)

    monkeypatch.setattr(drawing, "joint_lives", sometimes)
    gathered = gather_folder(folder, OnThisProcess())
    portfolio, _ = run_portfolio(gathered, tmp_path / "out", OnThisProcess(), Terms(200), None)
    totals = totals_of(portfolio)
    assert totals.not_assessed.tolist() == [0, 1, 0]
    told = with_faults_told(portfolio).gathered.not_assessed[-1]
    assert told.source == "south.toml"
    assert "joint A2 alone" in told.message
    assert "nobody foresaw this" in told.message


def test_a_run_goes_on_where_it_stopped(folder, tmp_path):
    gathered = gather_folder(folder, OnThisProcess())
    out = tmp_path / "out"
    whole, _ = run_portfolio(gathered, out, OnThisProcess(), Terms(200), None)
    files = sorted((out / "combinations").iterdir())
    files[0].unlink()  # as if it had been stopped before this one
    files[1].write_bytes(files[1].read_bytes()[:100])  # as if a disk had lost the rest of this one

    class Counting(OnThisProcess):
        asked: tuple[int, ...] = ()

        def each(self, do, tasks):
            self.asked = (*self.asked, len(tasks))
            yield from super().each(do, tasks)

    engine = Counting()
    again, folder_of = run_portfolio(gathered, out, engine, Terms(200), None)
    assert engine.asked[-1] == 2
    np.testing.assert_array_equal(np.sort(again.drawn.life, axis=0), np.sort(whole.drawn.life, axis=0))
    write_parts(again, folder_of)
    assert not [*out.rglob("*.part")]


def test_results_of_another_portfolio_are_never_mixed_in(folder, tmp_path):
    gathered = gather_folder(folder, OnThisProcess())
    run_portfolio(gathered, tmp_path / "out", OnThisProcess(), Terms(200), None)
    with pytest.raises(InputError, match="of other draws"):
        run_portfolio(gathered, tmp_path / "out", OnThisProcess(), Terms(300), None)


def test_totals_count_every_joint(folder, tmp_path):
    gathered = gather_folder(folder, OnThisProcess())
    portfolio, _ = run_portfolio(gathered, tmp_path / "out", OnThisProcess(), Terms(200), Limits.usual())
    totals = totals_of(portfolio)
    assert totals.joints.tolist() == [5, 5, 5]
    by_outcome = totals.fails + totals.refer + totals.holds + totals.not_assessed
    np.testing.assert_array_equal(by_outcome, totals.joints)
    north, south, _ = (assess(load(folder / f"{one}.toml"), draws=200) for one in ("north", "south", "west"))
    for number, answer in enumerate((north, south)):
        lost = sum(
            one.joint.quantity
            * (1 - (one.strength_chance if one.decides == "strength" else one.protection_chance))
            for one in answer.findings
        )
        assert totals.ended[number] == pytest.approx(lost)


def slow_square(number):
    time.sleep(0.1)
    return os.getpid(), number**2


@pytest.mark.slow
def test_a_scheduler_elsewhere_does_the_same():
    with dask_engine(1) as here, dask_engine(scheduler=here.client.scheduler.address) as there:
        assert sorted(there.each(abs, [-1, -2])) == [(0, 1), (1, 2)]


def test_no_scheduler_is_told(monkeypatch):
    monkeypatch.setattr("longhold.portfolio.engine._WAIT", "1s")
    with pytest.raises(InputError, match="no scheduler answers"), dask_engine(scheduler="tcp://127.0.0.1:9"):
        pass


def test_results_in_the_folder_are_no_structures(folder):
    results = folder / "results"
    results.mkdir()
    (results / "manifest.json").write_text("{}", encoding="utf-8")
    gathered = gather_folder(folder, OnThisProcess(), without=results)
    assert {one.source for one in gathered.not_assessed} == {"broken.toml"}


@pytest.mark.slow
def test_a_killed_worker_loses_nothing():
    done = []
    with dask_engine(2) as engine:
        victim = next(iter(engine.client.run(os.getpid).values()))
        threading.Timer(0.5, os.kill, (victim, signal.SIGKILL)).start()
        done += [result for _, result in engine.each(slow_square, list(range(40)))]
    assert sorted(square for _, square in done) == [number**2 for number in range(40)]
    by = {pid for pid, _ in done}
    assert len(by) > 1
    assert by - {victim}
