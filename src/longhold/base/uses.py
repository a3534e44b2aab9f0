"""How often the tables lean on each source, and under which mark."""

from __future__ import annotations

import csv
import io
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from longhold.base.marks import Mark
from longhold.base.tables import list_tables, read_text

__all__ = ["count_uses"]


def count_uses() -> Mapping[str, Mapping[Mark, int]]:
    """Rows and records of all tables by source id and mark.

    >>> sum(count_uses()["own"].values()) > 0
    True
    """
    uses: dict[str, Counter[Mark]] = {}
    for path in list_tables():
        if not path.startswith("sources/"):
            for source, mark in _cited(path):
                uses.setdefault(source, Counter())[Mark(mark)] += 1
    return uses


def _cited(path: str) -> Iterator[tuple[str, str]]:
    text = read_text(path)
    if path.endswith(".toml"):
        yield from _records(tomllib.loads(text))
    else:
        for row in csv.DictReader(io.StringIO(text)):
            if row.get("source") and row.get("mark"):
                yield row["source"], row["mark"]


def _records(node: Any) -> Iterator[tuple[str, str]]:
    if isinstance(node, dict):
        if "source" in node and "mark" in node:
            yield node["source"], node["mark"]
        for child in node.values():
            yield from _records(child)
    elif isinstance(node, list):
        for child in node:
            yield from _records(child)
