"""The summary in a life file: what stands, what was forecast, what was read and delivered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from longhold.base.marks import weakest
from longhold.documents.figures import calendar
from longhold.documents.lives import decided_up_to, deciding, deciding_chance, deciding_end
from longhold.documents.lot_record import record_head
from longhold.documents.papers.model import Cell, Column, Paper, Record, Table
from longhold.documents.papers.money import count
from longhold.documents.words import CAUTION, outcome_words, plural, upper_first

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment
    from longhold.documents.life_file import HandedIn, LifeFile

__all__ = ["life_summary"]


def life_summary(life: LifeFile) -> Record:
    """The summary as a paper."""
    structure = life.structure
    built = structure.build_date
    facts = (
        ("Site", structure.site.name),
        ("Code", f"{structure.code.pack} {structure.code.edition}"),
        ("Built", "not told" if built is None else built.isoformat()),
        ("Design life", f"{structure.design_life:g} years"),
        ("Written", life.as_of.isoformat()),
    )
    mark = weakest([one.mark for one in life.answer.findings])
    paper = Paper(
        name="life",
        title="Life file",
        answer=_answer(life),
        warnings=tuple(_warnings(life)),
        tables=tuple(_tables(life)),
    )
    notes = (structure.note,) if structure.note else ()
    head = record_head(structure.name, facts, mark.as_weakest, notes, life.as_of)
    return Record(replace(head, caution=CAUTION), paper)


def _answer(life: LifeFile) -> str:
    short = life.answer.count("fails")
    read = plural(len(life.readings), "reading")
    stands = (
        f"{short} of {plural(len(life.answer.findings), 'joint')} fall short"
        if short
        else "No joint falls short"
    )
    return f"{stands} by the forecast with {read}."


def _warnings(life: LifeFile) -> Iterator[str]:
    if life.missing:
        yield f"Named by a reading and not handed in: {'; '.join(life.missing)}."


def _tables(life: LifeFile) -> Iterator[Table]:
    yield _joints(life.answer)
    if life.readings:
        yield _readings(life)
    files = (
        *(("readings", one) for one in life.tables),
        *(("delivery", one) for one in life.deliveries),
        *(("decision", one) for one in life.decisions),
        *(("photograph", one.file) for one in life.photographs),
    )
    if files:
        yield _files(files)


def _joints(answer: Assessment) -> Table:
    structure = answer.structure
    rows = []
    for one in answer.findings:
        when = calendar(deciding(one)[0], structure.build_date, decided_up_to(one))
        labels = "; ".join(f"{part.id}: {part.label}" for part in one.joint.parts)
        end = deciding_end(one)
        rows.append(
            (
                Cell(one.joint.id),
                Cell(one.joint.name),
                count(one.joint.quantity),
                Cell(labels),
                Cell(outcome_words(one.outcome)),
                Cell(f"{upper_first(end)}{f' ({when})' if when else ''}"),
                Cell(deciding_chance(one)),
            )
        )
    columns = (
        Column("Joint", wide=0.6),
        Column("Name", wide=1.6),
        Column("How many", "count", 0.6),
        Column("As built", wide=2.2),
        Column("Stands", wide=0.8),
        Column("Forecast", wide=2.0),
        Column(f"Chance of {structure.design_life:g} years", wide=0.8),
    )
    return Table("Joints", "Joints as built, and the forecast", columns, tuple(rows))


def _readings(life: LifeFile) -> Table:
    columns = (
        Column("Date", wide=0.8),
        Column("Where", wide=1.6),
        Column("Measured", wide=1.0),
        Column("Reading", wide=1.0),
        Column("Instrument", wide=1.0),
        Column("Photograph, note", wide=1.8),
    )
    ordered = sorted(life.readings, key=lambda one: (one.date, one.joint, one.part, one.face))
    rows = tuple(
        (
            Cell(one.date.isoformat()),
            Cell(
                " ".join(
                    word for word in (one.joint, one.piece, one.part, one.face.replace("_", " ")) if word
                )
            ),
            Cell(one.measured.replace("_", " ")),
            Cell(one.words),
            Cell(one.instrument),
            Cell(", ".join(word for word in (one.photograph, one.note) if word)),
        )
        for one in ordered
    )
    return Table("Readings", "Readings by date", columns, rows)


def _files(files: tuple[tuple[str, HandedIn], ...]) -> Table:
    columns = (Column("What", wide=0.8), Column("Handed in as", wide=2.0), Column("Bytes", "count", 0.8))
    rows = tuple((Cell(what), Cell(one.name), count(len(one.content))) for what, one in files)
    return Table("Files", "Files in this archive as they were handed in", columns, rows)
