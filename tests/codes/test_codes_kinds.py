"""Codes, private and product standards, and guidance stand apart."""

from __future__ import annotations

import pytest

from longhold.codes.packs import list_packs
from longhold.codes.rules import PACK_KINDS

STANDARDS = {
    "uk_nhbc",  # of a warranty provider
    "us_awpa", "eu_335", "eu_12944",  # classings of wood and air
    "eu_14592", "aunz_1214", "aunz_4680", "au_2309",  # of products and their coats
}  # fmt: skip


def test_standards_of_products_and_of_a_warranty_are_no_codes() -> None:
    assert {name for name, pack in list_packs().items() if pack.kind == "standard"} == STANDARDS


@pytest.mark.parametrize("name", ["us_irc", "us_ibc", "us_nds", "eu_ec5", "nz_3604", "au_1684", "au_1720"])
def test_codes_and_what_they_call_up_are_codes(name: str) -> None:
    assert list_packs()[name].kind == "code"


def test_every_kind_is_explained() -> None:
    assert {pack.kind for pack in list_packs().values()} == set(PACK_KINDS)
    assert all(words for words in PACK_KINDS.values())
