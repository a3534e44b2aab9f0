"""How many rules rest on which mark; and the rules that are not evaluated, with the reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from longhold.base.marks import Mark
from longhold.base.tables import load_csv
from longhold.codes.packs import list_packs
from longhold.codes.rules import Pack, Rule

__all__ = ["NotEvaluated", "count_marks", "list_not_evaluated", "rules_by_mark"]


@dataclass(frozen=True)
class NotEvaluated:
    """A rule that was read or recalled and is in no pack."""

    id: str
    what: str
    why: str


def rules_by_mark(rules: Iterable[Rule]) -> Mapping[Mark, int]:
    """How many records of rules rest on each mark, strongest mark first; borrowed records count once.

    >>> rules_by_mark(list_packs()["us_nds"].rules)
    {<Mark.MEMORY: 'memory'>: 1}
    """
    records = {(rule.file, rule.id, rule.editions): rule.mark for rule in rules}
    counted = Counter(records.values())
    return {mark: counted[mark] for mark in Mark if counted[mark]}


def count_marks(packs: Iterable[Pack] | None = None) -> Mapping[Mark, int]:
    """How many rules of some packs, or of all, rest on each mark."""
    chosen = list_packs().values() if packs is None else packs
    return rules_by_mark(rule for pack in chosen for rule in pack.rules)


def list_not_evaluated() -> tuple[NotEvaluated, ...]:
    """Rules that no pack holds, and why."""
    rows = load_csv("codes/not_evaluated.csv", {"id": str, "what": str, "why": str}, key=("id",))
    return tuple(NotEvaluated(row["id"], row["what"], row["why"]) for row in rows)
