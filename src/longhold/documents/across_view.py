"""Words for one joint under several codes, and for the designations that a code lets pass."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from longhold.base.marks import Mark
from longhold.codes.vocabulary import vocabulary
from longhold.documents.words import lower_first, plural, verdict_words

if TYPE_CHECKING:
    from longhold.assessment.across import Across, AcrossRow, PartVerdict
    from longhold.model.parts import Part

__all__ = [
    "across_cells",
    "across_heads",
    "across_sentences",
    "editions_words",
    "missing_words",
    "rests_words",
]


def editions_words(editions: Sequence[str]) -> str:
    """Editions that follow each other.

    >>> editions_words(["2009", "2012", "2015"]), editions_words(["2004+A2"]), editions_words(["as read"])
    ('2009 to 2015', '2004+A2', 'as read')
    """
    return editions[0] if len(editions) == 1 else f"{editions[0]} to {editions[-1]}"


def missing_words(names: Sequence[str]) -> str:
    """Facts that nobody told, in words, each with the name under which it can be told."""
    return "; ".join(f"{vocabulary()[name].noun} ({name})" for name in names)


def rests_words(mark: Mark, recalled: Sequence[str], number_recalled: bool = False) -> str:
    """What a verdict rests on, short; a rule or a clause number from memory is always said.

    >>> rests_words(Mark.VERIFIED, [], True)
    'read in a source; clause number in some editions from memory'
    >>> rests_words(Mark.OWN, ["US-IRC-14"])
    'own reading; US-IRC-14 from memory'
    """
    said = {
        Mark.VERIFIED: "read in a source",
        Mark.COMMON_PRACTICE: "trade knowledge",
        Mark.MEMORY: "from memory, not read",
        Mark.OWN: "own reading",
        Mark.INVENTED: "invented",
    }[mark]
    if recalled and mark is not Mark.MEMORY:
        said += f"; {', '.join(recalled)} from memory"
    return f"{said}; clause number in some editions from memory" if number_recalled and not recalled else said


def across_heads(found: Across) -> tuple[str, ...]:
    """Heads of the table: the code, the joint, then each part."""
    return ("Code", "Joint", *(_part_name(part) for part in found.joint.parts))


def across_cells(row: AcrossRow) -> tuple[str, ...]:
    """Cells of one row; a part of which the same is said as of the one before it says so."""
    word = _said(row.verdict, row.kind)
    extra = [text for text, holds in (("governs", row.governs), ("strictest", row.strictest)) if holds]
    whole = f"{word} ({', '.join(extra)})" if extra else word
    parts = [_part(one, row.kind) for one in row.parts]
    same = [later == earlier for earlier, later in pairwise(["", *parts])]
    return (
        _name(row),
        whole,
        *("the same" if as_before else cell for cell, as_before in zip(parts, same, strict=True)),
    )


def across_sentences(found: Across) -> tuple[str, ...]:
    """Which code is strictest and why, and part by part where the codes disagree."""
    return (*_strictest(found), *_disagreement(found))


def _strictest(found: Across) -> Iterator[str]:
    rows = [row for row in found.codes if row.strictest]
    if not rows:
        yield "None of these codes decides on this joint, so none is the strictest."
        return
    tried = sum(found.tried.values())
    refused = sum(one.refused for one in rows[0].parts)
    names = _and([_name(row) for row in rows])
    fails = "it refuses the joint as it is, and " if rows[0].verdict == "fail" else ""
    are = "are" if len(rows) > 1 else "is"
    if len(rows) > 1:
        fails = fails.replace("it refuses", "they refuse")
    yield (
        f"Strictest {are} {names}: {fails}of {plural(tried, 'designation')} tried on its parts "
        f"{refused} would fail."
    )


def _disagreement(found: Across) -> Iterator[str]:
    for index, part in enumerate(found.joint.parts):
        groups: dict[str, list[str]] = {}
        for row in found.codes:
            groups.setdefault(row.parts[index].verdict, []).append(_name(row))
        decided = {word: names for word, names in groups.items() if word in ("pass", "fail")}
        who = f"{part.id} ({part.label})"
        left_open = f" Left open by {_and(groups['refer'])}." if "refer" in groups else ""
        if len(decided) == 2:
            yield (
                f"They disagree on {who}: allowed by {_and(decided['pass'])}; "
                f"not allowed by {_and(decided['fail'])}.{left_open}"
            )
        elif decided:
            (word,) = decided
            yield f"Codes that decide on {who} agree: {verdict_words(word)}.{left_open}"
        else:
            yield f"No code decides on {who}."


def _name(row: AcrossRow) -> str:
    editions = editions_words(row.editions)
    return f"{row.title} ({editions})"


def _part_name(part: Part) -> str:
    return part.id if part.id == part.kind_words else f"{part.id} ({part.kind_words})"


def _said(verdict: str, kind: str) -> str:
    """A verdict in words; a standard is met or not and advice followed or not, they allow nothing."""
    return _OF_KIND.get(kind, {}).get(verdict, verdict_words(verdict))


_OF_KIND = {
    "guidance": {"pass": "as advised", "fail": "against the advice"},
    "standard": {"pass": "meets it", "fail": "does not meet it"},
}


def _part(one: PartVerdict, kind: str) -> str:
    said = _said(one.verdict, kind)
    if one.verdict in ("not_governed", "gives"):
        return said
    clauses = "; ".join(one.clauses)
    if one.missing_facts:
        return f"{said}: {clauses}; not stated: {missing_words(one.missing_facts)}"
    because = f", {'; '.join(lower_first(text).rstrip('.') for text in one.says)}"
    return (
        f"{said}: {clauses}{because if one.verdict == 'refer' else ''} "
        f"({rests_words(one.mark, one.recalled, one.number_recalled)})"
    )


def _and(names: Sequence[str]) -> str:
    return " and ".join(part for part in (", ".join(names[:-1]), *names[-1:]) if part)
