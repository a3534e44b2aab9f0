"""Strength that somebody computed from the same equations, not read anywhere: code checks.

The recomputed values of cells come with the cells themselves, whose printed values are checked elsewhere.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from longhold.strength.connection import DowelConnection, SteelSide, WoodMember
from longhold.strength.dowel_ratio import capacity_n, strength_ratio
from longhold.strength.nds_data import fe_wood_psi
from longhold.strength.nds_dowel import mode_names, yield_load_lb
from longhold.strength.nds_tables import answer_row
from longhold.strength.steel_rows import answer_steel_row
from longhold.strength.steel_words import resolve_same

DATA = Path(__file__).parent / "data"
CELLS = Path(__file__).parents[1] / "against_published" / "data" / "nds_cells.csv"
LB = 4.4482216152605
MM = 25.4


def read(path):
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


AGREEING = [row for row in read(CELLS) if row["agrees"] == "yes"]
SHEET = read(DATA / "sheet_steel_cells.csv")


def cell_id(row):
    return f"{row['id']}-{row['table']}-{row['status']}".replace(" ", "_")


@pytest.mark.parametrize("row", AGREEING, ids=cell_id)
def test_code_check_recomputed_value(row):
    assert answer_row(row) == pytest.approx(float(row["recomputed"]), abs=0.0051)


@pytest.mark.parametrize(
    "place",
    range(len(SHEET)),
    ids=lambda i: f"{SHEET[i]['quantity'][:4]}-{SHEET[i]['value']}",
)
def test_code_check_sheet_with_lost_thickness(place):
    # The thickness in the text is cut to five decimals: 0.01 % of it.
    row, case = SHEET[place], resolve_same([r["case"] for r in SHEET])[place]
    assert answer_steel_row({**row, "case": case}) == pytest.approx(float(row["value"]), rel=2e-4)


def test_all_computed_rows_on_sheet_steel_are_there():
    assert [r["status"] for r in SHEET] == ["computed"] * 19


def lag(side, main):
    # The tables' "p = 8 D without the tip": 4 in of thread plus the tip of 5/16 in.
    return DowelConnection("lag_screw", 12.7, side, main, penetration_mm=(4.0 + 0.3125) * MM)


def wood(inches, g, angle=0.0):
    return WoodMember(inches * MM, g, angle)


LEFT_CONNECTIONS = {
    "nail .148 x 3, 1.5 in side, any G": DowelConnection(
        "nail", 0.148 * MM, wood(1.5, 0.50), wood(3.5, 0.50), length_mm=3.0 * MM
    ),
    "nail .162 x 3.5, 1.5 in side": DowelConnection(
        "nail", 0.162 * MM, wood(1.5, 0.50), wood(3.5, 0.50), length_mm=3.5 * MM
    ),
    "nail .148, 16 ga (.060) steel side, G .55 (Z0 125.6 lb)": DowelConnection(
        "nail", 0.148 * MM, SteelSide(0.060 * MM, 310.264), wood(3.5, 0.55), length_mm=3.0 * MM
    ),
    "nail .131 x 2.5, 3/4 in side, G .42 (Z0 70.5)": DowelConnection(
        "nail", 0.131 * MM, wood(0.75, 0.42), wood(3.5, 0.42), length_mm=2.5 * MM
    ),
    "No. 10 wood screw, 1 in board, G .55 (Z0 127.8)": DowelConnection(
        "wood_screw", 0.190 * MM, wood(1.0, 0.55), wood(3.5, 0.55), penetration_mm=1.9 * MM
    ),
    "1/2 lag, 1.5 in side, par, G .50 (Z0 394)": lag(wood(1.5, 0.50), wood(6.0, 0.50)),
    "1/2 lag, perp both, G .50 (Z0 204)": lag(wood(1.5, 0.50, 90.0), wood(6.0, 0.50, 90.0)),
    "1/2 bolt 1.5 + 1.5 in, par, G .55 (Z0 531)": DowelConnection(
        "bolt", 12.7, wood(1.5, 0.55), wood(1.5, 0.55)
    ),
    "1/2 bolt 3.5 main, side perp, G .55 (Z0 400)": DowelConnection(
        "bolt", 12.7, wood(1.5, 0.55, 90.0), wood(3.5, 0.55)
    ),
}


@pytest.mark.parametrize(
    "row", read(DATA / "strength_left.csv"), ids=lambda r: f"{r['connection'][:22]}-{r['loss_mm']}"
)
def test_code_check_strength_left_after_uniform_loss(row):
    loss_um = float(row["loss_mm"]) * 1000.0
    connection = LEFT_CONNECTIONS[row["connection"]]
    assert float(strength_ratio(connection, loss_um, loss_um)) == pytest.approx(
        float(row["ratio"]), abs=0.00051
    )
    assert str(capacity_n(connection, 0.0, 0.0).mode) == row["mode"]


@pytest.mark.parametrize("g", [0.36, 0.42, 0.50, 0.55, 0.67])
def test_code_check_mode_iv_loses_the_same_share_in_any_wood(g):
    nail = DowelConnection("nail", 0.148 * MM, wood(1.5, g), wood(3.5, g), length_mm=3.0 * MM)
    assert float(strength_ratio(nail, 200.0, 200.0)) == pytest.approx(0.799, abs=0.0005)


def test_code_check_hinge_only_loss():
    nail = DowelConnection("nail", 0.148 * MM, wood(1.5, 0.55), wood(3.5, 0.55), length_mm=3.0 * MM)
    new, worn = capacity_n(nail, np.array([0.0, 200.0]), 0.0).capacity_n / LB
    assert (round(new, 1), round(worn, 1)) == (128.5, 108.5)


def test_code_check_governing_modes_of_bolts():
    """Governing modes that came with the cells of Table 12A at G 0.50; the table itself prints none."""
    cells = [row for row in AGREEING if row["table"] == "12A" and row["G"] == "0.5"]
    assert len(cells) > 10
    for row in cells:
        angle = {"theta_main_deg": float(row["theta_main"]), "theta_side_deg": float(row["theta_side"])}
        diameter = float(row["D_in"])
        result = yield_load_lb(
            nominal_diameter_in=diameter,
            main_bearing_length_in=float(row["main_in"]),
            side_bearing_length_in=float(row["ls_in"]),
            fem_psi=fe_wood_psi(0.5, diameter, angle["theta_main_deg"]),
            fes_psi=fe_wood_psi(0.5, diameter, angle["theta_side_deg"]),
            fyb_psi=45_000.0,
            **angle,
        )
        assert str(mode_names(result.mode_index)) == row["mode"], row["id"]
