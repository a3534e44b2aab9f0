"""End tags joined with what is known of the preservative in wood."""

import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.tables import load_csv
from longhold.documents.tag_view import (
    copper_words,
    in_wood,
    rate_words,
    tag_sections,
    unknown_rows,
    unknown_words,
)
from longhold.labels import possible_treatments, read_tag
from longhold.labels.tag_tables import dated_treatments
from longhold.wood.preservatives import find_preservative

NOT_HELD = {"CCA-A", "CCA-B", "CBA-A"}


def designations():
    rows = load_csv(
        "labels/tag_preservatives.csv", {"spelling": str, "designations": lambda t: t.split(";"), "open": str}
    )
    return {one for row in rows for one in row["designations"]}


def test_every_name_on_a_tag_is_known_to_the_wood_or_said_not_to_be():
    for one in designations() | {row.designation for row in dated_treatments()}:
        if one in NOT_HELD:
            with pytest.raises(InputError):
                find_preservative(one)
            assert not in_wood(one).held
        else:
            assert in_wood(one).held


@pytest.mark.parametrize(
    ("designation", "retention", "copper"),
    [
        ("CCA-C", 4.0, 0.59),
        ("ACQ-D", 2.4, 1.28),
        ("ACQ-D", 6.4, 3.43),
        ("CA-C", 1.0, 0.96),
        ("SBX/DOT", 4.0, 0.0),
    ],
)
def test_copper_follows_the_retention_on_the_tag(designation, retention, copper):
    low, high = in_wood(designation, retention_kg_m3=retention).copper_kg_m3
    assert low == high == pytest.approx(copper, abs=0.01)


def test_without_a_retention_copper_spans_above_ground_to_ground_contact():
    low, high = in_wood("ACQ-D").copper_kg_m3
    assert (low, high) == (pytest.approx(1.28, abs=0.01), pytest.approx(3.43, abs=0.01))
    assert in_wood("ACQ-D", categories=["UC4A"]).copper_kg_m3[0] == pytest.approx(3.43, abs=0.01)
    assert copper_words(in_wood("SBX/DOT")) == "none"
    assert copper_words(in_wood("CCA-A")) == rate_words(in_wood("CCA-A")) == "not held"


def test_the_weakest_mark_is_told():
    assert in_wood("ACQ-D").mark is Mark.OWN


def test_a_tag_is_laid_out_with_a_heading_for_each_reading():
    titles = [title for title, _ in tag_sections(read_tag("ACQ .25 gizmo"))]
    assert titles[:4] == [
        "What the tag says",
        "reading 1 of 3: ACQ-B",
        "reading 2 of 3: ACQ-C",
        "reading 3 of 3: ACQ-D",
    ]
    assert titles[4:] == ["To settle", "Not understood, and left out"]
    assert tag_sections(read_tag("ACQ-D"))[1][0] == "ACQ-D"


def test_an_unknown_deck_reckons_with_the_hardest_on_metal():
    first, then = unknown_words(possible_treatments(1985), 1985)
    assert "CCA-C" in first
    assert "ACZA" in then
    assert "2 times as fast" in then
    first, _ = unknown_words(possible_treatments(None), None)
    assert first.startswith("With no year of building")


def test_rows_say_whether_the_dates_fit():
    rows = {row[0].split(",")[0]: row[1] for row in unknown_rows(possible_treatments(2010), 2010)}
    assert (rows["CCA-C"], rows["MCA"], rows["untreated"]) == ("unlikely", "fits", "no date held")
