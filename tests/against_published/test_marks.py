"""Nothing of our own stands here as if it came from outside: what we computed is in ``tests/code_checks``."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

DATA = Path(__file__).parent / "data"
OURS_IN_PART = {
    "air_longterm_pairs.csv": "losses as measured, the exponent of each pair is ours",
    "air_measured_sites.csv": "losses as measured, the site matched to its surroundings by us",
    "air_shore_trial.csv": "chloride as measured, distance and kind of shore judged by us",
    "air_site_countries.csv": "no expected value: which country a measured site lies in",
    "air_sites.csv": "losses as measured, the site matched to its surroundings by us",
    "codes_cases.csv": "one verdict, read by hand from its clause",
    "codes_finishes.csv": "no expected value: finishes that cases and tables offer, as they are read",
    "labels_designations.csv": "masses as printed, micrometres worked out from them",
}
"""Files with rows marked own, and what in such a row comes from outside all the same."""


def marked_own(path: Path) -> bool:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return any(row.get("mark", "") == "own" or "computed by us" in row.get("mark", "") for row in rows)


@pytest.mark.parametrize("path", sorted(DATA.glob("*.csv")), ids=lambda path: path.name)
def test_rows_of_our_own_are_named_with_what_is_not_ours(path: Path) -> None:
    assert marked_own(path) == (path.name in OURS_IN_PART)
