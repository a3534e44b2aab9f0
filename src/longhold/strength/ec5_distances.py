"""Least spacing and distances to end and edge by EN 1995-1-1:2004, and which rules a fastener follows.

A screw counts as a bolt by its nominal diameter, yet by its effective one, which the standard may as well
mean, many of those up to some 9 mm count as nails: between the two a screw is held to both, to be safe.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, radians, sin
from typing import Any, Literal

from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, number
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, effective_diameter_mm
from longhold.strength.ec5_data import axial_record, embedment_record

__all__ = ["Distance", "acts_as_bolt", "acts_as_nail", "distance_groups", "least_distance_mm"]

Distance = Literal["spacing", "end", "edge"]


def acts_as_bolt(connection: Ec5Connection) -> bool:
    """Whether the rules of bolts hold: bolts, dowels, nails above 8 mm, screws above 6 mm.

    >>> board = Ec5Member(45.0, 350.0)
    >>> acts_as_bolt(Ec5Connection("wood_screw", 8.0, board, board, length_mm=90.0))
    True
    """
    if connection.is_screw:
        return connection.diameter_mm > float(embedment_record("screw")["thick_over_mm"])
    return connection.runs_through or connection.diameter_mm > float(embedment_record("nail")["upto_mm"])


def acts_as_nail(connection: Ec5Connection) -> bool:
    """Whether the rules of nails hold; for a screw above 6 mm whose effective diameter is not, those of bolts
    hold as well.

    >>> board = Ec5Member(45.0, 350.0)
    >>> [acts_as_nail(Ec5Connection("wood_screw", d, board, board, length_mm=90.0)) for d in (6.0, 8.0, 10.0)]
    [True, True, False]
    """
    if connection.is_screw:
        return effective_diameter_mm(connection) <= float(embedment_record("screw")["thick_over_mm"])
    return not acts_as_bolt(connection)


def distance_groups(connection: Ec5Connection, *, pulled: bool = False) -> tuple[str, ...]:
    """Rows of the table of least distances that a connection follows, of which the largest counts.

    Parameters
    ----------
    pulled : whether a load along its axis is on it; counts for screws

    >>> board = Ec5Member(45.0, 350.0)
    >>> distance_groups(Ec5Connection("wood_screw", 8.0, board, board, length_mm=90.0), pulled=True)
    ('bolt', 'driven', 'pulled_screw')
    """
    groups = [_as_bolt(connection)] if acts_as_bolt(connection) else []
    groups += [_as_nail(connection)] if acts_as_nail(connection) else []
    return (*groups, *(["pulled_screw"] if pulled and connection.is_screw else []))


def _as_bolt(connection: Ec5Connection) -> str:
    return "dowel" if connection.kind == "dowel" else "bolt"


def _as_nail(connection: Ec5Connection) -> str:
    if connection.kind == "staple":
        return "staple"
    if connection.predrilled:
        return "drilled"
    timbers = [one for one in (connection.side, connection.main) if isinstance(one, Ec5Member)]
    dense = float(axial_record("row")["dense_over_kg_m3"])
    return "driven_dense" if any(one.density_kg_m3 > dense for one in timbers) else "driven"


def least_distance_mm(what: Distance, group: str, diameter_mm: float, angle_deg: float) -> float:
    """Least distance between the fasteners of a row, to the loaded end, or to the loaded edge [mm].

    Parameters
    ----------
    what : spacing, end or edge
    group : one of ``distance_groups``
    diameter_mm : d [mm]
    angle_deg : load to grain, 0 to 90 [degrees]

    Source: Tables 8.2 to 8.6, by row ec5-worksheet (verified) or en-1995-1-1 (memory).

    >>> [least_distance_mm("spacing", group, 4.0, 0.0) for group in ("driven", "drilled", "bolt")]
    [40.0, 20.0, 20.0]
    >>> least_distance_mm("end", "bolt", 10.0, 0.0), least_distance_mm("edge", "bolt", 10.0, 0.0)
    (80.0, 30.0)
    """
    rows = [row for row in _rows() if row["group"] == group and row["what"].startswith(what)]
    known = {row["what"]: row for row in rows if diameter_mm >= row["from_mm"]}
    angle = radians(angle_deg)
    distances = [
        max(
            (row["base_d"] + row["cosine_d"] * abs(cos(angle)) + row["sine_d"] * sin(angle)) * diameter_mm,
            row["least_mm"],
        )
        for row in known.values()
    ]
    return float(max(distances))


@once
def _rows() -> tuple[Row, ...]:
    numbers = ("from_mm", "base_d", "cosine_d", "sine_d", "least_mm")
    columns: dict[str, Callable[[str], Any]] = {
        "group": str,
        "what": str,
        **dict.fromkeys(numbers, number),
        "note": str,
    }
    return load_csv("strength/en1995_2004/least_distances.csv", columns, key=("group", "what", "from_mm"))
