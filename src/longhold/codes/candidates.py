"""Finishes that are tried when a part does not pass, so that the answer can say what would."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from longhold.base.errors import TableError
from longhold.base.recent import once
from longhold.base.tables import load_toml
from longhold.codes.facts import FINISH_FACTS, complete_facts
from longhold.codes.vocabulary import vocabulary

__all__ = ["Finish", "list_candidates"]

CANDIDATES = "codes/candidates.toml"


@dataclass(frozen=True)
class Finish:
    """One finish that can be bought, as facts."""

    words: str
    facts: Mapping[str, Any]

    def in_place_of(self, facts: Mapping[str, Any]) -> dict[str, Any]:
        """The same part with this finish; advice that a maker gave on another finish is dropped."""
        kept = {name: value for name, value in facts.items() if name not in FINISH_FACTS}
        if kept.get("maker_advice") != "none":
            kept.pop("maker_advice", None)
        return complete_facts(kept | dict(self.facts))


@once
def list_candidates(name: str) -> tuple[Finish, ...]:
    """The finishes of one list in ``tables/codes/candidates.toml``; none for an empty name.

    >>> [candidate.words for candidate in list_candidates("us")][-1]
    'copper'
    """
    if not name:
        return ()
    data = load_toml(CANDIDATES)
    if name not in data:
        raise TableError(f"{CANDIDATES}: has no list {name!r}")
    return tuple(_finish(entry) for entry in data[name]["finish"])


def _finish(entry: Mapping[str, Any]) -> Finish:
    for fact, value in entry["facts"].items():
        if fact not in FINISH_FACTS or vocabulary()[fact].refuses(value):
            raise TableError(f"{CANDIDATES}: {entry['words']}: {fact} = {value!r} is no finish fact")
    return Finish(entry["words"], entry["facts"])
