"""Answers to printed cells of the NDS, one row of a check file at a time.

Reads only what a designer would know (fastener, sizes, wood, angles, shear), never the printed value.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TypeVar

from longhold.base.errors import InputError
from longhold.base.tables import load_toml
from longhold.strength.nds_data import fe_steel_grade_psi, fe_wood_psi, fyb_psi
from longhold.strength.nds_dowel import Shear, yield_load_lb
from longhold.strength.nds_factors import group_action_factor
from longhold.strength.nds_sizes import lag_screw, wood_screw
from longhold.strength.nds_withdrawal import (
    WithdrawalFastener,
    head_pull_through_lb,
    withdrawal_lb_per_in,
)

__all__ = ["answer_row"]

_Known = TypeVar("_Known")

_STANDARDS = ("NDS", "NDS 2018")
_FASTENERS = {"bolt": "bolt", "lag screw": "lag_screw", "wood screw": "wood_screw", "nail": "nail"}
_SHEAR: Mapping[str, Shear] = {"single": "single", "double": "double"}
_PULLED: Mapping[str, WithdrawalFastener] = {
    "lag screw": "lag_screw",
    "wood screw": "wood_screw",
    "nail": "nail",
    "stainless nail": "stainless_nail",
    "ring-shank nail": "ring_shank_nail",
}
_LATERAL_TABLES = tuple(f"12{letter}" for letter in "ABCDFGHIJKLMNP")
_GROUP_TABLES = ("11.3.6A", "11.3.6C")
_SIZED_BY_ROOT: Mapping[str, Callable[[float], float]] = {
    "lag_screw": lambda diameter: lag_screw(diameter).root_diameter_in,
    "wood_screw": lambda diameter: wood_screw(diameter).root_diameter_in,
}


class _CannotAnswerError(Exception):
    """The row asks for something that is outside this module."""


def answer_row(row: Mapping[str, str]) -> float | None:
    """Our value for one printed cell, or None where we cannot answer.

    Parameters
    ----------
    row : cells by column: standard, table, fastener, designation, D_in, side_member, ls_in, main_in, G,
        theta_main, theta_side, shear, quantity. ``main_in`` is the bearing length (or, for W*pt, the
        penetration); ``D_in`` the head diameter for W_H. Other columns are not read.

    Returns
    -------
    lb for Z, Zpar, Zs_perp, Zm_perp, Zperp, W*pt and W_H; lb/in for W; a plain number for Cg

    Cells of a printed table are answered with bearing strengths rounded to 50 psi, as the tables are built;
    worked examples with unrounded ones.

    >>> round(answer_row({"standard": "NDS 2018", "table": "12N", "fastener": "nail", "D_in": "0.162",
    ...     "side_member": "sawn lumber same G", "ls_in": "1.5", "main_in": "1.62", "G": "0.50",
    ...     "shear": "single", "quantity": "Z"}), 1)
    140.9
    """
    answer = _ANSWERS.get(row.get("quantity", ""))
    if answer is None or row.get("standard") not in _STANDARDS:
        return None
    try:
        return answer(row)
    except (_CannotAnswerError, InputError):
        return None


def _lateral(row: Mapping[str, str]) -> float:
    example = "example" in row.get("table", "")
    if not example and row.get("table") not in _LATERAL_TABLES:
        raise _CannotAnswerError
    fastener = _word(row, "fastener", _FASTENERS)
    shear = _word(row, "shear", _SHEAR)
    diameter, g = _number(row, "D_in"), _number(row, "G")
    theta_main, theta_side = _angle(row, "theta_main"), _angle(row, "theta_side")
    root = _SIZED_BY_ROOT.get(fastener, float)(diameter)
    fes = _side_bearing_psi(row, g, diameter, theta_side, rounded=not example)
    result = yield_load_lb(
        nominal_diameter_in=diameter,
        effective_diameter_in=root,
        main_bearing_length_in=_number(row, "main_in"),
        side_bearing_length_in=_number(row, "ls_in"),
        fem_psi=fe_wood_psi(g, diameter, theta_main, rounded=not example),
        fes_psi=fes,
        fyb_psi=fyb_psi(fastener, diameter),
        theta_main_deg=theta_main,
        theta_side_deg=theta_side,
        shear=shear,
    )
    return float(result.load_lb)


def _side_bearing_psi(
    row: Mapping[str, str], g: float, diameter_in: float, theta_deg: float, *, rounded: bool
) -> float:
    words = row.get("side_member", "")
    if "A36" in words:
        return fe_steel_grade_psi("A36")
    if "A653" in words:
        return fe_steel_grade_psi("A653 Gr 33")
    if "steel" in words or "panel" in words or "concrete" in words:
        raise _CannotAnswerError
    other = re.search(r"\bG\s*=?\s*(0?\.\d+)", words)
    return float(fe_wood_psi(float(other[1]) if other else g, diameter_in, theta_deg, rounded=rounded))


def _withdrawal(row: Mapping[str, str]) -> float:
    fastener = _withdrawal_fastener(row)
    return float(withdrawal_lb_per_in(fastener, _number(row, "G"), _number(row, "D_in")))


def _withdrawal_whole(row: Mapping[str, str]) -> float:
    return _withdrawal(row) * _number(row, "main_in")


def _withdrawal_fastener(row: Mapping[str, str]) -> WithdrawalFastener:
    fastener = _word(row, "fastener", _PULLED)
    if fastener != "nail":
        return fastener
    words = row.get("designation", "").lower()
    if "ring" in words:
        return "ring_shank_nail"
    return "stainless_nail" if "stainless" in words else "nail"


def _pull_through(row: Mapping[str, str]) -> float:
    return float(head_pull_through_lb(_number(row, "G"), _number(row, "D_in"), _number(row, "ls_in")))


def _group(row: Mapping[str, str]) -> float:
    if row.get("table") not in _GROUP_TABLES:
        raise _CannotAnswerError
    stated = dict(re.findall(r"\b(n|As|Am|s)\s*=\s*([\d.]+)", row.get("designation", "")))
    if set(stated) != {"n", "As", "Am", "s"}:
        raise _CannotAnswerError
    basis = load_toml("strength/nds_2018/group_action.toml")["table_basis"]
    metal = _word(row, "side_member", {"wood": False, "steel": True})
    side_e = basis["steel_e_psi"] if metal else basis["wood_e_psi"]
    return group_action_factor(
        count=int(stated["n"]),
        diameter_in=_number(row, "D_in"),
        spacing_in=float(stated["s"]),
        main_stiffness_lb=basis["wood_e_psi"] * float(stated["Am"]),
        side_stiffness_lb=side_e * float(stated["As"]),
        metal_side=metal,
    )


def _number(row: Mapping[str, str], column: str) -> float:
    try:
        value = float(row.get(column, ""))
    except ValueError:
        raise _CannotAnswerError from None
    if not 0.0 < value < float("inf"):
        raise _CannotAnswerError
    return value


def _angle(row: Mapping[str, str], column: str) -> float:
    text = row.get(column, "")
    try:
        value = float(text or 0.0)
    except ValueError:
        raise _CannotAnswerError from None
    if not 0.0 <= value <= 90.0:
        raise _CannotAnswerError
    return value


def _word(row: Mapping[str, str], column: str, known: Mapping[str, _Known]) -> _Known:
    word = row.get(column, "")
    if word not in known:
        raise _CannotAnswerError
    return known[word]


_ANSWERS: Mapping[str, Callable[[Mapping[str, str]], float]] = {
    **dict.fromkeys(("Z", "Zpar", "Zs_perp", "Zm_perp", "Zperp"), _lateral),
    "W": _withdrawal,
    "W*pt": _withdrawal_whole,
    "W_H": _pull_through,
    "Cg": _group,
}
