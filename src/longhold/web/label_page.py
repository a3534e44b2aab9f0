"""The page that reads a label."""

from __future__ import annotations

import re
from collections.abc import Sequence

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from longhold.base.marks import Mark
from longhold.base.recent import Recent
from longhold.base.sources import register
from longhold.documents.page import fragment
from longhold.labels import LabelError, explain
from longhold.labels.explain import NOT_UNDERSTOOD, Heading
from longhold.web.pages import show

__all__ = ["router"]

router = APIRouter(include_in_schema=False)
_MOST_LETTERS = 2000
_Answer = tuple[tuple[Heading, ...], tuple[str, ...], Markup]
"""Readings, words that were not understood, and how each amount comes about."""
_kept: Recent[_Answer] = Recent(256)  # it follows from the words alone
_EXAMPLES = ("HDG per ASTM A153", "hanger G185 with 10d nails A153 D", "A4-70", "ISO 4042 Fe/Zn12", "Z275")


@router.get("/label")
def label(request: Request, text: str | None = None) -> Response:
    """What the words on a label promise."""
    words = " ".join((text or "").split())
    headings: tuple[Heading, ...] = ()
    unread: tuple[str, ...] = ()
    calculations, refused = Markup(), ""
    if len(words) > _MOST_LETTERS:
        most = f"up to {_MOST_LETTERS:,} are read"
        refused = f"It has {len(words):,} letters; {most}. Leave out what is not about metal."
    elif words:
        try:
            headings, unread, calculations = _kept.get(words, lambda: _read(words))
        except LabelError as error:
            refused = str(error)
    elif text is not None:
        refused = f"Nothing was typed. Type the words on the box, such as {_EXAMPLES[0]}."
    return show(
        "label.html.j2",
        scope=request.scope,
        status=422 if refused else 200,
        text=text or "",
        headings=headings,
        refused=refused,
        unread=unread,
        calculations=calculations,
        examples=_EXAMPLES,
    )


def _read(words: str) -> _Answer:
    headings = explain(words).headings
    return headings, _unread(words, headings), _calculations(headings)


def _calculations(headings: Sequence[Heading]) -> Markup:
    """How each amount comes about, one section for each reading that has any; blank where none has."""
    told = [(one.title, one.calculation) for one in headings if one.calculation is not None]
    marks: dict[str, dict[Mark, None]] = {}
    for step in (step for _, section in told for step in section.steps()):
        marks.setdefault(step.source, {})[step.mark] = None
    known = register()
    used = [(known[name], list(found)) for name, found in marks.items() if name in known]
    return fragment("label_calculation.html.j2", [used], "us", told=told) if told else Markup()


def _unread(typed: str, headings: Sequence[Heading]) -> tuple[str, ...]:
    """The words that were not understood, as they were typed."""
    left = [said for one in headings if one.title.endswith(NOT_UNDERSTOOD) for _, said in one.lines]
    found = []
    for word in (part.strip() for said in left for part in said.split(",")):
        match = re.search(rf"(?<!\w){re.escape(word)}(?!\w)", typed, re.IGNORECASE)
        found.append(match[0] if match else word)
    return tuple(dict.fromkeys(found))
