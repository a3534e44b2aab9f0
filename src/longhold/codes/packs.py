"""Rule packs as data: the strict reader of the folders below ``tables/codes``.

A folder holds ``pack.toml`` (what the pack is, its editions, the files of rules in the order in which they
are asked) and rule files. Every rule is a record with its clause by edition, scope, condition, demand,
exceptions, how we took what a clause leaves open, source and mark.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, Literal

from longhold.base.errors import InputError, Problem, TableError
from longhold.base.marks import Mark
from longhold.base.tables import list_tables, load_csv, load_toml
from longhold.codes.conditions import ALWAYS, NEVER, Condition, Many, read_condition

__all__ = ["EditionFact", "Kind", "Pack", "Rule", "list_packs", "load_pack", "show_rule"]

Kind = Literal["frame", "demand", "exception", "refer", "not_governed", "gives", "note"]
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


@dataclass(frozen=True)
class EditionFact:
    """What is known of one topic in one edition: its clause number or a word, and how sure that is."""

    says: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class Rule:
    """One record of a rule file, for the editions that it names.

    Attributes
    ----------
    id : such as ``US-IRC-05``; the same id may stand again for other editions
    kind : frame (scope for the rules under it), demand, exception, refer, not_governed, gives or note
    editions : editions in which it stands
    clause : clause by edition
    topic : topic in the table of editions that tells how sure the number or the presence is; may be empty
    under : ids of the frames around it, outermost first
    when : its condition, frames included
    own_when : its condition without the frames
    demand : what must hold; always true outside a demand
    exceptions : ids of exceptions to the demand
    allows : what an exception accepts where its ``when`` holds; nothing elsewhere
    refer_if, refer_to : where a demand that is not met is for somebody else to settle, and for whom
    gives : facts that a classification gives: a value, or ``sum_of`` some number facts
    stops : nothing below is asked where ``when`` holds
    otherwise : speaks only where no rule above has decided
    says : the rule in our words
    note : remark for the reader of the rule
    interpretations : how we took what the clause leaves open
    source, mark : where it was read and how sure that is
    """

    id: str
    kind: Kind
    editions: tuple[str, ...]
    clause: Mapping[str, str]
    topic: str
    under: tuple[str, ...]
    when: Condition
    own_when: Condition
    demand: Condition
    exceptions: tuple[str, ...]
    allows: Condition
    refer_if: Condition
    refer_to: str
    gives: Mapping[str, Any]
    stops: bool
    otherwise: bool
    says: str
    note: str
    interpretations: tuple[str, ...]
    source: str
    mark: Mark
    file: str = ""


@dataclass(frozen=True)
class Pack:
    """One code, standard or body of guidance, with every edition that it covers.

    Attributes
    ----------
    id : folder name, such as ``us_irc``
    title : in words
    kind : "code" for codes and standards, "guidance" for advice; the two are never mixed
    jurisdictions, called, checks, edition_for : how tables of cases name it
    editions : editions, oldest first
    answers : facts that a classification answers with, the fullest first
    candidates : name of the list of finishes tried when something else would pass
    case_assumes : facts that a row of a table of cases is taken to mean where it names nothing else
    edition_facts : topic -> edition -> what is known
    source, mark : of the pack's own choices
    """

    id: str
    title: str
    kind: Literal["code", "guidance"]
    jurisdictions: tuple[str, ...]
    called: tuple[str, ...]
    checks: tuple[str, ...]
    editions: tuple[str, ...]
    edition_for: Mapping[str, str]
    answers: tuple[str, ...]
    candidates: str
    case_assumes: Mapping[str, Any]
    edition_facts: Mapping[str, Mapping[str, EditionFact]]
    source: str
    mark: Mark
    rules: tuple[Rule, ...] = ()
    parts: tuple[tuple[str, str], ...] = field(default=())

    def rules_in(self, edition: str) -> tuple[Rule, ...]:
        """The rules that stand in one edition, in the order in which they are asked.

        Raises
        ------
        InputError : for an edition that the pack does not have, naming those that it has
        """
        if edition not in self.editions:
            raise InputError(
                Problem("edition", edition, f"{self.title} is known here in {', '.join(self.editions)}.")
            )
        own = dict(self.parts)
        return tuple(rule for rule in self.rules if (own[rule.file] or edition) in rule.editions)

    def edition_of(self, rule: Rule, edition: str) -> str:
        """The edition under which a rule speaks: the pack's, or that of a borrowed part."""
        return dict(self.parts)[rule.file] or edition


@cache
def list_packs() -> Mapping[str, Pack]:
    """Every pack by id.

    >>> list_packs()["us_irc"].editions[-1]
    '2024'
    """
    folders = sorted(path.split("/")[1] for path in list_tables("pack.toml") if path.startswith("codes/"))
    return {folder: load_pack(folder) for folder in folders}


@cache
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
        raise InputError(Problem("pack", pack_id, f"must be one of {have}"))
    data = load_toml(path)
    if set(data) != {"pack"} or not set(data["pack"]) <= _PACK_KEYS:
        raise TableError(f"{path}: has keys {sorted(data)} / {sorted(data.get('pack', {}))}")
    entry = data["pack"]
    if entry["id"] != pack_id or entry["kind"] not in ("code", "guidance"):
        raise TableError(f"{path}: id {entry['id']!r} or kind {entry['kind']!r} does not fit")
    parts = tuple((_beside(pack_id, part["file"]), part.get("edition", "")) for part in entry["part"])
    bare = Pack(
        id=pack_id,
        title=entry["title"],
        kind=entry["kind"],
        jurisdictions=tuple(entry["jurisdictions"]),
        called=tuple(entry["called"]),
        checks=tuple(entry["checks"]),
        editions=tuple(entry["editions"]),
        edition_for=entry.get("edition_for", {}),
        answers=tuple(entry.get("answers", ())),
        candidates=entry.get("candidates", ""),
        case_assumes=entry.get("case_assumes", {}),
        edition_facts=_edition_facts(pack_id),
        source=entry["source"],
        mark=Mark(entry["mark"]),
        parts=parts,
    )
    return replace(bare, rules=tuple(rule for file, own in parts for rule in _rules(file, bare, own)))


def show_rule(rule_id: str) -> tuple[Rule, ...]:
    """Every record of a rule, one for each group of editions in which it reads alike.

    Raises
    ------
    InputError : for an id that no pack has

    >>> [rule.editions[0] for rule in show_rule("US-IRC-07")]
    ['2006', '2018']
    """
    found = {(r.file, r.editions): r for pack in list_packs().values() for r in pack.rules if r.id == rule_id}
    if not found:
        raise InputError(Problem("rule", rule_id, "is the id of no rule in any pack."))
    return tuple(found.values())


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


def _rules(file: str, pack: Pack, own_edition: str) -> list[Rule]:
    data = load_toml(file)
    if not set(data) <= {"terms", "editions", "rule"}:
        raise TableError(f"{file}: holds {sorted(data)}, may hold terms, editions and rule")
    editions = tuple(data.get("editions", (own_edition,) if own_edition else pack.editions))
    terms: dict[str, Condition] = {}
    for name, entry in data.get("terms", {}).items():
        if not {"says", "source", "mark"} <= set(entry):
            raise TableError(f"{file}: term {name} needs says, source and mark")
        rest = {key: value for key, value in entry.items() if key not in ("says", "source", "mark")}
        terms[name] = read_condition(rest, f"{file}: term {name}", terms)
    rules: list[Rule] = []
    for entry in data.get("rule", []):
        rules.append(_rule(file, entry, editions, terms, rules))
    return rules


def _rule(
    file: str,
    entry: Mapping[str, Any],
    editions: tuple[str, ...],
    terms: Mapping[str, Condition],
    above: list[Rule],
) -> Rule:
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
        mark=Mark(entry["mark"]),
        file=file,
    )


def _check_entry(where: str, entry: Mapping[str, Any], editions: tuple[str, ...]) -> None:
    extra = set(entry) - _RULE_KEYS
    lack = {"id", "kind", "clause", "says", "source", "mark"} - set(entry)
    if extra or lack:
        raise TableError(f"{where}: unknown keys {sorted(extra)}, missing keys {sorted(lack)}")
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


def _frame(where: str, entry: Mapping[str, Any], editions: tuple[str, ...], above: list[Rule]) -> Rule | None:
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
