"""One straight pass over a pack: facts in, verdicts out.

Every rule of the edition is asked once, in the order of the pack. A rule whose condition does not hold is
passed over; one whose condition hangs on a fact that is not given yields ``refer`` and names the fact, unless
it would be met either way. A rule that stops the pass keeps everything below it from being asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from longhold.base.marks import Mark, weakest
from longhold.codes.answers import CodeAnswer, Note, Verdict, VerdictWord
from longhold.codes.candidates import list_candidates
from longhold.codes.conditions import Many, Outcome
from longhold.codes.facts import complete_facts
from longhold.codes.packs import Pack, Rule, load_pack
from longhold.codes.vocabulary import check_facts

__all__ = ["evaluate", "evaluate_pack"]

_ORDER: tuple[VerdictWord, ...] = ("fail", "refer", "pass", "not_governed", "gives")


@dataclass
class _Pass:
    """What the pass has gathered so far."""

    pack: Pack
    edition: str
    facts: dict[str, Any]
    rules: Mapping[str, Rule]  # every rule of the edition by id, in the order asked
    verdicts: list[Verdict] = field(default_factory=list)
    hanging: list[Verdict] = field(default_factory=list)  # met if asked, but nothing tells whether to ask
    notes: list[Note] = field(default_factory=list)
    not_given: dict[str, frozenset[str]] = field(default_factory=dict)
    doubt: frozenset[str] = frozenset()  # facts that tell whether the pass ended further up

    @property
    def decided(self) -> bool:
        """Whether any rule has spoken for good."""
        return any(v.verdict != "gives" and not v.missing_facts for v in self.verdicts)

    @property
    def open_facts(self) -> frozenset[str]:
        """Facts that tell whether a rule has spoken."""
        return _union(frozenset(v.missing_facts) for v in (*self.verdicts, *self.hanging))


def evaluate(pack_id: str, edition: str, facts: Mapping[str, Any], *, suggest: bool = True) -> CodeAnswer:
    """What a pack says of one part, from named facts.

    Parameters
    ----------
    pack_id : such as ``us_irc``; ``list_packs()`` has them all
    edition : one of the pack's editions
    facts : facts by name, as in ``tables/codes/facts.toml``; a fact that is not known is left out.
        Facts that follow from the item, the treatment or the grade are filled in.
    suggest : whether to try other finishes where the part does not pass

    Raises
    ------
    InputError : for a pack, an edition, a fact or a value that does not exist

    >>> nail = {"item": "nail", "finish": "plain_steel", "application": "other", "treatment": "acq"}
    >>> answer = evaluate("us_irc", "2015", nail | {"exposure": "exterior_exposed"})
    >>> answer.verdict, answer.deciding[0].clause
    ('fail', 'R317.3.1')
    """
    return evaluate_pack(load_pack(pack_id), edition, facts, suggest=suggest)


def evaluate_pack(pack: Pack, edition: str, facts: Mapping[str, Any], *, suggest: bool = True) -> CodeAnswer:
    """What a pack that is at hand says of one part; see ``evaluate``.

    Parameters
    ----------
    suggest : whether to try other finishes where the part does not pass
    """
    check_facts(facts)
    told = complete_facts(facts)
    answer = _run(pack, edition, told)
    if suggest and answer.verdict in ("fail", "refer") and "finish" in told:
        return _with_suggestions(answer, pack, told)
    return answer


def _run(pack: Pack, edition: str, facts: Mapping[str, Any]) -> CodeAnswer:
    rules = {rule.id: rule for rule in pack.rules_in(edition)}
    run = _Pass(pack, edition, dict(facts), rules)
    for rule in rules.values():
        if rule.kind in ("frame", "exception"):
            continue
        scope = _widened(run, rule.when.decide(run.facts))
        if scope.value is False:
            continue
        if not (rule.otherwise and run.decided):
            _ask(run, rule, scope)
        if rule.stops and scope.value:
            break
        if rule.stops:
            run.doubt |= scope.missing
    return _answer(run)


def _ask(run: _Pass, rule: Rule, scope: Outcome) -> None:
    if rule.kind == "not_governed":
        if scope.value and not (rule.otherwise and run.open_facts):
            run.verdicts.append(_verdict(run, rule, "not_governed", scope))
        return
    if run.doubt or (rule.otherwise and run.open_facts):
        also = run.open_facts if rule.otherwise else frozenset()
        scope = Outcome(None, scope.missing | run.doubt | also)
    if rule.kind == "demand":
        _demand(run, rule, scope)
    elif rule.kind == "gives":
        _give(run, rule, scope)
    elif rule.kind == "note":
        if scope.value:
            run.notes.append(Note(rule.id, _clause(run, rule), rule.says, rule.source, rule.mark))
    elif scope.value:
        run.verdicts.append(_verdict(run, rule, "refer", scope))
    else:
        run.verdicts.append(_undecided(run, rule, scope, scope.missing))


def _demand(run: _Pass, rule: Rule, scope: Outcome) -> None:
    need = _widened(run, rule.demand.decide(run.facts))
    exceptions = [run.rules[name] for name in rule.exceptions if name in run.rules]
    tried = [(other, _widened(run, _both(other).decide(run.facts))) for other in exceptions]
    used = [(other, outcome) for other, outcome in tried if outcome.value]
    if need.value or used:
        if not scope.value:
            run.hanging.append(_undecided(run, rule, scope, scope.missing))
            return
        by = [] if need.value else [used[0][0]]
        because = need.because if need.value else used[0][1].because
        lines = tuple(f"{other.id}: {other.says}" for other in by)
        run.verdicts.append(_verdict(run, rule, "pass", scope, by, met_because=because, exceptions=lines))
        return
    elsewhere = _widened(run, rule.refer_if.decide(run.facts))
    hanging = [o for o in (scope, need, elsewhere, *(o for _, o in tried)) if o.value is None]
    if hanging:
        run.verdicts.append(_undecided(run, rule, scope, _union(o.missing for o in hanging)))
        return
    near = [(other, outcome) for other, outcome in tried if outcome.short == 1]
    lines = tuple(f"{other.id} does not help, as {' and '.join(o.because) or 'it is not there'}: {other.says}"
                  for other, o in near)  # fmt: skip
    asked = f"left to {rule.refer_to}" if elsewhere.value else f"asked: {rule.says}"
    word: VerdictWord = "refer" if elsewhere.value else "fail"
    run.verdicts.append(
        _verdict(run, rule, word, scope, [other for other, _ in near],
                 failed_because=(*need.because, asked), exceptions=lines)
    )  # fmt: skip


def _give(run: _Pass, rule: Rule, scope: Outcome) -> None:
    fresh: dict[str, Any] = {}
    for name, value in rule.gives.items():
        if name in run.facts:
            continue
        parts = value["sum_of"] if isinstance(value, dict) else ()
        unknown = _widened(
            run, Outcome(None, frozenset(part for part in parts if part not in run.facts))
        ).missing
        if scope.value is None or unknown or name in run.not_given:
            run.not_given[name] = run.not_given.get(name, frozenset()) | scope.missing | unknown
        else:
            fresh[name] = sum(run.facts[part] for part in parts) if parts else value
    run.facts |= fresh
    if fresh:
        run.verdicts.append(_verdict(run, rule, "gives", scope, given=tuple(fresh.items())))


def _widened(run: _Pass, outcome: Outcome) -> Outcome:
    """The outcome, naming also the facts behind a class that could not be derived."""
    if not outcome.missing:
        return outcome
    behind = _union(run.not_given.get(name, frozenset()) for name in outcome.missing)
    return replace(outcome, missing=outcome.missing | behind)


def _verdict(
    run: _Pass, rule: Rule, word: VerdictWord, scope: Outcome, by: Iterable[Rule] = (), **more: Any
) -> Verdict:
    took_part = [rule, *(run.rules[name] for name in rule.under), *by]
    known = run.pack.edition_facts
    return Verdict(
        verdict=word,
        rule_id=rule.id,
        clause=_clause(run, rule),
        edition=run.pack.edition_of(rule, run.edition),
        pack=run.pack.id,
        says=rule.says,
        asked_because=scope.because,
        interpretation=tuple(dict.fromkeys(line for other in took_part for line in other.interpretations)),
        rules=tuple(dict.fromkeys(other.id for other in took_part)),
        source=rule.source,
        mark=weakest(other.mark for other in took_part),
        recalled=tuple(dict.fromkeys(other.id for other in took_part if other.mark is Mark.MEMORY)),
        edition_mark=weakest(known[o.topic][run.edition].mark if o.topic else o.mark for o in took_part),
        **more,
    )


def _undecided(run: _Pass, rule: Rule, scope: Outcome, missing: frozenset[str]) -> Verdict:
    return _verdict(run, rule, "refer", scope, missing_facts=tuple(sorted(missing)))


def _answer(run: _Pass) -> CodeAnswer:
    if not any(v.verdict in ("pass", "fail", "refer") and not v.missing_facts for v in run.verdicts):
        run.verdicts.extend(run.hanging)
    nothing: VerdictWord = "refer" if run.not_given else "not_governed"
    word = next((w for w in _ORDER if any(v.verdict == w for v in run.verdicts)), nothing)
    deciding = [v for v in run.verdicts if v.verdict == word]
    missing = _union(frozenset(v.missing_facts) for v in deciding)
    if not deciding or (missing and run.pack.checks == ("classify",)):
        missing |= _union(run.not_given.values())
    return CodeAnswer(
        verdict=word,
        pack=run.pack.id,
        title=run.pack.title,
        edition=run.edition,
        kind=run.pack.kind,
        verdicts=tuple(run.verdicts),
        missing_facts=tuple(sorted(missing)),
        would_pass_with=(),
        given={name: value for v in run.verdicts for name, value in v.given},
        not_given={name: tuple(sorted(facts)) for name, facts in run.not_given.items()},
        notes=tuple(run.notes),
        rules=tuple(dict.fromkeys(name for v in deciding for name in v.rules)),
        interpretation=tuple(dict.fromkeys(line for v in deciding for line in v.interpretation)),
        mark=weakest([*(v.mark for v in deciding)] or [Mark.OWN]),
        edition_mark=weakest([*(v.edition_mark for v in deciding)] or [Mark.OWN]),
    )


def _with_suggestions(answer: CodeAnswer, pack: Pack, facts: Mapping[str, Any]) -> CodeAnswer:
    """The answer, with the finishes that would pass instead: each is tried, none is inferred."""
    tried = [
        (candidate.words, _run(pack, answer.edition, candidate.in_place_of(facts)))
        for candidate in list_candidates(pack.candidates)
    ]
    better = {
        index: tuple(words for words, other in tried if _passes(other, verdict))
        for index, verdict in enumerate(answer.verdicts)
        if verdict.verdict in ("fail", "refer")
    }
    verdicts = tuple(replace(v, would_pass_with=better.get(i, ())) for i, v in enumerate(answer.verdicts))
    whole = tuple(words for words, other in tried if _lets_pass(other))
    return replace(answer, verdicts=verdicts, would_pass_with=whole)


def _lets_pass(other: CodeAnswer) -> bool:
    """Whether a code allows a finish, or says for a reason that it asks nothing; silence is no leave."""
    return other.verdict == "pass" or (
        other.verdict == "not_governed" and any(one.asked_because for one in other.deciding)
    )


def _passes(other: CodeAnswer, verdict: Verdict) -> bool:
    return any(v.rule_id == verdict.rule_id and v.verdict == "pass" for v in other.verdicts)


def _both(exception: Rule) -> Many:
    return Many("all", (exception.when, exception.allows))


def _clause(run: _Pass, rule: Rule) -> str:
    return rule.clause[run.pack.edition_of(rule, run.edition)]


def _union(sets: Iterable[frozenset[str]]) -> frozenset[str]:
    return frozenset().union(*sets)
