"""Structures between two versions: some of the changes made, the others not, all on the same draws."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from pydantic import ValidationError

from longhold.assessment.changes import Versions
from longhold.assessment.findings import JointFinding
from longhold.assessment.line import assess
from longhold.base.errors import InputError
from longhold.model.parts import Part
from longhold.model.structure import Joint, Structure
from longhold.model.timber import Timber

__all__ = ["Blend", "as_given", "blended_findings"]

Blend = tuple[str, frozenset[str]]
"""A joint by its id, and the causes whose changes are made in it."""


def blended_findings(
    blends: Iterable[Blend],
    versions: Versions,
    *,
    draws: int,
    seed: int,
    progress: Callable[[int, int], None] | None = None,
) -> dict[Blend, JointFinding | None]:
    """Finding of each joint with some of the changes made; None where they make no joint that can be.

    Joints that share site, code, demands and timbers are assessed together.

    Raises
    ------
    InputError : where a version as it was given cannot be assessed
    """
    found: dict[Blend, JointFinding | None] = {}
    together: dict[frozenset[str], dict[Blend, Joint]] = {}
    old, new = ({joint.id: joint for joint in one.joints} for one in (versions.old, versions.new))
    wanted = list(dict.fromkeys(blends))
    for blend in wanted:
        id, made = blend
        joint = _joint(old[id], new[id], made)
        if joint is None:
            found[blend] = None
        else:
            shared = frozenset(cause for cause in made if not _of_one_joint(cause))
            together.setdefault(shared, {})[blend] = joint
    for shared, joints in together.items():
        if progress is not None:
            progress(len(found), len(wanted))
        found |= _assessed(_structure(shared, versions), joints, draws, seed)
    return found


def as_given(structure: Structure, ids: Iterable[str], *, draws: int, seed: int) -> tuple[JointFinding, ...]:
    """Findings of some joints of one version as it was given."""
    wanted = set(ids)
    joints = [joint for joint in structure.joints if joint.id in wanted]
    if not joints:
        return ()
    return assess(structure.model_copy(update={"joints": joints}), draws=draws, seed=seed).findings


def _of_one_joint(cause: str) -> bool:
    return cause == "joint" or cause.startswith("part:")


def _assessed(
    structure: Structure, joints: Mapping[Blend, Joint], draws: int, seed: int
) -> dict[Blend, JointFinding | None]:
    apart = [joint.model_copy(update={"id": f"{joint.id}-{at}"}) for at, joint in enumerate(joints.values())]
    try:
        answers = assess(structure.model_copy(update={"joints": apart}), draws=draws, seed=seed).findings
    except InputError:
        if len(joints) == 1:
            return dict.fromkeys(joints)
        single = [_assessed(structure, {blend: joint}, draws, seed) for blend, joint in joints.items()]
        return {blend: answer for one in single for blend, answer in one.items()}
    return {
        blend: replace(answer, joint=joint)
        for (blend, joint), answer in zip(joints.items(), answers, strict=True)
    }


def _structure(made: frozenset[str], versions: Versions) -> Structure:
    """What joints share, without joints; all that no finding hangs on is the new version's."""
    old, new = versions.old, versions.new
    update: dict[str, object] = {"timbers": _timbers(made, versions)}
    for cause, names in _SHARED.items():
        if cause not in made:
            update |= {name: getattr(old, name) for name in names}
    return new.model_copy(update=update)


_SHARED = {
    "site": ("site",),
    "code": ("code", "application", "strength_standard"),
    "asked": ("design_life", "target_chance", "strength_fraction"),
}


def _timbers(made: frozenset[str], versions: Versions) -> dict[str, Timber]:
    old, new = versions.old.timbers, versions.new.timbers
    kept = {name: timber for name, timber in old.items() if f"timber:{name}" not in made}
    return {**old, **new, **kept}


def _joint(old: Joint, new: Joint, made: frozenset[str]) -> Joint | None:
    """A joint with some changes made; None where its fields do not go together."""
    base = new if "joint" in made else old
    parts = [part for part in _parts(made, old, new) if part is not None]
    blend = base.model_copy(update={"parts": parts, "name": new.name, "quantity": new.quantity})
    try:
        Joint.model_validate(blend.model_dump(exclude_unset=True))
    except ValidationError:
        return None
    return blend


def _parts(made: frozenset[str], old: Joint, new: Joint) -> list[Part | None]:
    before, after = ({part.id: part for part in joint.parts} for joint in (old, new))
    return [
        after.get(id) if f"part:{id}" in made else before.get(id) for id in dict.fromkeys([*after, *before])
    ]
