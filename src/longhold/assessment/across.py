"""One joint under several codes and editions: verdicts side by side, and the strictest."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from longhold.assessment.designations import Tried, designations_for_part
from longhold.assessment.governing import governing_pack, is_own
from longhold.assessment.prepare import Prepared, prepare, protections
from longhold.assessment.rule_facts import air_category, rule_facts, timbers_touched
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import of_the_class
from longhold.base.marks import Mark
from longhold.codes.answers import STRICTEST, CodeAnswer, Verdict, VerdictWord, strictest_answer
from longhold.codes.evaluator import evaluate_pack
from longhold.codes.packs import list_packs
from longhold.codes.rules import Pack
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure

__all__ = [
    "Across",
    "AcrossRow",
    "Advice",
    "PartVerdict",
    "across_codes",
    "advise",
    "chosen_packs",
    "reasons",
]

_GOOD_PRACTICE = "good_practice"

Advice = tuple[tuple[str, CodeAnswer], ...]
"""Id of a part, and what a pack of guidance says of it."""
Asked = Sequence[tuple[Pack, tuple[str, ...]]]
"""Packs with the editions that are asked."""


@dataclass(frozen=True)
class PartVerdict:
    """What one pack says of one part, in editions that say the same.

    Attributes
    ----------
    part : its id
    verdict : pass, fail, refer, not_governed or gives
    clauses : deciding clauses, oldest edition first
    rules : ids of the rules that decided
    says : the deciding rules in our words; where they refer, who settles it
    missing_facts : facts that are not told and decide
    mark : weakest of the deciding rules
    recalled : ids of the deciding rules that rest on memory
    number_recalled : whether that the edition has it under its number rests on memory
    refused, passing : how many of the designations tried in the part's place fail, and how many pass
    """

    part: str
    verdict: VerdictWord
    clauses: tuple[str, ...]
    rules: tuple[str, ...]
    says: tuple[str, ...]
    missing_facts: tuple[str, ...]
    mark: Mark
    recalled: tuple[str, ...]
    number_recalled: bool
    refused: int
    passing: int


@dataclass(frozen=True)
class AcrossRow:
    """One pack, in editions that say the same of every part.

    Attributes
    ----------
    pack, title, kind, jurisdictions : which pack
    editions : oldest first
    verdict : the strictest over the parts
    parts : one verdict for each part
    notes : rules that apply and that no fact here tests
    governs : whether the structure names this pack and one of these editions
    strictest : whether no code that decides refuses more
    """

    pack: str
    title: str
    kind: str
    jurisdictions: tuple[str, ...]
    editions: tuple[str, ...]
    verdict: VerdictWord
    parts: tuple[PartVerdict, ...]
    notes: tuple[str, ...]
    governs: bool
    strictest: bool = False


@dataclass(frozen=True)
class Across:
    """One joint under several codes.

    Attributes
    ----------
    joint : which
    tried : how many designations were tried in place of each part, by part
    codes : rows of codes; never mixed with the others
    standards : rows of private and product standards
    guidance : rows of guidance
    """

    joint: Joint
    tried: Mapping[str, int]
    codes: tuple[AcrossRow, ...]
    standards: tuple[AcrossRow, ...]
    guidance: tuple[AcrossRow, ...]


def chosen_packs() -> Asked:
    """Every pack that says pass or fail of a part, with all its editions."""
    return [(pack, pack.editions) for pack in list_packs().values() if "compliance" in pack.checks]


def across_codes(
    structure: Structure, joint: Joint, asked: Asked | None = None, told: Mapping[str, Any] | None = None
) -> Across:
    """The verdicts of several packs on the parts of one joint.

    Parameters
    ----------
    asked : packs and editions; all that say pass or fail of a part, unless given
    told : facts that the structure cannot tell, such as ``nz_zone``; they count before its own

    Raises
    ------
    InputError : for a label, a pack, an edition or a fact that cannot be used

    >>> import longhold
    >>> deck = longhold.load("demo/boardwalk.toml")
    >>> found = across_codes(deck, deck.joints[1])
    >>> [(row.pack, row.editions[0], row.verdict) for row in found.codes if row.governs]
    [('us_irc', '2018', 'fail')]
    """
    prepared = prepare(structure.model_copy(update={"joints": [joint]}))
    ask = _Ask(structure, prepared, joint, air_category(prepared), told or {})
    tried = {part.id: designations_for_part(part) for part in joint.parts}
    governing = governing_pack(structure.code)
    packs = sorted(asked or _all_packs(structure), key=lambda one: _farness(one[0], governing, structure))
    rows = [row for pack, editions in packs for row in _rows(ask, tried, pack, editions)]
    return Across(
        joint=joint,
        tried={name: len(found) for name, found in tried.items()},
        codes=_marked([row for row in rows if row.kind == "code"]),
        standards=tuple(row for row in rows if row.kind == "standard"),
        guidance=tuple(row for row in rows if row.kind == "guidance"),
    )


def _all_packs(structure: Structure) -> Asked:
    """Every pack held here that says pass or fail, and the user's own where it governs."""
    own = governing_pack(structure.code)
    return [*([(own, own.editions)] if is_own(structure.code) else []), *chosen_packs()]


def advise(setting: Setting) -> Callable[[Joint], Advice]:
    """What good practice says of a joint: for each part its id and the answer of the pack.

    Guidance, which no verdict of a joint takes up. Where it says stainless, it says of which class.

    >>> import longhold, numpy as np
    >>> from longhold.assessment.setting import setting_for
    >>> deck = longhold.load("demo/boardwalk.toml")
    >>> setting = setting_for(deck, np.linspace(0.0, 100.0, 9), draws=20, seed=1)
    >>> [(part, answer.verdict) for part, answer in advise(setting)(deck.joints[0])]
    [('lag', 'fail')]
    """
    pack, edition = list_packs()[_GOOD_PRACTICE], list_packs()[_GOOD_PRACTICE].editions[-1]

    def advice(joint: Joint) -> Advice:
        ask = _Ask(setting.structure, setting.prepared, joint, setting.air, {})
        owns = [(part, _own(ask, part)) for part in joint.parts]
        return tuple(
            (part.id, of_the_class(ask.answer(pack, edition, part, own), pack, joint, part, own, setting))
            for part, own in owns
        )

    return advice


def _farness(pack: Pack, governing: Pack, structure: Structure) -> tuple[bool, bool]:
    """The governing code comes first, then those of the same country."""
    return pack.id != governing.id, structure.site.jurisdiction not in pack.jurisdictions


@dataclass(frozen=True)
class _Ask:
    structure: Structure
    prepared: Prepared
    joint: Joint
    air: str
    told: Mapping[str, Any]

    def answer(self, pack: Pack, edition: str, part: Part, metal: Protection) -> CodeAnswer:
        """The strictest answer over the timbers that the part touches."""
        facts = [
            rule_facts(self.structure, self.prepared, self.joint, part, timber, metal, self.air)
            for timber in timbers_touched(self.joint, part)
        ]
        return strictest_answer(
            evaluate_pack(pack, edition, one | dict(self.told), suggest=False) for one in facts
        )


def reasons(deciding: Sequence[Verdict]) -> tuple[str, ...]:
    """What deciding verdicts say, each once; where they refer, who settles it."""
    return tuple(dict.fromkeys(one.open_because if one.verdict == "refer" else one.says for one in deciding))


def _rows(
    ask: _Ask, tried: Mapping[str, Sequence[Tried]], pack: Pack, editions: Sequence[str]
) -> Iterator[AcrossRow]:
    """Rows of one pack: editions that follow each other and say the same stand together."""
    runs: list[tuple[list[str], list[PartVerdict], tuple[str, ...]]] = []
    for edition in editions:
        answers = [ask.answer(pack, edition, part, _own(ask, part)) for part in ask.joint.parts]
        verdicts = [
            _verdict(
                part.id, answer, [ask.answer(pack, edition, part, one.protection) for one in tried[part.id]]
            )
            for part, answer in zip(ask.joint.parts, answers, strict=True)
        ]
        said = dict.fromkeys(note.says for answer in answers for note in answer.notes)
        notes = tuple(f"{edition}: {words}" for words in said)
        if runs and [_same(one) for one in runs[-1][1]] == [_same(one) for one in verdicts]:
            before = runs[-1]
            before[0].append(edition)
            joined = [_joined(a, b) for a, b in zip(before[1], verdicts, strict=True)]
            runs[-1] = before[0], joined, (*before[2], *notes)
        else:
            runs.append(([edition], verdicts, notes))
    edition_asked, governing = ask.structure.code.edition, governing_pack(ask.structure.code)
    for names, parts, notes in runs:
        yield AcrossRow(
            pack=pack.id,
            title=pack.title,
            kind=pack.kind,
            jurisdictions=pack.jurisdictions,
            editions=tuple(names),
            verdict=min((one.verdict for one in parts), key=STRICTEST.index),
            parts=tuple(parts),
            notes=notes,
            governs=governing.id == pack.id and edition_asked in names,
        )


def _own(ask: _Ask, part: Part) -> Protection:
    return protections(part, ask.prepared.readings[ask.joint.id, part.id])[0]


def _verdict(part: str, answer: CodeAnswer, others: Sequence[CodeAnswer]) -> PartVerdict:
    deciding = answer.deciding
    return PartVerdict(
        part=part,
        verdict=answer.verdict,
        clauses=tuple(dict.fromkeys(one.clause for one in deciding)),
        rules=answer.rules,
        says=reasons(deciding),
        missing_facts=answer.missing_facts,
        mark=answer.mark,
        recalled=tuple(dict.fromkeys(name for one in deciding for name in one.recalled)),
        number_recalled=any(one.edition_mark is Mark.MEMORY for one in deciding),
        refused=sum(one.verdict == "fail" for one in others),
        passing=sum(one.verdict in ("pass", "not_governed") for one in others),
    )


def _same(one: PartVerdict) -> tuple[Any, ...]:
    return one.verdict, one.rules, one.missing_facts, one.refused, one.passing


def _joined(early: PartVerdict, late: PartVerdict) -> PartVerdict:
    clauses = tuple(dict.fromkeys((*early.clauses, *late.clauses)))
    return replace(early, clauses=clauses, number_recalled=early.number_recalled or late.number_recalled)


def _marked(rows: Sequence[AcrossRow]) -> tuple[AcrossRow, ...]:
    """The rows, with the strictest marked: one that fails before one that passes, then the one that refuses
    the most designations. Rows that leave it open, or say nothing, are not compared.
    """
    decided = [row for row in rows if row.verdict in ("pass", "fail")]
    best = max((_strictness(row) for row in decided), default=None)
    return tuple(replace(row, strictest=row in decided and _strictness(row) == best) for row in rows)


def _strictness(row: AcrossRow) -> tuple[bool, int]:
    return row.verdict == "fail", sum(one.refused for one in row.parts)
