from __future__ import annotations

from collections.abc import Callable

import pytest

from longhold.codes.cases import answer_case, facts_from_row
from longhold.model.protection import Protection

Read = Callable[[str], Protection | None]
ROW = {
    "check_type": "compliance",
    "jurisdiction": "US",
    "code": "IRC",
    "edition": "2021",
    "application": "wall_framing",
    "treatment": "CA",
    "exposure": "exterior_exposed",
    "item": "nail",
    "size_mm": "3.3",
    "offered_finish": "A153_D",
}


def test_only_the_describing_columns_are_looked_at(read: Read) -> None:
    bare = answer_case(ROW, read)
    told = answer_case({**ROW, "expected": "fail", "deciding_rule_ids": "US-IRC-99", "reason": "no"}, read)
    assert bare is not None
    assert bare == told
    assert bare.verdict == "pass"


@pytest.mark.parametrize(
    "change",
    [{"code": "Law of the Sea"}, {"jurisdiction": "FR"}, {"edition": "1889"}, {"check_type": "couple"}],
)
def test_what_no_pack_covers_is_not_answered(read: Read, change: dict[str, str]) -> None:
    assert answer_case({**ROW, **change}, read) is None


def test_what_cannot_be_read_is_not_told_and_named(read: Read) -> None:
    answer = answer_case({**ROW, "offered_finish": "unobtainium"}, read)
    assert answer is not None
    assert answer.verdict == "refer"
    assert answer.not_read == ("offered_finish",)
    assert "finish" in answer.answer.missing_facts
    for column in ("treatment", "exposure", "item", "size_mm"):
        _, not_read = facts_from_row({**ROW, column: "gibberish"}, read)
        assert not_read == (column,)


def test_advice_is_read_against_the_finish_offered(read: Read) -> None:
    hanger = {**ROW, "item": "connector", "maker_recommendation": "accepts G90"}
    assert answer_case({**hanger, "offered_finish": "G90"}, read).verdict == "pass"
    assert answer_case({**hanger, "offered_finish": "G60"}, read).verdict == "fail"
    unclear = answer_case({**hanger, "offered_finish": "B695_55"}, read)
    assert unclear.verdict == "refer"
    assert unclear.not_read == ("maker_recommendation",)


def test_a123_mass_counts_as_the_table_counts_it(read: Read) -> None:
    hanger = {**ROW, "item": "connector", "maker_recommendation": "none"}
    assert answer_case({**hanger, "offered_finish": "A123_2.0oz"}, read).verdict == "pass"
    assert answer_case({**hanger, "offered_finish": "A123_1.5oz"}, read).verdict == "fail"


def test_classification_gives_name_and_value(read: Read) -> None:
    row = {
        "check_type": "classify",
        "jurisdiction": "AU",
        "code": "TDS 35",
        "edition": "2015",
        "distance_to_sea_m": "600",
        "site_note": "surf coast",
    }
    answer = answer_case(row, read)
    assert (answer.verdict, answer.rules) == ("zone=sea_spray", ("AU-TQ-1",))
    assert "no plant that gives off corrosive gas is near" in answer.assumptions
    assert answer_case({**row, "distance_to_sea_m": ""}, read).verdict == "refer"


def test_couple_reads_its_partner(read: Read) -> None:
    row = {
        "check_type": "couple",
        "jurisdiction": "CA",
        "code": "industry guidance",
        "edition": "-",
        "treatment": "ACQ",
        "exposure": "exterior_exposed",
        "item": "wood_screw",
        "offered_finish": "SS304",
    }
    bad = answer_case({**row, "site_note": "partner: connector G185"}, read)
    assert bad.verdict == "fail"
    assert "DM-02" in bad.rules
    assert answer_case({**row, "site_note": "partner: SS316 connector"}, read).verdict == "pass"
    assert answer_case({**row, "site_note": "partner: spoon G185"}, read).not_read == ("site_note",)


def test_wide_vents_count_as_exposed(read: Read) -> None:
    row = {
        "check_type": "compliance",
        "jurisdiction": "NZ",
        "code": "NZS 3604",
        "edition": "2011",
        "treatment": "CCA_H3.2",
        "nz_zone": "B",
        "nz_env": "sheltered",
        "height_above_ground_mm": "900",
        "item": "connector",
        "size_mm": "5",
        "offered_finish": "HDG",
    }
    assert answer_case(row, read).verdict == "pass"
    assert answer_case({**row, "site_note": "subfloor, vents > 7000 mm2"}, read).verdict == "fail"
