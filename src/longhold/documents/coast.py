"""The site as a coastline with one line to the nearest salt water."""

from __future__ import annotations

from math import sin

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.figures import figure, quantity
from longhold.documents.svg import path, tag, text_lines, wrap
from longhold.model.site import Site

__all__ = ["coast_drawing", "far"]

_SHORES = {
    "surf": "surf at the shore",
    "sheltered": "sheltered shore",
    "not_told": "kind of shore not stated",
}
_FT_PER_MILE = 5280.0


def far(distance_m: float, system: System) -> str:
    """A distance over ground.

    >>> far(45.72, "us"), far(1.6e6, "us"), far(1.6e6, "si")
    ('150 ft', '994 miles', '1,600 km')
    """
    feet = distance_m / 0.3048
    if system == "us" and feet >= _FT_PER_MILE:
        return f"{figure(feet / _FT_PER_MILE, 3).removesuffix('.0')} miles"
    if system == "si" and distance_m >= 1000:
        return f"{figure(distance_m / 1000, 3).removesuffix('.00').removesuffix('.0')} km"
    return quantity(distance_m, "distance_m", system)


def coast_drawing(site: Site, chloride_words: str, system: System) -> Markup:
    """Land, sea and the way between them, not to scale.

    Parameters
    ----------
    site : where the structure stands
    chloride_words : the salt that the air carries, for people
    system : units for people
    """
    shore = [(232 + 7 * sin(0.9 * i) + 3 * sin(2.3 * i), 12 + 10.0 * i) for i in range(13)]
    land = [(10.0, 12.0), *shore, (10.0, 132.0)]
    waves = [_wave(row) for row in range(6)]
    distance = site.distance_to_salt_water
    told = "distance not known" if distance is None else far(distance, system)
    parts = [
        tag("path", d=path(land, close=True), class_="beside-air"),
        tag("path", d=path(shore), class_="axis open"),
        *waves,
        tag("path", d="M64 84v-16h34v16M60 68h42M68 68v-8h26v8", class_="axis open"),
        tag("line", x1=104, x2=230, y1=76, y2=76, class_="limit"),
        text_lines([told], 166, 68, class_="label strong mid"),
        text_lines(wrap("salt water", 14, 1), 300, 30, class_="label mid"),
        text_lines(wrap(_SHORES[site.shore], 22, 2), 166, 96, class_="label mid"),
        text_lines(wrap(f"salt in the air: {chloride_words}", 40, 2), 14, 152, class_="label"),
    ]
    words = f"{site.name}: {told} to salt water, {_SHORES[site.shore]}; salt in the air {chloride_words}."
    return tag("svg", *parts, viewBox="0 0 360 172", role="img", aria_label=words, class_="drawing")


def _wave(row: int) -> Markup:
    y, start = 44 + 16 * row, 254 + 8 * (row % 2)
    points = [(start + 6.0 * i, y + 2.2 * sin(1.3 * i)) for i in range(15)]
    return tag("path", d=path(points), class_="water")
