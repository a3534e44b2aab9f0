"""Inputs that changed, in the words and units of the reader."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from longhold.base.quantities import System
from longhold.documents.figures import figure, quantity, share
from longhold.documents.words import upper_first
from longhold.model.parts import Part
from longhold.model.surroundings import places
from longhold.model.timber import Timber

if TYPE_CHECKING:
    from longhold.assessment.changes import Change, Rename

__all__ = ["cause_words", "input_words", "rename_words", "value_words"]

_SHORT_NAME = re.compile(r"[a-z0-9]+(_[a-z0-9]+)+")
_LETTERS = 90
_SHARES = ("target_chance", "strength_fraction")
_CAUSES = {
    "site": "the site",
    "code": "the code",
    "asked": "what is asked",
    "joint": "how the joint is made and placed",
}


def input_words(change: Change) -> str:
    """Which input it is: "J02, hanger: label"."""
    steps = change.where.split(".")
    if steps[0] == "joints":
        part = f", {steps[3]}" if steps[2] == "parts" else ""
        return _named(f"{steps[1]}{part}", steps[4:] if part else steps[2:])
    if steps[0] == "timbers":
        return _named(f"timber {steps[1]}", steps[2:])
    return _named(steps[0], steps[1:]) if len(steps) > 1 else _named("", steps)


def _named(owner: str, fields: Sequence[str]) -> str:
    named = ", ".join(_CODE_FIELDS.get(name, name.replace("_", " ")) for name in fields)
    return ": ".join(one for one in (owner, named) if one)


_CODE_FIELDS = {"pack": "rule pack", "rules": "text of the rules"}


def value_words(change: Change, system: System) -> tuple[str, str]:
    """Its value in each version, with what was only assumed said so."""
    return (
        _value(change.where, change.was, change.dimension, system, change.was_assumed),
        _value(change.where, change.now, change.dimension, system, change.now_assumed),
    )


def _value(where: str, value: Any, dimension: str, system: System, assumed: bool) -> str:
    told = _plain_value(where.rpartition(".")[2], value, dimension, system)
    return f"{told}, assumed" if assumed else told


def _plain_value(field: str, value: Any, dimension: str, system: System) -> str:
    if value is None:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return _listed(field, value, dimension, system)
    if dimension:
        return quantity(value, dimension, system)
    if field in _SHARES:
        return share(value)
    if isinstance(value, Part):
        sized = value.measures.words if value.size is None else value.size
        return f"{value.kind_words} {sized}, {value.label}"
    if isinstance(value, Timber):
        thick = quantity(value.thickness_mm, "length_mm", system)
        return f"{value.species}, {value.preservative}, {thick} thick"
    if isinstance(value, float):
        return figure(value, 4)
    return _text(field, str(value))


def _listed(field: str, values: Sequence[Any], dimension: str, system: System) -> str:
    if not values:
        return "none"
    if len(values) == 12 and isinstance(values[0], float):
        least, most = (_plain_value(field, one, dimension, system) for one in (min(values), max(values)))
        return f"twelve months, {least} to {most}"
    return "; ".join(_plain_value(field, one, dimension, system) for one in values)


def _text(field: str, text: str) -> str:
    if field == "place" and text in places():
        return places()[text].words
    if field == "units":
        return text.upper()
    if _SHORT_NAME.fullmatch(text) and field != "pack":
        return text.replace("_", " ")
    return text if len(text) <= _LETTERS else f"{text[:_LETTERS]}…"


def cause_words(causes: Sequence[str], joint: str, changes: Sequence[Change]) -> str:
    """What was changed together, and in brackets the inputs: "hanger (label)", "the site (shore)"."""
    return " and ".join(_cause(one, joint, changes) for one in causes)


def _cause(cause: str, joint: str, changes: Sequence[Change]) -> str:
    kind, _, name = cause.partition(":")
    owner = _CAUSES.get(cause) or (f"the timber {name}" if kind == "timber" else f"the {name}")
    fields = [
        one.where.rpartition(".")[2].replace("_", " ")
        for one in changes
        if one.cause == cause and one.joint in ("", joint) and not _is_whole(one)
    ]
    if not fields:
        whole = [one for one in changes if one.cause == cause and one.joint in ("", joint)]
        return f"{owner} ({'added' if whole and whole[0].was is None else 'taken away'})"
    return f"{owner} ({', '.join(dict.fromkeys(fields))})"


def _is_whole(change: Change) -> bool:
    return isinstance(change.was or change.now, (Part, Timber))


def rename_words(rename: Rename) -> str:
    """What is taken to be the same, and why."""
    where = f" of {rename.joint}" if rename.joint else ""
    what = f"{rename.kind} {rename.was}{where}"
    return f"{upper_first(what)} is taken to be {rename.now} now: {rename.because}."
