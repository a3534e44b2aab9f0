"""Answers to rows of a check file on sheet steel, where the case is written in words that can be read.

Understood: shear and pull-out of a screw in two like sheets (AISI S100), a strap in tension with one hole,
and a nail through a sheet into wood. Anything else is not answered.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from longhold.base.errors import InputError
from longhold.strength.nds_data import fe_steel_grade_psi, fe_wood_psi, fyb_psi
from longhold.strength.nds_dowel import yield_load_lb
from longhold.strength.nds_sizes import wood_screw_gauge
from longhold.strength.prepared import MM_PER_IN, N_PER_LB, PSI_PER_MPA
from longhold.strength.sheet import gross_yield_n, net_section_n, omega, pull_out_n, screw_shear_n

__all__ = ["answer_steel_row"]

_NUMBER = r"(\d*\.?\d+)"
_TABLE_PENETRATION_D = 10.0


def answer_steel_row(row: Mapping[str, str]) -> float | None:
    """Our value for one row on sheet steel [lb], or None where the case cannot be read.

    Parameters
    ----------
    row : cells by column: case, quantity and unit; other columns are not read

    >>> case = "No. 10 screw d .190, two sheets 43 mil t 0.0451 in, Fu 45000"
    >>> round(answer_steel_row({"case": case, "quantity": "Pns/3 shear", "unit": "lb"}), 1)
    263.0
    """
    case, quantity = row.get("case", ""), row.get("quantity", "")
    if row.get("unit") != "lb":
        return None
    try:
        if quantity.startswith("Pns"):
            return _screw_shear(case, quantity)
        if quantity.startswith("Pnot"):
            return _pull_out(case, quantity)
        if case.startswith("strap"):
            return _strap(case)
        if quantity == "Z" and "side plate" in case:
            return _nail_through_sheet(case)
    except (LookupError, InputError):
        return None
    return None


def _screw_shear(case: str, quantity: str) -> float:
    if "two sheets" not in case:
        raise LookupError(case)
    t, d, fu = _read(r"\bt", case) * MM_PER_IN, _screw_in(case) * MM_PER_IN, _tensile_mpa(case)
    nominal = float(screw_shear_n(t, t, d, fu, fu)) / N_PER_LB
    return nominal / omega("screw_shear") if "/3" in quantity else nominal


def _pull_out(case: str, quantity: str) -> float:
    t, d = _read(r"\bt", case) * MM_PER_IN, _screw_in(case) * MM_PER_IN
    nominal = float(pull_out_n(t, d, _tensile_mpa(case))) / N_PER_LB
    return nominal / omega("pull_out") if "/3" in quantity else nominal


def _strap(case: str) -> float:
    width, hole = _read("strap", case) * MM_PER_IN, _read(r"\bone", case) * MM_PER_IN
    t, fy, fu = _read(r"\bt", case) * MM_PER_IN, _read(r"\bFy", case), _read(r"\bFu", case)
    ksi = 1000.0 / PSI_PER_MPA
    gross = float(gross_yield_n(width * t, fy * ksi)) / omega("gross_yield")
    net = float(net_section_n((width - hole) * t, fu * ksi)) / omega("net_section")
    return min(gross, net) / N_PER_LB


def _nail_through_sheet(case: str) -> float:
    d, g = _read(r"\bon", case), _read(r"\bG", case)
    result = yield_load_lb(
        nominal_diameter_in=d,
        main_bearing_length_in=(_TABLE_PENETRATION_D - 1.0) * d,
        side_bearing_length_in=_read(r"\bt", case),
        fem_psi=fe_wood_psi(g, d),
        fes_psi=fe_steel_grade_psi("A653 Gr 33"),
        fyb_psi=fyb_psi("nail", d),
    )
    return float(result.load_lb)


def _screw_in(case: str) -> float:
    stated = re.search(rf"\bd {_NUMBER}", case)
    return float(stated[1]) if stated else wood_screw_gauge(int(_read(r"\bNo\.", case))).diameter_in


def _tensile_mpa(case: str) -> float:
    scale = 1000.0 if re.search(rf"\bFu {_NUMBER} ksi", case) else 1.0
    return _read(r"\bFu", case) * scale / PSI_PER_MPA


def _read(before: str, case: str) -> float:
    found = re.search(rf"{before} {_NUMBER}", case)
    if found is None:
        raise LookupError(before)
    return float(found[1])
