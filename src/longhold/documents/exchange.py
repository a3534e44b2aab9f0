"""An assessment, the air of a site or the wood of a joint, as JSON for other programs: stable and finite."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from math import isfinite
from typing import TYPE_CHECKING, Any

from longhold.base.content import table_hashes
from longhold.base.quantities import System
from longhold.documents.air_view import answer
from longhold.documents.alike import same_answer
from longhold.documents.figures import BEYOND_YEARS, years
from longhold.documents.lives import strength_horizon
from longhold.documents.moved_view import input_rows, joint_views, moved_lede
from longhold.documents.table import terminal_rows
from longhold.documents.words import code_words
from longhold.forecast.summary import Band

if TYPE_CHECKING:
    from longhold.assessment.air_line import AirFinding
    from longhold.assessment.findings import Assessment, JointFinding
    from longhold.assessment.moved import JointMove, Moved
    from longhold.assessment.wood_findings import WoodFinding
    from longhold.model.structure import Structure

__all__ = [
    "SCHEMA_VERSION",
    "air_json",
    "assessment_json",
    "described",
    "moved_json",
    "to_json",
    "to_plain",
    "wood_json",
]

_LEFT_OUT = {"ShoreFinding": ("map",), "JointFinding": ("wood", "advice"), "CoupleLoss": ("curves",)}
SCHEMA_VERSION = "1"
"""Changes when a field is renamed, dropped or changes its meaning, not when one is added."""


def assessment_json(assessment: Assessment) -> dict[str, Any]:
    """The whole answer as plain objects.

    Every field keeps the name that it has in the result, its unit included. An age that is never
    reached, or lies past what is computed, is null, and ``beyond`` beside it names it; ``words`` tells
    the band of a life as the report does. Joints that share one answer write their parts once: the
    others name the first in ``parts_as``. The wood of each joint, depth by depth, is left to ``wood_json``,
    and the advice of good practice to ``across``. ``described`` has of the structure only what was told,
    nothing assumed, and ``tables`` the content hash of each folder of tables: ``longhold verify`` repeats the
    answer from them.

    Raises
    ------
    ValueError : where a number is not a number, which no answer may carry
    """
    plain = to_plain(replace(assessment, findings=()))
    plain["findings"] = _findings(assessment)
    for found, written in zip(assessment.findings, plain["findings"], strict=True):
        horizon = strength_horizon(found)
        for name, beyond in (("protection_years", BEYOND_YEARS), ("strength_years", horizon)):
            band = getattr(found, name)
            if band is not None:
                written[name]["words"] = years(band, beyond)
    rows = {row.id: row for row in terminal_rows(assessment)}
    for written in plain["findings"]:
        row = rows[written["joint"]["id"]]
        written["summary"] = {"years": row.years, "chance": row.chance, "code": row.code}
    counts = {word: assessment.count(word) for word in ("fails", "refer", "holds")}
    return {
        "schema_version": SCHEMA_VERSION,
        "kind": "longhold assessment",
        "counts": counts,
        "described": described(assessment.structure),
        "tables": dict(table_hashes()),
        **plain,
    }


def described(structure: Structure) -> dict[str, Any]:
    """What was told of a structure, without what was assumed for what was not."""
    told: dict[str, Any] = structure.model_dump(mode="json", exclude_unset=True)
    return told


def air_json(found: AirFinding, system: System) -> dict[str, Any]:
    """The air of one site as plain objects, with the answer as a sentence in units of a system.

    Every field keeps the name that it has in the result. The coast that is kept for drawing is left out.

    Raises
    ------
    ValueError : where a number is not a number, which no answer may carry
    """
    return {
        "schema_version": SCHEMA_VERSION,
        "kind": "longhold air",
        "answer": answer(found, system),
        **to_plain(found),
    }


def wood_json(found: WoodFinding, system: System) -> dict[str, Any]:
    """The wood of one joint as plain objects, with the answer as a sentence in units of a system.

    Every field keeps the name that it has in the result.

    Raises
    ------
    ValueError : where a number is not a number, which no answer may carry
    """
    from longhold.documents.wood_view import wood_answer

    return {
        "schema_version": SCHEMA_VERSION,
        "kind": "longhold wood",
        "answer": wood_answer(found, system),
        **to_plain(found),
    }


def moved_json(found: Moved) -> dict[str, Any]:
    """What moved between two versions as plain objects, with the same told in words.

    Ages past what is known count as the last that is; a number that is not computed is null.
    """
    named = {view.id: view for view in joint_views(found)}
    inputs = zip(found.changes, input_rows(found), strict=True)
    return {
        "schema_version": SCHEMA_VERSION,
        "kind": "longhold moved",
        "answer": moved_lede(found),
        "renames": to_plain(found.versions.renames),
        "doubts": to_plain(found.versions.doubts),
        "changes": [
            to_plain(row)
            | {"where": change.where, "cause": change.cause, "moves": list(found.moved_by(change))}
            for change, row in inputs
        ],
        "joints": [
            to_plain(_move(move)) | {"words": to_plain(named.get(move.after.joint.id))}
            for move in found.joints
        ],
        "untouched": list(found.untouched),
        **{name: [_brief(one) for one in getattr(found, name)] for name in ("added", "removed")},
        "version": found.version,
        "seed": found.seed,
        "draws": found.draws,
    }


def _move(move: JointMove) -> dict[str, Any]:
    told = {
        name: getattr(move, name)
        for name in ("measures", "turns", "shares", "left_over", "way", "up_to_years")
    }
    ends = {"before": _brief(move.before), "after": _brief(move.after)}
    return {"id": move.after.joint.id, "moved": move.moved, **ends, **told}


def _brief(finding: JointFinding) -> dict[str, Any]:
    names = (
        *("outcome", "answer", "decides", "weakest_part", "protection_years", "strength_years"),
        *("protection_chance", "strength_chance", "strength_ratio"),
    )
    told = {name: to_plain(getattr(finding, name)) for name in names}
    return {"id": finding.joint.id, "name": finding.joint.name, **told, "code": code_words(finding)}


def _findings(assessment: Assessment) -> list[Any]:
    first: dict[int, str] = {}
    found = []
    for finding in assessment.findings:
        shared = first.setdefault(same_answer(finding), finding.joint.id)
        if shared == finding.joint.id:
            found.append(to_plain(finding))
        else:
            found.append(to_plain(replace(finding, parts=())) | {"parts_as": shared})
    return found


def to_json(assessment: Assessment) -> str:
    """The same as text, keys sorted, ending in a line break."""
    return (
        json.dumps(assessment_json(assessment), indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False)
        + "\n"
    )


def to_plain(value: Any) -> Any:
    """A result as lists, dictionaries, texts and numbers; an infinite number is the word beyond.

    Raises
    ------
    ValueError : for something that is not a number
    """
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Band):
        return _band(value)
    if is_dataclass(value) and not isinstance(value, type):
        left_out = _LEFT_OUT.get(type(value).__name__, ())
        return {
            one.name: to_plain(getattr(value, one.name)) for one in fields(value) if one.name not in left_out
        }
    if hasattr(value, "model_dump"):
        return to_plain(value.model_dump(mode="json"))
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        items = sorted(value, key=str) if isinstance(value, (set, frozenset)) else value
        return [to_plain(item) for item in items]
    return _single(value)


def _single(value: Any) -> Any:
    if value is None or isinstance(value, (str, bool, int)):
        return value
    if isinstance(value, (datetime.date, datetime.datetime)):
        return value.isoformat()
    if hasattr(value, "tolist"):
        return to_plain(value.tolist())
    number = float(value)
    if number != number:
        raise ValueError("an answer carries something that is not a number")
    return number if isfinite(number) else "beyond"


def _band(band: Band) -> dict[str, Any]:
    values = {"p10": band.p10, "p50": band.p50, "p90": band.p90}
    if any(value != value for value in values.values()):
        raise ValueError("a band carries something that is not a number")
    return {
        **{name: value if isfinite(value) else None for name, value in values.items()},
        "beyond": [name for name, value in values.items() if not isfinite(value)],
    }
