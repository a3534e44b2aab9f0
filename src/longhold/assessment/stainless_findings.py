"""What is found of a stainless part: its passive film, and the class of grade that the place asks for."""

from __future__ import annotations

from dataclasses import dataclass

from longhold.metal.passivity import PassivityState, Reason

__all__ = ["StainlessFinding"]


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
