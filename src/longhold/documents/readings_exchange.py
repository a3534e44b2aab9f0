"""A forecast that readings corrected, as JSON for other programs: stable and finite."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from longhold.base.content import table_hashes
from longhold.documents.exchange import SCHEMA_VERSION, described, to_plain
from longhold.documents.readings_view import cause_rows, joint_rows, reading_rows, readings_lede
from longhold.documents.thresholds_view import turns_on

if TYPE_CHECKING:
    from longhold.inspect.learn import Updated

__all__ = ["readings_json"]


def readings_json(found: Updated, repeated: Sequence[str]) -> dict[str, Any]:
    """What readings say as plain objects, with the same told in words."""
    lesson = found.lesson
    words = reading_rows(found)
    moves = zip(lesson.moves, cause_rows(found), strict=True)
    pairs = zip(found.before.findings, found.after.findings, joint_rows(found), strict=True)
    return {
        "schema_version": SCHEMA_VERSION,
        "kind": "longhold readings",
        "answer": readings_lede(found),
        "repeated": list(repeated),
        "mark": turns_on("readings").mark.value,
        "readings": [
            to_plain(one)
            | {"reading": one.reading.model_dump(mode="json"), "words": to_plain(words[one.index])}
            for one in lesson.readings
        ],
        "kept": [
            {"index": one.index, "reading": one.reading.model_dump(mode="json"), "because": one.because}
            for one in lesson.kept
        ],
        "moves": [to_plain(move) | {"words": list(told)} for move, told in moves],
        "joints": [
            {
                "id": after.joint.id,
                **{
                    f"{name}_{when}": to_plain(getattr(one, name))
                    for when, one in (("before", before), ("after", after))
                    for name in _TOLD
                },
                "words": to_plain(told),
            }
            for before, after, told in pairs
        ],
        "log_evidence": lesson.log_evidence,
        "described": described(found.after.structure),
        "inputs_sha256": found.after.inputs_sha256,
        "packs": list(found.after.packs),
        "tables": dict(table_hashes()),
        "air_law": found.after.air_law,
        "version": found.after.version,
        "seed": found.after.seed,
        "draws": found.after.draws,
    }


_TOLD = (
    "outcome",
    "protection_years",
    "strength_years",
    "strength_ratio",
    "protection_chance",
    "strength_chance",
)
