"""The strict reader of rule files: every record with its clause, editions, scope, demand, source and mark."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from longhold.base.errors import TableError
from longhold.base.marks import Mark
from longhold.codes.conditions import ALWAYS, NEVER, Condition, Many, read_condition
from longhold.codes.rules import PACK_KINDS, EditionFact, Pack, Rule

__all__ = ["RULE_FILE_KEYS", "read_header", "read_rule", "read_rules", "read_term"]

RULE_FILE_KEYS = {"terms", "editions", "rule"}
_KINDS = ("frame", "demand", "exception", "refer", "not_governed", "gives", "note")
_NEEDS = {"demand": "demand", "exception": "allows", "gives": "gives"}
_RULE_KEYS = {
    "id", "kind", "editions", "clause", "topic", "under", "when", "demand", "exceptions", "allows",
    "refer_if", "refer_to", "gives", "stops", "otherwise", "says", "note", "interpretation", "source", "mark",
}  # fmt: skip
_PACK_KEYS = {
    "id", "title", "kind", "jurisdictions", "called", "checks", "editions", "edition_for", "answers",
    "candidates", "case_assumes", "part", "source", "mark",
}  # fmt: skip
_PACK_NEEDS = {"id", "title", "kind", "jurisdictions", "checks", "editions", "source", "mark"}
_CHECKS = ("compliance", "couple", "classify")
_TYPES: dict[type, tuple[set[str], str]] = {
    str: ({"id", "kind", "topic", "under", "refer_to", "says", "note", "source", "mark"}, "words in quotes"),
    list: ({"editions", "exceptions", "interpretation"}, "a list of words in quotes"),
    dict: ({"when", "demand", "allows", "refer_if", "gives"}, "a table"),
    bool: ({"stops", "otherwise"}, "true or false"),
}


def read_header(
    where: str, entry: Mapping[str, Any], edition_facts: Mapping[str, Mapping[str, EditionFact]] | None = None
) -> Pack:
    """A pack without its rules, from its table ``pack``.

    Raises
    ------
    TableError : for keys that are unknown or missing, and for values that a pack cannot have
    """
    extra, lack = set(entry) - _PACK_KEYS, _PACK_NEEDS - set(entry)
    if extra or lack:
        raise TableError(f"{where}: pack has unknown keys {sorted(extra)}, lacks keys {sorted(lack)}")
    if entry["kind"] not in PACK_KINDS:
        raise TableError(f"{where}: kind {entry['kind']!r} is not one of {', '.join(PACK_KINDS)}")
    for key in ("jurisdictions", "checks", "editions"):
        if not isinstance(entry[key], list) or not all(isinstance(one, str) for one in entry[key]):
            raise TableError(f"{where}: {key} must be a list of words in quotes")
    if not entry["editions"] or len(set(entry["editions"])) < len(entry["editions"]):
        raise TableError(f"{where}: editions must name each edition once, oldest first")
    if not set(entry["checks"]) <= set(_CHECKS):
        raise TableError(f"{where}: checks {entry['checks']} are not all in {list(_CHECKS)}")
    return Pack(
        id=entry["id"],
        title=entry["title"],
        kind=entry["kind"],
        jurisdictions=tuple(entry["jurisdictions"]),
        called=tuple(entry.get("called", ())),
        checks=tuple(entry["checks"]),
        editions=tuple(entry["editions"]),
        edition_for=entry.get("edition_for", {}),
        answers=tuple(entry.get("answers", ())),
        candidates=entry.get("candidates", ""),
        case_assumes=entry.get("case_assumes", {}),
        edition_facts=edition_facts or {},
        source=entry["source"],
        mark=_mark(where, entry["mark"]),
    )


def read_rules(file: str, data: Mapping[str, Any], pack: Pack, own_edition: str) -> tuple[Rule, ...]:
    """The rules of one file, in the order in which they are asked.

    Parameters
    ----------
    file : its path, kept in each rule
    data : its tables ``terms``, ``editions`` and ``rule``
    pack : the pack that asks them
    own_edition : edition under which a borrowed file speaks; empty for a file of the pack's own

    Raises
    ------
    TableError : naming the rule and what is wrong with it
    """
    if not set(data) <= RULE_FILE_KEYS:
        raise TableError(f"{file}: holds {sorted(data)}, may hold terms, editions and rule")
    editions = tuple(data.get("editions", (own_edition,) if own_edition else pack.editions))
    terms: dict[str, Condition] = {}
    for name, entry in data.get("terms", {}).items():
        terms[name] = read_term(file, name, entry, terms)
    rules: list[Rule] = []
    for entry in data.get("rule", []):
        rules.append(read_rule(file, entry, editions, terms, rules))
    return tuple(rules)


def read_term(file: str, name: str, entry: Mapping[str, Any], terms: Mapping[str, Condition]) -> Condition:
    """A named condition; those above it may be part of it."""
    if not {"says", "source", "mark"} <= set(entry):
        raise TableError(f"{file}: term {name} needs says, source and mark")
    rest = {key: value for key, value in entry.items() if key not in ("says", "source", "mark")}
    return read_condition(rest, f"{file}: term {name}", terms)


def read_rule(
    file: str,
    entry: Mapping[str, Any],
    editions: tuple[str, ...],
    terms: Mapping[str, Condition],
    above: Sequence[Rule],
) -> Rule:
    """One record of a rule file.

    Parameters
    ----------
    editions : those of the file, for a rule that names none
    terms : named conditions that it may call
    above : rules that stand above it, among them its frame
    """
    where = f"{file}: rule {entry.get('id')}"
    _check_entry(where, entry, editions)
    own = read_condition(entry.get("when", {}), where, terms)
    own_editions = tuple(entry.get("editions", editions))
    frame = _frame(where, entry, own_editions, above)
    return Rule(
        id=entry["id"],
        kind=entry["kind"],
        editions=own_editions,
        clause=_clauses(where, entry["clause"], own_editions),
        topic=entry.get("topic", ""),
        under=() if frame is None else (*frame.under, frame.id),
        when=own if frame is None or frame.when == ALWAYS else Many("all", (frame.when, own)),
        own_when=own,
        demand=_condition(entry, "demand", ALWAYS, where, terms),
        exceptions=tuple(entry.get("exceptions", ())),
        allows=_condition(entry, "allows", NEVER, where, terms),
        refer_if=_condition(entry, "refer_if", NEVER, where, terms),
        refer_to=entry.get("refer_to", ""),
        gives=entry.get("gives", {}),
        stops=entry.get("stops", False),
        otherwise=entry.get("otherwise", False),
        says=entry["says"],
        note=entry.get("note", ""),
        interpretations=tuple(entry.get("interpretation", ())),
        source=entry["source"],
        mark=_mark(where, entry["mark"]),
        file=file,
    )


def _check_entry(where: str, entry: Mapping[str, Any], editions: tuple[str, ...]) -> None:
    extra = set(entry) - _RULE_KEYS
    lack = {"id", "kind", "clause", "says", "source", "mark"} - set(entry)
    if extra or lack:
        raise TableError(f"{where}: unknown keys {sorted(extra)}, missing keys {sorted(lack)}")
    for type_, (keys, words) in _TYPES.items():
        wrong = sorted(key for key in keys & set(entry) if not _is(entry[key], type_))
        if wrong:
            raise TableError(f"{where}: {', '.join(wrong)} must be {words}")
    kind = entry["kind"]
    if kind not in _KINDS:
        raise TableError(f"{where}: kind {kind!r} is not one of {_KINDS}")
    for owner, key in _NEEDS.items():
        if (kind == owner) != (key in entry):
            raise TableError(f"{where}: {key} stands in every {owner} and nowhere else")
    if ("refer_if" in entry) != ("refer_to" in entry) or ("refer_if" in entry and kind != "demand"):
        raise TableError(f"{where}: refer_if and refer_to stand together, in a demand")
    if not set(entry.get("editions", ())) <= set(editions):
        raise TableError(f"{where}: editions {entry['editions']} are not all in {editions}")


def _frame(
    where: str, entry: Mapping[str, Any], editions: tuple[str, ...], above: Sequence[Rule]
) -> Rule | None:
    if "under" not in entry:
        return None
    fitting = [
        r for r in above if r.id == entry["under"] and r.kind == "frame" and set(editions) <= set(r.editions)
    ]
    if len(fitting) != 1:
        raise TableError(f"{where}: no single frame {entry['under']!r} above it covers its editions")
    return fitting[0]


def _clauses(where: str, clause: str | Mapping[str, str], editions: tuple[str, ...]) -> dict[str, str]:
    if isinstance(clause, str):
        return dict.fromkeys(editions, clause)
    if not isinstance(clause, dict) or not all(isinstance(one, str) for one in clause.values()):
        raise TableError(f"{where}: clause must be words in quotes, or a table of them by edition")
    found: dict[str, str] = {}
    current = ""
    if not set(clause) <= set(editions):
        raise TableError(f"{where}: clause numbers are given for {sorted(clause)}, editions are {editions}")
    for edition in editions:
        current = clause.get(edition, current)
        if not current:
            raise TableError(f"{where}: no clause number for edition {edition}")
        found[edition] = current
    return found


def _condition(
    entry: Mapping[str, Any], key: str, absent: Condition, where: str, terms: Mapping[str, Condition]
) -> Condition:
    return read_condition(entry[key], f"{where}, {key}", terms) if key in entry else absent


def _mark(where: str, mark: str) -> Mark:
    if mark not in list(Mark):
        raise TableError(f"{where}: mark {mark!r} is not one of {[one.value for one in Mark]}")
    return Mark(mark)


def _is(value: Any, type_: type) -> bool:
    """Whether a value is of a type; a list, of words."""
    if isinstance(value, list):
        return type_ is list and all(isinstance(one, str) for one in value)
    return isinstance(value, type_)
