"""What is asked of a choice: offers, costs, what is used, banned or out of stock; kept under its hash."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from longhold.store import NotInStore, Store, inputs_hash

__all__ = ["Question", "asked_under", "keep_question", "last_asked"]

_KIND, _LAST, _FORM = "purchase question", "last purchase question", "1"
Lock = tuple[str, str, str]


@dataclass(frozen=True)
class Question:
    """One question.

    Attributes
    ----------
    structure, version : that it is about
    offers : number of the list
    costs : the form of costs as typed
    locks : joint, part and the item that must be used there
    bans : items that may not be used
    without : items out of stock, for a second choice beside the first
    """

    structure: int
    version: int
    offers: int
    costs: Mapping[str, str]
    locks: tuple[Lock, ...] = ()
    bans: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    @property
    def plain(self) -> dict[str, Any]:
        """As JSON holds it."""
        return {
            "structure": self.structure,
            "version": self.version,
            "offers": self.offers,
            "costs": dict(self.costs),
            "locks": [list(one) for one in self.locks],
            "bans": list(self.bans),
            "without": list(self.without),
        }

    @property
    def key(self) -> str:
        """The hash under which it is kept."""
        return inputs_hash(self.plain)

    def with_lock(self, *locks: Lock) -> Question:
        """The same with items that must be used; a later word on a part replaces an earlier one."""
        said = {(joint, part): item for joint, part, item in (*self.locks, *locks)}
        return replace(self, locks=tuple((*where, item) for where, item in said.items()))

    def without_lock(self, joint: str, part: str) -> Question:
        """The same with any item at one part."""
        return replace(self, locks=tuple(one for one in self.locks if one[:2] != (joint, part)))

    def with_items(self, name: str, item: str, *, said: bool) -> Question:
        """The same with an item more, or less, among ``bans`` or those ``without`` which it is chosen."""
        rest = tuple(one for one in getattr(self, name) if one != item)
        changed: Any = {name: (*rest, item) if said else rest}
        return replace(self, **changed)


def keep_question(store: Store, asked: Question) -> str:
    """Keep a question as the last one about its structure, and give its key."""
    key = asked.key
    store.keep_result(key, _FORM, asked.plain, kind=_KIND, structure_id=asked.structure, number=asked.version)
    store.keep_result(
        _of_structure(asked.structure), _FORM, {"key": key}, kind=_LAST, structure_id=asked.structure
    )
    return key


def asked_under(store: Store, structure: int, key: str) -> Question:
    """The question that is kept under a key.

    Raises
    ------
    NotInStore : there is none about that structure
    """
    found = store.result_for(key, _FORM, kind=_KIND) if re.fullmatch("[0-9a-f]{64}", key) else None
    if found is None or found.result["structure"] != structure:
        raise NotInStore("choice", None, "this choice is not kept any more.", "Begin it anew.")
    given = found.result
    return Question(
        given["structure"],
        given["version"],
        given["offers"],
        given["costs"],
        tuple((joint, part, item) for joint, part, item in given["locks"]),
        tuple(given["bans"]),
        tuple(given["without"]),
    )


def last_asked(store: Store, structure: int) -> Question | None:
    """The last question about a structure; None where there is none."""
    found = store.result_for(_of_structure(structure), _FORM, kind=_LAST)
    if found is None:
        return None
    try:
        return asked_under(store, structure, str(found.result["key"]))
    except NotInStore:
        return None


def _of_structure(structure: int) -> str:
    return inputs_hash({"last purchase question of": structure})
