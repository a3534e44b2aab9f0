"""What a plan, a decision, a reading or a choice turns on is told with its mark."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import longhold
from longhold.base.tables import figures
from longhold.cli.main import run
from longhold.documents.thresholds_view import Answers, turns_on

SOURCE = Path(longhold.__file__).parent


def asked_for(*modules: str) -> set[str]:
    """Thresholds that some modules, or all of a room, ask for."""
    files = [file for one in modules for file in sorted(SOURCE.glob(f"{one}.py"))]
    assert files
    return {name for file in files for name in re.findall(r'threshold\("(\w+)"\)', file.read_text())}


def told(kind: Answers) -> set[str]:
    return {meaning for meaning, _, _ in turns_on(kind).rows}


# where a joint's life is weighed against what may be done with it
WEIGHING = ("inspect/lives", "inspect/actions")


@pytest.mark.parametrize(
    ("kind", "table", "modules"),
    [
        ("choice", "choose", ("choose/*",)),
        ("decisions", "inspect", WEIGHING),
        ("plan", "inspect", (*WEIGHING, "inspect/plan", "inspect/selection")),
        ("readings", "inspect", ("inspect/learn", "inspect/observed")),
    ],
)
def test_an_answer_tells_every_threshold_that_it_is_computed_with(
    kind: Answers, table: str, modules: tuple[str, ...]
) -> None:
    rows = figures(f"{table}/thresholds.csv")
    assert told(kind) == {rows[name]["meaning"] for name in asked_for(*modules)}


def test_no_threshold_of_a_visit_is_told_nowhere() -> None:
    # the next visit is told among what was assumed; the last two are of a delivery's lines, and not told yet
    elsewhere = {"next_visit_years", "same_coat", "replacements_tried"}
    rows = figures("inspect/thresholds.csv")
    assert {one["meaning"] for name, one in rows.items() if name not in elsewhere} == told("plan") | told(
        "readings"
    )


@pytest.mark.parametrize("kind", ["plan", "decisions", "readings", "choice"])
def test_prices_that_are_invented_are_the_weakest_of_all(kind: Answers) -> None:
    assert turns_on(kind).mark == "own"
    assert turns_on(kind, invented=True).mark == "invented"


@pytest.mark.slow
def test_a_choice_by_invented_prices_says_that_it_rests_on_them(capsys: pytest.CaptureFixture[str]) -> None:
    demo = SOURCE.parents[1] / "demo"
    words = ["choose", str(demo / "boardwalk.toml"), "--offers", str(demo / "offers.csv")]
    run([*words, "--costs", str(demo / "costs.toml"), "--draws", "200"])
    assert "Weakest of what this rests on: invented demonstration values [invented]." in " ".join(
        capsys.readouterr().out.split()
    )
