"""A result beside the same computed again: what differs, and by how much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

__all__ = ["Difference", "Repeated", "compare_results"]

_OF_THE_RUN = ("version", "tables", "inputs_sha256", "schema_version")
_SHOWN = 60


@dataclass(frozen=True)
class Difference:
    """One value that is not the same.

    Attributes
    ----------
    where : its path inside the result
    before, after : in the result, and computed again; None where it is missing
    relative : how far a number moved, over the larger of the two; None where it is not a number
    """

    where: str
    before: Any
    after: Any
    relative: float | None = None

    def __str__(self) -> str:
        told = f"{self.where}: {_shown(self.before)}, now {_shown(self.after)}"
        return told if self.relative is None else f"{told} (by {self.relative:.2g} of its value)"


@dataclass(frozen=True)
class Repeated:
    """What comparing a result with its repetition found.

    Attributes
    ----------
    version : of the result and of this program, where they differ
    tables : folders of tables whose content differs
    input_changed : the result's hash of its inputs is not that of the structure
    values : answers that differ by more than the rounding allowed
    rounded : how many numbers differ by less than that
    largest : the largest relative difference of all numbers
    """

    version: tuple[str, str] | None
    tables: tuple[str, ...]
    input_changed: bool
    values: tuple[Difference, ...]
    rounded: int
    largest: float

    @property
    def is_same(self) -> bool:
        """Whether the same input gave the same answers."""
        return not self.input_changed and not self.values


def compare_results(before: Mapping[str, Any], after: Mapping[str, Any], within: float) -> Repeated:
    """Compare a result with the same computed again, both as plain objects of JSON.

    Parameters
    ----------
    within : relative difference of a number that counts as rounding; 0 counts every one

    >>> found = compare_results({"a": 1.0, "version": "1"}, {"a": 1.1, "version": "2"}, 1e-9)
    >>> found.version, str(found.values[0])
    (('1', '2'), 'a: 1.0, now 1.1 (by 0.091 of its value)')
    """
    tables_before, tables_after = (_mapping(one.get("tables")) for one in (before, after))
    told = {name: value for name, value in before.items() if name not in _OF_THE_RUN}
    again = {name: value for name, value in after.items() if name not in _OF_THE_RUN}
    found = list(_differences(told, again, ""))
    values = tuple(one for one in found if one.relative is None or one.relative > within)
    versions = (str(before.get("version")), str(after.get("version")))
    return Repeated(
        version=None if versions[0] == versions[1] else versions,
        tables=tuple(
            name
            for name in sorted(tables_before.keys() | tables_after.keys())
            if tables_before.get(name) != tables_after.get(name)
        ),
        input_changed=before.get("inputs_sha256") != after.get("inputs_sha256"),
        values=values,
        rounded=len(found) - len(values),
        largest=max((one.relative for one in found if one.relative is not None), default=0.0),
    )


def _differences(before: Any, after: Any, where: str) -> Iterator[Difference]:
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for name in sorted(before.keys() | after.keys()):
            path = f"{where}.{name}" if where else name
            if name in before and name in after:
                yield from _differences(before[name], after[name], path)
            else:
                yield Difference(path, before.get(name), after.get(name))
    elif isinstance(before, list) and isinstance(after, list):
        yield from _of_lists(before, after, where)
    elif _is_number(before) and _is_number(after):
        if before != after:
            yield Difference(where, before, after, _apart(before, after))
    elif before != after or type(before) is not type(after):
        yield Difference(where, before, after)


def _of_lists(before: Sequence[Any], after: Sequence[Any], where: str) -> Iterator[Difference]:
    if len(before) != len(after):
        yield Difference(where, f"{len(before):,} entries", f"{len(after):,} entries")
    for number, (one, other) in enumerate(zip(before, after, strict=False)):
        yield from _differences(one, other, f"{where}[{number}]")


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _apart(before: float, after: float) -> float:
    try:
        apart = abs(before - after) / max(abs(before), abs(after))
    except OverflowError:  # a whole number beyond what a float holds
        return 1.0
    return apart if isfinite(apart) else 1.0


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _shown(value: Any) -> str:
    if value is None:
        return "nothing"
    text = value if isinstance(value, str) else repr(value)
    return text if len(text) <= _SHOWN else f"{text[: _SHOWN - 1]}…"
