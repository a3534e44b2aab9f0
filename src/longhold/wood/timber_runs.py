"""A few simulated timbers that span what is not known, and smooth surfaces through what they found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from longhold.base.tables import load_toml
from longhold.model.weather import HourlyWeather
from longhold.wood.faces import FaceExposure, face_bands, face_exposure
from longhold.wood.response import activation_energy_band, rate_sets
from longhold.wood.simulation import MoistureCase, MoistureRun, simulate_many
from longhold.wood.surface import Surface, fit_surface
from longhold.wood.transport import WoodSection, transport_band

__all__ = [
    "RUNS",
    "RUN_YEARS",
    "SITUATION_WORDS",
    "WEATHER_CAUSES",
    "Situation",
    "TimberSurfaces",
    "design_causes",
    "driven_rain",
    "end_grain_length_mm",
    "timber_case",
    "timber_surfaces",
]

Array = NDArray[np.float64]

Situation = Literal["level", "upright", "covered", "trapped_level", "trapped_upright"]
RUNS = 32
RUN_YEARS = 2
_SIDE_SEED = 7
_CELLS = 32  # a hundredth from the answer of 48 at the worst depth
WEATHER_CAUSES = ("moisture_offset", "rain_spells")
"""Causes that work through the weather; first in every design, so that timbers of one site share theirs."""
_TIMBER_CAUSES = ("wood_diffusion", "wood_uptake", "wood_drying")
_FACES: Mapping[Situation, tuple[str, str]] = {
    "level": ("open_above", "under_cover"),
    "upright": ("open_side", "under_cover"),
    "covered": ("under_cover", "under_cover"),
    "trapped_level": ("trapped", "under_cover"),
    "trapped_upright": ("trapped_upright", "under_cover"),
}
SITUATION_WORDS: Mapping[Situation, str] = {
    "level": "rain on the level face that the metal enters",
    "upright": "rain driven against its upright faces",
    "covered": "no rain on it",
    "trapped_level": "rain held between level faces pressed together",
    "trapped_upright": "rain held between upright faces pressed together",
}
_UPRIGHT: tuple[Situation, ...] = ("upright", "trapped_upright")
_OF_FACE = {"trapped": "trap", "trapped_upright": "trap"}
_WETTER = ("catch_share", "keeps_mm")


@dataclass(frozen=True, eq=False)
class TimberSurfaces:
    """What metal across one timber meets, as a smooth function of what is not known.

    Attributes
    ----------
    depth_mm : middle of each cell from the face that the metal enters [mm]
    causes : names of the standard normal causes, in the surfaces' order
    responses : set of the moisture response, and its alternative ``by_temperature``, -> share of the
        saturated rate at each depth [-]
    monthly_pct : moisture in January to December at each depth, mean of the runs [%], 12 x cells
    above_share : share of the hours above the threshold of corrosion, unfrozen, at each depth
    balance_error : largest share of the water that an account misses
    """

    depth_mm: Array
    causes: tuple[str, ...]
    responses: Mapping[str, Surface]
    monthly_pct: Array
    above_share: Array
    balance_error: float


def design_causes(situation: Situation) -> tuple[str, ...]:
    """Names of what is varied for a situation.

    >>> design_causes("trapped_level")[-1]
    'trap'
    """
    own = dict.fromkeys(_OF_FACE[kind] for kind in _FACES[situation] if kind in _OF_FACE)
    side = ("side_rain",) if situation in _UPRIGHT else ()
    return (*WEATHER_CAUSES, *_TIMBER_CAUSES, *own, *side)


def timber_surfaces(
    thickness_mm: float,
    specific_gravity: float,
    situation: Situation,
    z: Array,
    weathers: Sequence[HourlyWeather],
    *,
    coat: str = "",
    end_grain: bool = False,
    threads: int | None = None,
) -> TimberSurfaces:
    """Simulate a timber once for each row of a design and fit what its metal meets.

    Parameters
    ----------
    thickness_mm, specific_gravity : of the timber [mm], [-]
    situation : level or upright as the face lies that the metal enters, rain reaching it; covered where none
        does; trapped where another face is pressed against it
    z : standard normal values, runs x causes of ``design_causes``
    weathers : one of some years for each run, with the causes of the weather already in it; a run starts from
        the rest moisture of its mean climate
    coat, end_grain : as ``timber_case``
    threads : as ``simulate_many``

    Raises
    ------
    InputError, MoistureNotConverged : as ``simulate_many``
    """
    names = design_causes(situation)
    if situation in _UPRIGHT:
        shares = transport_band("side_spells_share").at(z[:, names.index("side_rain")])
        weathers = [
            driven_rain(one, float(share), run)
            for run, (one, share) in enumerate(zip(weathers, shares, strict=True))
        ]
    cases = [
        timber_case(
            thickness_mm,
            specific_gravity,
            situation,
            dict(zip(names, row, strict=True)),
            run,
            coat=coat,
            end_grain=end_grain,
        )
        for run, row in enumerate(z.tolist())
    ]
    energy = activation_energy_band().median
    most_warm = load_toml("wood/runs.toml")["most"]["by_temperature"]
    runs = simulate_many(cases, weathers, spin_up_years=0, activation_energy_kj_mol=energy, threads=threads)
    return TimberSurfaces(
        depth_mm=1000.0 * runs[0].depth_m,
        causes=names,
        responses=MappingProxyType(
            {
                name: fit_surface(z, _stacked(runs, name), 1.0 if name in rate_sets() else most_warm)
                for name in runs[0].response
            }
        ),
        monthly_pct=np.mean([run.monthly_pct for run in runs], axis=0),
        above_share=np.mean([run.share_above for run in runs], axis=0),
        balance_error=max(run.balance_error_share for run in runs),
    )


def driven_rain(weather: HourlyWeather, share: float, seed: int) -> HourlyWeather:
    """The weather with rain only in those spells that the wind drives against one upright face.

    A spell of rain comes from one side: it reaches the face whole or not at all. Nothing else changes.

    Parameters
    ----------
    weather : whole years
    share : share of the spells that are kept, 0 to 1
    seed : decides which; a larger share keeps every spell of a smaller one

    >>> from longhold.base.marks import Mark
    >>> rain = np.tile([1.0, 0.0], 4380)
    >>> air = np.full(8760, 50.0)
    >>> weather = HourlyWeather(air, air, rain, rain > 0.0, None, None, None, "", "own", Mark.OWN)
    >>> kept = driven_rain(weather, 0.25, 1).rain_mm
    >>> kept is not None and bool(0.2 < kept.sum() / rain.sum() < 0.3)
    True
    """
    if weather.rain_mm is None:
        return weather
    wet = weather.rain_mm > 0.0
    starts = wet & ~np.concatenate([[False], wet[:-1]])
    spell = np.cumsum(starts)
    kept = np.random.default_rng([seed, _SIDE_SEED]).random(int(spell[-1]) + 1) < share
    on_it = wet & kept[spell]
    return replace(
        weather,
        rain_mm=np.where(on_it, weather.rain_mm, 0.0),
        wet=None if weather.wet is None else weather.wet & on_it,
    )


def _stacked(runs: Sequence[MoistureRun], name: str) -> Array:
    return np.stack([run.response[name] for run in runs])


def timber_case(
    thickness_mm: float,
    gravity: float,
    situation: Situation,
    z: Mapping[str, float],
    run: int,
    *,
    coat: str = "",
    end_grain: bool = False,
) -> MoistureCase:
    """One timber for the simulation, every cause of ``design_causes`` but the weather's at a value.

    A coat throttles the faces in the open. Where the metal goes in, it is cut through at a gap between faces
    and at an end: there the front face is bare, and the coat only slows how the back face dries.

    Parameters
    ----------
    thickness_mm, gravity : of the timber [mm], [-]; for end grain the length looked at
    z : standard normal value of each cause
    run : place of its weather
    coat : a name of ``coats()``; empty for bare wood
    end_grain : whether the front face is end grain; behind the length looked at nothing passes

    >>> middle = dict.fromkeys(design_causes("trapped_level"), 0.0)
    >>> held = timber_case(38.0, 0.5, "trapped_level", middle, 0, coat="paint")
    >>> held.front.film_m_s > 10 * held.back.film_m_s, held.section.grain
    (True, 'across')
    """
    uptake = transport_band("absorption_along" if end_grain else "absorption_across")
    section = WoodSection(
        thickness_mm / 1000.0,
        gravity,
        grain="along" if end_grain else "across",
        diffusion_factor=float(transport_band("diffusion_factor").at(z["wood_diffusion"])),
        cells=_CELLS,
        A_w=float(uptake.at(z["wood_uptake"])),
    )
    front, back = (_face(kind, z) for kind in _FACES[situation])
    if end_grain:
        back = face_exposure("sealed")
    if coat:
        back = back.coated(coat=coat)
        if not (end_grain or situation.startswith("trapped")):
            front = front.coated(coat=coat)
    return MoistureCase(section, front, back, run)


def end_grain_length_mm() -> float:
    """Length along the grain that is simulated where metal enters end grain [mm]. Source own.

    >>> end_grain_length_mm()
    100.0
    """
    return 1000.0 * float(load_toml("wood/transport.toml")["end_grain"]["length_m"])


def _face(kind: str, z: Mapping[str, float]) -> FaceExposure:
    face, bands = face_exposure(kind), face_bands(kind)
    own = z.get(_OF_FACE.get(kind, ""), 0.0)
    drying = -own if kind.startswith("trapped") else z["wood_drying"]
    told: dict[str, Any] = {name: float(bands[name].at(own)) for name in _WETTER if name in bands and own}
    return replace(face, film_m_s=float(bands["film_m_s"].at(drying)), **told)
