"""Boards in the weather of built-in stations, simulated hour by hour, for rows of decks."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.base.recent import once
from longhold.validate.area import UnansweredError
from longhold.wood.taken import plate_mm

if TYPE_CHECKING:
    from longhold.air.climates import Station
    from longhold.model.weather import HourlyWeather, SiteWeather
    from longhold.wood.timber_runs import Situation

__all__ = ["Deck", "deck", "decks_named", "even_and_clustered", "in_clusters"]

Array = NDArray[np.float64]

# the two decks whose figures are published each by itself; they stand for rows about many cities
_KNOWN_DECKS = ("Hilo", "Phoenix")
# a nominal 2 by 6 of southern pine; where rain is moved into every fourth rainy day (own)
_BOARD_MM, _SPECIES, _EVERY = 38.1, "southern pine (loblolly)", 4
_CORRODES_ABOVE_SHARE = 0.1
_SEED = 1


@dataclass(frozen=True, eq=False)
class Deck:
    """What metal across a board meets, at the middle of what is not known.

    Attributes
    ----------
    place : in words
    depth_mm : from the face that the metal enters [mm]
    share : set of the moisture response -> share of the saturated rate at each depth [-]
    """

    place: str
    depth_mm: Array
    share: Mapping[str, Array]

    def worst_share(self, name: str, *, plate: bool = False) -> float:
        """Share of the saturated rate at the worst depth; under a plate, of the wood next to the face."""
        share = self.share[name]
        return float(share[self.depth_mm <= plate_mm()].mean() if plate else share.max())

    def worst_depth_mm(self, name: str) -> float:
        """Depth below the face at which the loss is largest [mm]."""
        return float(self.depth_mm[self.share[name].argmax()])

    def corroding_length_mm(self, name: str) -> float:
        """Depth beyond which less than a tenth of the worst loss remains [mm]; our own choice."""
        share = self.share[name]
        return float(self.depth_mm[share >= _CORRODES_ABOVE_SHARE * share.max()].max())


def decks_named(words: str, *, anywhere: bool = False) -> tuple[str, ...]:
    """Built-in stations whose weather a row is about; two published decks stand for several cities.

    Parameters
    ----------
    words : of the row
    anywhere : whether these two also stand for a row that names no place

    >>> decks_named("deck; Hilo HI"), decks_named("deck; 9 US cities")
    (('Hilo',), ('Hilo', 'Phoenix'))

    Raises
    ------
    UnansweredError : where it names no one place, and no decks of several cities
    """
    from longhold.air.climates import stations

    cities = {one.name: re.sub(r" [A-Z]{2}$", "", one.name) for one in stations()}
    named = [name for name, city in cities.items() if re.search(rf"\b{re.escape(city)}\b", words)]
    if len(named) == 1:
        return (named[0],)
    if not named and re.search(r"\bdecks?\b", words) and (anywhere or re.search(r"\bcities\b", words)):
        return _KNOWN_DECKS
    raise UnansweredError("names no one place whose weather is held")


@once
def deck(name: str, situation: Situation) -> Deck:
    """The board in the weather of a built-in station: 32 runs of two generated years, kept between sessions.

    Parameters
    ----------
    name : of the station
    situation : how rain reaches the face that the metal enters
    """
    from longhold.base.kept import KeptArrays, default_folder
    from longhold.forecast.wood_runs import TimberKind, WoodRuns

    runs = WoodRuns(_site(name), KeptArrays(default_folder()))
    surfaces = runs.surfaces(TimberKind(_BOARD_MM, _gravity(), situation))
    middle = np.zeros((1, len(surfaces.causes)))
    share = {one: surface.at(middle)[0] for one, surface in surfaces.responses.items()}
    return Deck(_station(name).place, surfaces.depth_mm, share)


def even_and_clustered(name: str) -> Mapping[str, tuple[float, float]]:
    """Worst share of the saturated rate with rain as it falls, and with the same rain in clusters, by set."""
    from longhold.air.weather_generator import generate_weather
    from longhold.wood.faces import face_exposure
    from longhold.wood.simulation import MoistureCase, simulate_many
    from longhold.wood.transport import WoodSection

    year = generate_weather(_site(name), 1, np.random.default_rng(_SEED))
    board = WoodSection(_BOARD_MM / 1000.0, _gravity())
    top, low = face_exposure("open_above"), face_exposure("under_cover")
    cases = [MoistureCase(board, top, low, weather=at) for at in range(2)]
    even, clustered = simulate_many(cases, [year, in_clusters(year)])
    return {
        one: (float(even.response[one].max()), float(clustered.response[one].max())) for one in even.response
    }


def in_clusters(weather: HourlyWeather) -> HourlyWeather:
    """The same rain, hour by hour of the day, moved into every fourth rainy day."""
    assert weather.rain_mm is not None  # noqa: S101  stations have rain
    daily = weather.rain_mm.reshape(-1, 24)
    rainy = np.flatnonzero(daily.sum(axis=1))
    moved = np.zeros_like(daily)
    for first in range(0, rainy.size, _EVERY):
        moved[rainy[first]] = daily[rainy[first : first + _EVERY]].sum(axis=0)
    rain = moved.ravel()
    return replace(weather, rain_mm=rain, wet=rain > 0.0)


def _station(name: str) -> Station:
    from longhold.air.climates import stations

    return next(one for one in stations() if one.name == name)


def _site(name: str) -> SiteWeather:
    from longhold.air.climates import station
    from longhold.air.weather import site_weather

    found = _station(name)
    return site_weather(station(name), found.latitude, found.longitude)


def _gravity() -> float:
    from longhold.wood.species import find_species

    gravity = find_species(_SPECIES).gravity
    assert gravity is not None  # noqa: S101  the table holds this one
    return gravity
