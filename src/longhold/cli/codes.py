"""Commands under ``codes``: the packs, one rule in plain words, marks, and the check of a pack."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from longhold.base.errors import InputError, Problem
from longhold.cli.options import JsonOnly

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from longhold.base.marks import Mark
    from longhold.codes.describe import RuleView
    from longhold.codes.rules import Pack

__all__ = ["codes"]

codes = typer.Typer(
    name="codes",
    no_args_is_help=True,
    help="Look into the rule packs: list them, show a rule, count marks, check a pack of your own.",
)

_JSON = JsonOnly


@codes.command("list")
def list_(
    pack: Annotated[
        str | None, typer.Argument(metavar="PACK", help="List the rules of this pack, such as us_irc.")
    ] = None,
    json: _JSON = False,
) -> None:
    """List the packs with their editions and marks, or the rules of one pack."""
    from longhold.codes.packs import list_packs, load_pack

    if pack is not None:
        _list_rules(load_pack(pack), json)
    elif json:
        from longhold.documents.codes_view import pack_json

        _print_json([pack_json(one) for one in list_packs().values()])
    else:
        _list_packs(list(list_packs().values()))


@codes.command()
def show(
    rule: Annotated[str, typer.Argument(metavar="RULE-ID", help="Such as US-IRC-05.")], json: _JSON = False
) -> None:
    """Show one rule in plain words, with an example that passes and one that does not."""
    from longhold.codes.describe import describe_rule

    views = describe_rule(rule)
    if json:
        _print_json([_view_json(view) for view in views])
        return
    from longhold.cli.show import console, show_lines
    from longhold.documents.rule_view import example_lines, example_title, rule_lines

    to = console()
    for number, view in enumerate(views):
        if number:
            to.print()
        show_lines(to, view.id, rule_lines(view))
        for example in view.examples:
            show_lines(to, example_title(example), example_lines(example))


@codes.command()
def marks(json: _JSON = False) -> None:
    """Count the rules and the designations that rest on each mark, and list the rules left out."""
    from longhold.assessment.designations import count_designations
    from longhold.base.marks import Mark
    from longhold.codes.counts import count_marks, list_not_evaluated
    from longhold.codes.packs import list_packs
    from longhold.codes.rules import PACK_KINDS

    packs = list(list_packs().values())
    of = {kind: count_marks(p for p in packs if p.kind == kind) for kind in PACK_KINDS}
    labels = count_designations()
    left_out = list_not_evaluated()
    if json:
        rules: dict[str, Any] = {kind: _by_name(found) for kind, found in of.items()}
        out = [{"id": one.id, "what": one.what, "why": one.why} for one in left_out]
        _print_json({"rules": rules, "designations": _by_name(labels), "not_evaluated": out})
        return
    from longhold.cli.show import console, show_rows

    to = console()
    columns = (*of.values(), labels)
    rows = [
        (mark.value, mark.in_words, *(f"{found.get(mark, 0):,}" for found in columns))
        for mark in Mark
        if any(found.get(mark) for found in columns)
    ]
    rows.append(("all", "every mark", *(f"{sum(found.values()):,}" for found in columns)))
    heads = ("Rules of codes", "Rules of standards", "Rules of guidance", "Designations")
    show_rows(to, ("Mark", "Rests on", *heads), rows)
    to.print(f"Not evaluated, {len(left_out)} of the rules that were read or recalled:")
    for one in left_out:
        to.print(f"  {one.id}: {one.what}: {one.why}")


@codes.command()
def check(
    file: Annotated[
        Path | None, typer.Argument(metavar="FILE.toml", help="A pack of your own; ours if left out.")
    ] = None,
    json: _JSON = False,
) -> None:
    """Check rule packs: unknown facts, missing sources, overlapping editions, rules never reached."""
    from longhold.codes.packs import list_packs

    if file is not None and str(file) in list_packs() and not file.exists():
        said = "is the id of a pack held here; this checks a file of your own."
        do = f"Without a file all packs held here are checked; longhold codes list {file} shows this one."
        raise InputError(Problem("FILE", str(file), said, do))
    problems, said = _check_own() if file is None else _check_file(file)
    if json:
        _print_json({"file": None if file is None else str(file), "problems": list(problems)})
    else:
        from longhold.cli.show import console, counted, plain

        to = console()
        for problem in problems:
            to.print(plain(problem))
        to.print(
            plain(f"{said}: {counted(len(problems), 'problem', 'problems') if problems else 'no problems'}.")
        )
    if problems:
        raise typer.Exit(3 if file is None else 2)


@codes.command()
def ask(
    pack: Annotated[
        str,
        typer.Argument(metavar="PACK", help="us_awpa, us_irc:2021 (else the newest), or a file, town.toml."),
    ],
    fact: Annotated[
        list[str] | None, typer.Option("--fact", metavar="NAME=VALUE", help="Such as item=nail; repeatable.")
    ] = None,
    json: _JSON = False,
) -> None:
    """Ask one pack about a part described by facts: the verdict, what decided it, what is missing."""
    from longhold.assessment.rule_facts import read_facts
    from longhold.cli.choosing import packs_asked
    from longhold.codes.evaluator import evaluate_pack

    (chosen, editions), *_ = packs_asked(pack, where="PACK", any_kind=True)
    answer = evaluate_pack(chosen, editions[-1], read_facts(fact or []))
    if json:
        from dataclasses import asdict

        _print_json(asdict(answer))
        return
    from longhold.cli.show import console, show_lines
    from longhold.documents.rule_view import answer_lines, answer_title, example_lines

    to = console()
    show_lines(to, answer_title(answer), answer_lines(answer))
    for verdict in answer.verdicts:
        show_lines(to, f"{verdict.rule_id}, {verdict.clause}", [("", verdict.says), *example_lines(verdict)])


def _check_own() -> tuple[tuple[str, ...], str]:
    from longhold.codes.counts import count_marks, list_not_evaluated
    from longhold.codes.packs import list_packs
    from longhold.codes.validator import check_packs

    problems = check_packs()
    rules = "" if problems else f" with {sum(count_marks().values()):,} rules"
    left = len(list_not_evaluated())
    packs = "the packs" if problems else f"{len(list_packs())} packs"
    return problems, f"{packs}{rules}; {left} more rules are not evaluated (longhold codes marks)"


def _check_file(file: Path) -> tuple[tuple[str, ...], str]:
    from longhold.cli.choosing import text_of
    from longhold.codes.user_pack import check_user_pack

    pack, problems = check_user_pack(text_of(file, "FILE"))
    if pack is None:
        return problems, str(file)
    editions = ", ".join(pack.editions)
    return problems, f"{file}: {pack.title}, editions {editions}, {len(pack.rules)} rules read"


def _list_packs(packs: Sequence[Pack]) -> None:
    from longhold.cli.show import console, show_rows
    from longhold.codes.counts import count_marks
    from longhold.codes.rules import PACK_KINDS

    to = console()
    heads = ("Pack", "", "Where", "Editions", "Rules", "By mark")
    for kind, words in PACK_KINDS.items():
        rows = []
        for pack in (one for one in packs if one.kind == kind):
            found = count_marks([pack])
            cells = (", ".join(pack.jurisdictions), ", ".join(pack.editions), str(sum(found.values())))
            rows.append((pack.id, pack.title, *cells, _by_mark(found)))
        to.print(f"{_KIND_HEADS[kind]}: {words}.", style="bold")
        show_rows(to, heads, rows)
    total = count_marks(packs)
    said = f"a shared rule counted once: {_by_mark(total)}."
    to.print(f"{len(packs)} packs, {sum(total.values())} rules, {said}")
    to.print("Rules of one pack: longhold codes list PACK. One rule: longhold codes show RULE-ID.")


_KIND_HEADS = {"code": "Codes", "standard": "Standards", "guidance": "Guidance"}


def _by_mark(found: Mapping[Mark, int]) -> str:
    return ", ".join(f"{count} {mark.value}" for mark, count in found.items())


def _list_rules(pack: Pack, json: bool) -> None:
    from longhold.codes.describe import KIND_WORDS

    if json:
        from longhold.documents.codes_view import pack_rules_json

        _print_json(pack_rules_json(pack))
        return
    from longhold.cli.show import console, show_rows

    rows = []
    for rule in pack.rules:
        numbers = ", ".join(dict.fromkeys(rule.clause.values()))
        kind = KIND_WORDS[rule.kind].split(":")[0]
        rows.append((rule.id, kind, ", ".join(rule.editions), numbers, rule.mark.value, rule.says))
    to = console()
    to.print(f"{pack.title} ({pack.kind})", style="bold")
    show_rows(to, ("Rule", "", "Editions", "Clause", "Mark", "In our words"), rows)


def _by_name(found: Mapping[Mark, int]) -> dict[str, int]:
    return {mark.value: count for mark, count in found.items()}


def _view_json(view: RuleView) -> dict[str, Any]:
    from dataclasses import asdict

    return asdict(view)


def _print_json(data: Any) -> None:
    from json import dumps

    print(dumps(data, indent=2, ensure_ascii=False))
