"""The check of all packs: what the strict reader cannot see in one record alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from longhold.base.errors import LongholdError
from longhold.base.tables import list_tables
from longhold.codes.candidates import list_candidates
from longhold.codes.conditions import Condition, Many, Not, facts_of, leaves
from longhold.codes.facts import complete_facts
from longhold.codes.packs import Pack, Rule, load_pack
from longhold.codes.vocabulary import vocabulary

__all__ = ["check_pack", "check_packs", "find_facts", "satisfiable"]

_ABSENT = ("absent", "no")


def check_packs() -> tuple[str, ...]:
    """Everything that is wrong with the packs, one sentence each; empty when all is well.

    Looks for: files that the strict reader refuses (unknown facts, values, keys, sources, marks), one id
    twice in an edition, an edition in which the table of editions says that the rule is absent or has another
    number, exceptions that nobody calls or that do not exist, rules that can never speak, facts that a rule
    gives wrongly, facts that no rule asks about, and a pack that can end without an answer.

    >>> check_packs()
    ()
    """
    found: list[str] = []
    packs: list[Pack] = []
    for path in list_tables("pack.toml"):
        try:
            packs.append(load_pack(path.split("/")[1]))
        except LongholdError as error:
            found.append(str(error))
    for pack in packs:
        found.extend(f"{pack.id}: {problem}" for problem in check_pack(pack))
    if not found:
        asked = set().union(*(_asked(rule) for pack in packs for rule in pack.rules))
        found.extend(
            f"facts.toml: no rule asks about or gives {name}" for name in vocabulary() if name not in asked
        )
    return tuple(found)


def check_pack(pack: Pack) -> Iterator[str]:
    """Everything that is wrong within one pack."""
    try:
        list_candidates(pack.candidates)
    except LongholdError as error:
        yield str(error)
    yield from (f"answers with {name}, which is no fact" for name in pack.answers if name not in vocabulary())
    called = {name for rule in pack.rules for name in rule.exceptions}
    for rule in pack.rules:
        yield from (f"{rule.id}: {problem}" for problem in _gives_problems(rule))
        if rule.kind == "exception" and rule.id not in called:
            yield f"{rule.id}: is an exception that no demand calls"
    if not pack.editions:
        yield "has no editions"
    for edition in pack.editions:
        yield from (f"{problem} in {edition}" for problem in _edition_problems(pack, edition))
    for rule in pack.rules:
        if not any(rule in pack.rules_in(edition) for edition in pack.editions):
            yield f"{rule.id}: stands in no edition of the pack"


def satisfiable(condition: Condition) -> bool:
    """Whether any facts at all make a condition true.

    >>> from longhold.codes.conditions import read_condition
    >>> satisfiable(read_condition({"item": "nail", "part_kind": "connector"}, "example", {}))
    False
    """
    return find_facts(condition) is not None


def find_facts(condition: Condition, start: Mapping[str, Any] | None = None) -> dict[str, Any] | None:
    """Some facts that make a condition true, the first that are found; None where there are none.

    Parameters
    ----------
    condition : to be made true
    start : facts that stay as they are

    >>> from longhold.codes.conditions import read_condition
    >>> find_facts(read_condition({"item": ["staple", "nail"]}, "example", {}))["item"]
    'nail'
    """
    names = sorted(facts_of(condition), key=lambda name: (name not in ("item", "treatment"), name))
    return _search(condition, names, complete_facts(start or {}))


def _search(condition: Condition, names: Sequence[str], facts: dict[str, Any]) -> dict[str, Any] | None:
    value = condition.decide(facts).value
    if value is not None or not names:
        return facts if value else None
    name, rest = names[0], names[1:]
    if name in facts:
        return _search(condition, rest, facts)
    tried = (_search(condition, rest, complete_facts({**facts, name: v})) for v in _values(name, condition))
    return next((found for found in tried if found is not None), None)


def _values(name: str, condition: Condition) -> list[Any]:
    fact = vocabulary()[name]
    if fact.type == "yes_no":
        return [True, False]
    if fact.type == "choice":
        return list(fact.values)
    own = [leaf for leaf in leaves(condition) if leaf.fact is fact]
    limits = [float(leaf.value) for leaf in own if leaf.op not in ("at_least_fact", "one_of")]
    exact = [float(value) for leaf in own if leaf.op == "one_of" for value in leaf.value]
    edges = sorted({0.0, *limits, *exact})
    middles = [(low + high) / 2 for low, high in pairwise(edges)]
    return [*exact, *limits, *middles, edges[-1] + 1, 0.0, edges[0] - 1]  # likely ones first


def _edition_problems(pack: Pack, edition: str) -> Iterator[str]:
    rules = pack.rules_in(edition)
    ids = [rule.id for rule in rules]
    for name in sorted(set(ids)):
        if ids.count(name) > 1:
            yield f"{name}: stands more than once, so the editions of its records overlap"
    known = {rule.id: rule for rule in rules}
    stops: list[Rule] = []
    for rule in rules:
        yield from (f"{rule.id}: {problem}" for problem in _number_problems(pack, rule, edition))
        for name in rule.exceptions:
            if name not in known or known[name].kind != "exception":
                yield f"{rule.id}: calls {name}, which is no exception"
        reach: Condition = Many("all", (rule.when, *(Not(stop.when) for stop in stops)))
        if not satisfiable(reach):
            yield f"{rule.id}: can never be asked"
        if rule.kind == "demand" and not satisfiable(rule.demand):
            yield f"{rule.id}: can never be met"
        if rule.stops:
            stops.append(rule)
    closing = any(
        rule.otherwise and rule.kind == "not_governed" and not facts_of(rule.when) for rule in rules
    )
    if not closing and pack.checks != ("classify",):
        yield "can end without an answer: no rule closes it"


def _number_problems(pack: Pack, rule: Rule, edition: str) -> Iterator[str]:
    if not rule.topic:
        return
    known = pack.edition_facts.get(rule.topic, {}).get(edition)
    if known is None:
        yield f"topic {rule.topic} is not in the table of editions"
    elif known.says in _ABSENT:
        yield f"the table of editions says that {rule.topic} is absent"
    elif (
        any(c.isdigit() for c in known.says) and known.says not in rule.clause[pack.edition_of(rule, edition)]
    ):
        yield f"clause {rule.clause[pack.edition_of(rule, edition)]!r} does not lie within {known.says}"


def _gives_problems(rule: Rule) -> Iterator[str]:
    for name, value in rule.gives.items():
        fact = vocabulary().get(name)
        if fact is None:
            yield f"gives {name}, which is no fact"
        elif isinstance(value, dict):
            parts = value.get("sum_of", [])
            if set(value) != {"sum_of"} or not parts or not all(_is_number(part) for part in parts):
                yield f"gives {name} as {value}"
        elif refusal := fact.refuses(value):
            yield f"gives {name} = {value!r}, which {refusal}"


def _is_number(name: Any) -> bool:
    fact = vocabulary().get(name) if isinstance(name, str) else None
    return fact is not None and fact.type == "number"


def _asked(rule: Rule) -> set[str]:
    sums = [part for value in rule.gives.values() if isinstance(value, dict) for part in value["sum_of"]]
    parts = (rule.when, rule.demand, rule.allows, rule.refer_if)
    return {name for part in parts for name in facts_of(part)} | set(rule.gives) | set(sums)
