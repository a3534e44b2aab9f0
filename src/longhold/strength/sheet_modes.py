"""A sheet part of known shape: every way in which it can give, as new or thinned (AISI S100 or EN 1993).

Tearing across the holes, yielding, tilting or bearing of its fasteners, tear-out to the end, pulling over
heads. Both standards were made for sheets on steel: what is taken of them for wood is marked own. A folded
seat may bend before any of these, which no width or hole tells.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.strength.nds_data import FloatArray, Floats
from longhold.strength.sheet import (
    bolt_bearing_n,
    edge_tear_out_n,
    gross_yield_n,
    net_section_n,
    omega,
    pull_over_n,
    screw_shear_n,
)
from longhold.strength.sheet_en import (
    en_gross_yield_n,
    en_net_section_n,
    en_pull_through_n,
    en_screw_bearing_n,
)

__all__ = ["MODE_WORDS", "SheetShape", "sheet_modes_en_n", "sheet_modes_n", "trace_sheet_modes"]

MODE_WORDS: Mapping[str, str] = {
    "gross_yield": "yielding of the sheet",
    "net_section": "tearing across its holes",
    "bearing": "fasteners tilting or tearing their holes longer",
    "edge_tear_out": "tearing out to its end",
    "pull_over": "pulling over the heads",
    "bearing_and_pull_over": "fasteners tilting or tearing their holes while their heads pull through",
}
_BOLT_BEARING = "R = N C mf d t Fu / W"
_LINE = "R = 1 / (cos a / R_b + sin a / R_o), b bearing, o pulling over"
_EQUATIONS = {
    "gross_yield": "R = w t Fy / W",
    "net_section": "R = (w - n dh) t Fu / W",
    "bearing": "R = N least(4.2 sqrt(t^3 d), 2.7 t d) Fu / W",
    "edge_tear_out": "R = N 2 x 0.6 Fu t e / W",
    "pull_over": "R = N 1.5 t dw Fu / W",
    "bearing_and_pull_over": _LINE,
}
_EN_EQUATIONS = {
    "gross_yield": "R = w t fy / gM0",
    "net_section": "R = (w - n dh) t fu / gM2",
    "bearing": "R = N 3.2 sqrt(t/d) fu d t / gM2, at most with 2.1",
    "pull_over": "R = N 0.5 dw t fu / gM2",
    "bearing_and_pull_over": _LINE,
}
_ON_WOOD = ("bearing", "pull_over", "bearing_and_pull_over")
_ON_WOOD_WORDS = "The equation is one for screws in sheets of steel, taken for a sheet on wood; "
_EN_SOURCES = {"gross_yield": ("en-1993-1-1-tension", Mark.VERIFIED)}


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
    pull_deg : between the load and the sheet [degrees]; 90 pulls it off its fasteners only. Under such a load
        the fasteners bear and hold by their heads together, and what tears or yields the sheet is all of it

    Raises
    ------
    ValueError : where a load pulls and no head is given
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
    pull_deg: float = 0.0

    def __post_init__(self) -> None:
        if self.pull_deg > 0.0 and self.head_mm is None:
            raise ValueError("a load that pulls a sheet off needs the head that holds it")


def sheet_modes_n(
    shape: SheetShape,
    loss_um_total: Floats,
    *,
    worst_um_total: Floats | None = None,
    edge_um: Floats | None = None,
) -> Mapping[str, FloatArray]:
    """Allowable load of every mode after loss from both faces together [N].

    Wood holds the points of the fasteners, for which these equations were not made: it is taken as a sheet no
    thicker than the part itself, so that its screws and nails may tilt (own, on the safe side). Under a load
    that also pulls, the shares of bearing and of pull-over add up (own): AISI S100 has a milder rule where a
    thick sheet of steel keeps screws from tilting, which wood is not taken to do.

    Parameters
    ----------
    loss_um_total : mean over both faces together [um]; fasteners bear by it
    worst_um_total : the same at the worst spots, by which the sheet tears and yields; None as the mean
    edge_um : lost from each rim, end and wall of a hole [um]; None half of the loss of both faces

    >>> strap = SheetShape(1.438, 31.75, 4.34, 1, 310.26, 227.53, 6, 3.76)
    >>> {mode: round(float(load)) for mode, load in sheet_modes_n(strap, 0.0).items()}
    {'gross_yield': 6220, 'net_section': 6115, 'bearing': 8714}
    """
    left = _left(shape, loss_um_total, worst_um_total, edge_um)
    one = (
        bolt_bearing_n(left.bears_mm, shape.fastener_mm, shape.fu_mpa, washers=False)
        if shape.bolted
        else screw_shear_n(left.bears_mm, left.bears_mm, shape.fastener_mm, shape.fu_mpa, shape.fu_mpa)
    )
    modes = {
        "gross_yield": gross_yield_n(left.gross_mm2, shape.fy_mpa) / omega("gross_yield"),
        "net_section": net_section_n(left.net_mm2, shape.fu_mpa) / omega("net_section"),
        "bearing": shape.fasteners * one / omega("bolt_bearing" if shape.bolted else "screw_shear"),
    }
    if shape.clear_edge_mm is not None:
        end = np.maximum(shape.clear_edge_mm - left.both_rims_mm, 0.0)
        one = edge_tear_out_n(left.thinnest_mm, end, shape.fu_mpa)
        modes["edge_tear_out"] = shape.fasteners * one / omega("edge_tear_out")
    if shape.head_mm is not None:
        one = pull_over_n(left.thinnest_mm, shape.head_mm, shape.fu_mpa)
        modes["pull_over"] = shape.fasteners * one / omega("pull_over")
    if shape.pull_deg > 0.0:
        pulled, bears = modes.pop("pull_over"), modes.pop("bearing")
        modes["bearing_and_pull_over"] = _together(shape, bears, pulled)
    return {mode: np.asarray(load) for mode, load in modes.items()}


def sheet_modes_en_n(
    shape: SheetShape,
    loss_um_total: Floats,
    *,
    worst_um_total: Floats | None = None,
    edge_um: Floats | None = None,
) -> Mapping[str, FloatArray]:
    """Design resistance of the modes that EN 1993-1-1 and EN 1993-1-3 give for a sheet [N].

    Yielding, net section, bearing of screws, pull-through. Nails count as self-tapping screws and wood as a
    support no thicker than the sheet, pull-through as in repeated wind (own, on the safe side). Under a load
    that also pulls, shares of bearing and of pull-through add up (8.3(8), memory). Bolts and tear-out are not
    among them. Parameters as ``sheet_modes_n``.

    >>> strap = SheetShape(1.44, 31.75, 4.34, 1, 310.0, 228.0, 6, 3.76)
    >>> {mode: round(float(load)) for mode, load in sheet_modes_en_n(strap, 0.0).items()}
    {'gross_yield': 10424, 'net_section': 9789, 'bearing': 15955}
    """
    left = _left(shape, loss_um_total, worst_um_total, edge_um)
    modes = {
        "gross_yield": en_gross_yield_n(left.gross_mm2, shape.fy_mpa),
        "net_section": en_net_section_n(left.net_mm2, shape.fu_mpa),
    }
    if not shape.bolted:
        one = en_screw_bearing_n(left.bears_mm, left.bears_mm, shape.fastener_mm, shape.fu_mpa)
        modes["bearing"] = shape.fasteners * one
    if shape.head_mm is not None:
        one = en_pull_through_n(left.thinnest_mm, shape.head_mm, shape.fu_mpa, repeated_wind=True)
        modes["pull_over"] = shape.fasteners * one
    if shape.pull_deg > 0.0:
        pulled = modes.pop("pull_over")
        modes["bearing_and_pull_over"] = _together(shape, modes.pop("bearing", np.asarray(np.inf)), pulled)
    return modes


def _together(shape: SheetShape, bears: FloatArray, holds: FloatArray) -> FloatArray:
    """Load at an angle at which shares used in shear and in pull reach one [N]."""
    angle = np.radians(shape.pull_deg)
    both = np.minimum(bears, holds) > 0.0
    used = np.cos(angle) / np.where(both, bears, 1.0) + np.sin(angle) / np.where(both, holds, 1.0)
    return np.asarray(np.where(both, 1.0 / used, 0.0))


class _Left(NamedTuple):
    """What is left of a shape: where fasteners bear, where it is thinnest, what both rims of a strip lose."""

    bears_mm: FloatArray
    thinnest_mm: FloatArray
    gross_mm2: FloatArray
    net_mm2: FloatArray
    both_rims_mm: FloatArray


def _left(shape: SheetShape, mean_um: Floats, worst_um: Floats | None, edge_um: Floats | None) -> _Left:
    mean = np.asarray(mean_um, dtype=np.float64) / 1000.0
    worst = mean if worst_um is None else np.maximum(np.asarray(worst_um, dtype=np.float64) / 1000.0, mean)
    rims = mean if edge_um is None else 2.0 * np.asarray(edge_um, dtype=np.float64) / 1000.0
    thinnest = np.maximum(shape.thickness_mm - worst, 0.0)
    wide = np.maximum(shape.width_mm - rims, 0.0)
    net = np.maximum(wide - shape.holes_across * (shape.hole_mm + rims), 0.0)
    bears = np.maximum(shape.thickness_mm - mean, 0.0)
    return _Left(bears, thinnest, wide * thinnest, net * thinnest, rims)


def trace_sheet_modes(
    shape: SheetShape,
    loss_um_total: float,
    trace: Trace,
    standard: Literal["aisi", "en"] = "aisi",
    *,
    worst_um_total: float | None = None,
    edge_um: float | None = None,
) -> None:
    """Record the value of every mode after one loss, by AISI S100 or by EN 1993."""
    worst = loss_um_total if worst_um_total is None else worst_um_total
    rims = loss_um_total if edge_um is None else 2.0 * edge_um
    shared = {
        "t": f"{max(shape.thickness_mm - worst / 1000.0, 0.0):.4g} mm",
        "t where fasteners bear": f"{max(shape.thickness_mm - loss_um_total / 1000.0, 0.0):.4g} mm",
        "w": f"{max(shape.width_mm - rims / 1000.0, 0.0):.4g} mm",
        "n dh": f"{shape.holes_across} x {shape.hole_mm + rims / 1000.0:.4g} mm",
        "N": f"{shape.fasteners}",
        "d": f"{shape.fastener_mm:.4g} mm",
        "Fu": f"{shape.fu_mpa:.4g} MPa",
        "Fy": f"{shape.fy_mpa:.4g} MPa",
    }
    if shape.head_mm is not None:
        shared["dw"] = f"{shape.head_mm:.4g} mm"
    if shape.pull_deg > 0.0:
        shared["a"] = f"{shape.pull_deg:.3g} degrees between load and sheet"
    european = standard == "en"
    modes = sheet_modes_en_n if european else sheet_modes_n
    found = modes(shape, loss_um_total, worst_um_total=worst_um_total, edge_um=edge_um)
    for mode, load in found.items():
        equation = (_EN_EQUATIONS if european else _EQUATIONS)[mode]
        if mode == "bearing" and shape.bolted:
            equation = _BOLT_BEARING
        source, mark = "en-1993-1-3" if european else "aisi-s100", Mark.MEMORY
        if european:
            source, mark = _EN_SOURCES.get(mode, (source, mark))
        on_wood = mode in _ON_WOOD
        trace.add(
            f"allowed load of the sheet by {MODE_WORDS[mode]}",
            f"R_{mode}",
            equation,
            shared,
            float(load),
            "N",
            source,
            Mark.OWN if on_wood else mark,
            (_ON_WOOD_WORDS if on_wood else "")
            + ("" if european else "W is the safety factor; ")
            + "what is worn off widens holes and shortens ends as well",
        )
