"""A flat table of joints: the same numbers as structure files, and messages that name row and column."""

from __future__ import annotations

import pytest

from longhold.base.errors import InputError
from longhold.intake.load import loads
from longhold.portfolio.columns import COLUMNS, column_of
from longhold.portfolio.drawing import Terms
from longhold.portfolio.engine import OnThisProcess
from longhold.portfolio.gathering import Gathering
from longhold.portfolio.joints import totals_of
from longhold.portfolio.line import run_portfolio
from longhold.portfolio.table import gather_table

HEADS = (
    "structure,site,latitude,longitude,build_date,design_life,pack,edition,joint,place,role,quantity,"
    "main_species,main_preservative,main_size,part1_kind,part1_size,part1_label,part1_count"
)
ROW = (
    "Shed,Hill,34.0,-85.0,2001-05-01,50 years,us_irc,2021,{joint},{place},other,{quantity},"
    "southern pine,none,2x8,strap,16 ga,{label},1"
)


def table(tmp_path, *rows, heads=HEADS):
    file = tmp_path / "joints.csv"
    file.write_text("\n".join([heads, *rows, ""]), encoding="utf-8")
    return file


def row(joint="A", place="damp_inside", quantity="2", label="G90"):
    return ROW.format(joint=joint, place=place, quantity=quantity, label=label)


def test_a_table_says_what_a_structure_file_says(tmp_path):
    gathered = gather_table(table(tmp_path, row("A"), row("B", "ground_contact", "3")))
    same = loads(
        """
name = "Shed"
design_life = "50 years"
build_date = 2001-05-01
[code]
pack = "us_irc"
edition = "2021"
[site]
name = "Hill"
latitude = 34.0
longitude = -85.0
[timbers.main]
species = "southern pine"
preservative = "none"
size = "2x8"
[[joints]]
id = "A"
name = "A"
place = "damp_inside"
role = "other"
quantity = 2
main = "main"
parts = [{ id = "part1", kind = "strap", size = "16 ga", label = "G90", count = 1 }]
[[joints]]
id = "B"
name = "B"
place = "ground_contact"
role = "other"
quantity = 3
main = "main"
parts = [{ id = "part1", kind = "strap", size = "16 ga", label = "G90", count = 1 }]
"""
    )
    gathering = Gathering()
    gathering.add(same, "file")
    totals = []
    for number, one in enumerate((gathered, gathering.gathered())):
        portfolio, _ = run_portfolio(one, tmp_path / str(number), OnThisProcess(), Terms(300), None)
        totals.append(totals_of(portfolio))
    assert totals[0].joints.tolist() == [5]
    assert totals[0].ended.tolist() == totals[1].ended.tolist()
    assert totals[0].life_years.tolist() == totals[1].life_years.tolist()


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (row("B", place="attic"), ["row 3", "column place", "attic"]),
        (row("B", quantity="none"), ["row 3", "column quantity", "none"]),
        (row("B", quantity="9" * 5000), ["row 3", "column quantity", "whole number"]),
        (row("A"), ["row 3", "column joint", "twice"]),
        (row("B").replace("50 years", "5 miles"), ["row 3", "column design_life"]),
        (row("B").replace("34.0", "north"), ["row 3", "column latitude"]),
        (row("B").replace("us_irc", "eu_12944"), ["row 3", "column pack", "differs"]),
        (row("B").replace("2x8", "2x99"), ["row 3", "column main_size"]),
    ],
)
def test_a_bad_row_is_told_with_its_column_and_takes_out_its_structure_alone(tmp_path, bad, said):
    other = row("A").replace("Shed", "Barn")
    gathered = gather_table(table(tmp_path, row("A"), bad, other))
    assert [line.name for line in gathered.structures] == ["Barn"]
    (told,) = gathered.not_assessed
    for word in said:
        assert word in told.message
    assert "Shed" in told.source
    assert "row 2" in told.source


def test_a_site_that_is_nowhere_is_told_as_the_site_and_not_as_a_column(tmp_path):
    nowhere = row("A").replace("34.0,-85.0", ",")
    gathered = gather_table(
        table(tmp_path, nowhere, row("A").replace("Shed", "Barn").replace("Hill", "Dale"))
    )
    (told,) = gathered.not_assessed
    assert told.message == "the site: needs a climate, or latitude and longitude."


def test_unknown_and_missing_columns_are_refused(tmp_path):
    with pytest.raises(InputError, match="part1_lable") as caught:
        gather_table(table(tmp_path, row(), heads=HEADS.replace("part1_label", "part1_lable")))
    assert "Did you mean part1_label?" in str(caught.value)
    assert "column part1_label: is missing" in str(caught.value)


def test_a_table_in_other_letters_than_utf_8_is_refused(tmp_path):
    """Found by tools/fuzz.py."""
    file = table(tmp_path, row())
    file.write_bytes(file.read_bytes().replace(b"site,", "Stra\u00dfe,".encode("latin-1")))
    with pytest.raises(InputError, match="is not UTF-8 text"):
        gather_table(file)


@pytest.mark.parametrize("column", [[[1]], [b"\xeb\xff"]])
def test_a_column_of_lists_or_bytes_is_refused_by_its_name(tmp_path, column):
    """Found by tools/fuzz.py."""
    import pyarrow
    from pyarrow import csv, parquet

    read = csv.read_csv(table(tmp_path, row("A")))
    file = tmp_path / "joints.parquet"
    at = read.column_names.index("quantity")
    parquet.write_table(read.set_column(at, "quantity", pyarrow.array(column)), file)
    with pytest.raises(InputError, match=r"joints\.parquet: column quantity: holds what is no text"):
        gather_table(file)


def test_parquet_is_read_as_csv_is(tmp_path):
    from pyarrow import csv, parquet

    file = table(tmp_path, row("A"), row("B", "ground_contact", "3"))
    parquet.write_table(csv.read_csv(file), tmp_path / "joints.parquet")
    assert gather_table(tmp_path / "joints.parquet").key == gather_table(file).key


def test_every_column_leads_back_to_itself():
    for name, column in COLUMNS.items():
        where = "".join(f"[{one}]" if isinstance(one, int) else f".{one}" for one in column.path)
        assert column_of(where.lstrip(".")) == name
