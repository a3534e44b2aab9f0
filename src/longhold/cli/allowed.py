"""Commands ``across`` and ``allowed``: one joint under several codes, and what its own lets pass."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from longhold.cli.options import JsonOnly

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longhold.assessment.across import Across, AcrossRow
    from longhold.assessment.allowed import AllowedPart
    from longhold.model.structure import Structure

__all__ = ["across", "allowed"]

_File = Annotated[Path, typer.Argument(metavar="FILE", help="Structure file: TOML, JSON or XLSX.")]
_JointId = Annotated[str, typer.Argument(metavar="JOINT", help="Id of a joint in the file.")]
_Facts = Annotated[
    list[str] | None,
    typer.Option(
        "--fact", metavar="NAME=VALUE", help="State what the file cannot, such as nz_zone=C; repeatable."
    ),
]
_Json = JsonOnly


def across(
    file: _File,
    joint: _JointId,
    packs: Annotated[
        str | None,
        typer.Option(
            metavar="PACKS",
            help="Only these, such as us_irc:2021,us_ibc,nz_3604; a file of your own (town.toml) too.",
        ),
    ] = None,
    fact: _Facts = None,
    json: _Json = False,
) -> None:
    """Ask several codes and editions about one joint: verdicts, the strictest, where they disagree."""
    from longhold.assessment.across import across_codes
    from longhold.assessment.rule_facts import joint_named, read_facts
    from longhold.base.errors import InputError
    from longhold.cli.choosing import packs_asked
    from longhold.intake.load import load

    structure = load(file)
    asked = None if packs is None else packs_asked(packs)
    told = read_facts(fact or [])
    try:
        chosen = joint_named(structure, joint)
        found = across_codes(structure, chosen, asked, told)
    except InputError as error:
        raise error.in_file(str(file)) from None
    if json:
        _print_json(_across_json(found))
    else:
        _print_across(found)


def allowed(
    file: _File,
    joint: _JointId,
    part: Annotated[str | None, typer.Option(metavar="ID", help="Only this part of the joint.")] = None,
    fact: _Facts = None,
    json: _Json = False,
) -> None:
    """Say what would pass at one joint: by the code, the chance to last there, and the class of stainless."""
    from longhold.assessment.allowed import allowed_at, allowed_together, setting_of
    from longhold.assessment.bar import asked_words
    from longhold.assessment.rule_facts import joint_named, part_named, read_facts
    from longhold.base.errors import InputError
    from longhold.intake.load import load

    structure = load(file)
    told = read_facts(fact or [])
    try:
        chosen = joint_named(structure, joint)
        only = None if part is None else part_named(chosen, part)
        setting = setting_of(structure, chosen)
        found = allowed_at(structure, chosen, only, told=told, setting=setting)
        together = None if only else allowed_together(structure, chosen, told=told, setting=setting)
    except InputError as error:
        raise error.in_file(str(file)) from None
    if json:
        _print_json([_allowed_json(one) for one in found])
        return
    from longhold.cli.show import console, print_caution

    to = console()
    to.print(f"{chosen.id} {chosen.name}", style="bold")
    for one in (*((together,) if together else ()), *found):
        _print_allowed(one, structure)
    bar = asked_words(structure.target_chance)
    to.print(f"To pass, the joint must reach {structure.design_life:g} years: {bar}.")
    to.print("Least protective first: bare steel, zinc by its expected thickness, copper alloys, stainless.")
    to.print("Each part is tried alone, the others as they are; all parts together come first.")
    to.print("Cost: steps among stainless grades, 1 the cheapest; other metals are not ranked by cost.")
    print_caution(to)


def _print_across(found: Across) -> None:
    from longhold.cli.show import console, plain, print_caution
    from longhold.documents.across_view import across_sentences

    to = console()
    joint = found.joint
    to.print(plain(f"{joint.id} {joint.name}"), style="bold")
    for part in joint.parts:
        to.print(plain(f"  {part.id}: {part.kind_words}, {part.measures.words}, {part.label}"))
    _rows("Codes", found, found.codes)
    for sentence in across_sentences(found):
        to.print(plain(sentence))
    if found.standards:
        to.print()
        _rows("Private and product standards, which no code verdict counts", found, found.standards)
    if found.guidance:
        to.print()
        _rows("Guidance and good practice, which no code verdict counts", found, found.guidance)
        for row in found.guidance:
            for note in row.notes:
                to.print(plain(f"Mind, by {row.title}: {note}"))
    to.print("A missing fact can be stated with --fact NAME=VALUE.")
    print_caution(to)


def _rows(title: str, found: Across, rows: Sequence[AcrossRow]) -> None:
    from longhold.cli.show import STYLES, console, show_rows
    from longhold.documents.across_view import across_cells, across_heads

    to = console()
    to.print(title, style="bold")
    speak = [row for row in rows if row.verdict not in ("not_governed", "gives")]
    if speak:
        styles = [STYLES[{"fail": "fails", "pass": "holds"}.get(row.verdict, "refer")] for row in speak]
        show_rows(to, across_heads(found), [across_cells(row) for row in speak], styles)
    silent = [across_cells(row)[0] for row in rows if row not in speak]
    if silent:
        to.print(f"No rule speaks in: {'; '.join(silent)}.")


def _print_allowed(one: AllowedPart, structure: Structure) -> None:
    from longhold.cli.show import STYLES, console, plain, show_rows
    from longhold.documents.allowed_view import ALLOWED_GROUPS, allowed_heads, allowed_rows, part_heading

    to, styles = console(), {"enough": "holds", "refused": "fails"}
    to.print()
    to.print(plain(part_heading(one)), style="bold")
    for standing, rows in allowed_rows(one, structure):
        word, meaning = ALLOWED_GROUPS[standing]
        if not rows:
            to.print(f"{word}: none of those tried")
            continue
        to.print(f"{word}: {len(rows)} of {len(one.options)} ({meaning})")
        if standing == "refused":
            to.print(plain(f"  {'; '.join(f'{row.name}: {row.code}; {row.chance}' for row in rows)}"))
            continue
        cells = [(row.name, row.code, row.chance, row.grade, row.cost, "\n".join(row.why)) for row in rows]
        show_rows(to, allowed_heads(structure), cells, [STYLES[styles.get(standing, "refer")]] * len(cells))


def _across_json(found: Across) -> dict[str, Any]:
    from dataclasses import asdict

    from longhold.documents.across_view import across_sentences

    return {
        "joint": found.joint.id,
        "tried": dict(found.tried),
        "codes": [asdict(row) for row in found.codes],
        "standards": [asdict(row) for row in found.standards],
        "guidance": [asdict(row) for row in found.guidance],
        "sentences": list(across_sentences(found)),
    }


def _allowed_json(one: AllowedPart) -> dict[str, Any]:
    from dataclasses import asdict

    return asdict(one)


def _print_json(data: Any) -> None:
    from json import dumps

    print(dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
