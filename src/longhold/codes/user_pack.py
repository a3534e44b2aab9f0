"""A rule pack that somebody wrote for a place of their own: one TOML file, read with every problem named.

The file holds ``[pack]`` (what it is and its editions), ``[source.NAME]`` (where it was read),
``[terms.NAME]`` and ``[[rule]]``, as in the packs below ``tables/codes``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from longhold.base.errors import InputError, Problem, TableError
from longhold.base.marks import Mark
from longhold.base.sources import Source, register
from longhold.base.toml_reading import parse_toml
from longhold.codes.conditions import NEVER, Condition
from longhold.codes.packs import list_packs
from longhold.codes.reader import read_header, read_rule, read_term
from longhold.codes.rules import Pack, Rule
from longhold.codes.validator import check_pack

__all__ = ["check_user_pack", "read_user_pack"]

_TABLES = {"pack", "source", "terms", "editions", "rule"}
_SOURCE_KEYS = {"title", "where", "read"}
_FILE = "this file"
_UNREADABLE = (TableError, AttributeError, TypeError, ValueError, LookupError)


def read_user_pack(text: str, name: str) -> Pack:
    """A pack from the text of its file.

    Raises
    ------
    InputError : with every problem that the file has
    """
    pack, problems = check_user_pack(text)
    if pack is None or problems:
        raise InputError(*(Problem(name, None, said) for said in problems))
    return pack


def check_user_pack(text: str) -> tuple[Pack | None, tuple[str, ...]]:
    """A pack as far as it can be read, and everything that is wrong with it, one sentence each.

    >>> check_user_pack("[pack]\\nid = 'x'")[1][0]
    'pack: unknown keys none, lacks checks, editions, jurisdictions, kind, mark, source, title'
    """
    try:
        data = parse_toml(text)
    except ValueError as error:
        return None, (f"is not TOML: {error}",)
    found = [f"[{name}] is not a table of a pack; it may hold {', '.join(sorted(_TABLES))}"
             for name in sorted(set(data) - _TABLES)]  # fmt: skip
    if not isinstance(data.get("pack"), dict):
        return None, (*found, "has no table [pack]")
    sources = dict(register())
    found += _read_sources(data.get("source", {}), sources)
    try:
        pack = _header(data["pack"], sources)
    except TableError as error:
        return None, (*found, str(error))
    rules = _read_rules(data, pack, sources, found)
    own = {name: source for name, source in sources.items() if name not in register()}
    whole = replace(pack, rules=rules, parts=((_FILE, ""),), own_sources=own)
    if pack.id in list_packs():
        found.append(f"pack: id {pack.id!r} is that of a pack held here; choose another")
    if not rules:
        return whole, (*found, "has no rule that can be read")
    unread = _ids(data) - {rule.id for rule in rules}
    beside = (*unread, "no rule closes it") if len(rules) < len(data["rule"]) else ()
    found += [said for said in check_pack(whole) if not any(words in said for words in beside)]
    return whole, tuple(found)


def _header(entry: Mapping[str, Any], sources: Mapping[str, Source]) -> Pack:
    if "part" in entry:
        raise TableError("pack: names parts; write the rules into this file, each under [[rule]]")
    known = {"id", "title", "kind", "jurisdictions", "checks", "editions", "source", "mark"}
    lacks = sorted(known - set(entry))
    extra = sorted(set(entry) - known - {"called", "edition_for", "answers", "candidates", "case_assumes"})
    if lacks or extra:
        raise TableError(
            f"pack: unknown keys {', '.join(extra) or 'none'}, lacks {', '.join(lacks) or 'none'}"
        )
    if said := _provenance("pack", entry, sources):
        raise TableError(said)
    return read_header("pack", entry)


def _read_sources(given: Any, sources: dict[str, Source]) -> Iterator[str]:
    if not isinstance(given, dict):
        yield "source: write each as [source.NAME] with title, where and read"
        return
    for name, entry in given.items():
        if not isinstance(entry, dict) or set(entry) != _SOURCE_KEYS or not isinstance(entry["read"], bool):
            yield f"source {name}: must have exactly title, where, and read = true or false"
        elif name in sources:
            yield f"source {name}: a source of that name is there already; choose another name"
        else:
            sources[name] = Source(id=name, **entry)


def _read_rules(
    data: Mapping[str, Any], pack: Pack, sources: Mapping[str, Source], found: list[str]
) -> tuple[Rule, ...]:
    terms: dict[str, Condition] = {}
    for name, entry in _table(data, "terms", found).items():
        if not isinstance(entry, dict):
            found.append(f"term {name}: write it as [terms.{name}]")
            continue
        said = _provenance(f"term {name}", entry, sources)
        found += [said] if said else []
        try:
            terms[name] = read_term(_FILE, name, entry, terms)
        except _UNREADABLE as error:
            terms[name] = NEVER  # so that a rule which calls it is not said to call nothing
            found.append(_plain(error))
    editions = tuple(data.get("editions", pack.editions))
    rules: list[Rule] = []
    entries = data.get("rule", [])
    if not isinstance(entries, list):
        found.append("rule: write each as [[rule]]")
        return ()
    for number, entry in enumerate(entries, start=1):
        if not isinstance(entry, dict):
            found.append(f"rule number {number}: is not a table")
            continue
        where = f"rule {entry.get('id', f'number {number}, which has no id')}"
        if said := _provenance(where, entry, sources):
            found.append(said)
        try:
            if {"source", "mark"} <= set(entry):
                rules.append(read_rule(_FILE, entry, editions, terms, rules))
        except _UNREADABLE as error:
            found.append(_plain(error))
    return tuple(rules)


def _table(data: Mapping[str, Any], name: str, found: list[str]) -> Mapping[str, Any]:
    given = data.get(name, {})
    if not isinstance(given, dict):
        found.append(f"{name}: write each as [{name}.NAME]")
        return {}
    return given


def _provenance(where: str, entry: Mapping[str, Any], sources: Mapping[str, Source]) -> str:
    lacks = [key for key in ("source", "mark") if key not in entry]
    if lacks:
        return f"{where}: lacks its {' and '.join(lacks)}"
    if not isinstance(entry["source"], str) or entry["source"] not in sources:
        return f"{where}: source {entry['source']!r} is not there; add [source.{entry['source']}]"
    if entry["mark"] == Mark.VERIFIED and not sources[entry["source"]].read:
        return f"{where}: is marked verified, but nobody read source {entry['source']!r}"
    return ""


def _ids(data: Mapping[str, Any]) -> set[str]:
    return {str(entry.get("id", "")) for entry in data.get("rule", []) if isinstance(entry, dict)} - {""}


def _plain(error: Exception) -> str:
    said = str(error).removeprefix(f"{_FILE}: ")
    return said if isinstance(error, TableError) else f"cannot be read: {said}"
