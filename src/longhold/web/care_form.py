"""The form of one reading: where it may be taken, what was typed, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from longhold.base.errors import InputError, Problem
from longhold.documents.readings_view import MEASURED_WORDS
from longhold.documents.words import upper_first
from longhold.forecast.faces import faces_of
from longhold.inspect.observed import refuse_misfit
from longhold.intake.readings import reading_from
from longhold.model.reading import MEASURED, Reading
from longhold.model.structure import Joint, Structure

__all__ = ["FIELDS", "MEASURED_CHOICES", "ReadingForm", "problem_field", "spots_of"]

FIELDS = (
    *("spot", "piece", "date", "measured", "reading", "uncertainty", "spots", "size when new"),
    *("instrument", "photograph", "note"),
)
_HOW = {
    "zinc": "such as 1.3 mil or 33 um",
    "metal_lost": "such as 40 um",
    "diameter_left": "such as 0.365 in or 9.3 mm",
    "thickness_left": "such as 0.11 in or 2.8 mm",
    "rust": "Ri 2, D610 6, 12 % or no red rust",
    "chloride": "such as 60 mg/m2/d",
    "moisture": "such as 19 %",
    "look": "what was seen",
}
MEASURED_CHOICES = tuple((one, MEASURED_WORDS[one], _HOW[one]) for one in MEASURED)
"""What may be measured: short name, words, and how it is written."""
_MARK = "|"
_OF_TIMBER = Problem(
    "reading, joint",
    None,
    "is a part of metal, and moisture is read in the timber beside it.",
    "Choose the place of the joint that says moisture, or a look.",
)
_NO_SPOT = Problem("reading, joint", None, "names no joint.", "Choose where it was taken.")


@dataclass(frozen=True)
class ReadingForm:
    """What was typed of a reading.

    Attributes
    ----------
    texts : by field
    problems : what is wrong, by field; under the blank name what is of the whole
    """

    texts: Mapping[str, str]
    problems: Mapping[str, list[str]] = field(default_factory=dict)

    @classmethod
    def of(cls, sent: Mapping[str, str]) -> ReadingForm:
        """The form as it was sent."""
        return cls({name: sent.get(name, "").strip()[:2000] for name in FIELDS})

    def read(self, structure: Structure) -> Reading:
        """The reading, held against the structure.

        Raises
        ------
        InputError : everything that cannot be used
        """
        joint, part, face = (*self.texts["spot"].split(_MARK), "", "", "")[:3]
        if part and self.texts["measured"] == "moisture":
            raise InputError(_OF_TIMBER)
        texts = {**self.texts, "joint": joint, "part": part, "face": face}
        try:
            found = reading_from(texts)
        except InputError as error:
            # of the air alone no joint is told; what else is to be put right is told together
            lacks = [] if joint or texts["measured"] == "chloride" else [_NO_SPOT]
            raise InputError(*lacks, *error.problems) from None
        refuse_misfit(structure, found)
        return found

    def refused(self, error: InputError) -> ReadingForm:
        """The same form with what is wrong beside its fields."""
        found: dict[str, list[str]] = {}
        for one in error.problems:
            said = f"{upper_first(one.allowed)} {one.do}".strip()
            found.setdefault(problem_field(one), []).append(said)
        return ReadingForm(self.texts, found)


def problem_field(problem: Problem) -> str:
    """The field that a problem is of; blank for the whole.

    >>> problem_field(Problem("reading, part", "x", "is no part")), problem_field(Problem("date", "x", "no"))
    ('spot', 'date')
    """
    name = problem.where.rpartition(", ")[2]
    if problem.allowed.startswith(("names no joint", "names no part")):
        return "spot"
    name = {"joint": "spot", "part": "spot", "face": "spot", "value": "reading"}.get(name, name)
    return name if name in FIELDS else ""


def spots_of(structure: Structure) -> list[tuple[Joint, list[tuple[str, str]]]]:
    """Joints with where on each a reading may be taken: value of the choice and its words."""
    return [(joint, list(_spots(joint))) for joint in structure.joints]


def _spots(joint: Joint) -> list[tuple[str, str]]:
    found = [(joint.id, f"{joint.id}: moisture, or a look")]
    for part in joint.parts:
        if part.measures.thickness_mm:
            found.append((_MARK.join((joint.id, part.id, "")), f"{joint.id} {part.id}: its thickness"))
        for face in faces_of(part.kind):
            value = _MARK.join((joint.id, part.id, face.face))
            found.append((value, f"{joint.id} {part.id}: {face.words}"))
    return found
