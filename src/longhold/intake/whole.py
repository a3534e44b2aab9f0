"""Faults that the model finds one at a time or not beside others: here all of them at once, from raw values.

Names that point to other names (timbers, ids that must differ) and trade sizes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from difflib import get_close_matches
from functools import partial
from typing import Any, get_args

from longhold.base.errors import Problem
from longhold.intake.problems import whose
from longhold.model.sizes import PartKind, read_lumber_size, read_part_size

__all__ = ["POINTS", "broken_references", "unknown_sizes"]

POINTS = ("stands twice", "is not described")
"""How the model words the same faults; it stops at the first, while this module finds all of them."""


def broken_references(given: Mapping[str, Any]) -> list[Problem]:
    """Joint ids and part ids that stand twice, and timbers that are not described, in raw keys and values.

    >>> broken_references({"timbers": {"joist": {}}, "joints": [{"id": "J1", "main": "joists"}]})[0].where
    'joints[0].main'
    """
    joints = [(i, joint) for i, joint in enumerate(_list(given, "joints")) if isinstance(joint, Mapping)]
    problems = list(_twins([(f"joints[{i}].id", joint.get("id")) for i, joint in joints], "joint"))
    for i, joint in joints:
        parts = _list(joint, "parts")
        ids = [
            (f"joints[{i}].parts[{j}].id", p.get("id")) for j, p in enumerate(parts) if isinstance(p, Mapping)
        ]
        problems += _twins(ids, f"part of joint {joint.get('id')!r}")
        problems += _missing_timbers(given, i, joint)
    return problems


def unknown_sizes(given: Mapping[str, Any]) -> list[Problem]:
    """Trade sizes of timbers and parts that cannot be read, in raw keys and values.

    >>> unknown_sizes({"timbers": {"joist": {"size": "2x7"}}})[0].where
    'timbers.joist.size'
    """
    timbers = given.get("timbers")
    found: list[Problem] = []
    for name, timber in timbers.items() if isinstance(timbers, Mapping) else ():
        size = timber.get("size") if isinstance(timber, Mapping) else None
        found += _unread(f"timbers.{name}.size", size, read_lumber_size)
    for i, joint in enumerate(_list(given, "joints")):
        for j, part in enumerate(_list(joint, "parts") if isinstance(joint, Mapping) else ()):
            if isinstance(part, Mapping) and part.get("kind") in get_args(PartKind):
                read = partial(read_part_size, part["kind"])
                of = whose(("joints", i, "parts", j, "size"), given)
                found += _unread(f"joints[{i}].parts[{j}].size", part.get("size"), read, of)
    return found


def _unread(where: str, size: Any, read: Callable[[str], Any], of: str = "") -> Iterator[Problem]:
    if isinstance(size, str):
        try:
            read(size)
        except ValueError as error:
            yield Problem(where, size, f"{error}.", of)


def _list(node: Mapping[str, Any], name: str) -> list[Any]:
    value = node.get(name)
    return value if isinstance(value, list) else []


def _twins(ids: list[tuple[str, Any]], what: str) -> Iterator[Problem]:
    seen: dict[str, str] = {}
    for where, one in ids:
        if not isinstance(one, str):
            continue
        if one in seen:
            taken = f"is the id of another {what}, at {seen[one].removesuffix('.id')}."
            yield Problem(where, one, taken, "Ids must differ: results key on them.")
        else:
            seen[one] = where


def _missing_timbers(given: Mapping[str, Any], i: int, joint: Mapping[str, Any]) -> Iterator[Problem]:
    timbers = given.get("timbers")
    if not isinstance(timbers, Mapping):
        return
    for role in ("main", "side"):
        name = joint.get(role)
        if not isinstance(name, str) or name in timbers:
            continue
        close = get_close_matches(name, list(timbers), n=1)
        meant = f"Did you mean {close[0]!r}? " if close else ""
        known = ", ".join(list(timbers)[:20]) or "none"
        do = f"{meant}Described are {known}. {whose(('joints', i, role), given)}"
        yield Problem(f"joints[{i}].{role}", name, "is not described under timbers.", do)
