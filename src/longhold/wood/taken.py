"""Values that are taken where nobody states or knows better (``tables/wood/taken.toml``)."""

from __future__ import annotations

from typing import Any

from longhold.base.recent import once
from longhold.base.tables import load_toml

__all__ = ["gravity_not_known", "most_humid_pct", "most_wet_hours", "plate_mm", "threshold_pct"]


def threshold_pct() -> float:
    """Moisture above which metal in wood is taken to corrode, where hours are counted [%].

    >>> threshold_pct()
    18.0
    """
    return float(_taken()["threshold"]["moisture_pct"])


def plate_mm() -> float:
    """Depth from the face over which a plate on the wood takes the mean loss [mm]."""
    return float(_taken()["plate"]["depth_mm"])


def gravity_not_known() -> float:
    """Specific gravity where no density of a species is held [-]."""
    return float(_taken()["gravity"]["not_known"])


def most_humid_pct() -> float:
    """Mean humidity of a month that no draw passes [%]."""
    return float(_taken()["weather"]["humid_pct"])


def most_wet_hours() -> float:
    """Hours of rain in a month that no draw passes [h]."""
    return float(_taken()["weather"]["most_wet_hours"])


@once
def _taken() -> Any:
    return load_toml("wood/taken.toml")
