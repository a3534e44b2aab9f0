"""The record of a check of a lot: what was measured, by which rule, what was decided, at what risk."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

import numpy as np

from longhold.base.version import VERSION
from longhold.documents.operating_chart import bad_chart, mean_chart
from longhold.documents.papers.model import Cell, Column, Head, Paper, Picture, Record, Table
from longhold.documents.sampling_words import (
    DECISIONS,
    RECORD_CAUTION,
    bad_words,
    criterion_rows,
    gauge_words,
    limit_words,
    percent_words,
    plan_lines,
    risk_lines,
)
from longhold.inspect.acceptance import Judgement
from longhold.inspect.check import LotCheck

__all__ = ["lot_record", "record_head"]


def lot_record(found: LotCheck, *, by: str, file: str, as_of: datetime.date) -> Record:
    """The record.

    Parameters
    ----------
    by : who checked, as typed; blank where nobody said
    file : of the readings; blank without
    as_of : date that the record carries
    """
    judged = found.judgement
    name = f"{found.plan.standard.name}: lot of {found.plan.lot:,}, {found.limits.words}"
    facts = [
        ("Checked by", by or "not told"),
        ("Date", as_of.isoformat()),
        ("Readings", file or "none yet: this is the plan"),
        ("Asked", limit_words(found.limits)),
        ("Gauge", gauge_words(found.gauge)),
    ]
    paper = Paper(
        name="check",
        title="Record of a check of zinc thickness" if judged else "Plan of a check of zinc thickness",
        answer=_answer(found),
        warnings=judged.warnings if judged else (),
        tables=tuple(_tables(found)),
        notes=tuple(_notes(found)),
        pictures=tuple(_pictures(found)),
    )
    return Record(record_head(name, tuple(facts), found.mark.as_weakest, (), as_of), paper)


def record_head(
    name: str, facts: tuple[tuple[str, str], ...], rests_on: str, notes: tuple[str, ...], as_of: datetime.date
) -> Head:
    """The head of a record of a check."""
    return Head(
        structure=name,
        site="",
        code="",
        facts=(*facts, ("Made by", f"Longhold {VERSION}")),
        rests_on=rests_on,
        notes=notes,
        caution=RECORD_CAUTION,
        foot=f"{as_of.isoformat()}, Longhold {VERSION}",
        as_of=as_of,
        us_paper=False,
    )


def _answer(found: LotCheck) -> str:
    if found.judgement is None:
        many = found.plan.pieces
        return (
            "Refer: how many are measured is not held here." if many is None else f"Measure {many:,} pieces."
        )
    return f"{DECISIONS[found.judgement.decision]}. {found.judgement.why}"


def _tables(found: LotCheck) -> Iterator[Table]:
    yield _two_columns("Plan", "What is to be measured", plan_lines(found.plan))
    if found.judgement is not None:
        yield _criteria(found.judgement)
        yield _readings(found)
    if found.curve is not None:
        yield _curve(found)
    if found.bad is not None:
        yield _bad(found)


def _two_columns(name: str, title: str, lines: tuple[tuple[str, str], ...]) -> Table:
    rows = tuple((Cell(one), Cell(other)) for one, other in lines)
    return Table(name, title, (Column("What", wide=1.0), Column("How", wide=5.0)), rows)


def _criteria(judged: Judgement) -> Table:
    columns = (
        Column("What", wide=2.4),
        Column("Found, with the gauge's uncertainty, µm", wide=2.0),
        Column("Asked at least, µm", wide=1.2),
        Column("By the rule alone", wide=1.2),
        Column("With the uncertainty", wide=1.4),
    )
    note = (
        "With the uncertainty a value passes only where it still reaches what is asked after that is "
        "taken off, and fails only where it does not reach it after it is added."
    )
    rows = tuple(tuple(Cell(text) for text in row) for row in criterion_rows(judged))
    return Table("Held", "What was held against what is asked", columns, rows, note=note)


def _readings(found: LotCheck) -> Table:
    several = any(one.name for one in found.specimens)
    columns = (
        Column("Piece, specimen" if several else "Piece", wide=1.4),
        Column("Readings, µm", wide=5.0),
        Column("Mean, µm", wide=1.0),
        Column("Least, µm", wide=1.0),
    )
    rows = tuple(
        (
            Cell(f"{one.piece}, {one.name}" if one.name else one.piece),
            Cell("  ".join(f"{value:.4g}" for value in one.readings_um)),
            Cell(f"{one.mean_um:.1f}", one.mean_um),
            Cell(f"{min(one.readings_um):.4g}", min(one.readings_um)),
        )
        for one in found.specimens
    )
    return Table("Readings", "Readings", columns, rows)


def _curve(found: LotCheck) -> Table:
    columns = (
        Column("True mean, µm"),
        Column("Of what is asked", "count"),
        Column("Accepted", "count"),
        Column("Measured again", "count"),
        Column("Refused", "count"),
        Column("Rule met, gauge without error", "count", 1.4),
    )
    rows = []
    curve, limit = found.curve, found.limits.mean_um
    for share in (0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4, 1.5):
        if curve is None:
            break
        by_rule, accepted, kept = curve.at(share * limit)
        again, refused = max(kept - accepted, 0.0), 1.0 - kept
        shown = (percent_words(one) for one in (accepted, again, refused, by_rule))
        rows.append((Cell(f"{share * limit:.1f}"), Cell(f"{100 * share:.0f} %"), *map(Cell, shown)))
    return Table(
        "Risk by mean", "Risk: chance of each decision by the true mean of the lot", columns, tuple(rows)
    )


def _bad(found: LotCheck) -> Table:
    from longhold.inspect.operating_curve import chance_by_bad

    columns = (
        Column("Bad pieces in the lot"),
        Column("Share", "count"),
        Column("None seen", "count"),
    )
    lot, pieces = found.plan.lot, found.plan.pieces or 0
    bad = np.unique(np.ceil(np.array([0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5]) * lot).astype(int))
    rows = tuple(
        (Cell(f"{one:,}"), Cell(f"{100 * one / lot:.3g} %"), Cell(percent_words(float(chance))))
        for one, chance in zip(bad, chance_by_bad(lot, pieces, bad), strict=True)
    )
    title = "Risk: chance that bad pieces stay unseen"
    return Table("Risk by bad pieces", title, columns, rows)


def _pictures(found: LotCheck) -> Iterator[Picture]:
    if found.curve is not None:
        note = " ".join(risk_lines(found.curve, found.limits))
        yield Picture(
            "Operating characteristic by the true mean", mean_chart(found.curve, found.limits), note
        )
    if found.bad is not None:
        yield Picture(
            "Operating characteristic by the share of bad pieces", bad_chart(found.bad), bad_words(found.bad)
        )


def _notes(found: LotCheck) -> Iterator[str]:
    if found.curve is not None:
        yield (
            "Means of pieces are taken as normal, the gauge's error as an offset that all readings share: "
            "more readings do not make it smaller."
        )
    if found.plan.standard.rule == "grade_lower":
        yield "A single low reading, or one cluster, is by itself no cause to reject: the means decide."
