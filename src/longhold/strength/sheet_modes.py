"""A sheet part of known shape: every way in which it can give, as new or thinned (AISI S100, ASD).

Tearing across the holes, yielding, bearing of its fasteners, tear-out to the end, pulling over heads. Tilting
belongs to screws that join two sheets; the wood keeps a fastener upright. A folded seat may bend before any
of these, which no width or hole tells.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.strength.nds_data import FloatArray, Floats
from longhold.strength.sheet import (
    bolt_bearing_n,
    edge_tear_out_n,
    gross_yield_n,
    limit_record,
    net_section_n,
    omega,
    pull_over_n,
)
from longhold.strength.sheet_en import (
    en_net_section_n,
    en_pull_through_n,
    en_record,
    en_screw_bearing_n,
)

__all__ = ["MODE_WORDS", "SheetShape", "sheet_modes_en_n", "sheet_modes_n", "trace_sheet_modes"]

MODE_WORDS: Mapping[str, str] = {
    "gross_yield": "yielding of the sheet",
    "net_section": "tearing across its holes",
    "bearing": "fasteners tearing their holes longer",
    "edge_tear_out": "tearing out to its end",
    "pull_over": "pulling over the heads",
}
_EQUATIONS = {
    "gross_yield": "R = w t Fy / W",
    "net_section": "R = (w - n dh) t Fu / W",
    "bearing": "R = N 2.7 t d Fu / W",
    "edge_tear_out": "R = N 2 x 0.6 Fu t e / W",
    "pull_over": "R = N 1.5 t dw Fu / W",
}
_EN_EQUATIONS = {
    "net_section": "R = (w - n dh) t fu / gM2",
    "bearing": "R = N alpha fu d t / gM2",
    "pull_over": "R = N dw t fu / gM2",
}


@dataclass(frozen=True)
class SheetShape:
    """Width, holes, steel and fasteners of a sheet part.

    Attributes
    ----------
    thickness_mm : bare steel as new [mm]
    width_mm, hole_mm, holes_across : across the load [mm], [mm], number
    fu_mpa, fy_mpa : tensile and yield strength [MPa]
    fasteners : number that the load of the part goes through
    fastener_mm : their diameter [mm]
    bolted : bolts, whose bearing follows another law; taken without washers
    clear_edge_mm : from a hole's rim to the end [mm]; None leaves tear-out out
    head_mm : of the fasteners [mm]; None leaves pull-over out
    """

    thickness_mm: float
    width_mm: float
    hole_mm: float
    holes_across: int
    fu_mpa: float
    fy_mpa: float
    fasteners: int
    fastener_mm: float
    bolted: bool = False
    clear_edge_mm: float | None = None
    head_mm: float | None = None


def sheet_modes_n(shape: SheetShape, loss_um_total: Floats) -> Mapping[str, FloatArray]:
    """Allowable load of every mode after loss from both faces together [N].

    Each hole grows and each end recedes by half of the loss all round.

    >>> strap = SheetShape(1.438, 31.75, 4.34, 1, 310.26, 227.53, 6, 3.76)
    >>> {mode: round(float(load)) for mode, load in sheet_modes_n(strap, 0.0).items()}
    {'gross_yield': 6220, 'net_section': 6115, 'bearing': 9059}
    """
    lost = np.asarray(loss_um_total, dtype=np.float64) / 1000.0
    t = np.maximum(shape.thickness_mm - lost, 0.0)
    wide = np.maximum(shape.width_mm - lost, 0.0)
    net = np.maximum(wide - shape.holes_across * (shape.hole_mm + lost), 0.0)
    one = (
        bolt_bearing_n(t, shape.fastener_mm, shape.fu_mpa, washers=False)
        if shape.bolted
        else limit_record("screw_shear")["bearing"] * t * shape.fastener_mm * shape.fu_mpa
    )
    modes = {
        "gross_yield": gross_yield_n(wide * t, shape.fy_mpa) / omega("gross_yield"),
        "net_section": net_section_n(net * t, shape.fu_mpa) / omega("net_section"),
        "bearing": shape.fasteners * one / omega("bolt_bearing" if shape.bolted else "screw_shear"),
    }
    if shape.clear_edge_mm is not None:
        edge = np.maximum(shape.clear_edge_mm - lost, 0.0)
        modes["edge_tear_out"] = (
            shape.fasteners * edge_tear_out_n(t, edge, shape.fu_mpa) / omega("edge_tear_out")
        )
    if shape.head_mm is not None:
        modes["pull_over"] = (
            shape.fasteners * pull_over_n(t, shape.head_mm, shape.fu_mpa) / omega("pull_over")
        )
    return {mode: np.asarray(load) for mode, load in modes.items()}


def sheet_modes_en_n(shape: SheetShape, loss_um_total: Floats) -> Mapping[str, FloatArray]:
    """Design resistance of the modes that EN 1993-1-3 gives for a sheet on a thick support [N].

    Net section, bearing of screws (the wood taken as a support 2.5 times as thick), pull-through. Bolts,
    yielding and tear-out are not among them.

    >>> strap = SheetShape(1.44, 31.75, 4.34, 1, 310.0, 228.0, 6, 3.76)
    >>> {mode: round(float(load)) for mode, load in sheet_modes_en_n(strap, 0.0).items()}
    {'net_section': 9789, 'bearing': 16919}
    """
    lost = np.asarray(loss_um_total, dtype=np.float64) / 1000.0
    t = np.maximum(shape.thickness_mm - lost, 0.0)
    net = np.maximum(shape.width_mm - lost - shape.holes_across * (shape.hole_mm + lost), 0.0)
    modes = {"net_section": en_net_section_n(net * t, shape.fu_mpa)}
    if not shape.bolted:
        thick = en_record("screw_bearing")["thick_ratio"] * shape.thickness_mm
        modes["bearing"] = shape.fasteners * en_screw_bearing_n(t, thick, shape.fastener_mm, shape.fu_mpa)
    if shape.head_mm is not None:
        modes["pull_over"] = shape.fasteners * en_pull_through_n(t, shape.head_mm, shape.fu_mpa)
    return modes


def trace_sheet_modes(
    shape: SheetShape, loss_um_total: float, trace: Trace, standard: Literal["aisi", "en"] = "aisi"
) -> None:
    """Record the value of every mode after one loss, by AISI S100 or by EN 1993-1-3."""
    left = max(shape.thickness_mm - loss_um_total / 1000.0, 0.0)
    shared = {
        "t": f"{left:.4g} mm",
        "w": f"{shape.width_mm:.4g} mm",
        "n dh": f"{shape.holes_across} x {shape.hole_mm:.4g} mm",
        "N": f"{shape.fasteners}",
        "d": f"{shape.fastener_mm:.4g} mm",
        "Fu": f"{shape.fu_mpa:.4g} MPa",
        "Fy": f"{shape.fy_mpa:.4g} MPa",
    }
    european = standard == "en"
    found = (sheet_modes_en_n if european else sheet_modes_n)(shape, loss_um_total)
    for mode, load in found.items():
        equation = (_EN_EQUATIONS if european else _EQUATIONS)[mode]
        if mode == "bearing" and shape.bolted:
            equation = "R = N C mf d t Fu / W"
        trace.add(
            f"allowed load of the sheet by {MODE_WORDS[mode]}",
            f"R_{mode}",
            equation,
            shared,
            float(load),
            "N",
            "en-1993-1-3" if european else "aisi-s100",
            Mark.MEMORY,
            ("" if european else "W is the safety factor; ")
            + "what is worn off widens holes and shortens ends as well",
        )
