"""How sure a fact's source is."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

__all__ = ["Mark", "weakest"]


class Mark(StrEnum):
    """Marks, strongest first.

    verified: somebody read the number in the source or in a page that quotes it.
    common-practice: trade knowledge without a source.
    memory: recalled, not read.
    own: an engineering choice of ours.
    invented: made up for a demonstration.
    """

    VERIFIED = "verified"
    COMMON_PRACTICE = "common-practice"
    MEMORY = "memory"
    OWN = "own"
    INVENTED = "invented"

    @property
    def in_words(self) -> str:
        """The mark as a clause after 'rests on'."""
        return _IN_WORDS[self]

    @property
    def as_weakest(self) -> str:
        """The line under an answer of which this is the weakest mark."""
        return f"Weakest of what this rests on: {self.in_words} [{self.value}]."


_IN_WORDS = {
    Mark.VERIFIED: "values read in their source",
    Mark.COMMON_PRACTICE: "trade knowledge without a source",
    Mark.MEMORY: "values from memory, not read in a source",
    Mark.OWN: "engineering choices of our own",
    Mark.INVENTED: "invented demonstration values",
}
_ORDER = list(Mark)


def weakest(marks: Iterable[Mark]) -> Mark:
    """The weakest of some marks; verified where there are none.

    >>> weakest([Mark.VERIFIED, Mark.OWN, Mark.MEMORY])
    <Mark.OWN: 'own'>
    """
    return max(marks, key=_ORDER.index, default=Mark.VERIFIED)
