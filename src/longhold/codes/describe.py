"""One rule as a person would have it explained, with an example worked by the evaluator."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.codes.answers import Verdict
from longhold.codes.candidates import list_candidates
from longhold.codes.conditions import ALWAYS, Condition, Many, Not
from longhold.codes.evaluator import evaluate_pack
from longhold.codes.facts import complete_facts
from longhold.codes.packs import list_packs, show_rule
from longhold.codes.plain_words import Lines, condition_lines, gives_words
from longhold.codes.rules import Pack, Rule
from longhold.codes.validator import find_facts

__all__ = ["Clause", "RuleView", "describe_rule"]

KIND_WORDS = {
    "frame": "scope of the rules below it",
    "demand": "demand: passes or fails",
    "exception": "exception to a demand",
    "refer": "leaves it to somebody else",
    "not_governed": "says that nothing is asked",
    "gives": "classification",
    "note": "remark: applies, but no fact here can test it",
}


@dataclass(frozen=True)
class Clause:
    """Editions in which a rule bears one clause number, and how sure that is."""

    editions: tuple[str, ...]
    number: str
    mark: Mark | None


@dataclass(frozen=True)
class RuleView:
    """One record of a rule in plain words.

    Attributes
    ----------
    id, kind, kind_words, says : what it is
    packs : id -> title of the packs that ask it; a standard or guidance says so
    clauses : number by editions
    scope : id and words of the frames around it, whose conditions it shares
    holds : ids of the rules that share its condition, where it is a frame
    when, demand, refer_if, allows, gives : conditions in words; empty where it has none
    refer_to : who settles a demand that is not met
    exceptions : id, words and conditions of each exception in these editions
    interpretations, note : how we took what is open; remark
    source, where : title of the source and where it was read
    mark : how sure that is
    examples : verdicts of the evaluator on made-up parts, one that passes and one that does not
    """

    id: str
    kind: str
    kind_words: str
    says: str
    packs: Mapping[str, str]
    clauses: tuple[Clause, ...]
    scope: tuple[str, ...]
    holds: tuple[str, ...]
    when: Lines
    demand: Lines
    refer_if: Lines
    refer_to: str
    allows: Lines
    gives: tuple[str, ...]
    exceptions: tuple[tuple[str, str], ...]
    interpretations: tuple[str, ...]
    note: str
    source: str
    where: str
    mark: Mark
    examples: tuple[Verdict, ...]


def describe_rule(rule_id: str) -> tuple[RuleView, ...]:
    """Every record of a rule, one for each group of editions in which it reads alike.

    Raises
    ------
    InputError : for an id that no pack has, with those near it

    >>> view = describe_rule("US-IRC-05")[0]
    >>> view.clauses[-1].number, view.mark.value, view.examples[0].verdict
    ('R304.3.1', 'verified', 'pass')
    """
    return tuple(_view(rule) for rule in show_rule(rule_id))


def _view(rule: Rule) -> RuleView:
    packs = [pack for pack in list_packs().values() if rule in pack.rules]
    pack = packs[0]
    edition = next((one for one in reversed(pack.editions) if rule in pack.rules_in(one)), pack.editions[-1])
    frames = {one.id: one for one in pack.rules_in(edition)}
    source = register()[rule.source]
    return RuleView(
        id=rule.id,
        kind=rule.kind,
        kind_words=KIND_WORDS[rule.kind],
        says=rule.says,
        packs={one.id: one.title if one.kind == "code" else f"{one.title}, {one.kind}" for one in packs},
        clauses=_clauses(rule, pack),
        scope=tuple(f"{name}: {frames[name].says}" for name in rule.under),
        holds=tuple(dict.fromkeys(one.id for one in pack.rules if rule.id in one.under)),
        when=() if rule.own_when == ALWAYS else condition_lines(rule.own_when),
        demand=() if rule.demand == ALWAYS else condition_lines(rule.demand),
        refer_if=condition_lines(rule.refer_if) if rule.refer_to else (),
        refer_to=rule.refer_to,
        allows=condition_lines(rule.allows) if rule.kind == "exception" else (),
        gives=gives_words(rule),
        exceptions=tuple((name, frames[name].says) for name in rule.exceptions if name in frames),
        interpretations=rule.interpretations,
        note=rule.note,
        source=source.title,
        where=source.where,
        mark=rule.mark,
        examples=tuple(_examples(rule, pack, edition)),
    )


def _clauses(rule: Rule, pack: Pack) -> tuple[Clause, ...]:
    found: list[Clause] = []
    for edition in rule.editions:
        mark = pack.edition_facts[rule.topic][edition].mark if rule.topic else None
        number = rule.clause[edition]
        if found and (found[-1].number, found[-1].mark) == (number, mark):
            found[-1] = Clause((*found[-1].editions, edition), number, mark)
        else:
            found.append(Clause((edition,), number, mark))
    return tuple(found)


def _examples(rule: Rule, pack: Pack, edition: str) -> Iterator[Verdict]:
    """A made-up part on which the rule says pass, and one on which it does not, where such can be found."""
    if rule.kind in ("frame", "exception", "note"):
        return
    reach = _reach(rule, pack, edition)
    if rule.kind != "demand":
        yield from _spoken(rule, pack, edition, find_facts(reach))
        return
    let_off = [
        Many("all", (other.when, other.allows))
        for other in pack.rules_in(edition)
        if other.id in rule.exceptions
    ]
    met = Many("all", (reach, rule.demand))
    unmet = Many("all", (reach, Not(rule.demand), Not(rule.refer_if), *(Not(one) for one in let_off)))
    for wanted, condition in (("pass", met), ("fail", unmet)):
        yield from _first(rule, pack, edition, wanted, _tried(pack, reach, condition))


def _reach(rule: Rule, pack: Pack, edition: str) -> Condition:
    """What must hold for the rule to be asked, the rules above that stop the pass included."""
    rules = list(pack.rules_in(edition))
    above = rules[: rules.index(rule)]
    return Many("all", (rule.when, *(Not(one.when) for one in above if one.stops)))


def _tried(pack: Pack, reach: Condition, condition: Condition) -> Iterator[dict[str, Any] | None]:
    witness = find_facts(reach)
    if witness is None:
        return
    usual = {"maker_advice": "none"} | witness
    for finish in list_candidates(pack.candidates):
        yield find_facts(condition, finish.in_place_of(usual))
    yield find_facts(condition, complete_facts(witness))
    yield find_facts(condition)


def _first(
    rule: Rule, pack: Pack, edition: str, wanted: str, tried: Iterator[dict[str, Any] | None]
) -> Iterator[Verdict]:
    for facts in tried:
        spoken = next(_spoken(rule, pack, edition, facts), None)
        if spoken is not None and spoken.verdict == wanted:
            yield spoken
            return


def _spoken(rule: Rule, pack: Pack, edition: str, facts: dict[str, Any] | None) -> Iterator[Verdict]:
    if facts is None:
        return
    answer = evaluate_pack(pack, edition, facts)
    yield from (one for one in answer.verdicts if one.rule_id == rule.id and not one.missing_facts)
