"""What a rule, and a whole pack, answers about one part."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from longhold.base.marks import Mark
from longhold.codes.rules import PackKind

__all__ = ["STRICTEST", "CodeAnswer", "Note", "Verdict", "VerdictWord", "strictest_answer"]

VerdictWord = Literal["pass", "fail", "refer", "not_governed", "gives"]
STRICTEST: tuple[VerdictWord, ...] = ("fail", "refer", "pass", "gives", "not_governed")
"""Verdicts from the strictest on."""


@dataclass(frozen=True)
class Verdict:
    """What one rule says of one part.

    Attributes
    ----------
    verdict : pass, fail, refer (a person, a paper or a missing fact decides), not_governed, gives (a class)
    rule_id, clause, edition, pack : which rule, at which clause of which edition, in which pack
    says : the rule in our words
    asked_because : why the rule is asked at all
    met_because : what meets it
    failed_because : what does not, and what it asks
    exceptions : exceptions that were used, or that came within one statement of helping
    would_pass_with : finishes that would meet this rule, tried one by one
    missing_facts : facts that are not told and decide
    given : facts that the rule gives, as ``(name, value)``
    interpretation : how we took what the clause leaves open
    rules : ids of every rule that took part: this one, the frames around it, the exceptions
    source, mark : of the rule; the mark is the weakest of the rules that took part in deciding
    edition_mark : how sure it is that this edition carries the rule under this number
    recalled : ids of the rules that took part and rest on memory
    """

    verdict: VerdictWord
    rule_id: str
    clause: str
    edition: str
    pack: str
    says: str
    asked_because: tuple[str, ...] = ()
    met_because: tuple[str, ...] = ()
    failed_because: tuple[str, ...] = ()
    exceptions: tuple[str, ...] = ()
    would_pass_with: tuple[str, ...] = ()
    missing_facts: tuple[str, ...] = ()
    given: tuple[tuple[str, Any], ...] = ()
    interpretation: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    source: str = "own"
    mark: Mark = Mark.OWN
    edition_mark: Mark = Mark.OWN
    recalled: tuple[str, ...] = ()

    @property
    def open_because(self) -> str:
        """Where it refers, who settles it or what the rule leaves open; not the facts that are missing."""
        left = next((text for text in self.failed_because if text.startswith("left to ")), "")
        return left or self.says

    @property
    def rests_on(self) -> str:
        """What the verdict rests on, in words; says of a clause number recalled that it is.

        >>> Verdict("fail", "X-1", "3.2", "2024", "town", "Nails are hot-dip.", mark=Mark.MEMORY).rests_on
        'rests on values from memory, not read in a source'
        """
        said = f"rests on {self.mark.in_words}"
        if self.recalled and self.mark is not Mark.MEMORY:
            said += f"; {', '.join(self.recalled)} from memory, not read in a source"
        if self.mark is Mark.VERIFIED and self.edition_mark is Mark.MEMORY:
            said += "; that this edition has it under this number is from memory"
        return said


@dataclass(frozen=True)
class Note:
    """A rule that applies but that no fact here can test: shown, never counted."""

    rule_id: str
    clause: str
    says: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class CodeAnswer:
    """What one pack says of one part.

    Attributes
    ----------
    verdict : fail if a rule fails; else refer if one refers; else pass; else not_governed or gives
    pack, title, edition, kind : which pack; kind is code, standard or guidance, never mixed
    verdicts : one for each rule that spoke, in the order asked
    missing_facts : facts that are not told and decide
    would_pass_with : finishes with which the whole answer would be pass, or with which the pack says for a
        reason that nothing is asked, tried one by one
    given : facts that the pack derived, such as a zone or a class
    not_given : facts that it would derive if others were told, with those
    notes : rules that apply and are not tested here
    rules : ids of the rules that decided, frames and exceptions included
    interpretation : how we took what is open in the deciding rules
    mark, edition_mark : weakest over the deciding verdicts
    """

    verdict: VerdictWord
    pack: str
    title: str
    edition: str
    kind: PackKind
    verdicts: tuple[Verdict, ...]
    missing_facts: tuple[str, ...]
    would_pass_with: tuple[str, ...]
    given: Mapping[str, Any]
    not_given: Mapping[str, tuple[str, ...]]
    notes: tuple[Note, ...]
    rules: tuple[str, ...]
    interpretation: tuple[str, ...]
    mark: Mark
    edition_mark: Mark

    @property
    def deciding(self) -> tuple[Verdict, ...]:
        """The verdicts of the kind that carried the answer."""
        return tuple(v for v in self.verdicts if v.verdict == self.verdict)


def strictest_answer(answers: Iterable[CodeAnswer]) -> CodeAnswer:
    """Of the answers for a part in several timbers, the strictest; the first of equals."""
    return min(answers, key=lambda one: STRICTEST.index(one.verdict))
