"""Strength left of one part against age, from the loss on its faces."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import TableError
from longhold.forecast.causes import Causes
from longhold.forecast.faces import Face
from longhold.strength.connection import DowelConnection
from longhold.strength.dowel_ratio import Capacity, ShortPenetration, capacity_n
from longhold.strength.ec5_capacity import ec5_capacity_n
from longhold.strength.ec5_connection import Ec5Connection
from longhold.strength.ec5_data import mode_words
from longhold.strength.sheet import sheet_strength_left

__all__ = [
    "StrengthDraws",
    "bearing_share",
    "dowel_strength",
    "ec5_dowel_strength",
    "sheet_strength",
    "years_until_below",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class StrengthDraws:
    """Strength left as a ratio to new, shape (draws, ages).

    Attributes
    ----------
    ratio : strength over strength when new [-]
    capacity_new_n : reference capacity of one piece when new [N]; None where only the ratio is known
    mode_new, mode_aged : governing mode when new, and of the middle draw at the last age asked
    """

    ratio: Array
    capacity_new_n: float | None
    mode_new: str
    mode_aged: str


def bearing_share(length_mm: float, depth_mm: Array, relative_loss: Array) -> float:
    """Mean loss along a bearing length as a share of the loss at the worst depth [-].

    Parameters
    ----------
    length_mm : bearing length from the face [mm]; 0 or less takes the worst depth
    depth_mm, relative_loss : rising depths [mm] and the loss there over that at the worst depth [-]

    >>> bearing_share(10.0, np.array([0.0, 10.0]), np.array([1.0, 0.0]))
    0.5
    """
    if length_mm <= 0:
        return 1.0
    depths = np.linspace(0.0, length_mm, 201)
    return round(float(np.mean(np.interp(depths, depth_mm, relative_loss))), 9)


def dowel_strength(
    connection: DowelConnection,
    losses_um: Mapping[str, Array],
    plate_loss_um: Array | float,
    *,
    share_along_bearing: float,
    short_penetration: bool,
    life_index: int,
) -> StrengthDraws:
    """Strength of a dowel-type fastener as its diameter goes.

    Parameters
    ----------
    connection : as new
    losses_um : role of a face ("hinge", "bearing") -> base metal lost [um], shape (draws, ages)
    plate_loss_um : loss of a steel side plate, both faces [um]; 0 for a wooden side
    share_along_bearing : mean loss along the bearing length over the loss at the worst depth
    short_penetration : take a fastener that reaches less deep than the equations ask, for the ratio only
    life_index : index of the age at which the aged mode is told
    """
    hinge, shank = losses_um["hinge"], losses_um["bearing"]
    accept: ShortPenetration = "accept" if short_penetration else "refuse"
    new = capacity_n(connection, 0.0, 0.0, short_penetration=accept)
    aged = capacity_n(connection, hinge, share_along_bearing * shank, plate_loss_um, short_penetration=accept)
    return _draws(new, aged, short_penetration, life_index, _mode_words)


def ec5_dowel_strength(
    connection: Ec5Connection,
    losses_um: Mapping[str, Array],
    plate_loss_um: Array | float,
    *,
    share_along_bearing: float,
    short_penetration: bool,
    life_index: int,
) -> StrengthDraws:
    """The same by EN 1995-1-1; arguments as in ``dowel_strength``, the capacity is the characteristic one."""
    hinge, shank = losses_um["hinge"], share_along_bearing * losses_um["bearing"]
    accept: ShortPenetration = "accept" if short_penetration else "refuse"
    new = ec5_capacity_n(connection, 0.0, 0.0, short_penetration=accept)
    aged = ec5_capacity_n(connection, hinge, shank, plate_loss_um, short_penetration=accept)
    return _draws(new, aged, short_penetration, life_index, mode_words)


def _draws(
    new: Capacity, aged: Capacity, ratio_only: bool, life_index: int, words: Callable[[str], str]
) -> StrengthDraws:
    at_life = aged.capacity_n[:, life_index]
    middle = int(np.argsort(at_life)[len(at_life) // 2])
    return StrengthDraws(
        ratio=np.asarray(aged.capacity_n / new.capacity_n),
        capacity_new_n=None if ratio_only else float(new.capacity_n),
        mode_new=words(str(new.mode)),
        mode_aged=words(str(aged.mode[middle, life_index])),
    )


def _mode_words(mode: str) -> str:
    return "nothing left" if mode == "none" else f"yield mode {mode}"


def sheet_strength(
    thickness_mm: float, losses_um: Sequence[Array], causes: Causes, rated_load_n: float | None
) -> StrengthDraws:
    """Strength of a sheet part as both faces thin.

    Which way a folded part gives is in its maker's tests, not in its shape, so three modes are drawn:
    tearing across the net section, tilting of its nails, bending of its seat.

    Parameters
    ----------
    thickness_mm : bare steel as new [mm]
    losses_um : loss on each face [um], each of shape (draws, ages)
    rated_load_n : rated load of one piece when new [N], as its user read it
    """
    if not losses_um:
        raise TableError("a sheet part without faces")
    left = sheet_strength_left(thickness_mm, sum(losses_um))
    chosen = np.floor(causes.between("sheet_mode", "structure", 0.0, 3.0)).astype(int).clip(0, 2)
    modes = np.stack([left.expected, left.cautious, left.lowest])
    ratio = modes[chosen, np.arange(len(chosen))]
    words = "tearing, tilting nails or a bending seat (not known which)"
    return StrengthDraws(np.asarray(ratio), rated_load_n, words, words)


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
