"""What the air and the wood of one site do to each metal, drawn once and shared by every joint there."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Literal, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from longhold.air.calibration import calibrated_first_year_loss_um
from longhold.air.dose_response import first_year_loss_um, model_scatter
from longhold.air.long_term import exponent, exponent_mark, straight_after_years
from longhold.air.untold import untold_sd_ln
from longhold.air.weather import site_weather
from longhold.base.tables import load_toml
from longhold.base.trace import Trace, note
from longhold.forecast.causes import Causes
from longhold.forecast.placed import indoor_um, outdoor_um
from longhold.forecast.scatter import passive_rows, scatter
from longhold.forecast.wood_rate import WoodContact, wood_rate_um
from longhold.forecast.wood_runs import WoodRuns
from longhold.metal.laws import TimeLaw
from longhold.model.facing import FaceKind
from longhold.model.protection import BaseMetal
from longhold.model.surroundings import AirLoad, Climate, Place
from longhold.wood.time_laws import law_exponent

__all__ = ["AirLaw", "SiteExposure"]

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
_Made = TypeVar("_Made")
_COUPLES_KEPT = 512  # some 100 kB each with 2000 draws


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
    wood_runs : simulated timbers of the site; None simulates from the climate's months

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
        wood_runs: WoodRuns | None = None,
    ) -> None:
        self._shares: dict[tuple[object, ...], Array] = {}
        self.wood_runs = wood_runs or WoodRuns(site_weather(climate))
        self._first_year_law = air_law
        self._untold_share = untold_share
        self.causes = causes
        self.climate = climate
        self.air_load = air_load
        self.distance_to_salt_m = distance_to_salt_m
        self._kept: dict[tuple[object, ...], Array] = {}
        self._couples: OrderedDict[Hashable, object] = OrderedDict()
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

    def wood_law(self, metal: Metal, contact: WoodContact, trace: Trace | None = None) -> TimeLaw:
        """Law of loss of a metal in or on the timber of a place, per draw."""
        rate = self._once(
            ("wood", metal, *contact.key),
            trace,
            lambda: wood_rate_um(
                metal, contact, self.climate, self.wood_runs, self.causes, self._shares, trace
            ),
        )
        return TimeLaw(rate, self._wood_exponent(metal, trace), np.inf)

    def couple_once(self, key: Hashable, make: Callable[[], _Made]) -> _Made:
        """What joined metals do at this site, solved once for all joints; those asked for last are kept.

        Parameters
        ----------
        key : all that it depends on besides this site and its draws
        make : solves it
        """
        if key not in self._couples:
            self._couples[key] = make()
            if len(self._couples) > _COUPLES_KEPT:
                self._couples.popitem(last=False)
        self._couples.move_to_end(key)
        return cast(_Made, self._couples[key])

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
        held = load_toml("forecast/limits.toml")["air_exponent"]
        return np.asarray(np.clip(b, held["least"], held["most"]))

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
