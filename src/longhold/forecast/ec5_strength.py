"""Strength of a dowel-type fastener against age by EN 1995-1-1."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.forecast.modes import Governed, least_of
from longhold.forecast.strength import StrengthDraws, draws_of
from longhold.strength.dowel_ratio import Capacity, ShortPenetration
from longhold.strength.ec5_axial import combined_use
from longhold.strength.ec5_capacity import axial_n, ec5_capacity_n
from longhold.strength.ec5_connection import Ec5Connection, prepare_ec5
from longhold.strength.ec5_data import mode_words

__all__ = ["Ec5Group", "Ec5Lost", "Ec5Pull", "ec5_dowel_strength", "ec5_pulled_loads", "ec5_pulled_strength"]

Array = NDArray[np.float64]
_SPLITS = "the timber split along its grain"
_PULLED = "pulled along its axis"
_TORN = "its shank torn"


class Ec5Lost(NamedTuple):
    """Losses of a fastener, each (draws, ages) [um].

    Attributes
    ----------
    hinge_um : where it bends, near the joint line
    bearing_um : mean along the timber that takes more
    plate_um : of a steel side plate, both faces at their worst spots; 0 for a wooden side
    head_um : of its head
    worst_um : largest anywhere along the shank
    """

    hinge_um: Array
    bearing_um: Array
    plate_um: Array | float
    head_um: Array
    worst_um: Array


@dataclass(frozen=True)
class Ec5Group:
    """What the fastener's neighbors and its timber leave of its lateral capacity.

    Attributes
    ----------
    row_share : effective share of each fastener in its row [-]
    splitting_n : share of one fastener in what splits the timber [N]; None where that is not checked
    """

    row_share: float = 1.0
    splitting_n: float | None = None


@dataclass(frozen=True)
class Ec5Pull:
    """How a fastener is pulled.

    Attributes
    ----------
    angle_deg : between load and wood surface [degrees]; 90 pulls only
    smooth_nail : whether the uses add up, or their squares
    group_share : effective share of each of several that are pulled together [-]
    root_mm : least diameter of the shank as new [mm]
    fu_mpa : tensile strength [N/mm2]
    torn_share : by which the strength of its torn shank counts less, so that kmod/gammaM of wood asks no less
        of steel than its own gammaM2 does [-]
    """

    angle_deg: float
    smooth_nail: bool
    group_share: float
    root_mm: float
    fu_mpa: float
    torn_share: float = 1.0


def ec5_dowel_strength(
    connection: Ec5Connection,
    lost: Ec5Lost,
    group: Ec5Group,
    *,
    short_penetration: bool,
    ratio_only: bool,
    life_index: int,
) -> StrengthDraws:
    """Strength left across a fastener; its capacity is the characteristic one.

    Parameters
    ----------
    connection : as new
    short_penetration : take a fastener that reaches less deep than the equations ask
    ratio_only : claim no capacity
    life_index : index of the age at which the aged mode is told
    """
    new, aged = _lateral(connection, lost, group, short_penetration=short_penetration)
    return draws_of(new, aged, life_index, None if ratio_only else float(new.load_n[0, 0]))


def ec5_pulled_loads(connection: Ec5Connection, lost: Ec5Lost, pull: Ec5Pull) -> tuple[Governed, Governed]:
    """Characteristic load along a fastener when new and by draw and age [N]."""
    nothing = np.zeros((1, 1))
    new = _axial(connection, Ec5Lost(nothing, nothing, 0.0, nothing, nothing), pull)
    return new, _axial(connection, lost, pull)


def ec5_pulled_strength(
    connection: Ec5Connection,
    lost: Ec5Lost,
    group: Ec5Group,
    pull: Ec5Pull,
    *,
    ratio_only: bool,
    life_index: int,
) -> StrengthDraws:
    """Strength left of a fastener under a load that also pulls it out, in the direction of that load.

    The load at which the uses along and across add up to one (8.27, 8.28). Arguments as above.
    """
    lateral = _lateral(connection, lost, group, short_penetration=False)
    axial = ec5_pulled_loads(connection, lost, pull)
    new, aged = (_combined(across, along, pull) for across, along in zip(lateral, axial, strict=True))
    return draws_of(new, aged, life_index, None if ratio_only else float(new.load_n[0, 0]))


def _lateral(
    connection: Ec5Connection, lost: Ec5Lost, group: Ec5Group, *, short_penetration: bool
) -> tuple[Governed, Governed]:
    accept: ShortPenetration = "accept" if short_penetration else "refuse"
    losses = lost.hinge_um, lost.bearing_um, lost.plate_um
    new = ec5_capacity_n(connection, np.zeros((1, 1)), 0.0, short_penetration=accept)
    aged = ec5_capacity_n(connection, *losses, short_penetration=accept)
    return _in_group(new, group), _in_group(aged, group)


def _in_group(capacity: Capacity, group: Ec5Group) -> Governed:
    names, index = np.unique(capacity.mode, return_inverse=True)
    index = index.reshape(capacity.mode.shape)
    words = tuple(mode_words(str(name)) for name in names)
    load = group.row_share * capacity.capacity_n
    if group.splitting_n is None:
        return Governed(load, index, words)
    splits = group.splitting_n < load
    return Governed(
        np.minimum(load, group.splitting_n), np.where(splits, len(words), index), (*words, _SPLITS)
    )


def _axial(connection: Ec5Connection, lost: Ec5Lost, pull: Ec5Pull) -> Governed:
    prepared = prepare_ec5(connection)
    held = axial_n(connection, prepared, lost.bearing_um / 1000.0, lost.head_um / 1000.0, 0.0)
    left_mm = np.maximum(pull.root_mm - 2.0 * lost.worst_um / 1000.0, 0.0)
    loads = {
        _PULLED: pull.group_share * held,
        _TORN: pull.group_share * pull.torn_share * pull.fu_mpa * np.pi / 4.0 * left_mm**2,
    }
    return least_of({words: np.atleast_2d(load) for words, load in loads.items()})


def _combined(across: Governed, along: Governed, pull: Ec5Pull) -> Governed:
    angle = np.radians(pull.angle_deg)
    with np.errstate(divide="ignore", invalid="ignore"):
        axial, lateral = np.sin(angle) / along.load_n, np.cos(angle) / across.load_n
        use = combined_use(axial, lateral, smooth_nail=pull.smooth_nail)
        load = 1.0 / use if pull.smooth_nail else 1.0 / np.sqrt(use)
    index = np.where(axial >= lateral, along.index + len(across.words), across.index)
    return Governed(np.asarray(load), index, (*across.words, *along.words))
