"""One face of one part: which layers it has, under which laws they go."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from longhold.base.trace import Trace, note
from longhold.forecast.beside import Beside, metal_once_bare
from longhold.forecast.causes import Causes
from longhold.forecast.coats import AS_LABELED, CoatFacts, alloy_factor, film_years, with_spots
from longhold.forecast.contact import contact_law
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.faces import Face
from longhold.forecast.galvanic import ExtraLoss, extra_losses
from longhold.forecast.galvanic_trace import note_later
from longhold.forecast.later_metal import factor_to_age, factor_to_depth
from longhold.forecast.placed import note_facing
from longhold.forecast.scatter import scatter
from longhold.forecast.wet_share import wet_share
from longhold.forecast.wood_rate import TimberFacts, WoodContact
from longhold.metal.laws import TimeLaw
from longhold.metal.layers import FaceLayers
from longhold.model.contact import ContactKind
from longhold.model.facing import Facing, RainFrom
from longhold.model.protection import Layer, Protection
from longhold.model.surroundings import Place

__all__ = ["FaceCase", "FaceExtras", "face_extras", "face_layers", "own_layers", "wood_contact"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class FaceCase:
    """What a face's forecast depends on; equal cases of one joint give equal draws.

    Attributes
    ----------
    face : which face
    protection : what its label promises
    place : of the joint
    timber : that it touches
    rain_from : whether rain falls on the face that the metal enters (above) or reaches it upright (side)
    driven : whether the part is hammered or turned in
    topcoat_years : life of the topcoat as the user knows it [years]; None takes ours
    topcoat_damaged : whether it is cut through: it then adds no life
    own_key : stable key of the joint, for the draws that are its own
    facing : how the faces of the part that lie in outdoor air are turned; None takes them as washed by rain
    beside : parts of other metals that touch this face, no insulation between
    coat : what the user says of its paint and damage
    contact : what its faces away from the timber lie against, where that is not air
    """

    face: Face
    protection: Protection
    place: Place
    timber: TimberFacts
    rain_from: RainFrom
    driven: bool
    own_key: str
    topcoat_years: float | None = None
    topcoat_damaged: bool = False
    facing: Facing | None = None
    beside: tuple[Beside, ...] = ()
    coat: CoatFacts = AS_LABELED
    contact: ContactKind | None = None

    @property
    def identity(self) -> Hashable:
        """All that its draws hang on: the case with the ages of its neighbors, which cases do not compare."""
        return self, tuple(np.asarray(one.from_years, float).tobytes() for one in self.beside)

    @property
    def facing_here(self) -> Facing | None:
        """How this face is turned; None where it is not in outdoor air, or that is not stated."""
        outdoors = self.in_air and self.place.air_face in ("open", "sheltered")
        return self.facing if outdoors else None

    @property
    def in_air(self) -> bool:
        """Whether air is what the face meets."""
        return self.face.touches == "air" and self.contact is None

    @property
    def against(self) -> str:
        """What the face meets away from the timber in place of air, for people; empty where it is air."""
        if self.face.touches != "air" or self.contact is None:
            return ""
        return self.contact.replace("_", " ")


@dataclass(frozen=True)
class FaceExtras:
    """What nobler metals beside a face add, of zinc while it lasts and of the metal under it."""

    zinc: tuple[ExtraLoss, ...] = ()
    base: tuple[ExtraLoss, ...] = ()

    def on(self, layers: FaceLayers) -> FaceLayers:
        """The layers with what neighbors add from the start; the law over the years stays.

        That is all of a neighbor that is nobler when new, and of one under zinc the spots that are bare.

        What several add is summed: nobler areas add where oxygen limits, and add to less beyond.
        """
        zinc, base = (
            law.scaled(_from_the_start(extras))
            for law, extras in ((layers.zinc_law, self.zinc), (layers.base_law, self.base))
        )
        return replace(layers, zinc_law=zinc, base_law=base)

    def later_on(self, layers: FaceLayers, until_years: float) -> FaceLayers:
        """Layers of ``on`` with what neighbors add from the age on at which their own zinc is gone.

        Parameters
        ----------
        until_years : last age that is asked for
        """
        zinc, base = (
            [
                (one.later_growth / _from_the_start(extras), one.beside.from_years)
                for one in extras
                if one.beside.later
            ]
            for extras in (self.zinc, self.base)
        )
        # one law serves the sound rest and every spot, so the one that takes most by its neighbors decides
        if zinc:
            starts = [(layers.zinc_um, layers.film_years)]
            starts += [(spot.zinc_um, spot.film_years) for spot in layers.spots]
            factors = [factor_to_depth(layers.zinc_law, um, film, zinc) for um, film in starts]
            layers = replace(layers, zinc_law=layers.zinc_law.scaled(_largest(factors)))
        if base:
            first, rest = layers.protection_years, layers.sound_years
            factors = [factor_to_age(layers.base_law, until_years, age, base) for age in (first, rest)]
            layers = replace(layers, base_law=layers.base_law.scaled(_largest(factors)))
        return layers


def _from_the_start(extras: Sequence[ExtraLoss]) -> Array | float:
    """Factor on the loss of a metal by itself while no neighbor has lost its zinc [-]."""
    return 1.0 + sum(one.early_growth for one in extras)


def _largest(factors: Sequence[Array]) -> Array:
    return np.asarray(np.max(np.broadcast_arrays(*factors), axis=0))


def face_layers(
    case: FaceCase, exposure: SiteExposure, until_years: float, trace: Trace | None = None
) -> FaceLayers:
    """Layers and laws of a face, one value a draw, with what nobler metals beside it add, now and later.

    Zinc that the label does not tell is not credited.

    Parameters
    ----------
    until_years : last age that is asked for, see ``FaceExtras.later_on``
    """
    own = own_layers(case, exposure, trace)
    extras = face_extras(case, own, exposure, trace)
    early = extras.on(own)
    layers = extras.later_on(early, until_years)
    if trace is not None:
        note_later(trace, "zinc", extras.zinc, early.zinc_law, layers.zinc_law)
        note_later(trace, case.protection.base_metal, extras.base, early.base_law, layers.base_law)
    return layers


def face_extras(
    case: FaceCase, layers: FaceLayers, exposure: SiteExposure, trace: Trace | None = None
) -> FaceExtras:
    """What nobler metals beside a face add to its own layers, of each metal that it comes to show."""
    if not case.beside:
        return FaceExtras()

    def contact(metal: str) -> WoodContact | None:
        return None if case.face.touches == "air" else wood_contact(case, metal)

    def added(metal: str, law: TimeLaw, curve: str) -> tuple[ExtraLoss, ...]:
        first_year_um = np.broadcast_to(np.asarray(law.first_year_um, float), (exposure.causes.count,))
        return extra_losses(
            curve,
            first_year_um,
            case.face.touches,
            case.place,
            case.beside,
            exposure,
            lambda: wet_share(case.place, contact(metal), exposure),
            trace,
        )

    has_zinc = bool(np.any(np.asarray(layers.zinc_um) > 0.0))
    return FaceExtras(
        added("zinc", layers.zinc_law, "zinc") if has_zinc else (),
        added(case.protection.base_metal, layers.base_law, metal_once_bare(case.protection)),
    )


def own_layers(case: FaceCase, exposure: SiteExposure, trace: Trace | None = None) -> FaceLayers:
    """Layers and laws of a face by itself, as if no other metal touched it."""
    if trace is not None and case.facing_here is not None:
        note_facing(case.place, case.facing_here, trace)
    own = exposure.causes.lognormal("own_wetness", f"joint:{case.own_key}", 1.0, scatter("own_wetness"))
    base = _law(case, exposure, case.protection.base_metal, trace).scaled(own)
    zinc = case.protection.zinc
    if zinc is None or not (zinc.nominal_um or 0.0):
        nothing = np.zeros(exposure.causes.count)
        bare = FaceLayers(film_years(case, exposure.causes, trace), nothing, replace(base), base)
        return with_spots(case, bare, exposure, trace)
    alloy = alloy_factor(zinc.kind, case.in_air, exposure.causes, trace)
    layers = FaceLayers(
        film_years=film_years(case, exposure.causes, trace),
        zinc_um=_zinc_um(zinc, case.protection.designation, exposure.causes, trace),
        zinc_law=_law(case, exposure, "zinc", trace).scaled(own).scaled(alloy),
        base_law=base,
    )
    return with_spots(case, layers, exposure, trace)


def _law(case: FaceCase, exposure: SiteExposure, metal: str, trace: Trace | None) -> TimeLaw:
    if case.face.touches == "air" and case.contact is not None:
        return contact_law(metal, case.contact, exposure.causes, trace)
    if case.face.touches == "air":
        facing = case.facing_here
        if facing is None:
            return exposure.air_law(metal, case.place, trace)
        return exposure.air_law(metal, case.place, trace, faces=facing.kinds)
    return exposure.wood_law(metal, wood_contact(case, metal), trace)


def wood_contact(case: FaceCase, metal: str) -> WoodContact:
    """Where and how a metal of a face meets its timber: shank or plate, zinc by how it was put on."""
    contact = "shank"
    if case.face.touches == "timber_contact":
        contact = "zinc_coated_plate" if metal == "zinc" else "bare_steel_plate"
    zinc = case.protection.zinc
    process = zinc.process if metal == "zinc" and zinc is not None else ""
    return WoodContact(case.place, case.timber, case.face.trapped, case.rain_from, contact, process)


def _zinc_um(zinc: Layer, designation: str, causes: Causes, trace: Trace | None) -> Array:
    expected = float(zinc.nominal_um or 0.0)
    least = zinc.least_um if zinc.least_um is not None else 0.0
    spread = max((expected - least) / scatter("zinc_least"), scatter("zinc_batch") * expected)
    expected = max(expected, least + scatter("zinc_least") * spread)
    drawn = expected + spread * causes.normal("zinc_batch", f"batch:{designation}")
    note(
        trace,
        "zinc on this face, drawn about the expected thickness",
        "h",
        "h = h_e + s z",
        {"h_e": f"{expected:.3g} um", "least": f"{least:.3g} um", "s": f"{spread:.3g} um"},
        expected,
        "um",
        zinc.source,
        zinc.mark,
    )
    return np.asarray(np.maximum(drawn, scatter("zinc_floor") * expected))
