"""What good practice says of a joint: guidance in plain words, apart from the verdicts of the code."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.marks import Mark, weakest
from longhold.documents.across_view import missing_words
from longhold.documents.code_rows import said_once, together
from longhold.documents.words import plural

if TYPE_CHECKING:
    from longhold.codes.answers import CodeAnswer, Verdict

__all__ = ["AdviceLine", "AdviceView", "advice_view"]

_WORDS = {"fail": "Not met", "refer": "Not known", "pass": "Met"}


@dataclass(frozen=True)
class AdviceLine:
    """One piece of advice, told of the parts of which it is the same.

    Attributes
    ----------
    word : not met, not known or met; of a remark, that nothing here tests it
    parts : which
    says : the advice
    missing : what would have to be told, where it is not known
    mark : weakest of what it rests on
    """

    word: str
    parts: str
    says: str
    missing: str
    mark: Mark


@dataclass(frozen=True)
class AdviceView:
    """What is not met or not known, in the open; what is met, and remarks, folded under ``folded``."""

    open: tuple[AdviceLine, ...]
    rest: tuple[AdviceLine, ...]
    folded: str


def advice_view(answers: Sequence[tuple[str, CodeAnswer]]) -> AdviceView | None:
    """Advice on one joint; None where none bears on it."""
    lines = list(_lines(answers))
    notes = said_once((part, note) for part, answer in answers for note in answer.notes)
    said = [AdviceLine("To do", parts, note.says, "", note.mark) for parts, note in notes]
    shown = tuple(line for word in ("fail", "refer") for line in lines if line.word == _WORDS[word])
    met = [line for line in lines if line.word == _WORDS["pass"]]
    if not shown and not met and not said:
        return None
    counts = [f"{len(met)} met"] if met else []
    counts += [plural(len(said), "remark")] if said else []
    return AdviceView(shown, (*met, *said), ", ".join(counts))


def _lines(answers: Iterable[tuple[str, CodeAnswer]]) -> Iterator[AdviceLine]:
    told: dict[tuple[str, str, str], list[tuple[str, Verdict]]] = {}
    for part, answer in answers:
        for one in answer.verdicts:
            if one.verdict in _WORDS:
                told.setdefault((one.rule_id, one.verdict, one.says), []).append((part, one))
    for (_, word, says), cases in told.items():
        missing = dict.fromkeys(name for _, one in cases for name in one.missing_facts)
        yield AdviceLine(
            _WORDS[word],
            together([part for part, _ in cases]),
            says,
            missing_words(tuple(missing)) if word == "refer" else "",
            weakest(one.mark for _, one in cases),
        )
