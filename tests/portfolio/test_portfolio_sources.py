"""A portfolio out of a store, and the invented one of the tool."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from longhold.base.errors import InputError
from longhold.intake.load import load
from longhold.intake.whole_document import whole_document
from longhold.portfolio.engine import OnThisProcess
from longhold.portfolio.folder import gather_folder
from longhold.portfolio.saved import gather_store
from longhold.portfolio.table import gather_table
from longhold.store import Store

ROOT = Path(__file__).resolve().parents[2]


def test_a_store_gives_the_newest_version_of_each(folder, tmp_path):
    place = f"sqlite:///{tmp_path / 'store.db'}"
    with Store.open(place) as store:
        for name in ("north", "south"):
            store.save(name, whole_document(folder / f"{name}.toml"), author="a", note="")
        store.save("north", whole_document(folder / "west.toml"), author="a", note="")
        store.save("odd", {"name": "odd"}, author="a", note="")
    found = gather_store(place)
    assert sorted(line.name for line in found.structures) == ["south", "west"]
    assert load(folder / "west.toml").joints[0].parts[0].label in {
        kind.joints[0].parts[0].label for kind in found.kinds
    }
    assert [one.source for one in found.not_assessed] == ["odd"]


def test_an_empty_store_and_a_missing_one_are_told(tmp_path):
    place = f"sqlite:///{tmp_path / 'store.db'}"
    with Store.open(place):
        pass
    with pytest.raises(InputError, match="holds no structure"):
        gather_store(place)


def test_an_empty_folder_is_told(tmp_path):
    with pytest.raises(InputError, match="holds no structure file"):
        gather_folder(tmp_path, OnThisProcess())


@pytest.mark.slow
def test_the_invented_portfolio_is_read_whole_and_hangs_on_its_seed_alone(tmp_path):
    from pyarrow import csv

    tool = runpy.run_path(str(ROOT / "tools" / "demo_portfolio.py"))
    table = tool["portfolio"](4, 200, 7)
    assert table.equals(tool["portfolio"](4, 200, 7))
    assert all("nvented" in name for name in table["structure"].to_pylist())
    csv.write_csv(table, tmp_path / "demo.csv")
    found = gather_table(tmp_path / "demo.csv")
    assert not found.not_assessed
    assert len(found.kind) == 200
    assert len(found.sites) == 4
