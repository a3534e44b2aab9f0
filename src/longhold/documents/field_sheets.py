"""Sheets to take along: a page for each stop of a visit, with boxes to write into, as PDF."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from longhold.documents.drawing_file import drawing_svg
from longhold.documents.joint_ids import ids_words
from longhold.documents.papers.letters import Press, breakable
from longhold.documents.papers.pdf import typeset
from longhold.documents.visit_view import PlannedRow, StopRow, stop_rows
from longhold.documents.words import CAUTION, upper_first
from longhold.model.reading import HEADS

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment
    from longhold.inspect.plan import InspectionPlan

__all__ = ["field_sheets_pdf", "sheet_lines", "svg_for_print"]

_WIDE = (1.0, 1.1, 1.1, 1.3, 1.5, 1.5, 2.1, 1.4, 0.8, 1.3, 1.5, 1.6, 2.2)
_SPARE_LINES = 2
_MOST_IDS = 12
_LONG_LETTERS = 70
_PRINTED = "Atkinson Hyperlegible Next"


def field_sheets_pdf(plan: InspectionPlan, assessment: Assessment, as_of: datetime.date) -> bytes:
    """One page for each stop, in the order of the way.

    Parameters
    ----------
    assessment : of the same structure, for the drawings
    as_of : date that the file carries

    Raises
    ------
    NotSetError : where the typesetter warns or fails
    """
    press = Press()

    def text(words: str) -> str:
        return breakable(press.text(words))

    findings = {one.joint.id: one for one in assessment.findings}
    stops = stop_rows(plan)
    sheets = [
        _sheet(stop, svg_for_print(drawing_svg(assessment, findings[stop.ids[0]])), text) for stop in stops
    ]
    name = plan.structure.name
    data: Mapping[str, Any] = {
        "title": press.text(f"Field sheets: {name}"),
        "date": [as_of.year, as_of.month, as_of.day],
        "us_paper": plan.structure.units == "us",
        "structure": text(name),
        "visit": text(f"Visit planned for {plan.asked.on.isoformat()}"),
        "note": text(plan.structure.note),
        "caution": CAUTION,
        "foot": press.text(f"{as_of.isoformat()}, Longhold {plan.version}, seed {plan.seed}"),
        "heads": [{"head": head, "wide": wide} for head, wide in zip(HEADS, _WIDE, strict=True)],
        "sheets": sheets,
        "told": press.told(),
    }
    return typeset("field_sheets.typ", data, as_of)


def svg_for_print(svg: str) -> str:
    """A drawing whose colors and letters a typesetter knows: no variables, no fonts inside."""
    values = dict(re.findall(r"(--[\w-]+): ([^;]+);", svg))
    without = re.sub(r"@font-face \{[^}]*\}\n?", "", svg)
    colored = re.sub(r"var\((--[\w-]+)\)", lambda found: values.get(found[1], "black"), without)
    return colored.replace('"Longhold Text", system-ui, sans-serif', f'"{_PRINTED}"')


def _sheet(stop: StopRow, svg: str, text: Any) -> dict[str, Any]:
    named = ids_words(stop.ids, most=_MOST_IDS)
    return {
        "number": stop.number,
        "ids": text(named),
        "name": text(stop.name),
        "long": len(named) + len(stop.name) > _LONG_LETTERS,
        "facts": text(_facts(stop)),
        "urgent": text(f"{stop.answer}.") if stop.kind == "make_safe" else "",
        "svg": svg,
        "readings": [_reading(row, text) for row in stop.readings],
        "checks": [{"words": text(one.words), "tool": text(one.tool)} for one in stop.checks],
        "unread": text(stop.unread),
        "lines": [[text(line[head]) for head in HEADS] for line in sheet_lines(stop)],
    }


def _facts(stop: StopRow) -> str:
    many = "" if stop.quantity == 1 else f"{stop.quantity:,} such joints. "
    which = "Write under piece which of them you read. " if stop.quantity > len(stop.ids) else ""
    return f"{many}{upper_first(stop.place)}; {stop.access}. {which}"


def _reading(row: PlannedRow, text: Any) -> dict[str, Any]:
    where = ", ".join(one for one in (row.part, row.face.replace("_", " ")) if one)
    return {
        "where": text(f"{row.joint} {where}: {row.measured}"),
        "how": text(f"{upper_first(row.how)}."),
        "expected": text(row.expected),
        "spots": row.spots,
    }


def sheet_lines(stop: StopRow) -> list[dict[str, str]]:
    """Lines of a table of readings by its heads, with all in them that is known before; blank ones last."""
    start = {"joint": stop.ids[0]}
    lines = [
        {
            "joint": row.joint,
            "part": row.part,
            "face": row.face,
            "measured": row.measured,
            "spots": f"{row.spots}",
        }
        for row in stop.readings
    ]
    lines += [start | {"measured": one} for one in dict.fromkeys(one.measured for one in stop.checks)]
    lines += [{}] * _SPARE_LINES
    return [dict.fromkeys(HEADS, "") | line for line in lines]
