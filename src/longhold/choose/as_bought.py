"""Joints with what is bought for them in place of what was described: the findings behind a purchase."""

from __future__ import annotations

from dataclasses import replace

from longhold.assessment.findings import JointFinding
from longhold.assessment.joint import joint_finding
from longhold.assessment.prepare import prepare
from longhold.choose.choice import Bought, Choice, Market
from longhold.model.structure import Joint, Structure

__all__ = ["findings_as_bought", "structure_as_bought"]


def structure_as_bought(market: Market, choice: Choice) -> Structure:
    """The structure with one joint for each group that something is bought for, under the labels bought."""
    return market.structure.model_copy(update={"joints": [_joint(one) for one in choice.bought]})


def findings_as_bought(market: Market, choice: Choice) -> tuple[JointFinding, ...]:
    """One finding for each group of joints that something is bought for, in the order of the choice.

    The draws and ages are those of the choice, so that a chance found here is the one it was made by.
    """
    if not choice.bought:
        return ()
    structure = structure_as_bought(market, choice)
    setting = replace(
        market.setting, structure=structure, prepared=prepare(structure), code_answers={}, findings={}
    )
    return tuple(joint_finding(joint, setting) for joint in structure.joints)


def _joint(one: Bought) -> Joint:
    """A film that the old label stood under says nothing of the new one."""
    parts = [
        part.model_copy(update={"label": chosen.offer.label, "topcoat": None})
        for part, chosen in zip(one.group.joint.parts, one.option.offers, strict=True)
    ]
    return one.group.joint.model_copy(update={"parts": parts, "quantity": one.group.quantity})
