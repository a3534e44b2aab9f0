"""The room's tables: figures of the standards keep their marks, our own stay marked own."""

from __future__ import annotations

import pytest

from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.base.tables import list_tables, load_csv, load_toml, read_text


def of_air(suffix: str) -> list[str]:
    return [path for path in list_tables(suffix) if path.startswith("air/")]


@pytest.mark.parametrize("path", of_air(".csv"))
def test_every_row_has_a_known_source_and_mark(path):
    header = read_text(path).splitlines()[0].split(",")
    columns = {name: str for name in header if name not in {"source", "mark"}}
    for row in load_csv(path, columns):
        assert row["source"] in register()
        if "/own/" in path:
            assert row["mark"] is Mark.OWN


@pytest.mark.parametrize("path", of_air(".toml"))
def test_every_record_has_a_source_and_mark(path):
    records = load_toml(path)
    assert records
    for record in records.values():
        assert record["source"] in register()
        if "/own/" in path:
            assert record["mark"] == Mark.OWN


def test_recalled_standards_are_not_called_verified():
    marks = {row["mark"] for row in load_csv("air/iso9224_2012/exponents.csv", EXPONENTS)}
    assert marks == {Mark.MEMORY}
    assert not register()["iso9224-2012"].read
    assert not register()["climate-normals-memory"].read


EXPONENTS = {"metal": str, "which": str, "exponent": float, "meaning": str}
