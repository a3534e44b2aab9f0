"""A topcoat's own life and damage, as the user knows them."""

from __future__ import annotations

import pytest

from longhold.assessment.line import assess
from longhold.base.errors import InputError


@pytest.fixture
def years(small_structure):
    """Middle years of protection of a strap."""

    def found(**part: object) -> float:
        band = assess(small_structure(part), draws=200).findings[0].protection_years
        assert band is not None
        return band.p50

    return found


def test_a_longer_topcoat_protects_longer(years) -> None:
    topped = {"label": "G60", "topcoat": "10 um"}
    assert years(**topped, topcoat_life="5 years") < years(**topped, topcoat_life="30 years")


def test_a_damaged_topcoat_is_worth_none(years) -> None:
    damaged = years(label="G60", topcoat="10 um", topcoat_life="30 years", topcoat_damaged=True)
    assert damaged == pytest.approx(years(label="G60"))


@pytest.mark.parametrize("told", [{"topcoat_life": "5 years"}, {"topcoat_damaged": True}])
def test_a_life_without_a_topcoat_is_refused(small_structure, told: dict[str, object]) -> None:
    with pytest.raises(InputError, match="no topcoat"):
        assess(small_structure({"label": "G60", **told}), draws=200)
