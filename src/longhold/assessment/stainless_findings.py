"""What is found of a stainless part: its passive film, and the class of grade that the place asks for."""

from __future__ import annotations

from dataclasses import dataclass

from longhold.assessment.cleaning import cleaning_conditions
from longhold.base.trace import Section
from longhold.metal.passivity import PassivityState, Reason

__all__ = ["ShortOfClass", "StainlessFinding"]


@dataclass(frozen=True)
class ShortOfClass:
    """A stainless part of a lower class than EN 1993-1-4, Annex A, asks for.

    The standard is a neighbor of the code that governs and changes nothing in its answer.

    Attributes
    ----------
    grade : as read from the label; empty where it is not told
    asked, held : class asked for, and of the grade, I to V; held is empty where none is known
    enough : cheapest grades that are enough; empty where none that was tried is
    accepted : why the user accepts it knowingly; empty where nobody does
    factors : F1, F2, F3 and their sum, in words; empty where one is not known
    if_cleaned : class asked for where a written regime cleans it; empty where that changes nothing, or
        nobody can clean it
    not_reached : whether cleaning is stated of a part that nobody can clean: it is not counted
    """

    grade: str
    asked: str
    held: str
    enough: tuple[str, ...]
    accepted: str
    factors: str = ""
    if_cleaned: str = ""
    not_reached: bool = False

    @property
    def gap(self) -> str:
        """What is asked and what is there.

        >>> ShortOfClass("316", "V", "III", ("2507",), "").gap
        'grade 316 is of class III where EN 1993-1-4, Annex A, asks for class V'
        """
        grade = f"grade {self.grade}" if self.grade else "its grade is not told and"
        holds = f"is of class {self.held}" if self.held else "is of no class that is known"
        by = f" ({self.factors})" if self.factors else ""
        return f"{grade} {holds} where EN 1993-1-4, Annex A, asks for class {self.asked}{by}"

    @property
    def words(self) -> str:
        """The gap and what to do."""
        take = f"take {' or '.join(self.enough)}" if self.enough else "have a specialist choose the grade"
        if self.if_cleaned:
            take += (
                f", or clean it to a written plan (cleaning), for class {self.if_cleaned}: whoever specifies "
                f"checks what the standard asks of cleaning, {cleaning_conditions()}"
            )
        if self.not_reached:
            take += "; its cleaning is not counted, as faces of it cannot be reached"
        return f"{self.gap}: {take}; or accept it knowingly (class_short_accepted)"

    @property
    def deviation(self) -> str:
        """The gap as one that is accepted, with the reason."""
        return f"accepted deviation: {self.gap}; accepted because: {self.accepted.rstrip('. ')}"


@dataclass(frozen=True)
class StainlessFinding:
    """A verdict on a stainless part, which is no life.

    Attributes
    ----------
    grade, pren : as read from the label; its pitting resistance number, a rank; None where none is held
    state : of the passive film: kept, stained, lost, may_crack or not_decided
    stops : whether it is a stop: it may crack under stress without warning
    class_asked, class_has : of EN 1993-1-4, Annex A, I to V; empty where not known
    factors : F1, F2, F3 and their sum as told; empty where one is not known
    reasons, notes : why, the deciding one first; what else is to be known
    words : the same in sentences
    f3_at : faces at which washing by rain is taken for F3; empty where it does not count
    short : by how much the grade is short of the class; None where it is not
    calculation : how the class comes about; None where none is known
    """

    grade: str
    pren: float | None
    state: PassivityState
    stops: bool
    class_asked: str
    class_has: str
    factors: str
    reasons: tuple[Reason, ...]
    notes: tuple[Reason, ...]
    words: str
    f3_at: str = ""
    short: ShortOfClass | None = None
    calculation: Section | None = None
