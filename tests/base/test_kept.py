"""Kept arrays: found again, and never in the way."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from longhold.base.kept import KeptArrays, default_folder, key_of


def test_what_is_kept_is_found_by_another(tmp_path: Path) -> None:
    KeptArrays(tmp_path).put("k", {"a": np.arange(3.0)})
    found = KeptArrays(tmp_path).get("k")
    assert found is not None
    assert found["a"].tolist() == [0.0, 1.0, 2.0]


def test_a_broken_file_counts_as_none(tmp_path: Path) -> None:
    (tmp_path / "k.npz").write_bytes(b"broken")
    assert KeptArrays(tmp_path).get("k") is None


def test_a_folder_that_cannot_be_made_only_costs_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    kept = KeptArrays(tmp_path / "file" / "below")
    kept.put("k", {"a": np.zeros(1)})
    assert kept.get("k") is not None


def test_a_key_tells_arrays_of_equal_values_and_other_shape_apart() -> None:
    assert key_of([np.zeros(4)]) != key_of([np.zeros((2, 2))])
    assert key_of(["ab", "c"]) != key_of(["a", "bc"])


@pytest.mark.parametrize(("asked", "there"), [("off", None), ("/some/where", Path("/some/where"))])
def test_the_folder_can_be_chosen_or_done_without(
    monkeypatch: pytest.MonkeyPatch, asked: str, there: Path | None
) -> None:
    monkeypatch.setenv("LONGHOLD_CACHE", asked)
    assert default_folder() == there
