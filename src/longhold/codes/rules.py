"""What a rule and a pack of rules are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.sources import Source
from longhold.codes.conditions import Condition

__all__ = ["PACK_KINDS", "EditionFact", "Kind", "Pack", "PackKind", "Rule"]

Kind = Literal["frame", "demand", "exception", "refer", "not_governed", "gives", "note"]


@dataclass(frozen=True)
class EditionFact:
    """What is known of one topic in one edition: its clause number or a word, and how sure that is."""

    says: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class Rule:
    """One record of a rule file, for the editions that it names.

    Attributes
    ----------
    id : such as ``US-IRC-05``; the same id may stand again for other editions
    kind : frame (scope for the rules under it), demand, exception, refer, not_governed, gives or note
    editions : editions in which it stands
    clause : clause by edition
    topic : topic in the table of editions that tells how sure the number or the presence is; may be empty
    under : ids of the frames around it, outermost first
    when : its condition, frames included
    own_when : its condition without the frames
    demand : what must hold; always true outside a demand
    exceptions : ids of exceptions to the demand
    allows : what an exception accepts where its ``when`` holds; nothing elsewhere
    refer_if, refer_to : where a demand that is not met is for somebody else to settle, and for whom
    gives : facts that a classification gives: a value, or ``sum_of`` some number facts
    stops : nothing below is asked where ``when`` holds
    otherwise : speaks only where no rule above has decided
    says : the rule in our words
    note : remark for the reader of the rule
    interpretations : how we took what the clause leaves open
    source, mark : where it was read and how sure that is
    """

    id: str
    kind: Kind
    editions: tuple[str, ...]
    clause: Mapping[str, str]
    topic: str
    under: tuple[str, ...]
    when: Condition
    own_when: Condition
    demand: Condition
    exceptions: tuple[str, ...]
    allows: Condition
    refer_if: Condition
    refer_to: str
    gives: Mapping[str, Any]
    stops: bool
    otherwise: bool
    says: str
    note: str
    interpretations: tuple[str, ...]
    source: str
    mark: Mark
    file: str = ""


PackKind = Literal["code", "standard", "guidance"]
PACK_KINDS: Mapping[PackKind, str] = {
    "code": "a building code, or a design standard that codes call up: it may govern a structure",
    "standard": "a private or product standard: a warranty provider's, or one that classes wood, air or"
    " coats; it binds by contract, governs no structure, and is shown apart from codes",
    "guidance": "advice: followed or not, it allows and forbids nothing",
}


@dataclass(frozen=True)
class Pack:
    """One code, standard or body of guidance, with every edition that it covers.

    Attributes
    ----------
    id : folder name, such as ``us_irc``
    title : in words
    kind : one of ``PACK_KINDS``; they are never mixed
    jurisdictions, called, checks, edition_for : how tables of cases name it
    editions : editions, oldest first
    answers : facts that a classification answers with, the fullest first
    candidates : name of the list of finishes tried when something else would pass
    case_assumes : facts that a row of a table of cases is taken to mean where it names nothing else
    edition_facts : topic -> edition -> what is known
    source, mark : of the pack's own choices
    own_sources : sources that a user's pack brings along, by name
    """

    id: str
    title: str
    kind: PackKind
    jurisdictions: tuple[str, ...]
    called: tuple[str, ...]
    checks: tuple[str, ...]
    editions: tuple[str, ...]
    edition_for: Mapping[str, str]
    answers: tuple[str, ...]
    candidates: str
    case_assumes: Mapping[str, Any]
    edition_facts: Mapping[str, Mapping[str, EditionFact]]
    source: str
    mark: Mark
    rules: tuple[Rule, ...] = ()
    parts: tuple[tuple[str, str], ...] = field(default=())
    own_sources: Mapping[str, Source] = field(default_factory=dict)

    def rules_in(self, edition: str) -> tuple[Rule, ...]:
        """The rules that stand in one edition, in the order in which they are asked.

        Raises
        ------
        InputError : for an edition that the pack does not have, naming those that it has
        """
        if edition not in self.editions:
            raise InputError(
                Problem("edition", edition, f"{self.title} is known here in {', '.join(self.editions)}.")
            )
        own = dict(self.parts)
        return tuple(rule for rule in self.rules if (own[rule.file] or edition) in rule.editions)

    def edition_of(self, rule: Rule, edition: str) -> str:
        """The edition under which a rule speaks: the pack's, or that of a borrowed part."""
        return dict(self.parts)[rule.file] or edition
