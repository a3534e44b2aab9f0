"""Draws by cause: what joints share is drawn once, what is a joint's own is drawn from its stable id."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

__all__ = ["CAUSE_WORDS", "CauseKey", "Causes", "Learned", "MiddleCauses"]

Array = NDArray[np.float64]
CauseKey = tuple[str, str]
"""A cause and the scope that shares its draw."""

CAUSE_WORDS: Mapping[str, str] = {
    "temperature": "the site's mean temperature",
    "humidity": "the site's mean humidity",
    "chloride": "sea salt in the air",
    "sulphur": "sulphur dioxide in the air",
    "surroundings": "what stands near and is not stated",
    "air_model_zinc": "how well the air law fits zinc here",
    "air_model_base": "how well the air law fits the base metal here",
    "air_calibration": "whether the air law runs low here as it does at measured sites",
    "air_exponent": "how loss in air slows with age",
    "shelter": "what shelter from rain does to salt",
    "wood_rate": "how fast wet treated wood takes metal",
    "treatment": "what this preservative adds to the loss",
    "acidity": "the acidity of this wood",
    "metal_in_wood": "how this metal fares in wood beside steel",
    "wood_moisture_set": "at what moisture loss in wood begins",
    "wood_temperature": "whether loss in wood follows its temperature",
    "wood_time_law": "whether loss in wood slows with age",
    "wood_diffusion": "how fast water moves in this wood",
    "wood_uptake": "how fast this wood takes up rain",
    "wood_drying": "how fast wet wood dries into the air",
    "wood_runs": "what a few simulated years leave open",
    "finish": "what the oil finish keeps out",
    "zinc_process": "how plated zinc fares in wood beside hot-dip zinc",
    "rain_spells": "how long it rains on a rainy day",
    "trap": "how long trapped faces stay wet",
    "side_rain": "how much rain reaches upright faces",
    "wet_moisture": "how wet the wood gets",
    "moisture_offset": "the moisture of sheltered wood",
    "contact": "contact of sheet with wet wood",
    "couple_reach": "how far metals reach each other through a film of water",
    "couple_current": "how much oxygen a nobler metal takes up in the air",
    "couple_wood_reach": "how far metals reach each other through wet wood",
    "couple_wood_current": "how much a nobler metal takes up in wood",
    "sheet_mode": "which way the sheet part gives way",
    "zinc_batch": "zinc really on the part",
    "film_life": "life of the topcoat",
    "undercut": "how fast a topcoat comes loose about bare spots",
    "soil": "how fast this soil takes metal",
    "duplex": "what paint and zinc gain from each other",
    "zinc_alloy": "how this zinc alloy fares beside zinc",
    "own_wetness": "this joint's own wetness",
    "gauge": "how true the gauge reads",
}


@dataclass
class Causes:
    """Standard normal draws of each named cause, made once and kept.

    Parameters
    ----------
    seed : of the whole assessment
    count : number of draws

    A draw depends on seed, cause and scope only, never on the order of joints or calls.

    >>> a, b = Causes(1, 4), Causes(1, 4)
    >>> _ = b.normal("wood_rate", "joint:other")
    >>> bool((a.normal("chloride", "site") == b.normal("chloride", "site")).all())
    True
    """

    seed: int
    count: int
    _drawn: dict[CauseKey, Array] = field(default_factory=dict, repr=False)

    def normal(self, cause: str, scope: str) -> Array:
        """Standard normal draws of a cause in a scope ("site", "batch:G90", "joint:A1"), shape (count,)."""
        if cause not in CAUSE_WORDS:
            raise KeyError(cause)
        key = (cause, scope)
        if key not in self._drawn:
            digest = hashlib.sha256(f"{cause}|{scope}".encode()).digest()
            entropy = [self.seed, *np.frombuffer(digest, dtype=np.uint32).tolist()]
            generator = np.random.default_rng(np.random.SeedSequence(entropy))
            self._drawn[key] = generator.standard_normal(self.count)
        return self._drawn[key]

    def lognormal(self, cause: str, scope: str, median: float, sd_ln: float) -> Array:
        """Positive draws around a median with a standard deviation of the logarithm."""
        return np.asarray(median * np.exp(sd_ln * self.normal(cause, scope)))

    def between(self, cause: str, scope: str, low: float, high: float, median: float | None = None) -> Array:
        """Draws between two bounds: half of them evenly below the median, half evenly above it.

        Without a median they are spread evenly over the whole.
        """
        half_way = (low + high) / 2.0 if median is None else median
        return np.asarray(np.interp(ndtr(self.normal(cause, scope)), (0.0, 0.5, 1.0), (low, half_way, high)))

    def either(self, cause: str, scope: str, share: float = 0.5) -> NDArray[np.bool_]:
        """True in a share of the draws: a choice between two named alternatives."""
        return np.asarray(ndtr(self.normal(cause, scope)) < share)

    @property
    def used(self) -> Mapping[CauseKey, Array]:
        """Every draw made so far, by (cause, scope)."""
        return self._drawn


class MiddleCauses(Causes):
    """Every cause at its middle value, one draw: the run whose calculation is printed.

    Parameters
    ----------
    learned : middle values that readings moved; every other cause is at zero
    """

    def __init__(self, learned: Mapping[CauseKey, float] | None = None) -> None:
        super().__init__(seed=0, count=1)
        self._learned = dict(learned or {})

    def normal(self, cause: str, scope: str) -> Array:
        """Zero for every cause, or where readings moved it."""
        super().normal(cause, scope)
        return np.full(1, self._learned.get((cause, scope), 0.0))


@dataclass(frozen=True)
class Learned:
    """What readings leave of the causes that they bear on.

    Attributes
    ----------
    draws : standard normal before the readings, here as the readings leave it, each of shape (count,); rows
        belong together
    own_keys : joint id -> key of the draws that are its own, for joints that a reading tells from their like
    """

    draws: Mapping[CauseKey, Array]
    own_keys: Mapping[str, str]

    @property
    def count(self) -> int:
        """Number of draws."""
        return len(next(iter(self.draws.values())))

    def causes(self, seed: int) -> Causes:
        """These draws, with those of every other cause as the seed gives them."""
        return Causes(seed, self.count, dict(self.draws))

    def middle(self) -> MiddleCauses:
        """The median of each, alone."""
        return MiddleCauses({key: float(np.median(drawn)) for key, drawn in self.draws.items()})
