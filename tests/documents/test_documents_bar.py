"""The bar that "falls short" is measured by, and the order in which answers are listed."""

from __future__ import annotations

import datetime
import re

import pytest

import longhold
from longhold.assessment.bar import reached_words
from longhold.assessment.ends import deciding
from longhold.assessment.findings import Assessment
from longhold.documents.report import report_html
from longhold.documents.table import terminal_rows

DAY = datetime.date(2026, 4, 1)


@pytest.fixture(scope="module")
def walk() -> Assessment:
    return longhold.assess(longhold.load("demo/boardwalk.toml"), draws=200)


@pytest.fixture(scope="module")
def report(walk: Assessment) -> str:
    return report_html([walk], DAY)


def test_the_text_above_the_summary_names_the_order_that_the_rows_have(walk: Assessment, report: str) -> None:
    by_id = {found.joint.id: found for found in walk.findings}
    rows = [by_id[name] for name in re.findall(r'id="row-([^"]+)"', report)]
    assert len(rows) == len(walk.findings)
    # each key as the text says it, from the finding itself
    said = (
        (
            "what falls short, then what is undecided",
            lambda one: ["fails", "refer", "holds"].index(one.outcome),
        ),
        ("joints that carry load before the others", lambda one: one.joint.role != "structural"),
        ("ends soonest", lambda one: band.p50 if (band := deciding(one)[0]) else float("inf")),
    )
    intro = report.split('id="summary-head"')[1].split("</p>")[0]
    assert [intro.find(words) for words, _ in said] == sorted(intro.find(words) for words, _ in said)
    assert all(words in intro for words, _ in said)
    keys = [tuple(key(one) for _, key in said) for one in rows]
    assert keys == sorted(keys)
    assert "Soonest to fail is on top" not in report


def test_whatever_falls_short_says_what_it_reaches_and_what_is_asked(walk: Assessment, report: str) -> None:
    for found in walk.findings:
        if found.outcome != "fails":
            continue
        section = report.split(f'id="joint-{found.joint.id}"')[1].split("</h3>")[0]
        after = re.sub(r"<[^>]+>", " ", section.split("Falls short")[1])
        assert re.match(
            r"\s*(Over|Under|Just under)?\s*[\d. ]*in 100 reach 50 years( without [^;]+)?; 90 in 100 asked",
            after,
        ), after[:99]
    row = report.split('id="row-')[1].split("</tr>")[0]
    assert "90 in 100 asked" in row


def test_a_joint_that_reaches_enough_and_is_refused_by_the_code_says_so(walk: Assessment) -> None:
    refused = [
        row for row in terminal_rows(walk) if row.outcome == "fails" and row.code.startswith("not allowed")
    ]
    assert refused
    assert all(row.bar.endswith("; 90 in 100 asked; not allowed by the code") for row in refused)


def test_where_sites_are_compared_the_refusal_of_the_code_is_told_once(walk: Assessment) -> None:
    page = report_html([walk, walk], DAY)
    cells = re.findall(r"<td[^>]*>(?:(?!</td>).)*; code: not allowed(?:(?!</td>).)*</td>", page, re.DOTALL)
    assert cells
    assert not any("not allowed by the code" in cell for cell in cells)


@pytest.mark.parametrize("target", [0.5, 0.9, 0.95, 0.99, 0.995])
@pytest.mark.parametrize("over", [-0.3, -0.004, -0.0004, -0.00004, 0.0, 0.0004, 0.004, 0.3])
def test_no_rounding_hides_on_which_side_of_the_bar_a_joint_is(target: float, over: float) -> None:
    chance = min(1.0, target + over)
    told = reached_words(chance, target)
    number = float(re.search(r"[\d.]+", told)[0])  # type: ignore[index]
    if told.startswith(("just under", "under")):
        assert chance < target
    elif told.startswith("over"):
        assert chance >= target
    else:
        assert (number >= 100 * target) == (chance >= target), told
