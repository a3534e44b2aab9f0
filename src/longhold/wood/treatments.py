"""What treatment and species of a timber do to the loss rate of metal in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.marks import Mark, weakest
from longhold.base.tables import load_toml
from longhold.base.trace import Trace, note
from longhold.wood.bands import Band, load_bands
from longhold.wood.checks import checked
from longhold.wood.modifications import Modification, modification_bands, modified_multiplier
from longhold.wood.preservatives import (
    Preservative,
    copper_kg_m3,
    find_preservative,
    reference_copper_kg_m3,
)
from longhold.wood.species import Species, find_species

__all__ = ["Treatment", "retention_factor", "treatment", "treatment_bands"]

_ACID_MATTERS = frozenset({"none", "borate", "organic"})
_MOST_COPPER_KG_M3 = 400.0


@dataclass(frozen=True)
class Treatment:
    """A timber as the metal in it meets it.

    Attributes
    ----------
    preservative, species : as found
    multiplier : rate of steel against CCA [-], with its band; see ``multiplier_for``
    copper_kg_m3 : copper in the treated zone [kg/m3]; zero without copper, None where retention is not known
    retention_factor : factor for more or less copper than the multiplier refers to [-]
    species_factor : factor for acidity of the species, with its band; None where it is 1
    assumed : what had to be assumed: the field of the timber that would settle it, and words for people
    mark : weakest mark that went in
    modification : heat_treated, acetylated or None
    finish_factor : factor for an oil finish, with its band; None without one, or where it earns no credit
    """

    preservative: Preservative
    species: Species
    multiplier: Band
    copper_kg_m3: float | None
    retention_factor: float
    species_factor: Band | None
    assumed: tuple[tuple[str, str], ...]
    mark: Mark
    modification: Modification | None = None
    finish_factor: Band | None = None

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What had to be assumed, for the person to read."""
        return tuple(words for _, words in self.assumed)

    def multiplier_for(self, metal: str) -> Band:
        """Rate of one metal in this timber against CCA [-]: only in modified wood do metals differ.

        >>> treatment("none", "white ash", modification="heat_treated").multiplier_for("zinc").median
        1.25
        """
        return _multiplier(self.preservative, self.modification, metal)


def treatment_bands() -> Mapping[str, Band]:
    """Multiplier on the rate of an embedded shank by family, against CCA = 1 (all own).

    >>> treatment_bands()["ACQ"].shown()
    '2'
    """
    return load_bands("treatments")


def retention_factor(copper_kg_m3: ArrayLike, reference_copper_kg_m3: ArrayLike) -> NDArray[np.float64]:
    """Factor on the rate for the copper in the wood.

    q = (Cu / Cu_ref)^0.5, kept between 0.5 and 2.

    Parameters
    ----------
    copper_kg_m3 : copper in the treated zone [kg/m3], zero or more
    reference_copper_kg_m3 : copper to which the multiplier refers [kg/m3], more than zero

    Returns
    -------
    factor [-]

    Raises
    ------
    InputError : out of range

    Notes
    -----
    That the rate probably rises with loading is read; exponent and limits are ours (source ``own``).

    >>> float(retention_factor(4.0, 1.0)), float(retention_factor(100.0, 1.0))
    (2.0, 2.0)
    """
    rule = load_toml("wood/rate_rules.toml")["retention"]
    copper = checked("copper_kg_m3", copper_kg_m3, 0.0, _MOST_COPPER_KG_M3, "kg/m3")
    reference = checked("reference_copper_kg_m3", reference_copper_kg_m3, 1e-6, _MOST_COPPER_KG_M3, "kg/m3")
    return np.asarray(np.clip((copper / reference) ** rule["exponent"], rule["least"], rule["most"]))


def treatment(
    preservative: str,
    species: str,
    *,
    retention_kg_m3: float | None = None,
    use_category: str | None = None,
    modification: Modification | None = None,
    oiled: bool = False,
    where: str = "timber",
    trace: Trace | None = None,
) -> Treatment:
    """Everything about a timber that multiplies the loss rate of metal in it.

    Parameters
    ----------
    preservative : any name that ``find_preservative`` knows
    species : any name that ``find_species`` knows
    retention_kg_m3 : retention on the end tag [kg/m3]; comes before the use category
    use_category : AWPA use category, whose listed retention stands in
    modification : "heat_treated" or "acetylated" wood; None for wood as grown
    oiled : whether the timber has an oil finish
    where : path inside the input, for refusals
    trace : records the factors

    Returns
    -------
    multiplier, retention factor and species factor, with what was assumed. Without retention and use category
    the retention factor is 1: midway between above-ground and ground-contact wood

    Raises
    ------
    InputError : a name not known, a retention out of range or not listed

    >>> deck = treatment("ACQ-D", "southern pine", use_category="UC4A")
    >>> deck.multiplier.median, round(deck.retention_factor, 2), deck.assumptions
    (2.0, 1.28, ())
    """
    found = find_preservative(preservative, where=f"{where}.preservative")
    wood = find_species(species, where=f"{where}.species")
    assumed = [("preservative", words) for words in found.assumptions]
    copper, factor, marks = _copper(found, retention_kg_m3, use_category, where, assumed)
    multiplier = _multiplier(found, modification, "carbon_steel")
    acid = _acid(found, wood, assumed) if modification is None else None
    finish = _finish(found, modification, assumed) if oiled else None
    if modification is not None:
        assumed.append(("modification", _of_modified(found, modification)))
    result = Treatment(
        preservative=found,
        species=wood,
        multiplier=multiplier,
        copper_kg_m3=copper,
        retention_factor=factor,
        species_factor=acid,
        assumed=tuple(assumed),
        mark=weakest([found.mark, wood.mark, multiplier.mark, *marks]),
        modification=modification,
        finish_factor=finish,
    )
    _note(trace, result)
    return result


def _copper(
    found: Preservative,
    retention_kg_m3: float | None,
    use_category: str | None,
    where: str,
    assumed: list[tuple[str, str]],
) -> tuple[float | None, float, list[Mark]]:
    reference = reference_copper_kg_m3(found)
    if reference is None:
        return 0.0, 1.0, []
    marks = []
    if retention_kg_m3 is None:
        if use_category is None:
            words = (
                f"retention of {found.abbreviation} is not known: "
                "taken midway between above ground and ground contact"
            )
            assumed.append(("retention", words))
            return None, 1.0, []
        listed = found.retention(use_category, where=f"{where}.use_category")
        retention_kg_m3 = listed.kg_m3
        marks.append(listed.mark)
        if listed.words:
            assumed.append(("retention", f"{found.abbreviation} in {use_category}: {listed.words}"))
    copper = float(copper_kg_m3(found, retention_kg_m3=retention_kg_m3))
    return copper, float(retention_factor(copper, reference)), marks


def _multiplier(found: Preservative, modification: Modification | None, metal: str) -> Band:
    """The multiplier of preservative or modification; of both, the larger."""
    treated = treatment_bands()[found.family]
    if modification is None:
        return treated
    modified = modified_multiplier(modification, metal)
    return modified if found.family == "none" else max(treated, modified, key=lambda band: band.median)


def _of_modified(found: Preservative, modification: Modification) -> str:
    words = f"what {modification.replace('_', '-')} wood does to metal stands for any species"
    if found.family == "none":
        return words
    return f"{words}; with {found.abbreviation} in it too, the larger of the two multipliers is taken"


def _acid(found: Preservative, wood: Species, assumed: list[tuple[str, str]]) -> Band | None:
    without_copper = found.family in _ACID_MATTERS
    if not (without_copper or (found.contains_copper and wood.adds_to_copper)):
        return None
    band = wood.acid_band
    if band is None:
        words = f"what the acidity of {wood.name} does to metal is not judged: taken as in pine"
        assumed.append(("species", words))
        return None
    if band.p05 == band.p95 == 1.0:
        return None
    return band if without_copper else _added(found, wood, band)


def _added(found: Preservative, wood: Species, band: Band) -> Band:
    """Extractives beside copper: what they add to the loss in untreated wood is added here too."""
    bands = treatment_bands()
    share = bands["none"].median / bands[found.family].median
    median, p05, p95 = (1.0 + share * (value - 1.0) for value in (band.median, band.p05, band.p95))
    words = f"extractives of {wood.name} add to the loss by {found.abbreviation}"
    return replace(band, name=f"{band.name} beside copper", median=median, p05=p05, p95=p95, words=words)


def _finish(
    found: Preservative, modification: Modification | None, assumed: list[tuple[str, str]]
) -> Band | None:
    if found.contains_copper:
        words = "an oil finish on copper-treated wood gets no credit: nothing is read about it"
        assumed.append(("oiled", words))
        return None
    if modification != "heat_treated":
        words = "what an oil finish does is read for heat-treated wood only; taken as the same here"
        assumed.append(("oiled", words))
    return modification_bands()["oiled"]


def _note(trace: Trace | None, result: Treatment) -> None:
    copper = "not known" if result.copper_kg_m3 is None else f"{result.copper_kg_m3:.3g} kg/m3"
    acid, finish = result.species_factor, result.finish_factor
    kind = f"{(result.modification or '').replace('_', '-')} {result.species.name}".strip()
    given = {
        "p": result.multiplier.shown(),
        "Cu": copper,
        "q": f"{result.retention_factor:.3g}",
        "s": "1" if acid is None else acid.shown(),
    }
    if finish is not None:
        given["f"] = finish.shown()
    note(
        trace,
        f"factor of {result.preservative.name} in {kind}, against CCA",
        "p q s f" if finish else "p q s",
        "p of the family or modification, q = (Cu/Cu_ref)^0.5 between 0.5 and 2, s of the species"
        + (", f of the oil finish" if finish else ""),
        given,
        result.multiplier.median
        * result.retention_factor
        * (acid.median if acid else 1.0)
        * (finish.median if finish else 1.0),
        "-",
        "own",
        Mark.OWN,
        "; ".join(result.assumptions),
    )
