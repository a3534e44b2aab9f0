"""Contacts and words of damage agree with their tables; laws meet the figures that they are made from."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from longhold.forecast.causes import Causes, MiddleCauses
from longhold.forecast.coats import alloy_factor, paint_ranges
from longhold.forecast.contact import contact_law, contact_refer
from longhold.forecast.faces import faces_of
from longhold.model.contact import CONTACT_KINDS
from longhold.model.damage import DamageKind, damage_clash, damages
from longhold.model.parts import Durability
from longhold.model.protection import BaseMetal, Protection


def test_words_and_tables_agree():
    assert set(get_args(DamageKind)) == set(damages())
    assert set(get_args(Durability)) == set(paint_ranges())
    for metal in get_args(BaseMetal):
        for contact in CONTACT_KINDS:
            contact_refer(Protection(metal, metal), contact)  # KeyError where a row lacks


def test_damage_hits_faces_that_its_parts_have():
    known = {face.face for kind in ("nail", "bolt", "strap", "washer") for face in faces_of(kind)} | {"edge"}
    assert {face for one in damages().values() for face in one.faces} <= known
    assert damage_clash("nail", ["nicked_head", "nicked_head"]) == "nicked_head stands twice"


def test_middles_of_paint_lie_in_their_ranges():
    for row in paint_ranges().values():
        assert (row["from_years"] or 0.0) <= row["median_years"] <= (row["to_years"] or np.inf)


@pytest.mark.parametrize(
    ("years", "lost_mm"), [(25.0, 0.70), (50.0, 1.20), (75.0, 1.70), (100.0, 2.20)]
)  # EN 14199, loose soils
def test_steel_in_loose_soil(years, lost_mm):
    law = contact_law("carbon_steel", "soil", MiddleCauses())
    assert float(law.loss_um(years)[0]) / 1000.0 == pytest.approx(lost_mm, rel=0.005)


def test_zinc_in_soil_slows_after_two_years():
    law = contact_law("zinc", "soil", MiddleCauses())
    assert float(law.loss_um(2.0)[0]) == pytest.approx(16.0)
    assert float((law.loss_um(12.0) - law.loss_um(2.0))[0]) == pytest.approx(20.0)


def test_a_zinc_alloy_is_never_drawn_worse_than_zinc():
    causes = Causes(1, 500)
    for kind in ("zinc", "zinc_iron", "zinc_aluminium_5", "zinc_magnesium"):
        assert np.all(np.asarray(alloy_factor(kind, True, causes)) <= 1.0)
        assert np.all(np.asarray(alloy_factor(kind, False, causes)) == 1.0)


def test_the_page_on_parts_lists_every_word_of_damage():
    page = (Path(__file__).parents[2] / "docs" / "parts.md").read_text(encoding="utf-8")
    for one in damages().values():
        assert f"| `{one.name}` | {one.words} |" in page
