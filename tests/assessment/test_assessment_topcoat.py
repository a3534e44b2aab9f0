"""A topcoat's own life and damage, as the user knows them."""

from __future__ import annotations

import pytest

from longhold.assessment.line import assess
from longhold.base.errors import InputError
from longhold.model.structure import Structure


def _strap(**part: object) -> Structure:
    return Structure.model_validate(
        {
            "name": "strap",
            "design_life": "50 years",
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {
                "name": "inland",
                "distance_to_salt_water": "100 miles",
                "climate": {"station": "Wilmington NC"},
            },
            "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}},
            "joints": [
                {
                    "id": "J",
                    "name": "strap",
                    "place": "open_to_rain",
                    "main": "joist",
                    "parts": [{"id": "p", "kind": "strap", "size": "16 ga", **part}],
                }
            ],
        }
    )


def _years(**part: object) -> float:
    band = assess(_strap(**part), draws=200).findings[0].protection_years
    assert band is not None
    return band.p50


def test_a_longer_topcoat_protects_longer() -> None:
    topped = {"label": "G60", "topcoat": "10 um"}
    assert _years(**topped, topcoat_life="5 years") < _years(**topped, topcoat_life="30 years")


def test_a_damaged_topcoat_is_worth_none() -> None:
    damaged = _years(label="G60", topcoat="10 um", topcoat_life="30 years", topcoat_damaged=True)
    assert damaged == pytest.approx(_years(label="G60"))


@pytest.mark.parametrize("told", [{"topcoat_life": "5 years"}, {"topcoat_damaged": True}])
def test_a_life_without_a_topcoat_is_refused(told: dict[str, object]) -> None:
    with pytest.raises(InputError, match="no topcoat"):
        assess(_strap(label="G60", **told), draws=200)
