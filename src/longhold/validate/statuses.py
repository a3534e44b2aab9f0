"""Answers by where their expectation comes from: what was read counts for more than what was recalled.

A value that somebody computed from the same equations checks the program, never the equations.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from longhold.validate.area import Judged, Table

__all__ = ["by_status", "right_by_kind", "status_tag"]

_TAG = "status: "
_MEANINGS = {
    "verified": "read in the source",
    "verified-secondary": "read second hand",
    "memory": "recalled",
    "computed": "computed from the same equations: a check of the program, not an outside check",
}
_NOT_STATED = "not stated"


def status_tag(status: str) -> str:
    """Tag of a row that tells where its expectation comes from.

    >>> status_tag("verified"), status_tag("")
    ('status: verified', 'status: not stated')
    """
    return f"{_TAG}{status.strip() or _NOT_STATED}"


def by_status(judged: Sequence[Judged]) -> tuple[Table, ...]:
    """Rows, answered and right by status; nothing where no row states one."""
    groups: dict[str, list[Judged]] = {}
    for one in judged:
        status = next((tag.removeprefix(_TAG) for tag in one.tags if tag.startswith(_TAG)), _NOT_STATED)
        groups.setdefault(status, []).append(one)
    if set(groups) <= {_NOT_STATED}:
        return ()
    order = [*(status for status in _MEANINGS if status in groups), *sorted(set(groups) - set(_MEANINGS))]
    rows = tuple(
        (
            status,
            str(len(groups[status])),
            str(sum(one.right is not None for one in groups[status])),
            str(sum(one.right is True for one in groups[status])),
            _MEANINGS.get(status, ""),
        )
        for status in order
    )
    heads = ("Status", "Rows", "Answered", "Right", "What it means")
    return (Table("By where the expected value comes from", heads, rows),)


def right_by_kind(kinds: Iterable[str], judged: Sequence[Judged]) -> Mapping[str, float]:
    """Rows answered and right of each kind that is there; a kind is a tag."""
    figures: dict[str, float] = {}
    for kind in kinds:
        of_kind = [one for one in judged if kind in one.tags]
        if of_kind:
            figures[f"{kind}_answered"] = sum(one.right is not None for one in of_kind)
            figures[f"{kind}_right"] = sum(one.right is True for one in of_kind)
    return figures
