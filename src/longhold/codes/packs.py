"""Rule packs as data: the folders below ``tables/codes``.

A folder holds ``pack.toml`` (what the pack is, its editions, the files of rules in the order in which they
are asked) and rule files. Every rule is a record with its clause by edition, scope, condition, demand,
exceptions, how we took what a clause leaves open, source and mark.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem, TableError
from longhold.base.recent import once
from longhold.base.tables import list_tables, load_csv, load_toml
from longhold.codes.reader import read_header, read_rules
from longhold.codes.rules import EditionFact, Kind, Pack, Rule

__all__ = ["EditionFact", "Kind", "Pack", "Rule", "list_packs", "load_pack", "show_rule"]


@once
def list_packs() -> Mapping[str, Pack]:
    """Every pack by id.

    >>> list_packs()["us_irc"].editions[-1]
    '2024'
    """
    folders = sorted(path.split("/")[1] for path in list_tables("pack.toml") if path.startswith("codes/"))
    return {folder: load_pack(folder) for folder in folders}


@once
def load_pack(pack_id: str) -> Pack:
    """One pack by its id.

    Raises
    ------
    InputError : for a pack that does not exist, naming those that do
    TableError : for a pack whose files break the rules
    """
    path = f"codes/{pack_id}/pack.toml"
    if path not in list_tables("pack.toml"):
        have = sorted(p.split("/")[1] for p in list_tables("pack.toml") if p.startswith("codes/"))
        raise InputError(Problem("pack", pack_id, f"must be one of {', '.join(have)}."))
    data = load_toml(path)
    if set(data) != {"pack"} or not data["pack"].get("part") or data["pack"].get("id") != pack_id:
        raise TableError(f"{path}: must hold one table pack with its parts, whose id is {pack_id!r}")
    entry = data["pack"]
    parts = tuple((_beside(pack_id, part["file"]), part.get("edition", "")) for part in entry["part"])
    bare = replace(read_header(path, entry, _edition_facts(pack_id)), parts=parts)
    return replace(
        bare, rules=tuple(r for file, own in parts for r in read_rules(file, load_toml(file), bare, own))
    )


def show_rule(rule_id: str) -> tuple[Rule, ...]:
    """Every record of a rule, one for each group of editions in which it reads alike.

    Raises
    ------
    InputError : for an id that no pack has

    >>> [rule.editions[0] for rule in show_rule("US-IRC-07")]
    ['2006', '2018']
    """
    every = [rule for pack in list_packs().values() for rule in pack.rules]
    found = {(rule.file, rule.editions): rule for rule in every if rule.id.casefold() == rule_id.casefold()}
    if not found:
        raise InputError(Problem("rule", rule_id, "is the id of no rule in any pack.", _near(rule_id)))
    return tuple(found.values())


def _near(rule_id: str) -> str:
    from difflib import get_close_matches

    ids = {rule.id.casefold(): rule.id for pack in list_packs().values() for rule in pack.rules}
    wanted = rule_id.strip().casefold()
    parts = sorted(name for low, name in ids.items() if low.startswith(f"{wanted}.")) if wanted else []
    close = parts or [ids[low] for low in get_close_matches(wanted, ids, n=4, cutoff=0.6)]
    every = told_here(command="See: longhold codes list PACK.", page="Write an id of its pack.")
    return f"Near it: {', '.join(close)}." if close else every


def _beside(pack_id: str, file: str) -> str:
    return f"codes/{file[3:]}" if file.startswith("../") else f"codes/{pack_id}/{file}"


def _edition_facts(pack_id: str) -> dict[str, dict[str, EditionFact]]:
    path = f"codes/{pack_id}/editions.csv"
    if path not in list_tables("editions.csv"):
        return {}
    found: dict[str, dict[str, EditionFact]] = {}
    for row in load_csv(path, {"topic": str, "edition": str, "says": str}, key=("topic", "edition")):
        fact = EditionFact(row["says"], row["source"], row["mark"])
        found.setdefault(row["topic"], {})[row["edition"]] = fact
    return found
