"""What the air of one site does to bare metal over the years, face by face, and which input matters."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.air.metals import METALS
from longhold.air.weather import wetness_hours
from longhold.air.weather_generator import generate_weather
from longhold.assessment.findings import Assumption, SiteFinding
from longhold.assessment.located import LocatedSite, locate
from longhold.assessment.shore import shore_finding
from longhold.assessment.site import AIR_MODELS, site_exposure, site_finding
from longhold.assessment.used import air_sources_used
from longhold.base.marks import Mark
from longhold.base.sources import Source
from longhold.base.tables import load_toml
from longhold.base.trace import Section, Trace
from longhold.base.version import VERSION
from longhold.forecast.causes import CAUSE_WORDS, Causes, MiddleCauses
from longhold.forecast.exposure import AirLaw, SiteExposure
from longhold.forecast.summary import Band, Curve, band_of, curve_of
from longhold.forecast.variance import VarianceShare, variance_shares
from longhold.model.site import Site
from longhold.model.surroundings import Place, places

__all__ = ["AirFinding", "PlaceLoss", "assess_air"]

Array = NDArray[np.float64]
_LAW_FIT = {"air_model_zinc", "air_calibration"}
_RANKED = ("temperature", "humidity", "chloride", "sulphur", *sorted(_LAW_FIT))
_UNTOLD = "surroundings"
_RANKING_DRAWS = 4096
_GENERATED_YEARS = 5
_AGES = 31


@dataclass(frozen=True)
class PlaceLoss:
    """Loss of one bare metal in one place of the structure.

    Attributes
    ----------
    place, metal : which
    first_year_um : loss in the first year [um]
    curve : depth lost against age [um]
    calculation : what the place adds to that of open air, with middle values put in
    """

    place: Place
    metal: str
    first_year_um: Band
    curve: Curve
    calculation: Section


@dataclass(frozen=True)
class AirFinding:
    """The answer for the air of one site.

    Attributes
    ----------
    described : the site as described
    site : weather, salt, sulphur, first-year losses and categories
    losses : by place and metal
    zinc_um, zinc_years : a depth of zinc [um], about one face of G90 sheet, and how long it lasts in the open
    wetness_hours : hours a year above 80 % humidity and 0 deg C, from generated hourly weather
    wet_hours : hours a year in which rain falls; None where no rain is known
    ranking : share of the variance of ln(zinc life in the open) by input, largest first
    narrows_most : the sentence that says what to measure
    assumptions : what was taken on the way
    version, seed, draws, air_law : what is needed to repeat it
    models : laws that were used, in words
    sources : every source that a number came from, with the marks it was used under
    """

    described: Site
    site: SiteFinding
    losses: tuple[PlaceLoss, ...]
    zinc_um: float
    zinc_years: Band
    wetness_hours: float
    wet_hours: float | None
    ranking: tuple[VarianceShare, ...]
    narrows_most: str
    assumptions: tuple[Assumption, ...]
    version: str
    seed: int
    draws: int
    air_law: AirLaw
    models: tuple[str, ...]
    sources: tuple[tuple[Source, tuple[Mark, ...]], ...]


def assess_air(
    site: Site, *, draws: int = 2000, seed: int = 1, years: float = 50.0, air_law: AirLaw = "both"
) -> AirFinding:
    """What the air at a site does to bare steel, zinc, copper and aluminium.

    Parameters
    ----------
    site : a position is enough; whatever else it gives overrides what is found from the position
    draws, seed, air_law : as in ``assess``
    years : ages that the curves cover [years]

    Raises
    ------
    InputError : for a position that is none, and whatever the site lacks
    """
    located = locate(site)
    causes = Causes(seed, draws)
    exposure = site_exposure(located, causes, air_law)
    middle = site_exposure(located, MiddleCauses(), air_law)
    finding = site_finding(located, exposure, middle, shore_finding(site, located))
    losses = tuple(_losses(exposure, middle, finding.calculation, _ages(years)))
    zinc = exposure.air_law("zinc", places()["open_to_rain"])
    hourly = generate_weather(located.weather, _GENERATED_YEARS, np.random.default_rng(seed))
    ranking = _ranking(located, air_law, seed)
    return AirFinding(
        described=site,
        site=finding,
        losses=losses,
        zinc_um=_ranked_zinc_um(),
        zinc_years=band_of(zinc.years_to(_ranked_zinc_um())),
        wetness_hours=wetness_hours(hourly),
        wet_hours=None if hourly.wet is None else float(hourly.wet.sum()) / _GENERATED_YEARS,
        ranking=ranking,
        narrows_most=_narrows_most(ranking, located),
        assumptions=located.assumptions,
        version=VERSION,
        seed=seed,
        draws=draws,
        air_law=air_law,
        models=AIR_MODELS[air_law],
        sources=air_sources_used(finding, [one.calculation for one in losses]),
    )


def _losses(exposure: SiteExposure, middle: SiteExposure, told: Section, ages: Array) -> Iterator[PlaceLoss]:
    known = {repr(step) for step in told.steps()}
    for place in places().values():
        if not place.computed or place.name == "ground_contact":
            continue
        for metal in METALS:
            law = exposure.air_law(metal, place)
            rate = np.asarray(law.first_year_um)
            grown = rate[:, None] * _multiplier(law.exponent, law.straight_after_years, ages)
            trace = Trace(f"{metal.replace('_', ' ')}, {place.words}")
            middle.air_law(metal, place, trace)
            added = [one for one in trace.root.parts if repr(one) not in known]
            calculation = Section(trace.root.title, added)
            yield PlaceLoss(place, metal, band_of(rate), curve_of(ages, grown), calculation)


def _ages(years: float) -> Array:
    """Ages for the curves, closer together where loss bends."""
    return np.asarray(years * np.linspace(0.0, 1.0, _AGES) ** 2)


def _multiplier(exponent: object, straight_after_years: float, ages: Array) -> Array:
    from longhold.metal.laws import TimeLaw

    b = np.atleast_1d(np.asarray(exponent, float))[:, None]
    return TimeLaw(1.0, b, straight_after_years).loss_um(ages[None, :])


def _ranking(located: LocatedSite, air_law: AirLaw, seed: int) -> tuple[VarianceShare, ...]:
    ranked = (*_RANKED, _UNTOLD) if located.untold.share else _RANKED

    def draw(stream: int) -> Array:
        return np.random.default_rng([seed, stream]).standard_normal((_RANKING_DRAWS, len(ranked)))

    def ln_life(z: Array) -> Array:
        causes = _Chosen(dict(zip(ranked, z.T, strict=True)), len(z))
        law = site_exposure(located, causes, air_law).air_law("zinc", places()["open_to_rain"])
        return np.log(law.years_to(_ranked_zinc_um()))

    return variance_shares(ranked, ln_life, draw)


class _Chosen(Causes):
    """Named causes at chosen values, every other at its middle."""

    def __init__(self, chosen: Mapping[str, Array], count: int) -> None:
        super().__init__(seed=0, count=count)
        self._chosen = chosen

    def normal(self, cause: str, scope: str) -> Array:  # noqa: ARG002  the scope does not matter here
        return self._chosen.get(cause, np.zeros(self.count))


def _narrows_most(ranking: tuple[VarianceShare, ...], located: LocatedSite) -> str:
    shares = {one.name: one.with_others for one in ranking}
    # what is not stated is not measured as such: it goes with the salt and sulphur that it acts through
    left, untold = located.untold, shares.pop(_UNTOLD, 0.0)
    taken = {"chloride": left.salt_share, "sulphur": left.sulphur_share}
    won = {
        name: share + untold * taken.get(name, 0.0) / (left.share or 1.0)
        for name, share in shares.items()
        if name not in _LAW_FIT
    }
    best = max(won, key=lambda name: won[name])
    words = f"{CAUSE_WORDS[best]} ({_percent(won[best])} of the spread)"
    if best == "sulphur" and not located.setting_stated:
        words += ", or to begin with stating whether the setting is rural, urban or industrial,"
    if ranking[0].name not in _LAW_FIT:
        return f"Measuring {words} would narrow the life most."
    fit = _percent(sum(share for name, share in shares.items() if name in _LAW_FIT))
    return (
        f"How well the law fits this place makes {fit} of the spread, which only a plate exposed here "
        f"for a year would narrow. Of what can be measured sooner, {words} would narrow the life most."
    )


def _percent(share: float) -> str:
    return f"{100 * min(share, 1.0):.0f} %"


def _ranked_zinc_um() -> float:
    """Coat whose life the ranking explains [um]."""
    return float(load_toml("assessment/told.toml")["ranking"]["zinc_um"])
