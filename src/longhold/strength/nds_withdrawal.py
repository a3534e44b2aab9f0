"""Withdrawal, head pull-through and combined load of fasteners in wood (NDS-2018 12.2 and 12.4)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

import numpy as np

from longhold.base.tables import load_toml
from longhold.strength.nds_data import FloatArray, Floats

__all__ = [
    "WithdrawalFastener",
    "combined_load_lb",
    "head_pull_through_lb",
    "withdrawal_lb_per_in",
    "withdrawal_record",
]

WithdrawalFastener = Literal["lag_screw", "wood_screw", "nail", "stainless_nail", "ring_shank_nail"]


def withdrawal_lb_per_in(fastener: WithdrawalFastener, g: Floats, diameter_in: Floats) -> FloatArray:
    """Reference withdrawal design value per inch of penetration in side grain (NDS-2018 12.2).

    W = c G^a D^b: lag screw 1800 G^1.5 D^0.75 (thread only, tip not counted); wood screw 2850 G^2 D;
    smooth carbon-steel nail 1380 G^2.5 D; smooth stainless nail 465 G^1.5 D; ring-shank nail 1800 G^2 D.

    Parameters
    ----------
    fastener : nail means a smooth nail of carbon steel, bright or galvanized
    g : specific gravity [-], tables from 0.31 to 0.73
    diameter_in : nominal (thread) diameter [in]; pass the diameter left to rate a corroded one

    Returns
    -------
    W [lb/in]

    Source: see ``withdrawal_record(fastener)``; the first three verified, the others from memory.
    That stainless nails hold less is measured (rammer-zelinka-2015, abstract read).

    >>> float(withdrawal_lb_per_in("lag_screw", 0.50, 0.25))
    225.0
    """
    record = withdrawal_record(fastener)
    density, diameter = np.asarray(g, dtype=np.float64), np.asarray(diameter_in, dtype=np.float64)
    return np.asarray(
        record["coefficient"]
        * np.power(density, record["g_exponent"])
        * np.power(diameter, record["d_exponent"])
    )


def head_pull_through_lb(g: Floats, head_diameter_in: Floats, side_thickness_in: Floats) -> FloatArray:
    """Reference design value of a round head pulled through the side member (NDS-2018 12.2.5).

    W_H = 690 pi D_H G^2 t, with t counted up to 2.5 D_H.

    Parameters
    ----------
    g : specific gravity of the side member [-]
    head_diameter_in : head or washer diameter D_H [in]
    side_thickness_in : net thickness t of the side member under the head [in]

    Returns
    -------
    W_H [lb]

    Source: nds-2018 (memory); reproduces four printed cells.

    >>> float(head_pull_through_lb(0.50, 0.312, 1.0))
    131.88
    """
    record = withdrawal_record("head_pull_through")
    density, head = np.asarray(g, dtype=np.float64), np.asarray(head_diameter_in, dtype=np.float64)
    counted = np.minimum(side_thickness_in, record["thick_in_head_diameters"] * head)
    return np.asarray(
        record["coefficient"] * np.pi * head * np.power(density, record["g_exponent"]) * counted
    )


def combined_load_lb(
    fastener: WithdrawalFastener, withdrawal_lb: Floats, lateral_lb: Floats, angle_deg: Floats
) -> FloatArray:
    """Design value for a load at an angle to the wood surface (NDS-2018 12.4).

    Screws: W Z / (W cos^2 a + Z sin^2 a); nails: W Z / (W cos a + Z sin a).

    Parameters
    ----------
    fastener : decides which of the two holds
    withdrawal_lb, lateral_lb : adjusted design values W' p and Z' [lb], more than zero
    angle_deg : angle between load and wood surface [degrees], 0 pure shear, 90 pure withdrawal

    Source: nds-2018 (memory, not read).

    >>> float(combined_load_lb("wood_screw", 200.0, 100.0, 45.0))
    133.33
    """
    angle = np.radians(np.asarray(angle_deg, dtype=np.float64))
    power = 2 if fastener in ("lag_screw", "wood_screw") else 1
    pull, shear = np.asarray(withdrawal_lb, dtype=np.float64), np.asarray(lateral_lb, dtype=np.float64)
    return np.asarray(pull * shear / (pull * np.cos(angle) ** power + shear * np.sin(angle) ** power))


def withdrawal_record(name: str) -> Mapping[str, Any]:
    """Coefficient and exponents of one fastener, with source and mark."""
    record: Mapping[str, Any] = load_toml("strength/nds_2018/withdrawal.toml")[name]
    return record
