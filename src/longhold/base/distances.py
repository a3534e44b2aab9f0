"""Distances in both systems, for texts that are made before anybody says which is wanted."""

from __future__ import annotations

__all__ = ["distance_words"]

_M_PER_FT, _FT_PER_MILE, _NEAR_M = 0.3048, 5280.0, 3000.0


def distance_words(distance_m: float) -> str:
    """A distance as people of either system read it.

    >>> distance_words(45.72), distance_words(1273.0), distance_words(12_000.0), distance_words(3e6)
    ('45.7 m (150 ft)', '1,273 m (4,177 ft)', '12 km (7.46 miles)', '3,000 km (1,864 miles)')
    """
    feet, km = distance_m / _M_PER_FT, distance_m / 1000.0
    if distance_m < _NEAR_M:
        meters = f"{distance_m:.3g}" if distance_m < 1000.0 else f"{distance_m:,.0f}"
        return f"{meters} m ({feet:.3g} ft)" if feet < 1000.0 else f"{meters} m ({feet:,.0f} ft)"
    miles = feet / _FT_PER_MILE
    return f"{km:.3g} km ({miles:.3g} miles)" if km < 1000.0 else f"{km:,.0f} km ({miles:,.0f} miles)"
