"""Writes docs/licences.md: name, version and licence of everything that requirements.lock names.

    python tools/licences.py

Licences are read from what the installed packages say of themselves, nothing is looked up elsewhere. Run it
in the environment of ``make setup``, whenever the lock has changed.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "licences.md"
UNREAD = "not read: not installed on the machine that wrote this page"
_LOCKED = re.compile(r"^([A-Za-z0-9._-]+)==([^\s;\\]+)", re.MULTILINE)
_LONGEST = 60  # letters; longer than that it is the licence itself, not its name
HEAD = """# Licences

What Longhold is built on, as `requirements.lock` names it. Written by `tools/licences.py` from what the
installed packages say of themselves; no legal advice. *core* is what `pip install longhold` brings; the other
words are extras; *development* never reaches a user. Longhold itself is under Apache-2.0; the tables of
`places/` have licences of their own (`places/LICENSES`).

Licences that ask something of whoever passes the package on are marked with *. Longhold changes none of these
packages and holds none of their code.

| package | version | licence | for |
|---|---|---|---|
"""


def locked() -> list[tuple[str, str]]:
    """Name and version of every line of the lock."""
    return _LOCKED.findall((ROOT / "requirements.lock").read_text(encoding="utf-8"))


def licence(name: str) -> str:
    """What an installed package says its licence is: an expression, a name, or the first line of its file."""
    found = metadata.metadata(name)
    if found.get("License-Expression"):
        return str(found["License-Expression"])
    told = " ".join((found.get("License") or "").split())
    classes = [one.split(" :: ") for one in found.get_all("Classifier") or ()]
    kinds = [one[-1] for one in classes if one[0] == "License" and one[-1] != "OSI Approved"]
    if told and len(told) <= _LONGEST:
        return told
    return " or ".join(kinds) or _first_line(name) or "says nothing"


def _first_line(name: str) -> str:
    files = [one for one in metadata.files(name) or () if re.match("(?i)(licen[cs]e|copying)", one.name)]
    for file in files:
        for line in file.locate().read_text(encoding="utf-8", errors="replace").splitlines():
            if re.search("[A-Za-z]", line):
                return f"see its file: {' '.join(line.split())[:_LONGEST]}"
    return ""


def needed_by() -> dict[str, list[str]]:
    """For each package, what brings it: core alone where the core does, else the extras."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    core = set(_closure(project["dependencies"], extras))
    brought: dict[str, list[str]] = {name: ["core"] for name in core}
    for extra, wanted in sorted(extras.items()):
        if extra not in ("dev", "ocr"):
            for name in set(_closure(wanted, extras)) - core:
                brought.setdefault(name, []).append(extra)
    return brought


def _closure(wanted: Iterable[str], extras: dict[str, list[str]]) -> Iterator[str]:
    waiting, seen = list(wanted), set[tuple[str, frozenset[str]]]()
    while waiting:
        one = Requirement(waiting.pop())
        name, asked = canonicalize_name(one.name), frozenset(one.extras)
        if (name, asked) in seen:
            continue
        seen.add((name, asked))
        if name == "longhold":
            waiting += [need for extra in asked for need in extras[extra]]
            continue
        yield name
        try:
            needs = metadata.requires(name) or []
        except metadata.PackageNotFoundError:
            continue
        for need in needs:
            marker = Requirement(need).marker
            if marker is None or any(marker.evaluate({"extra": extra}) for extra in ("", *asked)):
                waiting.append(need)


def page() -> str:
    """The whole page."""
    brought, rows = needed_by(), []
    for name, version in locked():
        try:
            said = licence(name)
        except metadata.PackageNotFoundError:
            said = UNREAD
        star = " *" if re.search("GPL|MPL|Mozilla", said) else ""
        use = "other systems" if said == UNREAD else ", ".join(brought.get(name, ["development"]))
        rows.append(f"| {name} | {version} | {said}{star} | {use} |\n")
    return HEAD + "".join(rows)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
