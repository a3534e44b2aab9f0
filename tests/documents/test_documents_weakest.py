"""Strength age by age: whom it names, what it leaves out, and where decay is told."""

import dataclasses

import pytest

from longhold.assessment.decay import DecayFlag
from longhold.assessment.findings import ModeShare
from longhold.assessment.weakest import Element, WeakestFinding
from longhold.base.marks import Mark
from longhold.documents.part_rows import remarks
from longhold.documents.weakest_rows import age_rows

AGES = (0.0, 25.0, 50.0, 100.0)
FLAG = DecayFlag(
    "beam", "J1", True, 30.0, 2.0, 0.2, 12.0, 22.0, True, "Decay is not counted: told.", Mark.MEMORY
)


@pytest.fixture
def found(make):
    weakest = WeakestFinding(
        years=AGES,
        chance_below=(0.0, 0.1, 0.4, 0.9),
        elements=(
            Element("the hanger", ("hanger",), 0.7, (1.0, 0.9, 0.7, 0.02)),
            Element("the nails", ("nail",), 0.8, (0.0, 0.1, 0.3, 0.98)),
        ),
        modes=(
            ModeShare("hanger: tearing across its holes", (1.0, 0.9, 0.7, 0.02)),
            ModeShare("nail: yield mode IV", (0.0, 0.1, 0.3, 0.98)),
        ),
        words="the hanger",
        share=0.7,
    )
    return dataclasses.replace(make().findings[0], weakest=weakest)


def test_each_age_names_the_weakest_first_and_leaves_out_the_rare(found):
    rows = {row.age: row for row in age_rows(found, 50.0)}
    assert set(rows) == set(AGES)
    assert rows[50.0].weakest == "the hanger 70 %, the nails 30 %"
    assert rows[100.0].weakest.startswith("the nails")
    assert "hanger" not in rows[100.0].weakest
    assert rows[50.0].gives.startswith("hanger: tearing across its holes 70 %")
    assert rows[50.0].below == "40 %"


def test_nothing_is_told_where_no_strength_is_computed(found):
    assert age_rows(dataclasses.replace(found, weakest=None), 50.0) == ()


def test_decay_is_a_remark_unless_the_answer_tells_it(found):
    flagged = dataclasses.replace(found, decay=FLAG)
    assert "Decay is not counted: told." in {one.text for one in remarks(flagged)}
    told = dataclasses.replace(flagged, answer=f"{found.answer} {FLAG.words}")
    assert not any("Decay" in one.text for one in remarks(told))
    dry = dataclasses.replace(found, decay=dataclasses.replace(FLAG, dose_days_a_year=0.0))
    assert not any("Decay" in one.text for one in remarks(dry))
