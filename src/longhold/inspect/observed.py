"""Readings made ready for the forecast: where each bears on it, or why it is only kept."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from longhold.assessment.faces import lives_by_layers
from longhold.assessment.prepare import Prepared, protections
from longhold.assessment.shared import kind_key
from longhold.base.errors import InputError, Problem
from longhold.forecast.faces import Face, faces_of
from longhold.inspect.thresholds import threshold
from longhold.model.parts import Part
from longhold.model.reading import ON_A_FACE, Reading
from longhold.model.structure import Joint, Structure

__all__ = ["ONLY_KEPT", "Kept", "Observed", "OnPart", "observed", "refuse_misfit", "says_nothing"]

_DAYS_A_YEAR = 365.25


@dataclass(frozen=True)
class Observed:
    """A reading that corrects the forecast; by itself, one of the site's air.

    Attributes
    ----------
    index : among the readings
    age : of the structure at its date [years]
    """

    index: int
    reading: Reading
    age: float


@dataclass(frozen=True)
class OnPart(Observed):
    """A reading of a part of a joint.

    Attributes
    ----------
    face : of the part; None for a size
    own_key : of the draws that are this joint's own, or this piece's
    gauge : what its gauge's error is shared by: the instrument, or all unnamed ones of one day
    """

    joint: Joint
    part: Part
    face: Face | None
    own_key: str
    gauge: str


@dataclass(frozen=True)
class Kept:
    """A reading that is kept and does not correct the forecast, with the reason."""

    index: int
    reading: Reading
    because: str


def observed(
    structure: Structure, prepared: Prepared, readings: Sequence[Reading]
) -> tuple[tuple[Observed, ...], tuple[Kept, ...]]:
    """Where readings bear on a structure's forecast, and those that are only kept.

    Raises
    ------
    InputError : unknown joints, parts and faces, dates before the structure was built, sizes above new
    """
    built = structure.build_date
    if built is None:
        raise InputError(
            Problem("build_date", None, "is not stated.", "Readings need it: state when it was built.")
        )
    joints = {joint.id: joint for joint in structure.joints}
    problems: list[Problem] = []
    used: list[Observed] = []
    kept: list[Kept] = []
    for index, reading in enumerate(readings):
        try:
            found = _one(index, reading, built, prepared, joints)
        except InputError as error:
            problems += error.problems
            continue
        if isinstance(found, Kept):
            kept.append(found)
        else:
            used.append(found)
    if problems:
        raise InputError(*problems)
    return tuple(used), tuple(kept)


def refuse_misfit(structure: Structure, reading: Reading, where: str = "reading") -> None:
    """Refuse a reading that cannot be of a structure, before anything is computed.

    Parameters
    ----------
    where : for messages, what people call the reading

    Raises
    ------
    InputError : an unknown joint, part or face, a date before the structure was built, a size above new
    """
    joints = {joint.id: joint for joint in structure.joints}
    if structure.build_date is None:
        raise InputError(
            Problem("build_date", None, "is not stated.", "Readings need it: state when it was built.")
        )
    _fitted(where, reading, structure.build_date, joints)


def _fitted(
    where: str, reading: Reading, built: datetime.date, joints: Mapping[str, Joint]
) -> tuple[Joint, Part, Face | None] | None:
    """Joint, part and face of a reading; None for one that is of no part."""
    if reading.date <= built:
        allowed = f"must lie after {built}, when the structure was built."
        raise InputError(Problem(f"{where}, date", str(reading.date), allowed))
    if reading.measured == "chloride":
        return None
    if reading.joint not in joints:
        known = ", ".join(list(joints)[:12])
        allowed = f"is not in the structure: it has {known}."
        raise InputError(Problem(f"{where}, joint", reading.joint, allowed))
    if reading.measured in ONLY_KEPT:
        return None
    joint = joints[reading.joint]
    part = _part(where, reading, joint)
    face = _face(where, reading, part)
    _refuse_more_than_new(where, reading, part)
    return joint, part, face


def _one(
    index: int, reading: Reading, built: datetime.date, prepared: Prepared, joints: dict[str, Joint]
) -> Observed | Kept:
    fitted = _fitted(f"reading {index + 1}", reading, built, joints)
    age = (reading.date - built).days / _DAYS_A_YEAR
    if reading.measured == "chloride":
        return Observed(index, reading, age)
    if fitted is None:
        return Kept(index, reading, ONLY_KEPT[reading.measured])
    joint, part, face = fitted
    if because := says_nothing(reading, part, prepared, joint):
        return Kept(index, reading, because)
    piece = "" if joint.quantity == 1 else f"#{reading.piece or reading.date}"
    own_key = f"{kind_key(joint)}|{joint.id}{piece}"
    gauge = f"gauge:{reading.instrument or reading.date}"
    return OnPart(index, reading, age, joint, part, face, own_key, gauge)


ONLY_KEPT: Mapping[str, str] = {
    "moisture": "a single moisture is weather: the forecast is of whole years",
    "look": "what was seen is kept with its photograph",
}
"""What may be measured and corrects no forecast, with the reason."""


def _part(where: str, reading: Reading, joint: Joint) -> Part:
    for part in joint.parts:
        if part.id == reading.part:
            return part
    known = ", ".join(part.id for part in joint.parts)
    allowed = f"is no part of joint {joint.id}: it has {known}."
    raise InputError(Problem(f"{where}, part", reading.part, allowed))


def _face(where: str, reading: Reading, part: Part) -> Face | None:
    faces = faces_of(part.kind)
    if reading.face:
        for face in faces:
            if face.face == reading.face:
                return face
        known = ", ".join(face.face for face in faces)
        allowed = f"is no face of a {part.kind.replace('_', ' ')}: it has {known}."
        raise InputError(Problem(f"{where}, face", reading.face, allowed))
    if reading.measured in ON_A_FACE:
        return faces[0]
    if reading.measured == "diameter_left":
        return faces[-1]
    return None


def _refuse_more_than_new(where: str, reading: Reading, part: Part) -> None:
    sizes = {"diameter_left": part.measures.diameter_mm, "thickness_left": part.measures.thickness_mm}
    if reading.measured not in sizes:
        return
    new = sizes[reading.measured]
    asked = reading.measured.partition("_")[0]
    if new is None:
        raise InputError(Problem(f"{where}, measured", reading.words, f"part {part.id} has no {asked}."))
    size = reading.size_new or new
    if reading.amount > threshold("most_over_new") * size:
        allowed = f"is more than the {asked} when new, {size:.3g} mm ({size / _MM_IN:.3g} in)."
        raise InputError(Problem(f"{where}, reading", reading.words, allowed, "Check the part and the unit."))


_MM_IN = 25.4


def says_nothing(reading: Reading, part: Part, prepared: Prepared, joint: Joint) -> str:
    """Why a reading of a part says nothing that the forecast can use; empty where it does."""
    protection = protections(part, prepared.readings[joint.id, part.id])[0]
    zinc = protection.zinc is not None and bool(protection.zinc.nominal_um)
    if reading.measured == "zinc" and not zinc:
        return "the label promises no zinc, so none is forecast"
    if reading.measured == "rust" and not lives_by_layers(protection):
        if protection.base_metal in ("carbon_steel", "weathering_steel"):
            return "bare steel rusts all over at once: a grade does not say how deep"
        metal = protection.base_metal.replace("_", " ")
        return f"rust on {metal} is a stain or a pit, which no depth follows from"
    return ""
