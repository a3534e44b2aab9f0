"""Load along a fastener against age: what holds it in the wood, at its head, and its own steel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.forecast.along import Profile, losses_in_slices
from longhold.forecast.modes import Governed, least_of
from longhold.strength.axial import head_left_lb, shank_tension_lb, withdrawal_left_lb
from longhold.strength.nds_withdrawal import WithdrawalFastener
from longhold.strength.prepared import MM_PER_IN, N_PER_LB
from longhold.strength.sheet import omega, pull_over_n, thickness_left_mm

__all__ = ["AxialCase", "axial_loads"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class AxialCase:
    """One fastener pulled along its axis.

    Attributes
    ----------
    fastener : how the wood holds it; None for a bolt, which a nut holds
    gravity : of the wood that holds the point [-]
    diameter_in, root_in : D, and the root of a thread or the shank [in]
    fyb_psi : bending yield strength [psi]
    from_mm, to_mm : embedded length that holds, from the face at the joint line [mm]
    head_in : diameter of head or washer [in]; None leaves the head out
    side_gravity, side_in : of a wooden side [-], [in]; None under a sheet
    sheet_mm, sheet_fu_mpa : of a sheet under the head [mm], [MPa]; None without
    wood_factor, head_factor : adjustment factors of withdrawal and of the head in wood [-]
    """

    fastener: WithdrawalFastener | None
    gravity: float
    diameter_in: float
    root_in: float
    fyb_psi: float
    from_mm: float
    to_mm: float
    head_in: float | None
    side_gravity: float | None
    side_in: float | None
    sheet_mm: float | None
    sheet_fu_mpa: float | None
    wood_factor: float
    head_factor: float


def axial_loads(
    case: AxialCase,
    joint_line: Profile,
    joint_line_um: Array,
    shank_um: Array,
    head_um: Array,
    sheet_um: Array,
) -> Governed:
    """Adjusted load along one fastener and what governs it [N].

    Parameters
    ----------
    case : the fastener as new
    joint_line : how the loss falls from the joint line into the timber that holds the point
    joint_line_um, shank_um, head_um : loss at the worst depth from the joint line, at the worst depth from
        the outer face, and of the head [um], each (draws, ages)
    sheet_um : loss of a sheet under the head, both faces [um]
    """
    loads: dict[str, Array] = {}
    if case.fastener is not None:
        length_in = max(case.to_mm - case.from_mm, 0.0) / MM_PER_IN
        root = case.root_in if case.root_in < case.diameter_in else None
        slices = losses_in_slices(case.from_mm, case.to_mm, joint_line, joint_line_um)
        held = withdrawal_left_lb(case.fastener, case.gravity, case.diameter_in, root, length_in, slices)
        loads["withdrawal from the wood"] = case.wood_factor * held
    if case.head_in is not None and case.side_gravity is not None and case.side_in is not None:
        head = head_left_lb(case.side_gravity, case.head_in, case.side_in, head_um)
        loads["its head pulled through the wood"] = case.head_factor * head
    if case.head_in is not None and case.sheet_mm is not None and case.sheet_fu_mpa is not None:
        left = thickness_left_mm(case.sheet_mm, sheet_um)
        head_mm = np.maximum(case.head_in * MM_PER_IN - 2.0 * head_um / 1000.0, 0.0)
        over = pull_over_n(left, head_mm, case.sheet_fu_mpa) / omega("pull_over")
        loads["the sheet pulled over its head"] = np.asarray(over / N_PER_LB)
    loads["its shank torn"] = shank_tension_lb(
        case.fyb_psi, case.root_in, np.maximum(joint_line_um, shank_um)
    )
    return least_of({words: load_lb * N_PER_LB for words, load_lb in loads.items()})
