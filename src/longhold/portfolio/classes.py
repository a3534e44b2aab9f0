"""Sites that stand for others: climates rounded into classes for the wood, the air on rungs inside each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.marks import Mark, weakest
from longhold.base.tables import load_toml
from longhold.portfolio.between import shares_between
from longhold.portfolio.sites import SiteFacts

__all__ = ["Limits", "SiteClasses", "classify", "mark_of_rounding", "own_classes"]

Array = NDArray[np.float64]
Whole = NDArray[np.int32]
_TABLE = "assessment/portfolio.toml"
_LEAST_RUNGS = 2


@dataclass(frozen=True)
class Limits:
    """How much is computed at most.

    Attributes
    ----------
    exposures : simulated timbers: classes of climate times kinds of timber
    combinations : of exposure, part and protection that carry draws
    """

    exposures: int
    combinations: int

    @classmethod
    def usual(cls) -> Limits:
        """Those of the table.

        Source: own (tables/assessment/portfolio.toml).
        """
        rule = load_toml(_TABLE)["limits"]
        return cls(int(rule["exposures"]), int(rule["combinations"]))


@dataclass(frozen=True)
class SiteClasses:
    """Which sites stand for a site, and how much of each.

    Attributes
    ----------
    climate_of : class of each site, shape (sites,)
    weather_of : site whose weather the timbers of a class meet, shape (classes,)
    rungs : sites whose air is drawn, shape (rungs,)
    rung_class : class of each rung, shape (rungs,)
    stand_ins : rungs between which the answers of a site lie, what counts most first, shape (sites, most)
    share : of each of them [-], adding up to 1; 0 where a site has fewer, shape (sites, most)
    widened : factor on the steps of climate and on that of air that the limits asked for; (1, 1) for none
    rounded : whether sites stand for others at all
    """

    climate_of: Whole
    weather_of: Whole
    rungs: Whole
    rung_class: Whole
    stand_ins: Whole
    share: Array
    widened: tuple[float, float]
    rounded: bool


def mark_of_rounding() -> Mark:
    """Weakest mark of the rule by which sites stand for others."""
    rule = load_toml(_TABLE)
    return weakest(Mark(rule[name]["mark"]) for name in ("climate", "air", "between", "widen", "limits"))


def own_classes(count: int) -> SiteClasses:
    """Every site stands for itself alone."""
    each = np.arange(count, dtype=np.int32)
    return SiteClasses(each, each, each, each, each[:, None], np.ones((count, 1)), (1.0, 1.0), rounded=False)


def classify(facts: Sequence[SiteFacts], kinds: int, timbers: int, limits: Limits) -> SiteClasses:
    """Round the climates of sites into classes and choose the rungs of air of each class.

    Sites share a class where the year's mean temperature and humidity, the logarithm of the year's rain and
    the swing between the coldest and the warmest month fall into the same steps, and where what is known of
    them is of the same sort. The site nearest the middle of a class lends it its weather. Rungs are sites of
    the class, spread evenly by the logarithm of the first-year loss of zinc in the open; the answers of a
    site lie between those of the rungs about it. Where that is more than the limits allow, the steps are
    widened until it fits, and then rungs of other classes of the same sort count as well, so that their mean
    has the climate of the site.

    Parameters
    ----------
    facts : of each site
    kinds : kinds of joint of the portfolio
    timbers : kinds of timber in it that are simulated, each with the way in which rain reaches it
    limits : as asked

    Source: own (tables/assessment/portfolio.toml).
    """
    rule = load_toml(_TABLE)
    grow = float(rule["widen"]["factor"])
    most_rungs = max(limits.combinations // max(kinds, 1), 1)
    most_classes = max(min(limits.exposures // max(timbers, 1), most_rungs // _LEAST_RUNGS), 1)
    groups = _numbered([one.apart for one in facts])
    placed = _coordinates(facts, rule["climate"])
    wide = 1.0
    while len(np.unique(classes := _cells(placed / wide, groups))) > max(most_classes, groups.max() + 1):
        wide *= grow
    air = np.log([one.zinc_um for one in facts])
    wide_air = 1.0
    step = float(rule["air"]["step_ln"])
    # the least and the greatest of each class stay, however wide the steps
    fewest = _LEAST_RUNGS * (int(classes.max()) + 1)
    while (rungs := _rungs(classes, air, step * wide_air)).size > max(most_rungs, fewest):
        wide_air *= grow
    return _assigned(classes, groups, placed, air, rungs, (wide, wide_air))


def _coordinates(facts: Sequence[SiteFacts], steps: dict[str, float]) -> Array:
    """Each site in steps of the rule, shape (sites, 4); unknown rain is one value for all."""
    rain = np.array([one.rain_mm for one in facts])
    ln_rain = np.where(np.isfinite(rain), np.log(np.maximum(np.nan_to_num(rain), 1.0)), 0.0)
    return np.column_stack(
        [
            (np.array([one.temperature_c for one in facts]) - steps["coldest_c"]) / steps["temperature_c"],
            np.array([one.humidity_pct for one in facts]) / steps["humidity_pct"],
            ln_rain / steps["rain_ln"],
            np.array([one.swing_c for one in facts]) / steps["swing_c"],
        ]
    )


def _numbered(keys: Sequence[object]) -> Whole:
    first: dict[object, int] = {}
    return np.array([first.setdefault(key, len(first)) for key in keys], dtype=np.int32)


def _cells(placed: Array, groups: Whole) -> Whole:
    cells = np.column_stack([groups, np.floor(placed).astype(np.int64)])
    _, found = np.unique(cells, axis=0, return_inverse=True)
    return np.asarray(found.ravel(), dtype=np.int32)


def _rungs(classes: Whole, air: Array, step: float) -> Whole:
    """Sites whose air is drawn: in each class the least, the greatest and some evenly between."""
    found: list[NDArray[np.int64]] = []
    order = np.lexsort((air, classes))
    for members in np.split(order, np.flatnonzero(np.diff(classes[order])) + 1):
        low, high = air[members[0]], air[members[-1]]
        targets = np.linspace(low, high, 1 + int(np.ceil((high - low) / step)))
        at = np.searchsorted(air[members], targets).clip(0, len(members) - 1)
        before = (at - 1).clip(0)
        nearer = np.abs(air[members][before] - targets) < np.abs(air[members][at] - targets)
        found.append(members[np.unique(np.where(nearer, before, at))])
    return np.concatenate(found).astype(np.int32)


def _assigned(
    classes: Whole, groups: Whole, placed: Array, air: Array, rungs: Whole, widened: tuple[float, float]
) -> SiteClasses:
    weather_of = _nearest_the_middle(classes, placed)
    rung_class = classes[rungs]
    rule = load_toml(_TABLE)["between"]
    zinc = air / float(rule["zinc_ln"])
    among = groups if widened[0] > 1.0 else classes
    stand_ins, share = shares_between(
        np.column_stack([placed, zinc]),
        np.column_stack([placed[weather_of[rung_class]], zinc[rungs]]),
        _rungs_among(among, rungs),
        int(rule["nearest"]),
        float(rule["pull"]),
        float(rule["least"]),
    )
    return SiteClasses(classes, weather_of, rungs, rung_class, stand_ins, share, widened, rounded=True)


def _nearest_the_middle(classes: Whole, placed: Array) -> Whole:
    count = int(classes.max()) + 1
    members = np.bincount(classes, minlength=count)
    middle = np.stack(
        [np.bincount(classes, column, minlength=count) / members for column in placed.T], axis=1
    )
    away = ((placed - middle[classes]) ** 2).sum(axis=1)
    order = np.lexsort((away, classes))
    return order[np.r_[0, np.flatnonzero(np.diff(classes[order])) + 1]].astype(np.int32)


def _rungs_among(among: Whole, rungs: Whole) -> list[Whole]:
    """Numbers of the rungs of the same class, or sort, as each site."""
    own = {
        number: np.flatnonzero(among[rungs] == number).astype(np.int32)
        for number in np.unique(among).tolist()
    }
    return [own[number] for number in among.tolist()]
