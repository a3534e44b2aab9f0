"""The register of sources: every number in Longhold points into it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files

from longhold.base.errors import TableError
from longhold.base.recent import once

__all__ = ["Source", "register"]


@dataclass(frozen=True)
class Source:
    """A place that facts come from.

    Attributes
    ----------
    id : short name used by tables, such as ``iso9223-2012``
    title : what it is
    where : where it was read (a copy, an extract, a page quoting it), or why it was not
    read : whether somebody read at least the part that is cited, in it or in a page quoting it
    """

    id: str
    title: str
    where: str
    read: bool


@once
def register() -> Mapping[str, Source]:
    """All sources by id, from the TOML files in ``longhold/tables/sources``."""
    found: dict[str, Source] = {}
    folder = files("longhold").joinpath("tables", "sources")
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if not file.name.endswith(".toml"):
            continue
        for name, entry in tomllib.loads(file.read_text(encoding="utf-8")).items():
            if name in found:
                raise TableError(f"sources/{file.name}: {name} is in the register twice")
            if set(entry) != {"title", "where", "read"}:
                raise TableError(f"sources/{file.name}: {name} must have exactly title, where and read")
            found[name] = Source(id=name, **entry)
    return found
