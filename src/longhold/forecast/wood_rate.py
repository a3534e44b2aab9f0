"""Loss of the first year in and on the timber of a place, per draw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from longhold.base.marks import Mark
from longhold.base.trace import Section, Step, Trace, note
from longhold.forecast.causes import Causes
from longhold.forecast.wood_runs import TimberKind, WoodRuns
from longhold.model.facing import RainFrom
from longhold.model.protection import BaseMetal
from longhold.model.surroundings import Climate, Place
from longhold.wood.embedded import (
    RateTerms,
    coat_bands,
    contact_bands,
    metal_bands,
    saturated_loss_um_yr,
    saturated_rate_band,
    yearly_loss_um,
)
from longhold.wood.moisture import steady_moisture
from longhold.wood.response import (
    activation_energy_band,
    by_temperature,
    by_temperature_factor,
    rate_sets,
    response_word,
)
from longhold.wood.surface import Surface
from longhold.wood.taken import plate_mm, threshold_pct
from longhold.wood.timber_runs import (
    RUN_YEARS,
    RUNS,
    SITUATION_WORDS,
    Situation,
    TimberSurfaces,
    end_grain_length_mm,
)
from longhold.wood.treatments import Treatment
from longhold.wood.wetting import WettingParameters

__all__ = [
    "TimberFacts",
    "WoodContact",
    "kind_of",
    "loss_by_depth_um",
    "loss_profile",
    "situation_of",
    "wood_rate_um",
]

Array = NDArray[np.float64]

_STEADY_CAUSES = ("wet_moisture_pct", "moisture_offset_pct")
_CAUSE_OF = {"wet_moisture_pct": "wet_moisture", "moisture_offset_pct": "moisture_offset"}


@dataclass(frozen=True)
class TimberFacts:
    """What the metal meets inside one timber.

    Attributes
    ----------
    key : name of the timber, by which joints share its draws
    treatment : what preservative and species do to the rate
    calculation : how that came about
    thickness_mm, specific_gravity : of the timber [mm], [-]
    coat : name of the film on its faces; empty for bare wood
    end_grain : whether the metal meets its end grain
    """

    key: str
    treatment: Treatment = field(hash=False)
    calculation: tuple[Step | Section, ...] = field(hash=False)
    thickness_mm: float
    specific_gravity: float
    coat: str = ""
    end_grain: bool = False


@dataclass(frozen=True)
class WoodContact:
    """Where and how a metal meets timber.

    Attributes
    ----------
    place, timber : of the joint
    trapped : whether water is held between the faces in question
    rain_from : above or side, as the face lies that the metal enters
    contact : shank, zinc_coated_plate or bare_steel_plate
    process : how the zinc was put on; blank where there is none
    """

    place: Place
    timber: TimberFacts
    trapped: bool
    rain_from: RainFrom
    contact: str
    process: str = ""

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for contacts that lose alike in equal draws."""
        return (
            self.place.name,
            self.timber.key,
            self.timber.coat,
            self.timber.end_grain,
            self.trapped,
            self.rain_from,
            self.contact,
            self.process if self.process in coat_bands() else "",
        )


def situation_of(contact: WoodContact) -> Situation | None:
    """How rain reaches the timber; None where its moisture is steady, indoors or always wet."""
    place = contact.place
    if place.always_wet or place.air_face.startswith("inside"):
        return None
    if not place.rain_wets_wood:
        return "covered"
    if contact.trapped:
        return "trapped_upright" if contact.rain_from == "side" else "trapped_level"
    return "upright" if contact.rain_from == "side" else "level"


def wood_rate_um(
    metal: BaseMetal | str,
    contact: WoodContact,
    climate: Climate,
    runs: WoodRuns,
    causes: Causes,
    shares: dict[tuple[object, ...], Array],
    trace: Trace | None = None,
) -> Array:
    """Loss of the first year at the worst depth [um], shape (draws,).

    Outdoors r = r_sat w: w is the moisture response of a simulated timber, mean over the hours, at the worst
    depth along a shank, or within 1 mm of the face under a plate. Indoors and in ground contact the moisture
    is steady. In half of the draws the rate follows the temperature of the wood.

    Parameters
    ----------
    shares : of the saturated rate, already drawn; they hang on the timber and the contact, not on the metal

    Raises
    ------
    InputError : where rain reaches the timber and none is known
    MoistureNotConverged : where the simulation finds no answer
    """
    sets = np.where(causes.either("wood_moisture_set", "structure"), "early_plateau", "late_plateau")
    warm = causes.either("wood_temperature", "structure")
    if trace is not None:
        trace.extend(contact.timber.calculation)
    terms = _terms(metal, contact, causes, trace)
    kind = kind_of(contact)
    if kind is None:
        wetting = WettingParameters.at(
            {name: _states(causes.normal(_CAUSE_OF[name], "site"), trace) for name in _STEADY_CAUSES}
        )
        states = steady_moisture(climate, contact.place, wetting=wetting, trace=trace)
        terms["rate_set"] = str(sets[0]) if trace else sets[:, None]
        loss = np.atleast_1d(yearly_loss_um(states, metal, trace=trace, **terms))
        terms["activation_energy_kj_mol"] = activation_energy_band().median
        return np.where(warm, by_temperature_factor() * yearly_loss_um(states, metal, **terms), loss)
    surfaces = runs.surfaces(kind)
    drawn = (kind, _is_plate(contact))
    if drawn not in shares:
        shares[drawn] = _share(surfaces, contact, _chosen(sets, warm), causes)
    share = shares[drawn]
    strength = saturated_loss_um_yr(metal, terms, trace).ravel()
    if trace is not None:
        _note_share(trace, surfaces, kind, contact, str(sets[0]), float(share[0]))
        note(
            trace,
            "loss in the first year in wood" + ("" if _is_plate(contact) else ", at the worst depth"),
            "x1",
            "x1 = r_sat w",
            {"r_sat": f"{float(strength[0]):.4g} um/yr", "w": f"{float(share[0]):.3g}"},
            float(strength[0] * share[0]),
            "um",
            "own",
            Mark.OWN,
        )
    return np.asarray(strength * share)


def loss_profile(contact: WoodContact, runs: WoodRuns) -> tuple[Array, Array]:
    """How the loss of a shank varies with depth, at the middle of what is not known.

    Mean of both sets of the moisture response, with and without temperature. Where the moisture is steady it
    is the same at every depth.

    Returns
    -------
    depth from the face [mm], and the loss there over that at the worst depth [-]
    """
    kind = kind_of(contact)
    if kind is None:
        return np.array([0.0]), np.array([1.0])
    surfaces = runs.surfaces(kind)
    middle = np.zeros((1, len(surfaces.causes)))
    relative = [surface.at(middle)[0] for surface in surfaces.responses.values()]
    return surfaces.depth_mm, np.mean([one / one.max() for one in relative], axis=0)


def kind_of(contact: WoodContact) -> TimberKind | None:
    """What the simulation of a contact's timber hangs on; None where its moisture is steady."""
    situation, timber = situation_of(contact), contact.timber
    if situation is None:
        return None
    length_mm = end_grain_length_mm() if timber.end_grain else timber.thickness_mm
    return TimberKind(length_mm, timber.specific_gravity, situation, timber.coat, timber.end_grain)


def loss_by_depth_um(
    metal: BaseMetal | str,
    contact: WoodContact,
    runs: WoodRuns,
    causes: Causes,
    rate_set: str | None = None,
) -> tuple[Array, Array] | None:
    """Loss of the first year at each depth along a shank, in the same draws as ``wood_rate_um``.

    Parameters
    ----------
    rate_set : early_plateau or late_plateau in every draw; None takes each in half of the draws

    Returns
    -------
    depth from the face [mm], and loss [um] of shape (draws, depths), whose largest in a draw is what
    ``wood_rate_um`` gives for a shank; None where the moisture is steady

    Raises
    ------
    InputError, MoistureNotConverged : as ``wood_rate_um``
    """
    kind = kind_of(contact)
    if kind is None:
        return None
    surfaces = runs.surfaces(kind)
    z = np.stack([causes.normal(name, "site") for name in surfaces.causes], axis=1)
    noise = causes.normal("wood_runs", "site")
    early = (
        causes.either("wood_moisture_set", "structure") if rate_set is None else rate_set == "early_plateau"
    )
    sets = np.where(early, "early_plateau", "late_plateau")
    chosen = _chosen(sets, causes.either("wood_temperature", "structure"))
    by_set = {name: surface.at(z, noise) for name, surface in surfaces.responses.items()}
    share = _picked(by_set, chosen[:, None])
    strength = saturated_loss_um_yr(metal, _terms(metal, contact, causes, None), None).ravel()
    return surfaces.depth_mm, np.asarray(strength[:, None] * share)


def _share(surfaces: TimberSurfaces, contact: WoodContact, chosen: NDArray[np.str_], causes: Causes) -> Array:
    z = np.stack([causes.normal(name, "site") for name in surfaces.causes], axis=1)
    noise = causes.normal("wood_runs", "site")
    by_set = {
        name: _governing(surface, z, noise, contact, surfaces.depth_mm)
        for name, surface in surfaces.responses.items()
    }
    return _picked(by_set, chosen)


def _chosen(sets: NDArray[np.str_], warm: NDArray[np.bool_]) -> NDArray[np.str_]:
    """Name of the response in each draw: a set, or its alternative by temperature."""
    return np.where(warm, np.char.add(sets, by_temperature("")), sets)


def _picked(by_set: Mapping[str, Array], chosen: NDArray[np.str_]) -> Array:
    """Share of the saturated rate in each draw; the alternative by temperature has its own saturated rate."""
    found = np.zeros(())
    for name, share in by_set.items():
        factor = 1.0 if name in rate_sets() else by_temperature_factor()
        found = np.where(chosen == name, factor * share, found)
    return np.asarray(found)


def _governing(surface: Surface, z: Array, noise: Array, contact: WoodContact, depth_mm: Array) -> Array:
    shares = surface.at(z, noise)
    if _is_plate(contact):
        return np.asarray(shares[:, depth_mm <= plate_mm()].mean(axis=1))
    return np.asarray(shares.max(axis=1))


def _is_plate(contact: WoodContact) -> bool:
    return contact.contact != "shank"


def _terms(metal: str, contact: WoodContact, causes: Causes, trace: Trace | None) -> RateTerms:
    at = causes.normal
    timber = contact.timber
    found = timber.treatment
    species, finish = found.species_factor, found.finish_factor

    def drawn(band: object, cause: str, scope: str) -> Array | float:
        return 1.0 if band is None else _states(band.at(at(cause, scope)), trace)  # type: ignore[attr-defined]

    coat = coat_bands().get(contact.process) if metal == "zinc" else None
    return RateTerms(
        rate_set="early_plateau",
        treatment_multiplier=drawn(found.multiplier_for(metal), "treatment", f"timber:{timber.key}"),
        retention_factor=found.retention_factor,
        species_factor=drawn(species, "acidity", f"timber:{timber.key}"),
        finish_factor=drawn(finish, "finish", f"timber:{timber.key}"),
        contact_factor=drawn(contact_bands()[contact.contact], "contact", "structure"),
        coat_factor=drawn(coat, "zinc_process", "structure"),
        saturated_rate_um_yr=drawn(saturated_rate_band(), "wood_rate", "structure"),
        metal_factor=drawn(metal_bands()[metal], "metal_in_wood", f"metal:{metal}"),
    )


def _note_share(
    trace: Trace,
    surfaces: TimberSurfaces,
    kind: TimberKind,
    contact: WoodContact,
    name: str,
    share: float,
) -> None:
    surface = surfaces.responses[name]
    middle = surface.at(np.zeros((1, len(surfaces.causes))))[0]
    at = int(middle.argmax()) if not _is_plate(contact) else 0
    given: Mapping[str, str] = {
        "depth": f"within {plate_mm():g} mm" if _is_plate(contact) else f"{surfaces.depth_mm[at]:.1f} mm",
        "mean moisture there": f"{surfaces.monthly_pct[:, at].mean():.3g} %",
        "driest and wettest month": f"{surfaces.monthly_pct[:, at].min():.3g} and "
        f"{surfaces.monthly_pct[:, at].max():.3g} %",
        f"hours above {threshold_pct():g} %": f"{100.0 * surfaces.above_share[at]:.0f} % of the year",
        "moisture response": response_word(name),
        "runs": f"{RUNS} of {RUN_YEARS} years",
        "error of the surface through them": f"{surface.unseen_sd[at]:.2g} in ln(w/(1-w))",
    }
    note(
        trace,
        "moisture hour by hour: share of the saturated rate over the year",
        "w",
        "w = mean over the hours of f_T / (1 + exp(B (C - MC)))",
        given,
        share,
        "-",
        "own",
        Mark.OWN,
        f"{kind.thickness_mm:.3g} mm {'along the grain' if kind.end_grain else 'thick'}, "
        f"gravity {kind.specific_gravity:.2g}, {kind.coat.replace('_', ' ') or 'no coat'}, "
        f"{SITUATION_WORDS[kind.situation]}; "
        "the other half of the draws follow the temperature of the wood, "
        f"{activation_energy_band().shown()}; left out: hysteresis of sorption, checks",
    )


def _states(values: Array, trace: Trace | None) -> Array | float:
    """One column for each draw, or the single middle value where the calculation is recorded."""
    return float(values[0]) if trace is not None else values[:, None]
