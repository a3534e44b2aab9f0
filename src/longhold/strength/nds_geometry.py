"""Geometry factor of dowels near ends, edges and each other (NDS-2018 12.5.1)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, load_toml, number

__all__ = ["geometry_factor", "is_thin"]


_LIMITS = "strength/nds_2018/limits.toml"


def is_thin(diameter_in: float) -> bool:
    """Whether a dowel [in] is so thin that wood bears it alike at every angle and no distances are asked.

    >>> is_thin(0.162), is_thin(0.25)
    (True, False)
    """
    return diameter_in < float(load_toml(_LIMITS)["thin"]["below_in"])


def geometry_factor(
    *,
    diameter_in: float,
    angle_deg: float,
    end_distance_in: float | None = None,
    spacing_in: float | None = None,
    edge_distance_in: float | None = None,
) -> float:
    """Geometry factor C_Delta [-]: the least of actual over full-value distance, at most 1.

    A distance that is None is taken as enough for the full value. Fasteners thinner than 1/4 in need none.

    Parameters
    ----------
    diameter_in : D [in]
    angle_deg : greatest angle of load to grain of the wood members [degrees]; from 45 as across the grain
    end_distance_in, spacing_in, edge_distance_in : actual distances [in]

    Raises
    ------
    InputError : for a distance below the least that is allowed

    Source: nds-2018 (memory).

    >>> geometry_factor(diameter_in=0.5, angle_deg=0.0, end_distance_in=1.75)
    0.5
    """
    if is_thin(diameter_in):
        return 1.0
    load = "across" if angle_deg >= load_toml(_LIMITS)["across"]["from_deg"] else "along"
    given = {"end": end_distance_in, "spacing": spacing_in, "edge": edge_distance_in}
    shares, problems = [1.0], []
    for row in _rows():
        actual = given[row["what"]]
        if row["load"] != load or actual is None:
            continue
        least = row["least_d"] * diameter_in
        if actual < least - 1e-9:
            problems.append(
                Problem(
                    "layout."
                    + {"end": "end_distance", "spacing": "row_spacing", "edge": "edge_distance"}[row["what"]],
                    f"{actual:.3g} in",
                    f"must be at least {row['least_d']:g} diameters, {least:.3g} in.",
                )
            )
        shares.append(actual / (row["full_d"] * diameter_in))
    if problems:
        raise InputError(*problems)
    return min(shares)


@once
def _rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {
        "what": str,
        "load": str,
        "full_d": number,
        "least_d": number,
        "note": str,
    }
    return load_csv("strength/nds_2018/geometry.csv", columns, key=("what", "load"))
