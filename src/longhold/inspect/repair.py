"""Whether bare spots may be repaired, by the limits of the standards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.inspect.sampling import Standard

__all__ = ["Allowed", "Repair", "Spot", "allowed_area_cm2", "repair"]

Verdict = Literal["allowed", "not_allowed", "refer"]
_MOST_CM2 = 1e7


@dataclass(frozen=True)
class Spot:
    """One bare spot: its area [cm2], and its narrowest dimension [mm], None where that is not told."""

    area_cm2: float
    narrowest_mm: float | None = None


@dataclass(frozen=True)
class Allowed:
    """One limit, held.

    Attributes
    ----------
    words : what is asked, with both figures
    held : whether it is kept; None where something that it needs is not told
    mark : of the limit
    """

    words: str
    held: bool | None
    mark: Mark


@dataclass(frozen=True)
class Repair:
    """What may be done with the bare spots of one article.

    Attributes
    ----------
    standard, edition : whose limits
    verdict : allowed, not_allowed, or refer where a limit is not held or something is not told
    limits : each that was held
    thickness : how thick a repair must be, in words; blank where that is not held
    refer : what is not held or not told
    mark : weakest of the limits
    """

    standard: Standard
    edition: str
    verdict: Verdict
    limits: tuple[Allowed, ...]
    thickness: str
    refer: tuple[str, ...]
    mark: Mark


def repair(
    standard: Standard,
    spots: Sequence[Spot],
    *,
    surface_cm2: float,
    mass_kg: float | None = None,
    local_um: float | None = None,
    repaired_um: float | None = None,
    edition: str = "",
) -> Repair:
    """Hold the bare spots of one article against a standard's limits.

    Parameters
    ----------
    spots : at least one
    surface_cm2 : surface of the article that can be reached [cm2]
    mass_kg : of the article, for a limit by mass
    local_um : least local thickness that the article must have [um], for a repair measured by it
    repaired_um : thickness of the repair, where it is made already [um]
    edition : year; the newest that is held unless given

    Raises
    ------
    InputError : no spot, an area that cannot be, or an edition that is not held
    """
    _check(spots, surface_cm2, mass_kg)
    rows = _limits_of(standard, edition)
    held = {row["limit"]: row for row in rows}
    total = sum(one.area_cm2 for one in spots)
    limits = [
        *_total(held, total, surface_cm2, mass_kg),
        *_each(held, spots),
        *_narrowest(held, spots),
        *_thick_enough(held, local_um, repaired_um),
    ]
    refer = [] if {"total_share", "each", "narrowest"} & set(held) else ["what area may be repaired"]
    if not {"thickness", "over_local"} & set(held):
        refer.append("how thick a repair must be")
    told = tuple(f"{standard.name}: {one} is not held here: refer to the standard" for one in refer)
    if rows and edition and edition[-2:] != rows[0]["edition"][-2:]:
        told = (
            *told,
            f"edition {edition} is not held here: these are limits of edition {rows[0]['edition']}",
        )
    open_words = tuple(one.words for one in limits if one.held is None)
    verdict: Verdict = "allowed"
    if any(one.held is False for one in limits):
        verdict = "not_allowed"
    elif open_words or not {"total_share", "each", "narrowest"} & set(held):
        verdict = "refer"
    return Repair(
        standard,
        rows[0]["edition"] if rows else edition or standard.edition,
        verdict,
        tuple(limits),
        _thickness_words(held, local_um),
        told,
        weakest([row["mark"] for row in rows] or [Mark.MEMORY]),
    )


def allowed_area_cm2(standard: Standard, surface_cm2: float, edition: str = "") -> float | None:
    """Bare area in all that may be repaired by its share of an article's surface [cm2]; None if not held.

    >>> from longhold.inspect.sampling import standard_named
    >>> allowed_area_cm2(standard_named("ISO 1461"), 20_000.0)
    100.0
    """
    share = next((row for row in _limits_of(standard, edition) if row["limit"] == "total_share"), None)
    return None if share is None else share["value"] / 100.0 * surface_cm2


def _check(spots: Sequence[Spot], surface_cm2: float, mass_kg: float | None) -> None:
    at_spots, at_area = told_here(command="--spot", page="spots"), told_here(command="--surface", page="area")
    if not spots:
        raise InputError(Problem(at_spots, None, "is not given.", 'Write its area, such as "6 cm2".'))
    if not 0.0 < surface_cm2 <= _MOST_CM2:
        raise InputError(Problem(at_area, surface_cm2, "must be more than 0 and at most 1000 m2."))
    if mass_kg is not None and not 0.0 < mass_kg <= 1e6:
        where = told_here(command="--mass", page="mass")
        raise InputError(Problem(where, mass_kg, "must be more than 0 and at most 1000 tonnes."))
    for one in spots:
        if not 0.0 < one.area_cm2 <= surface_cm2:
            said = f"must be more than 0 and at most {surface_cm2:g} cm2, the surface."
            raise InputError(Problem(at_spots, one.area_cm2, said))
        if one.narrowest_mm is not None and one.narrowest_mm <= 0.0:
            raise InputError(Problem(at_spots, one.narrowest_mm, "must be wider than 0 mm."))


def _limits_of(standard: Standard, edition: str) -> tuple[Row, ...]:
    rows = [row for row in _rows() if row["standard"] == standard.key]
    editions = list(dict.fromkeys(row["edition"] for row in rows))
    if not editions:
        return ()
    wanted = edition or editions[0]
    if standard.key == "ISO1461" and wanted not in editions:
        where = told_here(command="--standard", page="by")
        said = f"is an edition that is not held; held are {', '.join(editions)}."
        raise InputError(Problem(where, edition, said))
    wanted = wanted if wanted in editions else editions[0]
    return tuple(row for row in rows if row["edition"] == wanted)


def _total(held: dict[str, Row], total: float, surface_cm2: float, mass_kg: float | None) -> list[Allowed]:
    if "total_share" not in held:
        return []
    share = held["total_share"]
    most = share["value"] / 100.0 * surface_cm2
    words = f"{share['value']:g} % of {surface_cm2:g} cm²"
    if "per_tonne" not in held:
        return [Allowed(f"in all {total:g} cm² of {most:g} cm² ({words})", total <= most, share["mark"])]
    by_mass = held["per_tonne"]
    mark = weakest([share["mark"], by_mass["mark"]])
    if mass_kg is None:
        if total > most:
            return [Allowed(f"in all {total:g} cm² of {most:g} cm² ({words})", False, mark)]
        most_words = f"at most {by_mass['value']:g} cm² for each tonne"
        told = told_here(command="the mass of the article is not told (--mass)", page="its mass is not told")
        return [Allowed(f"in all {most_words}: {told}", None, mark)]
    least = min(most, by_mass["value"] * mass_kg / 1000.0)
    lesser = f"the lesser of {words} and {by_mass['value']:g} cm² for each tonne"
    told = f"in all {total:g} cm² of {least:.3g} cm² ({lesser})"
    return [Allowed(told, total <= least, mark)]


def _each(held: dict[str, Row], spots: Sequence[Spot]) -> list[Allowed]:
    if "each" not in held:
        return []
    row, largest = held["each"], max(one.area_cm2 for one in spots)
    return [
        Allowed(f"largest spot {largest:g} cm² of {row['value']:g} cm²", largest <= row["value"], row["mark"])
    ]


def _narrowest(held: dict[str, Row], spots: Sequence[Spot]) -> list[Allowed]:
    if "narrowest" not in held:
        return []
    row = held["narrowest"]
    told = [one.narrowest_mm for one in spots if one.narrowest_mm is not None]
    if told and max(told) > row["value"]:
        return [Allowed(f"narrowest dimension {max(told):g} mm of {row['value']:g} mm", False, row["mark"])]
    if len(told) < len(spots):
        words = f"narrowest dimension at most {row['value']:g} mm: that of a spot is not told (6 cm2 x 20 mm)"
        return [Allowed(words, None, row["mark"])]
    return [Allowed(f"narrowest dimension {max(told):g} mm of {row['value']:g} mm", True, row["mark"])]


def _asked_um(held: dict[str, Row], local_um: float | None) -> float | None:
    if "thickness" in held:
        return float(held["thickness"]["value"])
    if "over_local" in held and local_um is not None:
        return local_um + float(held["over_local"]["value"])
    return None


def _thick_enough(held: dict[str, Row], local_um: float | None, repaired_um: float | None) -> list[Allowed]:
    row = held.get("thickness") or held.get("over_local")
    if repaired_um is None or row is None:
        return []
    asked = _asked_um(held, local_um)
    if asked is None:
        told = told_here(command=" (--least)", page="")
        words = f"thickness of the repair: the least local thickness is not told{told}"
        return [Allowed(words, None, row["mark"])]
    return [Allowed(f"repair {repaired_um:g} µm of {asked:g} µm", repaired_um >= asked, row["mark"])]


def _thickness_words(held: dict[str, Row], local_um: float | None) -> str:
    asked = _asked_um(held, local_um)
    zinc = held.get("zinc_in_film")
    more = f", paint with at least {zinc['value']:g} % zinc in the dry film" if zinc else ""
    if asked is not None:
        return f"at least {asked:g} µm{more}"
    if "over_local" in held:
        return f"at least {held['over_local']['value']:g} µm over the least local thickness{more}"
    return ""


@once
def _rows() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"standard": str, "edition": str, "limit": str, "value": number, "unit": str}
    return load_csv("inspect/repair.csv", columns, key=("standard", "edition", "limit"))
