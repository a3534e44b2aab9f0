"""Findings for the faces of one part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.findings import FaceFinding
from longhold.base.trace import Section, Trace
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase, face_layers
from longhold.forecast.summary import band_of, curve_of
from longhold.metal.layers import FaceLayers
from longhold.model.protection import Protection

__all__ = ["FaceRun", "face_finding", "lives_by_layers", "run_face"]

Array = NDArray[np.float64]
_PASSIVE = {"stainless", "copper", "silicon_bronze", "brass", "aluminium", "weathering_steel"}


def lives_by_layers(protection: Protection) -> bool:
    """Whether the part's protection can be used up: zinc, a film, or nothing at all on plain steel.

    Stainless, copper alloys, aluminium and weathering steel live by their own skin: for them the
    question is what strength is left, not when a layer ends.
    """
    return bool(protection.layers) or protection.base_metal not in _PASSIVE


@dataclass(frozen=True)
class FaceRun:
    """One face with its draws.

    Attributes
    ----------
    case : what it depends on
    layers : laws and layers by draw
    base_loss_um : base metal lost, shape (draws, ages) [um]
    protection_years : shape (draws,); None where the metal lives by its own skin
    """

    case: FaceCase
    layers: FaceLayers
    base_loss_um: Array
    protection_years: Array | None


def run_face(case: FaceCase, exposure: SiteExposure, ages: Array) -> FaceRun:
    """Draw one face's layers and losses."""
    layers = face_layers(case, exposure)
    years = layers.protection_years if lives_by_layers(case.protection) else None
    return FaceRun(case, layers, layers.base_loss_um(ages), years)


def face_finding(run: FaceRun, middle: SiteExposure, ages: Array, life_years: float) -> FaceFinding:
    """What one face's draws say, with the calculation of the middle values."""
    layers, case = run.layers, run.case
    has_zinc = bool(np.any(np.asarray(layers.zinc_um) > 0))
    at_life = layers.base_loss_um(np.array([life_years]))[:, 0]
    zinc_years = layers.zinc_law.years_to(layers.zinc_um) if has_zinc else None
    return FaceFinding(
        face=case.face.face,
        words=case.face.words,
        touches=case.face.touches,
        zinc_rate_um_yr=band_of(np.asarray(layers.zinc_law.first_year_um)) if has_zinc else None,
        base_rate_um_yr=band_of(np.asarray(layers.base_law.first_year_um)),
        film_years=band_of(np.asarray(layers.film_years)) if case.protection.topcoat else None,
        zinc_years=None if zinc_years is None else band_of(zinc_years),
        protection_years=None if run.protection_years is None else band_of(run.protection_years),
        base_loss_um=band_of(at_life),
        zinc_left=curve_of(ages, layers.zinc_left_um(ages)) if has_zinc else None,
        base_loss=curve_of(ages, run.base_loss_um),
        chance=None if run.protection_years is None else float(np.mean(run.protection_years >= life_years)),
        calculation=_calculation(case, middle, life_years),
    )


def _calculation(case: FaceCase, middle: SiteExposure, life_years: float) -> Section:
    trace = Trace(f"{case.face.words[0].upper()}{case.face.words[1:]}")
    layers = face_layers(case, middle, trace)
    mark = trace.root.mark
    if lives_by_layers(case.protection):
        years = float(layers.protection_years[0])
        trace.add(
            "age at which base metal is first lost",
            "t_1",
            "t_1 = t_f + t_zn, with h = r t_zn^b",
            {
                "t_f": f"{float(np.asarray(layers.film_years)[0]):.3g} years",
                "h": f"{float(np.asarray(layers.zinc_um)[0]):.3g} um",
            },
            years,
            "years",
            "own",
            mark,
        )
    loss = float(layers.base_loss_um(np.array([life_years]))[0, 0])
    trace.add(
        f"base metal lost at {life_years:g} years",
        "x",
        "x = r (t - t_1)^b",
        {"t": f"{life_years:g} years"},
        loss,
        "um",
        "own",
        mark,
    )
    return trace.root
