"""Conditions over named facts: small structured data, decided in three values.

A condition in a rule file is a table whose lines must all hold::

    when = { application = "deck", item = ["nail", "timber_rivet"], size_mm = { at_most = 9.525 } }

A list means "one of". The words ``any`` and ``all`` (lists of tables), ``not`` (a table), ``term`` (a named
condition) and ``never`` make larger ones. A fact that is not given makes a condition true, false or
undecided, whichever follows whatever the fact may be; an undecided condition names the facts that would
decide it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from longhold.base.errors import TableError
from longhold.codes.vocabulary import Fact, near_facts, vocabulary

__all__ = [
    "ALWAYS",
    "NEVER",
    "Condition",
    "Leaf",
    "Many",
    "Not",
    "Outcome",
    "facts_of",
    "leaves",
    "read_condition",
]

_OPS = {
    "at_least": "at least",
    "at_most": "at most",
    "more_than": "more than",
    "less_than": "less than",
    "at_least_fact": "at least",
}


@dataclass(frozen=True)
class Outcome:
    """What a condition comes to.

    Attributes
    ----------
    value : True, False, or None where facts that are not given decide it
    missing : those facts; empty unless value is None
    because : clauses that made it true or false
    short : how many single statements stand in the way; 0 unless value is False
    """

    value: bool | None
    missing: frozenset[str] = frozenset()
    because: tuple[str, ...] = ()
    short: int = 0


@dataclass(frozen=True)
class Leaf:
    """One statement about one fact."""

    fact: Fact
    op: str
    value: Any

    def decide(self, facts: Mapping[str, Any]) -> Outcome:
        """Whether the statement holds."""
        wanted = {self.fact.name, self.value} if self.op == "at_least_fact" else {self.fact.name}
        missing = frozenset(name for name in wanted if name not in facts)
        if missing:
            return Outcome(None, missing)
        given = facts[self.fact.name]
        said = self.fact.sentence(given)
        if _holds(self.op, given, facts[self.value] if self.op == "at_least_fact" else self.value):
            return Outcome(True, because=(said,))
        bound = f", not {self.expects(facts)}" if self.fact.type == "number" else ""
        return Outcome(False, because=(said + bound,), short=1)

    def expects(self, facts: Mapping[str, Any]) -> str:
        """What the statement asks of a number, in words."""
        limit = facts[self.value] if self.op == "at_least_fact" else self.value
        return f"{_OPS.get(self.op, '')} {self.fact.words(limit)}".strip()


@dataclass(frozen=True)
class Many:
    """All of some conditions, or any of them."""

    mode: Literal["all", "any"]
    parts: tuple[Condition, ...]

    def decide(self, facts: Mapping[str, Any]) -> Outcome:
        """Whether all, or any, of the parts hold."""
        outcomes = [part.decide(facts) for part in self.parts]
        settles = self.mode == "any"
        settled = [o for o in outcomes if o.value is settles]
        if settled and settles:
            return settled[0]
        if settled:
            return Outcome(False, because=_joined(settled), short=sum(o.short for o in settled))
        if any(o.value is None for o in outcomes):
            return Outcome(None, frozenset().union(*(o.missing for o in outcomes)))
        if settles:
            return Outcome(
                False, because=_joined(outcomes), short=min((o.short for o in outcomes), default=1)
            )
        return Outcome(True, because=_joined(outcomes))


@dataclass(frozen=True)
class Not:
    """The opposite of a condition."""

    part: Condition

    def decide(self, facts: Mapping[str, Any]) -> Outcome:
        """Whether the part does not hold."""
        inner = self.part.decide(facts)
        if inner.value is None:
            return inner
        return Outcome(not inner.value, because=inner.because, short=int(inner.value))


Condition = Leaf | Many | Not
ALWAYS = Many("all", ())
NEVER = Many("any", ())


def read_condition(data: Mapping[str, Any], where: str, terms: Mapping[str, Condition]) -> Condition:
    """A condition from its table in a rule file.

    Parameters
    ----------
    data : the table
    where : file and rule, for the error message
    terms : named conditions that ``term`` may call

    Raises
    ------
    TableError : for an unknown fact, a value that the fact cannot have, or an unknown word

    >>> thin = read_condition({"item": "nail", "size_mm": {"at_most": 4}}, "example", {})
    >>> thin.decide({"item": "nail"}).missing
    frozenset({'size_mm'})
    >>> thin.decide({"item": "bolt"}).value
    False
    """
    parts = tuple(_part(word, value, where, terms) for word, value in data.items())
    return parts[0] if len(parts) == 1 else Many("all", parts)


def leaves(condition: Condition) -> tuple[Leaf, ...]:
    """Every single statement within a condition."""
    if isinstance(condition, Leaf):
        return (condition,)
    parts = (condition.part,) if isinstance(condition, Not) else condition.parts
    return tuple(leaf for part in parts for leaf in leaves(part))


def facts_of(condition: Condition) -> frozenset[str]:
    """Names of the facts that a condition asks about."""
    found = {leaf.fact.name for leaf in leaves(condition)}
    found |= {leaf.value for leaf in leaves(condition) if leaf.op == "at_least_fact"}
    return frozenset(found)


def _part(word: str, value: Any, where: str, terms: Mapping[str, Condition]) -> Condition:
    if word in ("any", "all"):
        if not isinstance(value, list) or not value:
            raise TableError(f"{where}: {word} needs a list of conditions")
        return Many(word, tuple(read_condition(v, where, terms) for v in value))  # type: ignore[arg-type]
    if word == "not":
        return Not(read_condition(value, where, terms))
    if word == "never":
        return NEVER
    if word == "term":
        if value not in terms:
            raise TableError(f"{where}: term {value!r} is not defined above it")
        return terms[value]
    return _statement(word, value, where)


def _statement(name: str, value: Any, where: str) -> Condition:
    fact = vocabulary().get(name)
    if fact is None:
        near = ", ".join(near_facts(name))
        raise TableError(f"{where}: fact {name!r} is not in the vocabulary; near it: {near}")
    if isinstance(value, dict):
        if fact.type != "number" or not value or not set(value) <= set(_OPS):
            raise TableError(f"{where}: {name} = {value} is not a comparison of numbers")
        return _all([_leaf(fact, op, limit, where) for op, limit in value.items()])
    options = value if isinstance(value, list) else [value]
    for option in options:
        if refusal := fact.refuses(option):
            raise TableError(f"{where}: {name} = {option!r} {refusal}")
    return Leaf(fact, "one_of", tuple(options))


def _leaf(fact: Fact, op: str, limit: Any, where: str) -> Leaf:
    if op == "at_least_fact":
        other = vocabulary().get(limit)
        if other is None or other.type != "number":
            raise TableError(f"{where}: {fact.name} is compared with {limit!r}, which is no number fact")
    elif refusal := fact.refuses(limit):
        raise TableError(f"{where}: {fact.name} {op} {limit!r} {refusal}")
    return Leaf(fact, op, limit)


def _all(parts: Sequence[Condition]) -> Condition:
    return parts[0] if len(parts) == 1 else Many("all", tuple(parts))


def _holds(op: str, given: Any, limit: Any) -> bool:
    if op == "one_of":
        return given in limit
    slack = 1e-9 * max(1.0, abs(limit))  # 300 ft and 91.44 m are one distance, whichever way it was typed
    return bool(
        {
            "at_least": given >= limit - slack,
            "at_least_fact": given >= limit - slack,
            "at_most": given <= limit + slack,
            "more_than": given > limit + slack,
            "less_than": given < limit - slack,
        }[op]
    )


def _joined(outcomes: Sequence[Outcome]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(clause for outcome in outcomes for clause in outcome.because))
