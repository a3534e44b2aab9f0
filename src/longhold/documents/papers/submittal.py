"""The submittal: what is bought, which clause each part meets, and how its life was calculated."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from longhold.assessment.assumptions import structure_defaults
from longhold.assessment.prepare import prepare
from longhold.choose.as_bought import structure_as_bought
from longhold.documents.choice_words import chance_words
from longhold.documents.joint_ids import ids_words
from longhold.documents.papers.deal import Deal
from longhold.documents.papers.metal import layers_words, standard_words
from longhold.documents.papers.model import Cell, Column, Paper, Row, Table
from longhold.documents.papers.schedule import unsettled_lines
from longhold.documents.papers.steps import Numbered
from longhold.documents.part_rows import remarks
from longhold.documents.words import plural, upper_first, verdict_words
from longhold.model.field_words import field_words

__all__ = ["submittal_of"]

_NAMED = 6


def submittal_of(deal: Deal) -> Paper:
    """The submittal for a choice."""
    numbered = Numbered()
    tables = [
        _items(deal),
        _parts(deal, numbered),
        *_clauses(deal),
        *_untested(deal),
        *_watched(deal),
        *_assumed(deal),
    ]
    items = plural(len(deal.items), "item")
    return Paper(
        name="submittal",
        title="Submittal",
        answer=f"{items}: the metal on each face, the clause that each part meets and the calculation "
        "behind it.",
        warnings=(*unsettled_lines(deal), *_unnamed(deal)),
        tables=tuple(tables),
        notes=("A designation is taken at its word: compare it with the label of what is delivered.",),
        calculations=tuple(numbered.all),
    )


def _unnamed(deal: Deal) -> Iterator[str]:
    """That some items name no standard: nobody can then hold a delivery against one."""
    if items := [item for item, found in deal.items.items() if not found.protection.standard]:
        named = ids_words(items, most=_NAMED)
        yield (
            f"No standard is named for {named}: a grade alone is no promise of what is delivered. Have the "
            "supplier name the standard that stands beside each item, and ask for the mill's certificate."
        )


def _items(deal: Deal) -> Table:
    columns = (
        Column("Item", wide=1.0),
        Column("What", wide=2.2),
        Column("Designation", wide=1.5),
        Column("Standard", wide=2.3),
        Column("Metal on each face", wide=2.6),
        Column("How it is counted", wide=2.4),
        Column("Rests on", wide=1.6),
        Column("Used in", wide=1.5),
    )
    rows = []
    units = deal.market.structure.units
    for item, found in deal.items.items():
        protection = found.protection
        used = [name for one, _, offer, _ in deal.parts if offer.offer.item == item for name in one.group.ids]
        rows.append(
            (
                Cell(item),
                Cell(f"{found.offer.part.kind_words}, {found.offer.size}"),
                Cell(protection.designation),
                Cell(standard_words(protection, found.offer.kind, units)),
                Cell(layers_words(protection, units)),
                Cell(protection.basis),
                Cell(f"{protection.source} [{protection.weakest_mark.value}]"),
                Cell(ids_words(list(dict.fromkeys(used)), most=_NAMED)),
            )
        )
    return Table("Items", "What is bought", columns, tuple(rows))


def _parts(deal: Deal, numbered: Numbered) -> Table:
    life = f"{deal.market.structure.design_life:g}"
    columns = (
        Column("Joints", wide=1.3),
        Column("Part", wide=0.9),
        Column("Item", wide=1.1),
        Column("Code", wide=1.0),
        Column("Clauses", wide=3.2),
        Column("Rests on", wide=1.0),
        Column(f"Chance of {life} years", wide=1.9),
        Column("Calculation", wide=1.6),
    )
    rows = []
    for one, part, offer, finding in deal.parts:
        number = numbered.number(f"{one.group.joint.id}, {part.id}: {offer.offer.item}", finding)
        clauses = ", ".join(dict.fromkeys(rule.clause for rule in finding.code.deciding if rule.clause))
        rows.append(
            (
                Cell(ids_words(one.group.ids, most=_NAMED)),
                Cell(part.id),
                Cell(offer.offer.item),
                Cell(verdict_words(finding.code.verdict)),
                Cell(clauses or "none speaks of it"),
                Cell(finding.code.mark.value),
                Cell(chance_words(one.option.trial)),
                Cell(f"calculation {number}", calculation=number) if number else Cell("nothing to compute"),
            )
        )
    return Table("Parts and clauses", "Clause met by each part, and calculation", columns, tuple(rows))


def _clauses(deal: Deal) -> Iterator[Table]:
    """Each clause that is met once, with what it says."""
    told: dict[Row, None] = {}
    for *_, finding in deal.parts:
        for rule in finding.code.deciding:
            says = " ".join(_sentence(one) for one in (rule.says, *rule.interpretation))
            row = (Cell(rule.clause), Cell(rule.edition), Cell(deal.in_units(says)))
            told[(*row, Cell(f"{rule.source} [{rule.mark.value}]"))] = None
    if not told:
        return
    columns = (
        Column("Clause", wide=1.8),
        Column("Edition", wide=0.9),
        Column("What it says, in our words", wide=7.0),
        Column("Rests on", wide=1.9),
    )
    rows = tuple(sorted(told, key=lambda row: row[0].text))
    yield Table("Clauses", "What these clauses say", columns, rows)


def _untested(deal: Deal) -> Iterator[Table]:
    """Rules that apply and that no fact here tests."""
    told: dict[tuple[str, str, str], dict[str, None]] = {}
    for one, _, _, finding in deal.parts:
        for note in finding.code.notes:
            key = (note.clause, _sentence(note.says), note.mark.value)
            told.setdefault(key, {}).update(dict.fromkeys(one.group.ids))
    if not told:
        return
    columns = (
        Column("Clause", wide=1.2),
        Column("What it says", wide=6.0),
        Column("Rests on", wide=1.2),
        Column("Joints", wide=2.0),
    )
    rows = tuple(
        (Cell(clause), Cell(deal.in_units(says)), Cell(mark), Cell(_joints_words(ids)))
        for (clause, says, mark), ids in told.items()
    )
    yield Table("Not tested", "What the code also asks, and nothing here tests", columns, rows)


def _watched(deal: Deal) -> Iterator[Table]:
    """Cautions and open questions of what is bought, each once with its joints."""
    told: dict[tuple[str, str], dict[str, None]] = {}
    for bought, finding in deal.groups:
        for one in remarks(finding):
            told.setdefault((one.part, one.text), {}).update(dict.fromkeys(bought.group.ids))
    if not told:
        return
    columns = (Column("Part", wide=1.0), Column("What to know of it", wide=7.0), Column("Joints", wide=2.0))
    rows = tuple(
        (Cell(part), Cell(deal.in_units(text)), Cell(_joints_words(ids)))
        for (part, text), ids in told.items()
    )
    yield Table("To be watched", "To be watched", columns, rows)


def _assumed(deal: Deal) -> Iterator[Table]:
    """Values that nobody gave, each once with the joints that it was taken for."""
    told: dict[tuple[str, str, str], dict[str, None]] = {}
    bought = prepare(structure_as_bought(deal.market, deal.choice))
    for one in (*structure_defaults(deal.market.structure), *bought.assumptions):
        told.setdefault((field_words(one.where), one.value, one.because), {})["all"] = None
    for group, finding in deal.groups:
        for one in finding.assumptions:
            key = (field_words(one.where), one.value, one.because)
            told.setdefault(key, {}).update(dict.fromkeys(group.group.ids))
    if not told:
        return
    columns = (
        Column("What", wide=2.0),
        Column("Taken as", wide=1.4),
        Column("Because", wide=4.6),
        Column("Joints", wide=2.0),
    )
    rows = tuple(
        (
            Cell(where),
            Cell(deal.in_units(value)),
            Cell(deal.in_units(_sentence(because))),
            Cell(_joints_words(ids)),
        )
        for (where, value, because), ids in told.items()
    )
    yield Table("Assumed", "Assumed, because nobody gave it", columns, rows)


def _joints_words(ids: Iterable[str]) -> str:
    return ids_words(list(ids), most=_NAMED)


def _sentence(text: str) -> str:
    first = upper_first(text)
    return first if first.endswith((".", "?", "!")) else f"{first}."
