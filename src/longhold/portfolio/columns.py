"""Columns of a flat table of joints: which field of a structure each one is."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

__all__ = ["COLUMNS", "MOST_PARTS", "Column", "column_of"]

MOST_PARTS = 4


class Column(NamedTuple):
    """One column of the table.

    Attributes
    ----------
    of : what its values belong to: structure, site, kind or joint
    path : of the field in a structure of this joint alone
    number : float or int where the field takes a plain number, else str
    """

    of: str
    path: tuple[str | int, ...]
    number: type = str


def _all() -> dict[str, Column]:
    found = {
        "structure": Column("structure", ("name",)),
        "joint": Column("joint", ("joints", 0, "id")),
        "quantity": Column("joint", ("joints", 0, "quantity"), int),
        "build_date": Column("structure", ("build_date",)),
        "pack": Column("kind", ("code", "pack")),
        "edition": Column("kind", ("code", "edition")),
    }
    for name in ("design_life", "application", "strength_standard"):
        found[name] = Column("kind", (name,))
    for name in ("target_chance", "strength_fraction"):
        found[name] = Column("kind", (name,), float)
    found["site"] = Column("site", ("site", "name"))
    for name in ("jurisdiction", "elevation", "distance_to_salt_water", "shore"):
        found[name] = Column("site", ("site", name))
    for name in ("latitude", "longitude"):
        found[name] = Column("site", ("site", name), float)
    found["station"] = Column("site", ("site", "climate", "station"))
    for name in ("setting", "chloride", "sulphur_dioxide"):
        found[name] = Column("site", ("site", "air", name))
    for name in ("place", "role", "access", "rain_from", "demand", "load_duration"):
        found[name] = Column("kind", ("joints", 0, name))
    for side in ("main", "side"):
        for name in ("species", "preservative", "retention", "use_category", "coat", "size", "thickness"):
            found[f"{side}_{name}"] = Column("kind", ("timbers", side, name))
    for at in range(MOST_PARTS):
        for name in ("kind", "label", "size", "diameter", "length", "thickness", "rated_load", "topcoat"):
            found[f"part{at + 1}_{name}"] = Column("kind", ("joints", 0, "parts", at, name))
        found[f"part{at + 1}_count"] = Column("kind", ("joints", 0, "parts", at, "count"), int)
    return found


COLUMNS: Mapping[str, Column] = _all()
"""Every column by its head."""


def column_of(where: str) -> str:
    """The column that a place in a structure of one joint came from; the place itself where it is none.

    >>> column_of("joints[0].parts[1].label (joint A, part 2)"), column_of("site.climate.station")
    ('part2_label', 'station')
    """
    plain = re.sub(r"\[(\d+)\]", r".\1", where.split(" (")[0])
    path = tuple(int(step) if step.isdigit() else step for step in plain.split("."))
    for name, column in COLUMNS.items():
        if column.path == path:
            return name
    return where
