"""What a face really wears: the life of its film, the rate of its zinc alloy, spots that are damaged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number, optional_number
from longhold.base.trace import Trace, note
from longhold.forecast.causes import Causes
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.scatter import film_rows
from longhold.forecast.throw import served_zinc_um
from longhold.metal.film import bare_share_at
from longhold.metal.layers import FaceLayers, Spot
from longhold.metal.parameters import film_figure
from longhold.model.damage import Damage, DamageKind, damages

if TYPE_CHECKING:
    from longhold.forecast.face import FaceCase

__all__ = ["AS_LABELED", "CoatFacts", "alloy_factor", "film_years", "paint_ranges", "with_spots"]

Array = NDArray[np.float64]
_Z_TENTH = 1.2816  # standard normal value that a tenth lies above


@dataclass(frozen=True)
class CoatFacts:
    """What a user says of the coat beyond its label.

    Attributes
    ----------
    durability : L, M, H or VH of ISO 12944 for a paint; None where it is not told
    shape : of a Weibull distribution of the film's life about its middle; None draws it lognormal
    bare_share : share of the film that is bare from the start, holidays and nicks [-]
    repainted : whether the printed factor for paint over zinc is asked for
    damage : damage and repairs
    """

    durability: str | None = None
    shape: float | None = None
    bare_share: float = 0.0
    repainted: bool = False
    damage: tuple[DamageKind, ...] = ()


AS_LABELED = CoatFacts()
"""Nothing said beyond the label."""


def film_years(case: FaceCase, causes: Causes, trace: Trace | None = None) -> Array:
    """Age at which the film of a face no longer keeps water out [years], shape (draws,)."""
    if case.protection.topcoat is None:
        return np.zeros(causes.count)
    if case.contact is not None and case.face.touches == "air":
        words = "a topcoat against soil: no life is credited, none was read"
        note(trace, words, "t_f", "t_f = 0", {}, 0.0, "years", "own", Mark.OWN)
        return np.zeros(causes.count)
    row = film_rows()[_situation(case)]
    median, sd_ln, words = row["median_years"], row["sd_ln"], row["words"]
    source, mark = row["source"], row["mark"]
    if median > 0.0 and case.topcoat_years is not None:
        median, source, mark = case.topcoat_years, "user", Mark.VERIFIED
    elif median > 0.0 and case.coat.durability is not None and case.in_air:
        paint = paint_ranges()[case.coat.durability]
        median, sd_ln, words = paint["median_years"], paint["sd_ln"], paint["words"]
        source, mark = paint["source"], paint["mark"]
    shape = case.coat.shape if median > 0.0 else None
    low, high = (_weibull(median, shape, p) if shape else median * np.exp(z * sd_ln) for p, z in _TENTHS)
    span = {"8 of 10 draws": f"{float(low):.3g} to {float(high):.3g} years"}
    if shape:
        span["Weibull shape"] = f"{shape:g}"
    note(trace, words, "t_f", "t_f = middle life", span, median, "years", source, mark)
    if shape:
        return _weibull(median, shape, causes.between("film_life", "structure", 0.0, 1.0))
    return causes.lognormal("film_life", "structure", median, sd_ln)


_TENTHS = ((0.1, -_Z_TENTH), (0.9, _Z_TENTH))


def _weibull(median: float, shape: float, chance: Array | float) -> Array:
    """Age by which a chance has failed, about a middle life."""
    left = np.maximum(1.0 - np.asarray(chance, float), 1e-12)
    return np.asarray(median * (-np.log(left) / np.log(2.0)) ** (1.0 / shape))


def _situation(case: FaceCase) -> str:
    if case.driven:
        return "driven"
    if case.topcoat_damaged:
        return "damaged"
    return "air" if case.face.touches == "air" else "timber"


def alloy_factor(kind: str, in_air: bool, causes: Causes, trace: Trace | None = None) -> Array | float:
    """Rate of a zinc alloy over that of zinc, depth for depth [-]; one number where none is cited."""
    row = _alloys()[kind, "air" if in_air else "wood"]
    if kind != "zinc":
        note(
            trace,
            row["words"],
            "k_a",
            "r = k_a r_zn",
            {"low": f"{row['low']:g}", "high": f"{row['high']:g}"},
            row["median"],
            "",
            row["source"],
            row["mark"],
        )
    if row["low"] == row["high"]:
        return float(row["median"])
    return causes.between("zinc_alloy", "structure", row["low"], row["high"], row["median"])


def with_spots(
    case: FaceCase, layers: FaceLayers, exposure: SiteExposure, trace: Trace | None = None
) -> FaceLayers:
    """The layers of a face with the spots that its user describes, and the factor of paint over zinc."""
    here = _told_here(case)
    holidays = tuple(_holidays(case, layers, exposure.causes, trace)) if _film_counts(case) else ()
    if here:
        # a damaged place has no film, so that the share of holidays is that of the sound rest
        rest = 1.0 - max(one.area_share for one in here)
        holidays = tuple(replace(one, area_share=np.asarray(one.area_share) * rest) for one in holidays)
    factor = _duplex_factor(case, bool(here), exposure.causes, trace)
    damaged = _damaged(case, here, layers, exposure, trace)
    return replace(layers, spots=(*damaged, *holidays), duplex_factor=factor)


def _told_here(case: FaceCase) -> list[Damage]:
    """Damage of a face and its repair; a repair without any damage told may be anywhere that it reaches."""
    told = [damages()[name] for name in case.coat.damage]
    here = [one for one in told if case.face.face in one.faces]
    elsewhere = any(one.zinc_gone for one in told) and not any(one.zinc_gone for one in here)
    return [] if elsewhere else here


def _film_counts(case: FaceCase) -> bool:
    counts = case.protection.topcoat is not None and not case.driven and not case.topcoat_damaged
    return counts and case.coat.bare_share > 0.0


def _holidays(case: FaceCase, layers: FaceLayers, causes: Causes, trace: Trace | None) -> Iterator[Spot]:
    """Bare spots of a film and the rings about them that come loose until the film itself is gone."""
    share = case.coat.bare_share
    speed = causes.lognormal(
        "undercut", "structure", film_figure("undercut_mm_yr"), film_figure("undercut_sd_ln")
    )
    radius, gone = film_figure("spot_radius_mm"), np.asarray(layers.film_years, float)
    note(
        trace,
        "share of the film that is bare when new, and that bare or loose when the film itself is gone",
        "a",
        "a(t) = a_0 (1 + u t / r)^2, at most 1",
        {"a_0": f"{share:.3g}", "u": f"{float(np.median(speed)):.3g} mm/yr", "r": f"{radius:g} mm"},
        float(np.median(bare_share_at(share, speed, radius, gone))),
        "-",
        "own",
        Mark.OWN,
    )
    yield Spot(share, 0.0, layers.zinc_um, scattered=True)
    rings = int(film_figure("rings"))
    before: Array | float = share
    for ring in range(rings):
        after = bare_share_at(share, speed, radius, gone * (ring + 1) / rings)
        yield Spot(after - before, gone * ring / rings, layers.zinc_um, scattered=True)
        before = after


def _duplex_factor(case: FaceCase, damaged: bool, causes: Causes, trace: Trace | None) -> Array | float:
    """What is printed of paint over zinc; 1 unless asked for, and where the film is cut or not in air."""
    if not case.coat.repainted or damaged or case.topcoat_damaged or case.driven:
        return 1.0
    if not case.in_air or case.protection.zinc is None or case.protection.topcoat is None:
        return 1.0
    least, middle, most = (film_figure(f"duplex_{name}") for name in ("least", "middle", "most"))
    note(
        trace,
        "paint over zinc on a structure that gets repainted, as asked for: life over the sum of both",
        "k_d",
        "t_1 = k_d (t_f + t_zn)",
        {"printed": f"{least:g} to {most:g}"},
        middle,
        "",
        "duplex-printed",
        Mark.OWN,
    )
    return causes.between("duplex", "structure", least, most, middle)


def _damaged(
    case: FaceCase, here: list[Damage], layers: FaceLayers, exposure: SiteExposure, trace: Trace | None
) -> tuple[Spot, ...]:
    """One spot for what is told of a face: the worst damage, with what the worst repair puts back."""
    if not here:
        return ()
    hurt = [one for one in here if one.zinc_gone]
    repairs = [one for one in here if one.restored_um is not None]
    zinc = np.asarray(layers.zinc_um, float)
    if hurt:
        kept = [served_zinc_um(zinc, one.half_width_mm, case.in_air, case.place, exposure) for one in hurt]
        left = np.min(np.broadcast_arrays(*kept), axis=0)
    else:
        left = zinc
    if repairs:
        put_back = np.minimum(zinc, min(one.restored_um or 0.0 for one in repairs))
        left = np.maximum(left, put_back) if hurt else put_back
    share = max((one.area_share for one in hurt or repairs), default=0.0)
    note(
        trace,
        f"on this face: {'; '.join(one.words for one in here)}. Zinc that still counts there",
        "h_d",
        "h_d = what zinc beside it serves, or what a repair puts back",
        {"share of the face": f"{share:g}", "zinc beside it": f"{float(np.median(zinc)):.3g} um"},
        float(np.median(left)),
        "um",
        here[0].source,
        Mark.OWN,
    )
    return (Spot(share, 0.0, left),)


@once
def paint_ranges() -> Mapping[str, Row]:
    """Durability ranges of ISO 12944, middle and band, from ``tables/metal/paint_durability.csv``."""
    columns: dict[str, Parser] = {
        "range": str,
        "from_years": optional_number,
        "to_years": optional_number,
        "median_years": number,
        "sd_ln": number,
        "words": str,
    }
    return {row["range"]: row for row in load_csv("metal/paint_durability.csv", columns, key=("range",))}


@once
def _alloys() -> Mapping[tuple[str, str], Row]:
    columns: dict[str, Parser] = {
        "kind": str,
        "where": str,
        "low": number,
        "median": number,
        "high": number,
        "words": str,
    }
    rows = load_csv("metal/zinc_alloys.csv", columns, key=("kind", "where"))
    return {(row["kind"], row["where"]): row for row in rows}
