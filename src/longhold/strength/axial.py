"""What holds a fastener along its axis as its metal goes: thread or shank in the wood, head, steel.

Withdrawal follows NDS-2018 12.2 with the diameter left, slice by slice along what is embedded; a thread that
has lost half its height from each flank holds nothing there. Rust is credited with nothing, though rusted
nails were measured to hold more at first. Section 12.4 joins it with the lateral value.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from longhold.base.tables import load_toml
from longhold.strength.nds_data import FloatArray, Floats
from longhold.strength.nds_withdrawal import (
    WithdrawalFastener,
    head_pull_through_lb,
    withdrawal_lb_per_in,
)

__all__ = [
    "axial_record",
    "head_left_lb",
    "shank_tension_lb",
    "thread_limit_um",
    "together_lb",
    "withdrawal_left_lb",
]

_LEAST = np.finfo(np.float64).tiny  # below it products lose their digits
_UM_PER_IN = 25_400.0
_RING = "ring_shank_nail"
_SMOOTH_IN_PLACE: WithdrawalFastener = "nail"
_QUADRATIC = ("lag_screw", "wood_screw")


def withdrawal_left_lb(
    fastener: WithdrawalFastener,
    g: float,
    diameter_in: float,
    root_in: float | None,
    length_in: float,
    slice_losses_um: Iterable[Floats],
) -> FloatArray:
    """Withdrawal value of a fastener from side grain with the loss along what holds it [lb].

    W p = (p / n) sum over n slices of W(D - 2 x), where a slice of a thread with x > (D - Dr)/4 counts
    nothing, and a ring-shank nail whose rings are gone counts as a smooth nail.

    Parameters
    ----------
    fastener : as in ``withdrawal_lb_per_in``
    g : specific gravity of the wood that holds it [-]
    diameter_in, root_in : D, and Dr of a thread [in]; None for nails
    length_in : p: of the thread for screws, of the penetration for nails [in]
    slice_losses_um : loss per surface in each slice, equal lengths [um]; scalars or arrays that broadcast

    Source: equations as in ``withdrawal_lb_per_in``, the slices own.

    >>> float(withdrawal_left_lb("nail", 0.55, 0.148, None, 1.5, [0.0, 0.0]).round(1))
    68.7
    >>> float(withdrawal_left_lb("lag_screw", 0.5, 0.5, 0.371, 2.0, [1000.0]))
    0.0
    """
    limit = thread_limit_um(fastener, diameter_in, root_in)
    total: FloatArray = np.zeros(())
    count = 0
    for loss in slice_losses_um:
        x = np.asarray(loss, dtype=np.float64)
        left = np.maximum(diameter_in - 2.0 * x / _UM_PER_IN, 0.0)
        held = withdrawal_lb_per_in(fastener, g, left)
        if fastener == _RING:
            smooth = withdrawal_lb_per_in(_SMOOTH_IN_PLACE, g, left)
            held = np.where(x > limit, np.minimum(smooth, held), held)
        elif limit < np.inf:
            held = np.where(x > limit, 0.0, held)
        total = total + held
        count += 1
    return np.asarray(total * (length_in / max(count, 1)))


def thread_limit_um(fastener: str, diameter_in: float, root_in: float | None) -> float:
    """Loss per flank at which a thread holds no more, (D - Dr)/4 [um]; infinite for a smooth nail.

    >>> round(thread_limit_um("wood_screw", 0.19, 0.152))
    241
    """
    if fastener == _RING:
        return float(axial_record("ring")["height_in"]) / 2.0 * _UM_PER_IN
    if root_in is None or fastener not in _QUADRATIC:
        return float("inf")
    return (diameter_in - root_in) / 4.0 * _UM_PER_IN


def head_left_lb(g: float, head_in: float, side_thickness_in: float, loss_um: Floats) -> FloatArray:
    """Head pull-through with the head's diameter DH - 2 x [lb] (NDS-2018 12.2.5).

    ``loss_um`` is the largest loss per surface of the head. That its thickness may shear is not computed.

    >>> float(head_left_lb(0.50, 0.312, 1.0, 0.0))
    131.88
    """
    left = np.maximum(head_in - 2.0 * np.asarray(loss_um, dtype=np.float64) / _UM_PER_IN, 0.0)
    return head_pull_through_lb(g, left, side_thickness_in)


def shank_tension_lb(fyb_psi: float, root_in: float, loss_um: Floats) -> FloatArray:
    """Tension in the shank or the root of its thread where most is lost, Fyb pi (d - 2x)^2 / 4 / 2 [lb].

    Source: own; the bending yield strength stands for the tensile strength, on the safe side.

    >>> float(shank_tension_lb(90_000.0, 0.148, 0.0).round(1))
    774.2
    """
    left = np.maximum(root_in - 2.0 * np.asarray(loss_um, dtype=np.float64) / _UM_PER_IN, 0.0)
    return np.asarray(fyb_psi * np.pi / 4.0 * left * left / axial_record("tension")["omega"])


def together_lb(fastener: str, axial_lb: Floats, lateral_lb: Floats, angle_deg: float) -> FloatArray:
    """Adjusted value for a load at an angle to the wood surface; zero where either is used up (12.4).

    Screws: W Z / (W cos^2 a + Z sin^2 a); nails W Z / (W cos a + Z sin a), also taken for bolts, for which
    the standard has no rule (own: the straight line between both is on the safe side of the curve).

    Parameters
    ----------
    axial_lb, lateral_lb : adjusted values [lb], in any one unit
    angle_deg : between load and wood surface [degrees]

    >>> [round(float(together_lb(kind, 200.0, 100.0, 45.0)), 1) for kind in ("wood_screw", "nail")]
    [133.3, 94.3]
    >>> float(together_lb("nail", 0.0, 100.0, 45.0))
    0.0
    """
    w, z = np.asarray(axial_lb, dtype=np.float64), np.asarray(lateral_lb, dtype=np.float64)
    if angle_deg in (0.0, 90.0):
        return np.asarray((z if angle_deg == 0.0 else w) + 0.0 * (w + z))
    power = 2 if fastener in _QUADRATIC else 1
    angle = np.radians(angle_deg)
    below = w * np.cos(angle) ** power + z * np.sin(angle) ** power
    some = (w > _LEAST) & (z > _LEAST)
    return np.asarray(np.where(some, w * z / np.where(below > 0.0, below, 1.0), 0.0))


def axial_record(name: str) -> Mapping[str, Any]:
    """One record of what the axial value rests on, with source and mark."""
    record: Mapping[str, Any] = load_toml("strength/nds_2018/axial.toml")[name]
    return record
