"""The strict reader: what it refuses, and that every shipped table passes."""

from __future__ import annotations

import csv
import io

import pytest

from longhold.base import tables
from longhold.base.errors import TableError
from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.base.tables import list_tables, load_csv, load_toml, number, read_text
from longhold.base.uses import count_uses

COLUMNS = {"a": str, "b": number}


@pytest.fixture
def written(monkeypatch):
    def write(text):
        monkeypatch.setattr(tables, "read_text", lambda path: text)

    return write


def test_a_good_table(written):
    written("a,b,source,mark\nx,1.5,own,own\ny,2,user,verified\n")
    rows = load_csv("t.csv", COLUMNS, key=("a",), rising="b")
    assert rows[0] == {"a": "x", "b": 1.5, "source": "own", "mark": Mark.OWN}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a,b,source\nx,1,own\n", "columns are"),
        ("a,b,c,source,mark\nx,1,2,own,own\n", "columns are"),
        ("a,b,source,mark\n", "no rows"),
        ("a,b,source,mark\nx,1,own,own\nx,2,own,own\n", "stands twice"),
        ("a,b,source,mark\nx,,own,own\n", "line 2, column b"),
        ("a,b,source,mark\nx,nan,own,own\n", "not finite"),
        ("a,b,source,mark\nx,2,own,own\ny,1,own,own\n", "must rise"),
        ("a,b,source,mark\nx,1,nowhere,own\n", "not in the register"),
        ("a,b,source,mark\nx,1,own,sure\n", "is not one of"),
        ("a,b,source,mark\nx,1,own,verified\n", "nobody read"),
        ("a,b,source,mark\nx,1,own\n", "wrong number of cells"),
    ],
)
def test_a_bad_table_is_refused(written, text, said):
    written(text)
    with pytest.raises(TableError, match=said):
        load_csv("t.csv", COLUMNS, key=("a",), rising="b")


@pytest.mark.parametrize("path", list_tables(".csv"))
def test_every_shipped_csv_names_a_known_source_and_mark_in_each_row(path):
    for row in csv.DictReader(io.StringIO(read_text(path))):
        assert row["source"] in register(), row
        assert row["mark"] in list(Mark), row
        if row["mark"] == Mark.VERIFIED:
            assert register()[row["source"]].read, row


@pytest.mark.parametrize("path", [path for path in list_tables(".toml") if not path.startswith("sources/")])
def test_every_shipped_toml_is_consistent(path):
    load_toml(path)


def test_no_table_is_marked_invented():
    """So no computation rests on less than an engineering choice: ``assessment.joint`` asks no further."""
    assert not any(Mark.INVENTED in marks for marks in count_uses().values())
