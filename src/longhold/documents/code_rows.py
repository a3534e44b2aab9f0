"""What the code says of a joint: a verdict for each part, and each clause once for the parts it speaks of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from longhold.base.marks import Mark
from longhold.documents.words import verdict_words

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding
    from longhold.codes.answers import CodeAnswer, Note, Verdict

__all__ = ["CodeHead", "CodeView", "NoteRow", "RuleCase", "RuleRow", "code_view", "said_once", "together"]

T = TypeVar("T")


@dataclass(frozen=True)
class CodeHead:
    """The verdict on parts of which the same is said."""

    parts: str
    word: str
    kind: str
    title: str
    edition: str
    better: str
    missing: tuple[str, ...]
    mark: Mark


@dataclass(frozen=True)
class RuleCase:
    """Why one rule says what it says, of parts of which it says the same."""

    parts: str
    verdict: Verdict


@dataclass(frozen=True)
class RuleRow:
    """One rule, told once, with a case for the parts it speaks of."""

    rule: Verdict
    cases: tuple[RuleCase, ...]


@dataclass(frozen=True)
class NoteRow:
    """A rule that applies and that no fact here tests, with the parts it bears on."""

    parts: str
    note: Note


@dataclass(frozen=True)
class CodeView:
    """Verdicts on the parts, the rules that decide any of them, and the others."""

    heads: tuple[CodeHead, ...]
    deciding: tuple[RuleRow, ...]
    rest: tuple[RuleRow, ...]
    notes: tuple[NoteRow, ...]


def code_view(finding: JointFinding) -> CodeView:
    """Verdicts and rules of one joint; what is the same of several parts stands once."""
    answers = [(part.id, part.code) for part in finding.parts]
    deciding = {_rule(one) for _, answer in answers for one in answer.deciding}
    rules = list(_rules(answers))
    return CodeView(
        heads=tuple(replace(head, parts=names) for names, head in said_once(_heads(answers))),
        deciding=tuple(row for row in rules if _rule(row.rule) in deciding),
        rest=tuple(row for row in rules if _rule(row.rule) not in deciding),
        notes=tuple(
            NoteRow(names, note)
            for names, note in said_once((part, note) for part, answer in answers for note in answer.notes)
        ),
    )


def together(names: Sequence[str]) -> str:
    """Names of parts in one phrase.

    >>> together(["hanger"]), together(["hanger", "nail"]), together(["a", "b", "c"])
    ('hanger', 'hanger and nail', 'a, b and c')
    """
    *others, last = names
    return f"{', '.join(others)} and {last}" if others else last


def _heads(answers: Iterable[tuple[str, CodeAnswer]]) -> Iterator[tuple[str, CodeHead]]:
    for part, answer in answers:
        better = ", or ".join(answer.would_pass_with)
        word = verdict_words(answer.verdict)
        yield (
            part,
            CodeHead(
                "", word, answer.kind, answer.title, answer.edition, better, answer.missing_facts, answer.mark
            ),
        )


def _rules(answers: Iterable[tuple[str, CodeAnswer]]) -> Iterator[RuleRow]:
    told: dict[tuple[str, ...], list[tuple[str, Verdict]]] = {}
    for part, answer in answers:
        for verdict in answer.verdicts:
            told.setdefault(_rule(verdict), []).append((part, verdict))
    for cases in told.values():
        yield RuleRow(cases[0][1], tuple(RuleCase(names, verdict) for names, verdict in said_once(cases)))


def _rule(verdict: Verdict) -> tuple[str, ...]:
    return verdict.rule_id, verdict.clause, verdict.edition, verdict.says, verdict.mark.value


def said_once(told: Iterable[tuple[str, T]]) -> Iterator[tuple[str, T]]:
    """What is said, each once, with the parts it is said of."""
    found: list[tuple[list[str], T]] = []
    for part, said in told:
        same = next((names for names, other in found if other == said), None)
        if same is None:
            found.append(([part], said))
        elif part not in same:
            same.append(part)
    yield from ((together(names), said) for names, said in found)
