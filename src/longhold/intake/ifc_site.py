"""Where on earth an IFC model stands, as it says itself."""

from __future__ import annotations

from importlib.util import find_spec
from math import isfinite
from typing import Any

from longhold.base.extras import needs_extra
from longhold.base.ifc_entities import attribute
from longhold.intake.draft_slots import Slot
from longhold.intake.ifc_reading import IfcReader, clean
from longhold.intake.toml_text import quoted

__all__ = ["site_slots"]

_PARTS = (1.0, 60.0, 3600.0, 3600.0e6)
_APART = 0.05  # degrees, some 5 km: a site and the origin of its map grid lie nearer than that


def site_slots(reader: IfcReader) -> tuple[Slot, ...]:
    """The fields of the site: name, position and height."""
    sites = sorted(reader.file.by_type("IfcSite"), key=lambda one: one.id())
    if len(sites) > 1:
        named = ", ".join(reader.describe(one) for one in sites)
        asked = f"the model has {len(sites)} sites ({named}): which is it?"
        return Slot("name", "", asked), *_no_position(asked)
    site = sites[0] if sites else None
    name = clean(attribute(site, "LongName")) or clean(attribute(site, "Name"))
    named_slot = Slot("name", quoted(name), "") if name else Slot("name", "", "what people call the place")
    return named_slot, *_jurisdiction(site), *_position(reader, site), *_height(reader, site)


def _jurisdiction(site: Any) -> tuple[Slot, ...]:
    address = attribute(site, "SiteAddress")
    country = clean(attribute(address, "Country"))
    heard = f"; the model's address says {country!r}" if country else ""
    return (Slot("jurisdiction", "", f'country whose code governs, such as "US"{heard}'),)


def _position(reader: IfcReader, site: Any) -> tuple[Slot, ...]:
    try:
        north, east = (
            _degrees(attribute(site, "RefLatitude")),
            _degrees(attribute(site, "RefLongitude")),
        )
    except ValueError as error:
        return _no_position(f"the site's position {error}")
    mapped, why = _mapped(reader)
    if north is None or east is None:
        return _no_position(why) if mapped is None else _told(*mapped, "from its map coordinates")
    if not (-90 <= north <= 90 and -180 <= east <= 180):
        return _no_position(f"the site says latitude {north:g}, longitude {east:g}, which is nowhere")
    if (north, east) == (0.0, 0.0):
        return _no_position("the site says 0, 0, which programs write where nobody gave a position")
    if mapped is not None and max(abs(north - mapped[0]), abs(east - mapped[1])) > _APART:
        return _no_position(
            f"the site says {north:.5f}, {east:.5f}, its map coordinates {mapped[0]:.5f}, "
            f"{mapped[1]:.5f}: which holds?"
        )
    return _told(north, east, "from the site")


def _told(latitude: float, longitude: float, where: str) -> tuple[Slot, ...]:
    return (
        Slot("latitude", f"{latitude:.6f}", f"{where}; check it on a map"),
        Slot("longitude", f"{longitude:.6f}", where),
    )


def _no_position(why: str) -> tuple[Slot, ...]:
    asked = why or "the model does not say"
    return Slot("latitude", "", f"degrees north; {asked}"), Slot("longitude", "", "degrees east")


def _degrees(angle: Any) -> float | None:
    """Degrees of a compound angle: degrees, minutes, seconds and millionths, all of one sign.

    >>> round(_degrees((33, 58, 12, 500000)), 6)
    33.970139
    """
    if angle is None:
        return None
    if not isinstance(angle, (tuple, list)) or not 3 <= len(angle) <= 4:
        raise ValueError(f"is {angle!r}, which is no angle")
    if any(isinstance(one, bool) or not isinstance(one, int) for one in angle):
        raise ValueError(f"is {angle!r}, which is no angle")
    if min(angle) < 0 < max(angle) or any(abs(one) >= 60 for one in angle[1:3]):
        raise ValueError(f"is {tuple(angle)!r}: degrees, minutes and seconds that cannot be")
    return float(sum(value / part for value, part in zip(angle, _PARTS, strict=False)))


def _mapped(reader: IfcReader) -> tuple[tuple[float, float] | None, str]:
    """Latitude and longitude of the origin by a map conversion; or why there is none, if there might be."""
    conversions = reader.file.by_type("IfcMapConversion")
    if len(conversions) != 1:
        return None, ""
    one = conversions[0]
    system = clean(attribute(one.TargetCRS, "Name"))
    if find_spec("pyproj") is None:
        return None, f"it has map coordinates in {system}; to read them {needs_extra('places')}"
    from pyproj import CRS, Transformer
    from pyproj.exceptions import CRSError, ProjError

    unit = attribute(one.TargetCRS, "MapUnit")
    mm = reader.project_mm if unit is None else reader.unit_mm(unit)
    if mm is None or not isinstance(one.Eastings, float) or not isinstance(one.Northings, float):
        return None, f"its map coordinates in {system} have no unit"
    try:
        transformer = Transformer.from_crs(system, "EPSG:4326", always_xy=True)
        scale = mm / 1000.0 / CRS(system).axis_info[0].unit_conversion_factor
        longitude, latitude = transformer.transform(
            one.Eastings * scale, one.Northings * scale, errcheck=True
        )
    except (ProjError, CRSError, AttributeError, IndexError):
        return None, f"its map coordinates are in {system!r}, which is not known here"
    return (float(latitude), float(longitude)), ""


def _height(reader: IfcReader, site: Any) -> tuple[Slot, ...]:
    height = attribute(site, "RefElevation")
    if not isinstance(height, (int, float)) or not isfinite(height) or reader.project_mm is None:
        return ()
    meters = height * reader.project_mm / 1000.0
    text = f"{meters / 0.3048:.6g} ft" if reader.is_imperial else f"{meters:.6g} m"
    return (Slot("elevation", quoted(text), "height above the sea, from the site"),)
