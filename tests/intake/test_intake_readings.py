"""Tables of readings as people fill them in."""

import datetime

import pytest

from longhold.base.errors import InputError, Problem
from longhold.intake.readings import read_readings, read_value

HEADS = "joint,part,face,date,measured,reading,uncertainty,spots,instrument"


def table(tmp_path, *lines, heads=HEADS):
    path = tmp_path / "readings.csv"
    path.write_text("\n".join([heads, *lines]) + "\n", encoding="utf-8")
    return path


def refused(path):
    with pytest.raises(InputError) as found:
        read_readings(path)
    return str(found.value)


def test_a_line_is_read_with_its_units(tmp_path):
    found = read_readings(table(tmp_path, "J1,hanger,outer,2024-06-12,zinc,1.3 mil,2 um,5,gauge 2"))
    (one,) = found.readings
    assert one.value == pytest.approx(33.02)
    assert (one.uncertainty, one.spots, one.date) == (2.0, 5, datetime.date(2024, 6, 12))
    assert one.words == "1.3 mil"


# ASTM D610-08(2012), Table 1; ISO 4628-3, Table 1: shares of the surface that is rusted
@pytest.mark.parametrize(
    ("text", "low", "high"),
    [("D610 6", 0.3, 1.0), ("ASTM D610 grade 10", 0.0, 0.01), ("Ri 4", 1.0, 8.0), ("no red rust", 0.0, 0.01)],
)
def test_a_grade_is_an_interval_of_areas(text, low, high):
    assert read_value("rust", text) == {"low_pct": low, "high_pct": high}


def test_a_grade_of_bare_steel_is_a_look_not_an_area(tmp_path):
    (one,) = read_readings(table(tmp_path, "J1,hanger,outer,2024-06-12,rust,ISO 8501-1 C,,,")).readings
    assert (one.measured, one.low_pct) == ("look", None)


def test_the_same_line_twice_counts_once_and_is_told(tmp_path):
    line = "J1,hanger,outer,2024-06-12,zinc,1.3 mil,,,"
    found = read_readings(table(tmp_path, line, line))
    assert len(found.readings) == 1
    assert found.repeated == ("line 3 says the same as line 2 and is left out",)


def test_what_the_structure_refuses_is_told_with_what_the_table_does(tmp_path):
    path = table(
        tmp_path,
        "J9,hanger,outer,2024-06-12,zinc,33 um,,,",
        "J1,hanger,outer,2024-06-12,zinc,33 lb,,,",
    )

    def fits(reading, where):
        if reading.joint == "J9":
            raise InputError(Problem(where, reading.joint, "is not in the structure."))

    with pytest.raises(InputError) as found:
        read_readings(path, fits)
    assert "line 2 is 'J9': is not in the structure." in str(found.value)
    assert "33 lb" in str(found.value)


def test_every_bad_cell_is_told_with_its_place(tmp_path):
    said = refused(
        table(
            tmp_path,
            "J1,hanger,outer,12.6.2024,zinc,33,,,",
            "J1,hanger,outer,2024-06-12,thickness,1 mil,,,",
            "J1,hanger,outer,2024-06-12,rust,Ri 7,,0,",
            "J1,,outer,2024-06-12,zinc,1 mil,,,",
            "J1,hanger,outer,2999-01-01,zinc,-1 mil,,,",
        )
    )
    for part in (
        "line 2, column D (date) is '12.6.2024': must be a date such as 2031-05-14",
        "line 2, column F (reading) is '33': needs a unit",
        "line 3, column E (measured) is 'thickness': must be one of zinc, metal lost",
        "line 4, column F (reading) is 'Ri 7': must be a whole number from 0 to 5",
        "line 4, column H (spots) is '0': must be a whole number of spots",
        "line 5: names no part of the joint",
        "line 6, column D (date) is '2999-01-01': lies in the future",
        "line 6, column F (reading) is '-1 mil'",
    ):
        assert part in said


def test_heads_that_are_not_known_or_missing_are_told(tmp_path):
    said = refused(table(tmp_path, "1", heads="joint,thickness"))
    assert "'thickness': is no column of readings" in said
    assert "the column date is missing" in said


def test_an_empty_table_is_told(tmp_path):
    assert "is empty" in refused(table(tmp_path, heads=""))
    assert "holds no reading" in refused(table(tmp_path))
