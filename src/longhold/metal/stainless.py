"""Where stainless is beyond what is computed: a passive film that salt may break is no loss law."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number

__all__ = ["stainless_refer"]

_UNKNOWN_FAMILY = "304 family"


def stainless_refer(family: str, chloride_mg_m2_d: float, washed: bool) -> str:
    """Why the life of a stainless part in outdoor air is not computed; empty where its film should hold.

    Parameters
    ----------
    family : of grades that resist alike, such as "316 family"; an unknown one counts as the 304 kind
    chloride_mg_m2_d : yearly mean chloride deposition [mg/(m2 d)]
    washed : whether rain rinses the part

    The bounds are our own (tables/metal/stainless_limits.csv), set at bounds of the chloride classes of ISO
    9223; no published law gives years for a passive film under salt.

    >>> stainless_refer("304 family", 169.0, washed=True)[:29]
    'stainless of the 304 kind sta'
    >>> stainless_refer("316 family", 169.0, washed=True)
    ''
    """
    row = _rows().get(family, _rows()[_UNKNOWN_FAMILY])
    limit = row["washed_chloride_mg_m2_d" if washed else "unwashed_chloride_mg_m2_d"]
    if chloride_mg_m2_d <= limit:
        return ""
    rinsed = "rain may rinse it" if washed else "rain does not rinse it"
    return (
        f"{row['words']}, which is not computed: here {chloride_mg_m2_d:.0f} mg/(m2 d) of chloride settles "
        f"and {rinsed}"
    )


@once
def _rows() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {
        "family": str,
        "washed_chloride_mg_m2_d": number,
        "unwashed_chloride_mg_m2_d": number,
        "words": str,
    }
    return {row["family"]: row for row in load_csv("metal/stainless_limits.csv", columns, key=("family",))}
