"""Joints that are alike, told once: a long structure repeats few kinds."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from longhold.documents.joint_ids import ids_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longhold.assessment.findings import Assessment, JointFinding

__all__ = ["FEW_JOINTS", "alike_told_once", "same_answer"]

FEW_JOINTS = 60
"""Up to so many joints each is told by itself, alike or not."""
_NAMED = 3


def alike_told_once(assessment: Assessment) -> Assessment:
    """The same assessment with joints that share one answer merged into the first of them.

    The merged joint carries the sum of the quantities and names the others. A structure of few joints
    stays as it is: there people look for each joint by its own name.
    """
    if len(assessment.findings) <= FEW_JOINTS:
        return assessment
    kinds: dict[int, list[JointFinding]] = {}
    for finding in assessment.findings:
        kinds.setdefault(same_answer(finding), []).append(finding)
    return replace(assessment, findings=tuple(_merged(alike) for alike in kinds.values()))


def same_answer(finding: JointFinding) -> int:
    """Equal for findings that share one computation, which the assessment makes once for joints alike."""
    return id(finding.parts)


def _merged(alike: Sequence[JointFinding]) -> JointFinding:
    first, *others = alike
    if not others:
        return first
    named = ids_words([one.joint.id for one in others], most=_NAMED)
    joint = first.joint.model_copy(
        update={
            "name": f"{first.joint.name} (also {named})",
            "quantity": sum(one.joint.quantity for one in alike),
        }
    )
    return replace(first, joint=joint)
