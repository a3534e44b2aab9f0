"""Readings that may be taken of a joint that stands."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence

from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.forecast.faces import Face, faces_of
from longhold.model.parts import Part
from longhold.model.reading import Measured, Reading
from longhold.model.structure import Joint

__all__ = ["readings_of"]

_SPOTS: Mapping[str, int] = {"zinc": 5, "thickness_left": 3, "diameter_left": 1, "rust": 1}
_REMOVABLE = ("wood_screw", "lag_screw", "bolt", "nail")
_TOO_SMALL_FOR_A_GAUGE = ("nail", "staple", "wood_screw")


def readings_of(joint: Joint) -> Iterator[tuple[Part, Face | None, Row, Reading]]:
    """Every reading that may be taken of a joint: part, face, row of the method, and the reading to come."""
    for part in joint.parts:
        for row in _methods():
            for face in _places(part, row["measured"]):
                yield part, face, row, _as_if(joint, part, face, row["measured"])


def _places(part: Part, measured: Measured) -> Sequence[Face | None]:
    """Where something may be read on a part."""
    faces = faces_of(part.kind)
    if measured == "rust" or (measured == "zinc" and part.kind not in _TOO_SMALL_FOR_A_GAUGE):
        return [face for face in faces if face.touches == "air"]
    if measured == "thickness_left":
        return [None] if part.measures.thickness_mm and not part.is_fastener else []
    if measured == "diameter_left":
        return [faces[-1]] if part.kind in _REMOVABLE and part.measures.diameter_mm else []
    return []


def _as_if(joint: Joint, part: Part, face: Face | None, measured: Measured) -> Reading:
    """A reading without its value, to draw values for."""
    graded = measured == "rust"
    size = part.measures.diameter_mm if measured == "diameter_left" else part.measures.thickness_mm
    value = {"zinc": 1.0, "diameter_left": size, "thickness_left": size}.get(measured)
    return Reading(
        joint=joint.id,
        part=part.id,
        face="" if face is None else face.face,
        date=datetime.date.min,
        measured=measured,
        words="planned",
        spots=_SPOTS[measured],
        value=value,
        low_pct=0.0 if graded else None,
        high_pct=100.0 if graded else None,
    )


@once
def _methods() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"method": str, "measured": str, "visit_share": number, "words": str}
    return load_csv("inspect/methods.csv", columns, key=("method",))
