"""Strength of a dowel-type fastener against age by EN 1995-1-1."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from longhold.forecast.strength import StrengthDraws
from longhold.strength.dowel_ratio import ShortPenetration
from longhold.strength.ec5_capacity import ec5_capacity_n
from longhold.strength.ec5_connection import Ec5Connection
from longhold.strength.ec5_data import mode_words

__all__ = ["ec5_dowel_strength"]

Array = NDArray[np.float64]


def ec5_dowel_strength(
    connection: Ec5Connection,
    losses_um: Mapping[str, Array],
    plate_loss_um: Array | float,
    *,
    share_along_bearing: float,
    short_penetration: bool,
    life_index: int,
) -> StrengthDraws:
    """Strength left across a fastener; its capacity is the characteristic one.

    Parameters
    ----------
    connection : as new
    losses_um : role of a face ("hinge", "bearing") -> base metal lost [um], shape (draws, ages)
    plate_loss_um : loss of a steel side plate, both faces [um]; 0 for a wooden side
    share_along_bearing : mean loss along the bearing length over the loss at the worst depth
    short_penetration : take a fastener that reaches less deep than the equations ask, for the ratio only
    life_index : index of the age at which the aged mode is told
    """
    hinge, shank = losses_um["hinge"], share_along_bearing * losses_um["bearing"]
    accept: ShortPenetration = "accept" if short_penetration else "refuse"
    new = ec5_capacity_n(connection, 0.0, 0.0, short_penetration=accept)
    aged = ec5_capacity_n(connection, hinge, shank, plate_loss_um, short_penetration=accept)
    names, index = np.unique(aged.mode, return_inverse=True)
    at_life = aged.capacity_n[:, life_index]
    middle = int(np.argsort(at_life)[len(at_life) // 2])
    return StrengthDraws(
        ratio=np.asarray(aged.capacity_n / new.capacity_n),
        capacity_new_n=None if short_penetration else float(new.capacity_n),
        mode_new=mode_words(str(new.mode)),
        mode_aged=mode_words(str(aged.mode[middle, life_index])),
        mode_index=index.reshape(aged.mode.shape),
        modes=tuple(mode_words(str(name)) for name in names),
    )
