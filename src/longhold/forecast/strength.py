"""Strength left of one part against age, from the loss on its faces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.forecast.causes import Causes
from longhold.forecast.faces import Face
from longhold.forecast.modes import Governed, least_of
from longhold.strength.axial import together_lb
from longhold.strength.connection import DowelConnection
from longhold.strength.dowel_ratio import ShortPenetration, capacity_n
from longhold.strength.nds_dowel import MODES, NO_MODE
from longhold.strength.sheet import sheet_strength_left, sheet_strength_ratio
from longhold.strength.sheet_modes import MODE_WORDS, SheetShape, sheet_modes_en_n, sheet_modes_n

__all__ = [
    "DowelWay",
    "SheetLoss",
    "StrengthDraws",
    "WeakestDraws",
    "dowel_strength",
    "draws_of",
    "lateral_loads",
    "losses_by_role",
    "pulled_strength",
    "shaped_sheet_strength",
    "sheet_strength",
    "weakest_draws",
    "years_until_below",
]

Array = NDArray[np.float64]
_NOTHING_LEFT = "nothing left"
_SEAT = "bending of its seat"
_SEAT_BENDS = 2
_WORDS = (*(f"yield mode {mode}" for mode in MODES), _NOTHING_LEFT)


@dataclass(frozen=True)
class StrengthDraws:
    """Strength left as a ratio to new, shape (draws, ages).

    Attributes
    ----------
    ratio : strength over strength when new [-]
    capacity_new_n : capacity of one piece when new [N]; None where only the ratio is known
    mode_new, mode_aged : governing mode when new, and of the middle draw at the last age asked
    mode_index, modes : which of the modes governs, by draw and age; no modes where none is known
    adjusted : whether the capacity holds its adjustment factors already
    """

    ratio: Array
    capacity_new_n: float | None
    mode_new: str
    mode_aged: str
    mode_index: NDArray[np.intp] = field(default_factory=lambda: np.zeros((0, 0), dtype=np.intp))
    modes: tuple[str, ...] = ()
    adjusted: bool = False

    @property
    def governs(self) -> tuple[NDArray[np.intp], tuple[str, ...]]:
        """Which mode governs by draw and age, and their words; one for all where only two are told."""
        if self.modes:
            return self.mode_index, self.modes
        words = (
            self.mode_new if self.mode_new == self.mode_aged else f"{self.mode_new}, then {self.mode_aged}"
        )
        return np.zeros(self.ratio.shape, dtype=np.intp), (words,)


class SheetLoss(NamedTuple):
    """What a sheet has lost, each (draws, ages) [um].

    Attributes
    ----------
    mean_um : mean over both faces together, by which fasteners bear
    worst_um : both faces together at their worst spots, by which it tears, yields and bends
    edge_um : of each rim, end and wall of a hole
    """

    mean_um: Array
    worst_um: Array
    edge_um: Array


class DowelWay(NamedTuple):
    """One way of a fastener through a joint, and what is lost along it.

    Attributes
    ----------
    connection : as new
    hinge_um : loss where it bends, near the joint line [um], (draws, ages)
    bearing_um : mean loss along the bearing length that has lost more [um]
    plate_um : loss of a steel side plate, both faces at their worst spots [um]; 0 for a wooden side
    """

    connection: DowelConnection
    hinge_um: Array
    bearing_um: Array
    plate_um: Array | float


def lateral_loads(ways: Sequence[DowelWay], *, short_penetration: bool) -> tuple[Governed, Governed]:
    """Lateral capacity of a fastener when new and with its losses: the weakest of its ways [N].

    Parameters
    ----------
    ways : one, or one for each sheet and timber that it may pass
    short_penetration : take a fastener that reaches less deep than the equations ask, for the ratio only
    """
    accept: ShortPenetration = "accept" if short_penetration else "refuse"
    new = [capacity_n(way.connection, 0.0, 0.0, short_penetration=accept) for way in ways]
    aged = [
        capacity_n(way.connection, way.hinge_um, way.bearing_um, way.plate_um, short_penetration=accept)
        for way in ways
    ]
    return _least([(one.capacity_n, one.mode) for one in new]), _least(
        [(one.capacity_n, one.mode) for one in aged]
    )


def _least(found: Sequence[tuple[Array, NDArray[np.str_]]]) -> Governed:
    loads = np.stack([np.atleast_2d(load) for load, _ in found])
    modes = np.stack([_mode_index(np.atleast_2d(mode)) for _, mode in found])
    at = loads.argmin(axis=0)[None]
    return Governed(
        np.take_along_axis(loads, at, axis=0)[0], np.take_along_axis(modes, at, axis=0)[0], _WORDS
    )


def _mode_index(names: NDArray[np.str_]) -> NDArray[np.intp]:
    index = np.zeros(names.shape, dtype=np.intp)
    for i, name in enumerate((*MODES, NO_MODE)):
        index[names == name] = i
    return index


def dowel_strength(
    ways: Sequence[DowelWay],
    *,
    short_penetration: bool,
    life_index: int,
) -> StrengthDraws:
    """Strength of a dowel-type fastener across its axis as its diameter goes.

    Parameters
    ----------
    ways : as ``lateral_loads``
    short_penetration : take a fastener that reaches less deep than the equations ask, for the ratio only
    life_index : index of the age at which the aged mode is told
    """
    new, aged = lateral_loads(ways, short_penetration=short_penetration)
    return draws_of(new, aged, life_index, None if short_penetration else float(new.load_n[0, 0]))


def pulled_strength(
    lateral: tuple[Governed, Governed],
    axial: tuple[Governed, Governed],
    *,
    fastener: str,
    lateral_factor: float,
    angle_deg: float,
    life_index: int,
) -> StrengthDraws:
    """Strength of a fastener under a load that also pulls it out (NDS-2018 12.4), with all factors in it.

    Parameters
    ----------
    lateral, axial : when new, and by draw and age [N]; the axial one with its factors
    fastener : decides which of the two equations of 12.4 holds
    lateral_factor : product of the adjustment factors of lateral load
    angle_deg : between load and wood surface [degrees]; 90 pulls only
    life_index : index of the age at which the aged mode is told
    """
    new, aged = (
        _combined(fastener, across, lateral_factor, along, angle_deg)
        for across, along in zip(lateral, axial, strict=True)
    )
    draws = draws_of(new, aged, life_index, float(new.load_n[0, 0]))
    return StrengthDraws(**{**draws.__dict__, "adjusted": True})


def _combined(fastener: str, across: Governed, factor: float, along: Governed, angle_deg: float) -> Governed:
    lateral = factor * across.load_n
    load = together_lb(fastener, along.load_n, lateral, angle_deg)
    angle = np.radians(angle_deg)
    with np.errstate(divide="ignore", invalid="ignore"):
        pulls_more = np.sin(angle) * lateral >= np.cos(angle) * along.load_n
    index = np.where(pulls_more, along.index + len(across.words), across.index)
    return Governed(load, index, (*across.words, *along.words))


def draws_of(new: Governed, aged: Governed, life_index: int, capacity_n: float | None) -> StrengthDraws:
    """Strength left from the governing loads when new, shape (1, 1), and by draw and age [N]."""
    middle = int(np.argsort(aged.load_n[:, life_index])[len(aged.load_n) // 2])
    return StrengthDraws(
        ratio=np.asarray(aged.load_n / new.load_n[0, 0]),
        capacity_new_n=capacity_n,
        mode_new=new.word((0, 0)),
        mode_aged=aged.word((middle, life_index)),
        mode_index=aged.index,
        modes=aged.words,
    )


class WeakestDraws(NamedTuple):
    """The least of several ways of a fastener.

    Attributes
    ----------
    draws : of the weakest way in every draw and at every age
    way : which way that is, (draws, ages)
    """

    draws: StrengthDraws
    way: NDArray[np.intp]


def weakest_draws(ways: Sequence[StrengthDraws], life_index: int) -> WeakestDraws:
    """The least of several ways that a fastener may take, draw by draw and age by age.

    Newtons are compared with newtons; where a way has no capacity ratios to new are, and none is claimed.

    Parameters
    ----------
    ways : of the same draws and ages
    life_index : index of the age at which the aged mode is told
    """
    known = [way.capacity_new_n for way in ways if way.capacity_new_n is not None]
    capacities = known if len(known) == len(ways) else [1.0] * len(ways)
    loads = np.stack([n * way.ratio for n, way in zip(capacities, ways, strict=True)])
    at = loads.argmin(axis=0)
    words: list[str] = []
    index = np.zeros(at.shape, dtype=np.intp)
    for i, way in enumerate(ways):
        governs, modes = way.governs
        index = np.where(at == i, governs + len(words), index)
        words += modes
    first = int(np.argmin(capacities))
    least = loads.min(axis=0)
    middle = int(np.argsort(least[:, life_index])[len(least) // 2])
    draws = StrengthDraws(
        ratio=np.asarray(least / capacities[first]),
        capacity_new_n=capacities[first] if capacities is known else None,
        mode_new=ways[first].mode_new,
        mode_aged=words[int(index[middle, life_index])],
        mode_index=index,
        modes=tuple(words),
        adjusted=all(way.adjusted for way in ways),
    )
    return WeakestDraws(draws, at)


def sheet_strength(
    thickness_mm: float, worst_um: Array, causes: Causes, rated_load_n: float | None
) -> StrengthDraws:
    """Strength of a sheet part as both faces thin.

    Which way a folded part gives is in its maker's tests, not in its shape, so three modes are drawn:
    tearing across the net section, tilting of its nails, bending of its seat.

    Parameters
    ----------
    thickness_mm : bare steel as new [mm]
    worst_um : loss of both faces together at their worst spots [um], (draws, ages)
    rated_load_n : rated load of one piece when new [N], as its user read it
    """
    left = sheet_strength_left(thickness_mm, worst_um)
    chosen = _mode_drawn(causes)
    modes = np.stack([left.expected, left.cautious, left.lowest])
    ratio = modes[chosen, np.arange(len(chosen))]
    words = "tearing, tilting nails or a bending seat (not known which)"
    return StrengthDraws(
        np.asarray(ratio), rated_load_n, words, words, np.zeros(ratio.shape, dtype=np.intp), (words,)
    )


def _mode_drawn(causes: Causes) -> NDArray[np.intp]:
    return np.floor(causes.between("sheet_mode", "structure", 0.0, 3.0)).astype(np.intp).clip(0, 2)


def shaped_sheet_strength(
    shape: SheetShape,
    lost: SheetLoss,
    causes: Causes,
    rated_load_n: float | None,
    *,
    has_seat: bool,
    european: bool,
    life_index: int,
) -> StrengthDraws:
    """Strength of a sheet part whose width, holes and steel are known.

    Parameters
    ----------
    shape : as new
    lost : by draw and age
    rated_load_n : rated load of one piece when new [N]; it stays, times the ratio
    european : by EN 1993, else by AISI S100
    has_seat : a folded seat may bend before anything that its width tells: drawn in a third of the draws
    life_index : index of the age at which the aged mode is told
    """
    by_mode = sheet_modes_en_n if european else sheet_modes_n
    new = least_of({MODE_WORDS[mode]: np.atleast_2d(load) for mode, load in by_mode(shape, 0.0).items()})
    worn = by_mode(shape, lost.mean_um, worst_um_total=lost.worst_um, edge_um=lost.edge_um)
    aged = least_of({MODE_WORDS[mode]: load for mode, load in worn.items()})
    first = float(new.load_n[0, 0])
    if has_seat:
        bends = _mode_drawn(causes) == _SEAT_BENDS
        seat = first * sheet_strength_ratio(shape.thickness_mm, lost.worst_um, "seat_bending")
        instead = bends[:, None] & (seat < aged.load_n)
        index = np.where(instead, len(aged.words), aged.index)
        aged = Governed(np.where(instead, seat, aged.load_n), index, (*aged.words, _SEAT))
    return draws_of(new, aged, life_index, rated_load_n if rated_load_n is not None else first)


def years_until_below(ratio: Array, ages: Array, limit: float) -> Array:
    """Age at which each draw's ratio first falls below a limit [years], between ages by a straight line.

    Infinite where it does not within the ages given; zero where it is below at the start.

    >>> import numpy as np
    >>> years_until_below(np.array([[1.0, 0.9, 0.7]]), np.array([0.0, 10.0, 20.0]), 0.8).tolist()
    [15.0]
    """
    below = ratio < limit
    first = np.argmax(below, axis=1)
    rows = np.arange(len(ratio))
    before = np.maximum(first - 1, 0)
    high, low = ratio[rows, before], ratio[rows, first]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(high > low, (high - limit) / (high - low), 0.0)
    crossing = ages[before] + share * (ages[first] - ages[before])
    return np.asarray(np.where(below.any(axis=1), np.where(first == 0, 0.0, crossing), np.inf))


def losses_by_role(faces: Sequence[tuple[Face, Array]]) -> dict[str, Array]:
    """Loss of each face by its role, largest where two share one."""
    found: dict[str, Array] = {}
    for face, loss in faces:
        found[face.role] = np.maximum(found[face.role], loss) if face.role in found else loss
    return found
