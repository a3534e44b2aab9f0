"""What joints share when they are bought for: nothing that one says differently, unless it is replaced."""

from pathlib import Path

import numpy as np
import pytest

from longhold.choose.choice import market_for
from longhold.choose.options import group_joints
from longhold.intake.load import load, load_costs, load_site
from longhold.intake.offers import load_offers
from longhold.model.layout import Layout
from longhold.model.parts import Part
from longhold.model.structure import Joint

DEMO = Path(__file__).parents[2] / "demo"
DECK = load(DEMO / "boardwalk.toml").at(load_site(DEMO / "inland_site.toml"))
HANGER = next(joint for joint in DECK.joints if joint.id == "J02")
SCREWED = next(joint for joint in DECK.joints if joint.id == "J08")

JOINT_SAYS = {
    "place": "under_cover",
    "main": "post",
    "side": "joist",
    "parts": HANGER.parts[1:],
    "role": "other",
    "access": "hard",
    "application": "roof_framing",
    "demand": 900.0,
    "demand_withdrawal": 120.0,
    "load_duration": "permanent",
    "layout": Layout(in_row=2),
    "rain_from": "side",
    "main_end_grain": True,
    "double_shear": True,
    "load_to_grain_main_deg": 45.0,
    "load_to_grain_side_deg": 45.0,
}
NAMES_ONLY = {"id": "J99", "name": "another", "quantity": 3}
PART_SAYS = {
    "id": "other",
    "kind": "strap",
    "size": "16 ga",
    "diameter": 5.0,
    "length": 60.0,
    "root_diameter": 3.0,
    "head_diameter": 9.0,
    "thread_length": 30.0,
    "shank": "ring",
    "thickness": 2.0,
    "width": 40.0,
    "hole_diameter": 4.5,
    "holes_across": 2,
    "clear_edge": 12.0,
    "tensile_strength": 400.0,
    "yield_strength": 300.0,
    "damage": ["scratched_face"],
    "contact": "concrete",
    "cleaning": "weekly",
    "class_short_accepted": "washed by its owner every week",
    "faces": "sheltered",
    "isolated": True,
    "count": 7,
    "hardened": True,
    "predrilled": True,
    "rated_load": 5000.0,
    "rated_as": "design",
    "maker_advice": "accepts",
}
REPLACED = {
    "label": "316 stainless",
    "topcoat": 60.0,
    "topcoat_life": 20.0,
    "topcoat_damaged": True,
    "topcoat_durability": "H",
    "topcoat_shape": 3.0,
    "topcoat_bare_pct": 2.0,
    "topcoat_repainted": True,
    "elements": ["3vB2Yf0004fPW1cBqT1aaa"],
}


def with_part(joint, **says):
    first, *others = joint.parts
    return joint.model_copy(update={"id": "J99", "parts": [first.model_copy(update=says), *others]})


def with_joint(joint, **says):
    return joint.model_copy(update={"id": "J99", **says})


def test_every_field_of_a_joint_and_its_parts_is_looked_at():
    assert set(JOINT_SAYS) | set(NAMES_ONLY) == set(Joint.model_fields)
    assert set(PART_SAYS) | set(REPLACED) == set(Part.model_fields)


@pytest.mark.parametrize("field", JOINT_SAYS)
def test_joints_that_differ_in_one_thing_are_not_one_group(field):
    assert len(group_joints([HANGER, with_joint(HANGER, **{field: JOINT_SAYS[field]})])) == 2


@pytest.mark.parametrize("field", PART_SAYS)
def test_parts_that_differ_in_one_thing_are_not_one_group(field):
    assert len(group_joints([HANGER, with_part(HANGER, **{field: PART_SAYS[field]})])) == 2


@pytest.mark.parametrize("field", REPLACED)
def test_what_is_replaced_with_the_hardware_does_not_part_joints(field):
    (group,) = group_joints([HANGER, with_part(HANGER, **{field: REPLACED[field]})])
    assert group.quantity == 2 * HANGER.quantity
    assert all(
        getattr(group.joint.parts[0], name) in (None, False)
        for name in REPLACED
        if name not in ("label", "elements")
    )


def test_an_old_label_counts_where_a_makers_advice_hangs_on_it():
    advised = with_part(HANGER, maker_advice="accepts")
    assert len(group_joints([advised, with_part(advised, label="316 stainless")])) == 2


def market(joints):
    structure = DECK.model_copy(update={"joints": list(joints)})
    listed = load_offers(DEMO / "offers.csv")
    return market_for(structure, listed.offers, load_costs(DEMO / "costs.toml"), draws=200)


def years_by_offer(market, joint):
    (options,) = (
        some for group, some in zip(market.groups, market.options, strict=True) if joint.id in group.ids
    )
    return {tuple(one.offer.item for one in bought.option.offers): bought for bought in options}


@pytest.mark.slow
def test_joints_tried_together_get_the_years_that_each_gets_alone():
    """What trials share (faces, strength, exposure) must never reach a joint that differs in it."""
    changed = [with_joint(HANGER, **{name: value}) for name, value in JOINT_SAYS.items() if name != "layout"]
    changed += [
        with_part(HANGER, **{name: PART_SAYS[name]})
        for name in ("damage", "contact", "faces", "isolated", "rated_load", "count", "width", "cleaning")
    ]
    changed += [
        with_part(SCREWED, **({"topcoat": 30.0} | {name: value}))
        for name, value in REPLACED.items()
        if name != "topcoat_repainted"  # refused over plated zinc
    ]
    changed += [with_part(SCREWED, **{name: PART_SAYS[name]}) for name in ("shank", "count", "hardened")]
    changed = [
        one.model_copy(update={"id": f"J{index}"}) for index, one in enumerate([HANGER, *changed], 100)
    ]
    together = market(changed)
    for joint in changed:
        here, alone = years_by_offer(together, joint), years_by_offer(market([joint]), joint)
        assert set(here) == set(alone)
        for items, one in here.items():
            other = alone[items]
            assert one.broken == other.broken, (joint, items)
            assert (one.outlook is None) == (other.outlook is None)
            if one.outlook is not None:
                np.testing.assert_array_equal(one.outlook.years, other.outlook.years)
