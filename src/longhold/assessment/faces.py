"""Findings for the faces of one part."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.findings import FaceFinding
from longhold.base.marks import Mark
from longhold.base.trace import Section, Trace
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase, FaceExtras, face_extras, face_layers, own_layers
from longhold.forecast.summary import band_of, chance_of, curve_of
from longhold.metal.laws import TimeLaw
from longhold.metal.layers import FaceLayers
from longhold.model.protection import Protection

__all__ = ["FaceRun", "face_calculation", "face_finding", "lives_by_layers", "run_face"]

Array = NDArray[np.float64]
_STEELS = {"carbon_steel", "weathering_steel"}


def lives_by_layers(protection: Protection) -> bool:
    """Whether the part's protection is layers that can be used up.

    Stainless, copper alloys and aluminium live by their own skin, under a topcoat too, and bare steel has
    nothing to use up: for them the question is what strength is left, not when a layer ends.
    """
    if protection.base_metal in _STEELS:
        return bool(protection.layers)
    return protection.zinc is not None


@dataclass(frozen=True)
class FaceRun:
    """One face with its draws.

    Attributes
    ----------
    case : what it depends on
    early : laws and layers by draw, as long as no neighbor has lost its zinc
    layers : the same with what neighbors add that lose it
    base_loss_um : base metal lost, mean over the face, shape (draws, ages) [um]
    protection_years : shape (draws,); None where the metal lives by its own skin
    extras : what nobler metals beside it add, already in the layers
    worst_loss_um : base metal lost at its worst spot, shape (draws, ages) [um]; None where all of it is alike
    """

    case: FaceCase
    early: FaceLayers
    layers: FaceLayers
    base_loss_um: Array
    protection_years: Array | None
    extras: FaceExtras = field(default_factory=FaceExtras)
    worst_loss_um: Array | None = None

    @property
    def thinnest_um(self) -> Array:
        """Base metal lost where the face is thinnest, which decides what bends or tears [um]."""
        return self.base_loss_um if self.worst_loss_um is None else self.worst_loss_um

    @property
    def for_strength(self) -> FaceRun:
        """The same with its thinnest place all over where it bends; elsewhere as it is.

        A fastener bends at its worst spot; it bears along a length, whose mean counts.
        """
        return replace(self, base_loss_um=self.thinnest_um) if self.case.face.role == "hinge" else self


def run_face(case: FaceCase, exposure: SiteExposure, ages: Array) -> FaceRun:
    """Draw one face's layers and losses."""
    own = own_layers(case, exposure)
    extras = face_extras(case, own, exposure)
    early = extras.on(own)
    layers = extras.later_on(early, float(ages[-1]))
    years = layers.protection_years if lives_by_layers(case.protection) else None
    worst = layers.worst_loss_um(ages) if layers.spots else None
    return FaceRun(case, early, layers, layers.base_loss_um(ages), years, extras, worst)


def face_finding(run: FaceRun, middle: SiteExposure, ages: Array, life_years: float) -> FaceFinding:
    """What one face's draws say, with the calculation of the middle values."""
    layers, early, case = run.layers, run.early, run.case
    has_zinc = bool(np.any(np.asarray(layers.zinc_um) > 0))
    at_life = layers.base_loss_um(np.array([life_years]))[:, 0]
    zinc_years = layers.zinc_law.years_to(layers.zinc_um) if has_zinc else None
    return FaceFinding(
        face=case.face.face,
        words=case.face.words,
        touches=case.face.touches,
        zinc_rate_um_yr=band_of(np.asarray(early.zinc_law.first_year_um)) if has_zinc else None,
        base_rate_um_yr=band_of(np.asarray(early.base_law.first_year_um)),
        film_years=band_of(np.asarray(layers.film_years)) if case.protection.topcoat else None,
        zinc_years=None if zinc_years is None else band_of(zinc_years),
        protection_years=None if run.protection_years is None else band_of(run.protection_years),
        base_loss_um=band_of(at_life),
        zinc_left=curve_of(ages, layers.zinc_left_um(ages)) if has_zinc else None,
        base_loss=curve_of(ages, run.base_loss_um),
        chance=None if run.protection_years is None else chance_of(run.protection_years, life_years),
        calculation=face_calculation(case, middle, ages, life_years),
        lies="" if case.facing_here is None else case.facing_here.words,
        against=case.against,
    )


def face_calculation(case: FaceCase, middle: SiteExposure, ages: Array, life_years: float) -> Section:
    """How one face loses its layers and its metal, written down with the middle values."""
    trace = Trace(f"{case.face.words[0].upper()}{case.face.words[1:]}")
    case = replace(case, beside=tuple(one.at_middle for one in case.beside))
    layers = face_layers(case, middle, float(ages[-1]), trace)
    mark = trace.root.mark
    start = 0.0
    if lives_by_layers(case.protection):
        start = _first_loss_shown(layers, trace, mark)
    age = max(life_years - start, 0.0)
    equation, inputs = _law_shown(layers.base_law, age, "x", "t")
    if layers.spots:
        equation, inputs = "x = sum of a_i x_i over the bare spots and the sound rest", {}
    trace.add(
        f"base metal lost at {life_years:g} years, {age:.3g} years after it is first lost",
        "x",
        equation if age > 0.0 else "x = 0",
        {"t": f"{age:.4g} years", **inputs} if age > 0.0 else {},
        float(layers.base_loss_um(np.array([life_years]))[0, 0]),
        "um",
        "own",
        mark,
        "Middle values of every input, and the second of two laws where two are drawn: the middle of all "
        "draws, which the answer gives, differs from it.",
    )
    return trace.root


def _first_loss_shown(layers: FaceLayers, trace: Trace, mark: Mark) -> float:
    """Write down when base metal is first lost, and at its spots if it has some; that age [years]."""
    sound = float(layers.sound_years[0])
    film, zinc, k = (
        float(np.asarray(one).flat[0]) for one in (layers.film_years, layers.zinc_um, layers.duplex_factor)
    )
    equation, inputs = _law_shown(layers.zinc_law, sound / k - film, "h", "t_zn")
    trace.add(
        "age at which base metal is first lost",
        "t_1",
        f"t_1 = {'t_f + t_zn' if k == 1.0 else 'k_d (t_f + t_zn)'}, where {equation}",
        {"t_f": f"{film:.3g} years", "h": f"{zinc:.3g} um", **inputs},
        sound,
        "years",
        "own",
        mark,
    )
    first = float(layers.protection_years[0])
    if first < sound:
        trace.add(
            "the same where a layer is missing or damaged",
            "t_1",
            "t_1 = least of t_f + t_zn over the bare spots",
            {},
            first,
            "years",
            "own",
            Mark.OWN,
        )
    return first


def _law_shown(law: TimeLaw, age: float, depth: str, time: str) -> tuple[str, dict[str, str]]:
    """The equation of the branch that an age falls in, and what is put in."""
    r, b = float(np.asarray(law.first_year_um).flat[0]), float(np.asarray(law.exponent).flat[0])
    inputs = {"r": f"{r:.4g} um", "b": f"{b:.4g}"}
    kink = law.straight_after_years
    if age <= kink:
        return f"{depth} = r {time}^b", inputs
    return f"{depth} = r ({kink:g}^b + b {kink:g}^(b-1) ({time} - {kink:g}))", inputs
