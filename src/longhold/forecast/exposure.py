"""What the air and the wood of one site do to each metal, drawn once and shared by every joint there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from longhold.air.calibration import calibrated_first_year_loss_um
from longhold.air.dose_response import first_year_loss_um, model_scatter
from longhold.air.long_term import exponent, exponent_mark, straight_after_years
from longhold.air.untold import untold_sd_ln
from longhold.base.trace import Section, Step, Trace, note
from longhold.forecast.causes import Causes
from longhold.forecast.placed import indoor_um, outdoor_um
from longhold.forecast.scatter import passive_rows, scatter
from longhold.metal.laws import TimeLaw
from longhold.model.facing import FaceKind
from longhold.model.protection import BaseMetal
from longhold.model.surroundings import AirLoad, Climate, Place
from longhold.wood.embedded import (
    contact_bands,
    metal_bands,
    saturated_rate_band,
    yearly_loss_um,
)
from longhold.wood.moisture import RainFrom, moisture_states
from longhold.wood.time_laws import law_exponent
from longhold.wood.treatments import Treatment
from longhold.wood.wetting import WettingParameters

__all__ = ["AirLaw", "SiteExposure", "TimberFacts"]

AirLaw = Literal["both", "calibrated", "printed"]

Array = NDArray[np.float64]
_AIR_METAL = {
    "carbon_steel": "carbon_steel",
    "weathering_steel": "carbon_steel",
    "copper": "copper",
    "silicon_bronze": "copper",
    "brass": "copper",
    "aluminium": "aluminium",
    "zinc": "zinc",
}
Metal = BaseMetal | str


_WETTING_CAUSES = {
    "drying_hours": "wetting",
    "rain_hours_per_day": "rain_spells",
    "wet_moisture_pct": "wet_moisture",
    "trap_factor": "trap",
    "side_share": "side_rain",
    "moisture_offset_pct": "moisture_offset",
}


@dataclass(frozen=True)
class TimberFacts:
    """What the metal meets inside one timber.

    Attributes
    ----------
    key : name of the timber, by which joints share its draws
    treatment : what preservative and species do to the rate
    calculation : how that came about
    """

    key: str
    treatment: Treatment
    calculation: tuple[Step | Section, ...]


class SiteExposure:
    """First-year losses at one site, for any metal, place and timber.

    Parameters
    ----------
    causes : the draws
    climate, air_load : of the site
    distance_to_salt_m : [m], None where not known
    temperature_sd_c, humidity_sd_pct : standard deviation of the error of the yearly means; None takes ours
    air_law : the law of ISO 9223 as printed, calibrated (moved to where measured sites stand), or both, each
        in half of the draws
    untold_share : of what may stand near and is not stated, see ``longhold.air.untold``

    Each exposure is computed once and kept, however many joints share it.
    """

    def __init__(
        self,
        causes: Causes,
        climate: Climate,
        air_load: AirLoad,
        distance_to_salt_m: float | None,
        *,
        temperature_sd_c: float | None = None,
        humidity_sd_pct: float | None = None,
        air_law: AirLaw = "both",
        untold_share: float = 0.0,
    ) -> None:
        self._first_year_law = air_law
        self._untold_share = untold_share
        self.causes = causes
        self.climate = climate
        self.air_load = air_load
        self.distance_to_salt_m = distance_to_salt_m
        self._kept: dict[tuple[object, ...], Array] = {}
        mean_temperature, mean_humidity = (
            np.mean(climate.temperature_c),
            np.mean(climate.relative_humidity_pct),
        )
        sd_c, sd_pct = _given(temperature_sd_c, "temperature"), _given(humidity_sd_pct, "humidity")
        self.temperature_c = mean_temperature + sd_c * causes.normal("temperature", "site")
        drawn_pct = mean_humidity + sd_pct * causes.normal("humidity", "site")
        self.humidity_pct = np.clip(drawn_pct, 1.0, 100.0)

    def open_air_um(self, metal: Metal, trace: Trace | None = None) -> Array:
        """First-year loss of bare metal in the open, washed by rain [um], shape (draws,)."""
        name = _AIR_METAL[metal]
        return self._once(("open", name), trace, lambda: self._open_air(name, trace) * self._untold(name))

    def air_law(
        self,
        metal: Metal,
        place: Place,
        trace: Trace | None = None,
        *,
        faces: tuple[FaceKind, ...] = ("open",),
    ) -> TimeLaw:
        """Law of loss of a bare metal in the air of a place, per draw.

        Parameters
        ----------
        faces : how the metal may lie to rain; plays no part indoors and for metals with a film of their own
        """
        if metal == "stainless":
            row = passive_rows()["stainless"]
            rate = self.causes.lognormal("air_model_base", "site", row["first_year_um"], row["sd_ln"])
            note(
                trace,
                row["words"],
                "r",
                "r = r_p",
                {},
                row["first_year_um"],
                "um/yr",
                row["source"],
                row["mark"],
            )
            return TimeLaw(rate, 1.0, np.inf)
        name = _AIR_METAL[metal]
        rate = self._once(
            ("air", name, place.name, faces), trace, lambda: self._air(name, place, faces, trace)
        )
        return TimeLaw(rate, self._air_exponent(name, trace), straight_after_years())

    def wood_law(
        self,
        metal: Metal,
        place: Place,
        timber: TimberFacts,
        *,
        trapped: bool,
        contact: str,
        rain_from: RainFrom = "above",
        trace: Trace | None = None,
    ) -> TimeLaw:
        """Law of loss of a metal in or on the timber of a place, per draw.

        Parameters
        ----------
        trapped : whether water that gets in dries slowly
        rain_from : above or side, as the face that the metal enters lies
        contact : shank, zinc_coated_plate or bare_steel_plate
        """
        key = ("wood", metal, place.name, timber.key, trapped, rain_from, contact)
        rate = self._once(
            key, trace, lambda: self._wood(metal, place, timber, trapped, rain_from, contact, trace)
        )
        return TimeLaw(rate, self._wood_exponent(metal, trace), np.inf)

    def _once(self, key: tuple[object, ...], trace: Trace | None, make: Callable[[], Array]) -> Array:
        if trace is not None or key not in self._kept:
            self._kept[key] = make()
        return self._kept[key]

    def _open_air(self, name: str, trace: Trace | None) -> Array:
        load, causes = self.air_load, self.causes
        chloride = causes.lognormal(
            "chloride", "site", load.chloride_mg_m2_d.median, load.chloride_mg_m2_d.sd_ln
        )
        sulphur = causes.lognormal(
            "sulphur", "site", load.sulphur_dioxide_mg_m2_d.median, load.sulphur_dioxide_mg_m2_d.sd_ln
        )
        given = (self.temperature_c, self.humidity_pct, sulphur, chloride)
        t, rh, so2, cl = (_shown(one, trace) for one in given)
        cause = "air_model_zinc" if name == "zinc" else "air_model_base"
        calibrated = printed = None
        if self._first_year_law != "calibrated":
            fit = model_scatter(name, "rows")
            alone = trace if self._first_year_law == "printed" else None
            law = first_year_loss_um(name, t, rh, so2, cl, trace=alone)
            printed = law * causes.lognormal(cause, "site", fit.median, fit.sd_ln)
        if self._first_year_law != "printed":
            moved = calibrated_first_year_loss_um(name, t, rh, so2, cl, trace=trace)
            calibrated = moved.median_um * np.exp(moved.sd_ln * causes.normal(cause, "site"))
        if printed is None or calibrated is None:
            return np.asarray(printed if calibrated is None else calibrated)
        return np.where(causes.either("air_calibration", "site"), printed, calibrated)

    def _untold(self, name: str) -> Array | float:
        """Factor for what stands near and is not stated; 1 where everything is."""
        sd_ln = untold_sd_ln(name, self._untold_share)
        return self.causes.lognormal("surroundings", "site", 1.0, sd_ln) if sd_ln else 1.0

    def _air(self, name: str, place: Place, faces: tuple[FaceKind, ...], trace: Trace | None) -> Array:
        if place.air_face.startswith("inside"):
            return indoor_um(name, place, self.causes, trace)
        open_air_um = self.open_air_um(name, trace)
        return outdoor_um(open_air_um, place, faces, self.distance_to_salt_m, self.causes, trace)

    def _air_exponent(self, name: str, trace: Trace | None) -> Array:
        mean, cautious = exponent(name, "B1"), exponent(name, "B2")
        b = mean + (cautious - mean) / scatter("exponent_sd") * self.causes.normal("air_exponent", "site")
        note(
            trace,
            "how loss in air slows with age; straight on after 20 years",
            "b",
            "D(t) = r t^b",
            {"B1": f"{mean:g}", "B2": f"{cautious:g}"},
            float(np.median(b)),
            "",
            "iso9224-2012",
            exponent_mark(name, "B1"),
        )
        return np.asarray(np.clip(b, 0.1, 1.0))

    def _wood(
        self,
        metal: Metal,
        place: Place,
        timber: TimberFacts,
        trapped: bool,
        rain_from: RainFrom,
        contact: str,
        trace: Trace | None,
    ) -> Array:
        at = self.causes.normal
        wetting = WettingParameters.at(
            {name: _states(at(cause, "site"), trace) for name, cause in _WETTING_CAUSES.items()}
        )
        states = moisture_states(
            self.climate, place, trapped=trapped, rain_from=rain_from, wetting=wetting, trace=trace
        )
        sets = np.where(self.causes.either("wood_moisture_set", "structure"), "early_plateau", "late_plateau")
        if trace is not None:
            trace.extend(timber.calculation)
        species = timber.treatment.species_factor
        rate = yearly_loss_um(
            states,
            metal,
            rate_set=str(sets[0]) if trace else sets[:, None],
            treatment_multiplier=_states(
                timber.treatment.multiplier.at(at("treatment", f"timber:{timber.key}")), trace
            ),
            retention_factor=timber.treatment.retention_factor,
            species_factor=(
                1.0 if species is None else _states(species.at(at("acidity", f"timber:{timber.key}")), trace)
            ),
            contact_factor=_states(contact_bands()[contact].at(at("contact", "structure")), trace),
            saturated_rate_um_yr=_states(saturated_rate_band().at(at("wood_rate", "structure")), trace),
            metal_factor=_states(metal_bands()[metal].at(at("metal_in_wood", f"metal:{metal}")), trace),
            trace=trace,
        )
        return np.atleast_1d(rate)

    def _wood_exponent(self, metal: Metal, trace: Trace | None) -> Array:
        linear, _, _ = law_exponent("linear", metal)
        power, source, mark = law_exponent("power", metal)
        chosen = self.causes.either("wood_time_law", "structure")
        note(
            trace,
            "how loss in wood goes on: two laws, each drawn in half of the draws (linear shown)",
            "n",
            "D(t) = r t^n",
            {"linear": f"{linear:g}", "power": f"{power:g}"},
            linear,
            "",
            source,
            mark,
        )
        return np.where(chosen, power, linear)


def _given(value: float | None, name: str) -> float:
    return scatter(name) if value is None else value


def _shown(values: Array, trace: Trace | None) -> Array | float:
    return float(values[0]) if trace is not None else values


def _states(values: Array, trace: Trace | None) -> Array | float:
    """One column for each draw, or the single middle value where the calculation is recorded."""
    return float(values[0]) if trace is not None else values[:, None]
