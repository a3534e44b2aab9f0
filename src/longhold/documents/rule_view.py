"""Words for one rule of a code, with its examples."""

from __future__ import annotations

from typing import TYPE_CHECKING

from longhold.codes.vocabulary import vocabulary
from longhold.documents.across_view import editions_words, missing_words
from longhold.documents.words import verdict_words

if TYPE_CHECKING:
    from longhold.base.marks import Mark
    from longhold.codes.answers import CodeAnswer, Verdict
    from longhold.codes.describe import RuleView
    from longhold.codes.plain_words import Lines

__all__ = ["answer_lines", "answer_title", "example_lines", "example_title", "rule_lines"]


def rule_lines(view: RuleView) -> list[tuple[str, str]]:
    """What is said of one rule, each line under its name."""
    packs = "; ".join(f"{title} ({name})" for name, title in view.packs.items())
    lines = [("", view.says), ("Kind", view.kind_words), ("Pack", packs)]
    lines += [
        ("Clause", f"{one.number}{_in(editions_words(one.editions))}{_sure(one.mark)}")
        for one in view.clauses
    ]
    lines += [("Within", text) for text in view.scope]
    if view.holds:
        lines.append(("Scope of", ", ".join(view.holds)))
    lines += _block("Asked when", view.when) or [("Asked when", "always")]
    lines += _block("Demands that", view.demand)
    if view.kind == "demand" and not view.demand:
        lines.append(("Demands that", "nothing: any finish passes"))
    lines += _block("Accepts where", view.allows)
    lines += [("Gives", text) for text in view.gives]
    lines += [("Exception", f"{name}: {says}") for name, says in view.exceptions]
    if view.refer_to:
        lines += [("If not met, left to", view.refer_to), *_block("  where", view.refer_if)]
    lines += [("How we took it", text) for text in view.interpretations]
    lines += [("Remark", view.note), ("Source", view.source), ("Read in", view.where)]
    lines.append(("Mark", f"{view.mark.value}: rests on {view.mark.in_words}"))
    return lines


def answer_title(answer: CodeAnswer) -> str:
    """The pack, its edition and its verdict; a classification is told by what it gives."""
    word = "classified" if answer.verdict == "gives" else verdict_words(answer.verdict)
    return f"{answer.title}{_in(answer.edition)}: {word}"


def answer_lines(answer: CodeAnswer) -> list[tuple[str, str]]:
    """What the pack gives, what is not stated, what would pass, and remarks."""
    gives = [vocabulary()[name].sentence(value) for name, value in answer.given.items()]
    return [
        ("Gives", "; ".join(gives)),
        ("Not stated", missing_words(answer.missing_facts)),
        ("Would pass with", "; ".join(answer.would_pass_with)),
        *(("Mind", f"{note.rule_id}: {note.says}") for note in answer.notes),
    ]


def example_title(one: Verdict) -> str:
    """What the example shows, and in which edition."""
    return f"Example: {_VERDICTS[one.verdict]}{_in(one.edition)}"


_VERDICTS = {
    "pass": "passes",
    "fail": "fails",
    "refer": "is left open",
    "not_governed": "is not governed",
    "gives": "is classified",
}


def example_lines(one: Verdict) -> list[tuple[str, str]]:
    """Why the rule was asked of the example, what met it or did not, and what would pass."""
    failed = [text for text in one.failed_because if not text.startswith("asked: ")]
    given = [vocabulary()[name].sentence(value) for name, value in one.given]
    return [
        ("Asked because", "; ".join(one.asked_because)),
        ("Met because", "; ".join(one.met_because)),
        ("Not met because", "; ".join(failed)),
        ("Exception", "; ".join(one.exceptions)),
        ("Gives", "; ".join(given)),
        ("Not stated", missing_words(one.missing_facts)),
        ("Would pass with", "; ".join(one.would_pass_with)),
        ("The verdict", one.rests_on),
    ]


def _block(head: str, lines: Lines) -> list[tuple[str, str]]:
    """Lines under one head, of which the later begin with a word that says how they hang together."""
    joins = ["" if i == 0 else "and " if depth == 0 else "  or " if further else "  - "
             for i, ((depth, _), further) in enumerate(zip(lines, _further(lines), strict=True))]  # fmt: skip
    texts = [f"{join}{text}" for join, (_, text) in zip(joins, lines, strict=True)]
    return [(head, texts[0]), *(("", text) for text in texts[1:])] if texts else []


def _further(lines: Lines) -> list[bool]:
    """For each line, whether it is a further alternative to the line before it."""
    before = [0, *(depth for depth, _ in lines)]
    return [depth == 1 and earlier == 1 for (depth, _), earlier in zip(lines, before, strict=False)]


def _in(edition: str) -> str:
    return f" in {edition}" if edition[0].isdigit() else f" ({edition})"


def _sure(mark: Mark | None) -> str:
    return "" if mark is None else f"; clause number: {mark.value}"
