"""The draws of one class of climate: every kind of joint on every rung of its air, each once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.joint import JointLives, joint_lives
from longhold.assessment.located import locate
from longhold.assessment.setting import curve_ages, setting_for
from longhold.assessment.site import site_runs
from longhold.base.errors import InputError, LongholdError
from longhold.base.tables import load_toml
from longhold.forecast.summary import Band, age_reached, band_of
from longhold.forecast.wood_runs import WoodRuns
from longhold.model.site import Site
from longhold.model.structure import Structure
from longhold.portfolio.gathering import OF_STRUCTURE

__all__ = ["ClassWork", "Combination", "Terms", "draw_class", "renewals_by_year"]

Array = NDArray[np.float64]
_NO_BAND = Band(np.nan, np.nan, np.nan)


@dataclass(frozen=True)
class Terms:
    """What all draws share.

    Attributes
    ----------
    draws, seed : as in ``assess``
    """

    draws: int = 2000
    seed: int = 1


@dataclass(frozen=True)
class ClassWork:
    """What is to be drawn for one class of climate, or for a piece of it.

    Attributes
    ----------
    number : of the class
    piece : of the class
    weather : site whose weather the timbers meet
    rungs : number and site of each rung
    kinds : number and structure of each kind of joint
    wanted : kinds asked for on each rung
    timbers : kinds of timber that are simulated for it at most
    """

    number: int
    piece: int
    weather: Site
    rungs: tuple[tuple[int, Site], ...]
    kinds: tuple[tuple[int, Structure], ...]
    wanted: Mapping[int, frozenset[int]]
    timbers: int

    @property
    def name(self) -> str:
        """Under which what was drawn is kept."""
        return f"class-{self.number:05d}-{self.piece}"

    @property
    def size(self) -> int:
        """How long it takes, in combinations; a simulated timber counts as several of them."""
        pieces = load_toml("assessment/portfolio.toml")["pieces"]
        return self.pairs + int(pieces["combinations_per_timber"]) * self.timbers

    @property
    def pairs(self) -> int:
        """Combinations to draw."""
        return sum(len(one) for one in self.wanted.values())


class Combination(NamedTuple):
    """What one kind of joint comes to on one rung.

    Attributes
    ----------
    rung, kind : numbers
    decides : protection or strength
    life, protection, strength : ages at which the ends come [years]; NaN where not computed
    chance, protection_chance, strength_chance : of reaching the design life
    below_years : greatest age reached with the chance asked for [years]
    code : strictest verdict over the parts
    unsettled : whether something leaves it open, whatever the chance
    mark : weakest mark that it rests on; empty where it could not be computed
    refer : why something is not computed
    leaves_pits_out : whether no chance has the pits of accepted stainless below the class asked for
    fault : why the whole combination could not be computed; empty where it was
    renewals : expected renewals in each year of the design life, shape (years,)
    """

    rung: int
    kind: int
    decides: str
    life: Band
    protection: Band
    strength: Band
    chance: float
    protection_chance: float
    strength_chance: float
    below_years: float
    code: str
    unsettled: bool
    mark: str
    refer: str
    leaves_pits_out: bool
    fault: str
    renewals: Array


def draw_class(work: ClassWork, terms: Terms) -> list[Combination]:
    """Draw every combination that is wanted of a class, with timbers simulated once for all its rungs."""
    # as many workers as cores already: more threads would only stand in each other's way
    runs = site_runs(locate(work.weather), threads=1)
    found: list[Combination] = []
    for rung, site in work.rungs:
        asked = [(number, kind) for number, kind in work.kinds if number in work.wanted.get(rung, ())]
        for structure in together(asked):
            found += _drawn_at(rung, structure.at(site), runs, terms)
    return found


def _drawn_at(rung: int, at: Structure, runs: WoodRuns, terms: Terms) -> Iterator[Combination]:
    """The combinations of one structure's joints; one that fails takes no other with it."""
    try:
        ages = curve_ages(at.design_life)
        setting = setting_for(at, ages, draws=terms.draws, seed=terms.seed, wood_runs=runs)
    except InputError as error:
        yield from (_failed(rung, int(joint.id), str(error), at) for joint in at.joints)
        return
    for joint in at.joints:
        try:
            yield _combination(rung, int(joint.id), joint_lives(joint, setting), at)
        except LongholdError as error:
            yield _failed(rung, int(joint.id), str(error), at)
        except Exception as error:  # whatever nobody foresaw of one joint must not stop a million others
            fault = f"a fault of Longhold's own: {type(error).__name__}: {error}"
            yield _failed(rung, int(joint.id), fault, at)


def together(kinds: Sequence[tuple[int, Structure]]) -> Iterator[Structure]:
    """Structures of many joints from those of one, each joint under its number.

    What differs in anything but the joint, or names two timbers alike, stays apart: draws hang on the name.
    """
    groups: dict[str, list[list[tuple[int, Structure]]]] = {}
    for number, kind in kinds:
        shared = kind.model_dump_json(exclude=OF_STRUCTURE, exclude_unset=True)
        for group in groups.setdefault(shared, []):
            timbers = {name: timber for _, other in group for name, timber in other.timbers.items()}
            if all(timbers.get(name, timber) == timber for name, timber in kind.timbers.items()):
                group.append((number, kind))
                break
        else:
            groups[shared].append([(number, kind)])
    for group in (one for some in groups.values() for one in some):
        joints = [kind.joints[0].model_copy(update={"id": str(number)}) for number, kind in group]
        timbers = {name: timber for _, kind in group for name, timber in kind.timbers.items()}
        yield group[0][1].model_copy(update={"joints": joints, "timbers": timbers})


def renewals_by_year(life_years: Array, horizon_years: float) -> Array:
    """Expected renewals in each year up to a horizon, shape (years,).

    A renewed joint lasts as long as the first in the same draw, as in ``choose``; a life shorter than a year
    counts as a year. What is too weak on the first day is not renewed: the same hardware would not help.

    >>> renewals_by_year(np.array([2.5, np.inf, 0.0, np.inf]), 6.0).tolist()
    [0.0, 0.0, 0.25, 0.0, 0.0, 0.25]
    """
    years = int(np.ceil(horizon_years))
    helped = np.where(life_years > 0.0, life_years, np.inf)
    life = np.maximum(helped, float(load_toml("assessment/portfolio.toml")["renewal"]["least_years"]))
    total = np.zeros(years)
    times = 1
    while len(when := (times * life)[times * life < horizon_years]):
        total += np.bincount(np.floor(when).astype(np.intp), minlength=years)[:years]
        times += 1
    return total / len(life)


def _combination(rung: int, kind: int, lives: JointLives, at: Structure) -> Combination:
    years = lives.years
    return Combination(
        rung,
        kind,
        lives.decides,
        _band(years),
        _band(lives.protection_years),
        _band(lives.strength_years),
        _number(lives.chance),
        _number(lives.protection_chance),
        _number(lives.strength_chance),
        np.nan if years is None else age_reached(years, at.target_chance),
        lives.code,
        lives.unsettled,
        lives.mark.value,
        "; ".join(dict.fromkeys(lives.refer)),
        lives.leaves_pits_out,
        "",
        renewals_by_year(np.full(1, np.inf) if years is None else years, at.design_life),
    )


def _failed(rung: int, kind: int, fault: str, at: Structure) -> Combination:
    nothing = np.zeros(int(np.ceil(at.design_life)))
    return Combination(
        rung,
        kind,
        decides="",
        life=_NO_BAND,
        protection=_NO_BAND,
        strength=_NO_BAND,
        chance=np.nan,
        protection_chance=np.nan,
        strength_chance=np.nan,
        below_years=np.nan,
        code="",
        unsettled=True,
        mark="",
        refer="",
        leaves_pits_out=False,
        fault=fault,
        renewals=nothing,
    )


def _band(years: Array | None) -> Band:
    return _NO_BAND if years is None else band_of(years)


def _number(value: float | None) -> float:
    return np.nan if value is None else value
