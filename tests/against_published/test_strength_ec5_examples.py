"""EN 1995-1-1 section 8 against whole worked examples and printed distances, each row with its source."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest

from longhold.strength.ec5_axial import axial_screw_n
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, prepare_ec5
from longhold.strength.ec5_data import yield_moment_nmm
from longhold.strength.ec5_distances import least_distance_mm
from longhold.strength.ec5_dowel import timber_modes
from longhold.strength.ec5_factors import gamma_row, kmod_row

DATA = Path(__file__).parent / "data"


def rows(name):
    with (DATA / name).open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


EXAMPLES = rows("ec5_worked_examples.csv")


@cache
def answers():
    """Nails of 3.1 by 90 mm, 51 mm of 480 kg/m3 on 410 kg/m3, no rope; screws of 5 mm, thread of 45 mm."""
    d = 3.1
    ledger, stud = Ec5Member(51.0, 480.0, material="lvl"), Ec5Member(200.0, 410.0, material="lvl")
    nail = prepare_ec5(Ec5Connection("nail", d, ledger, stud, length_mm=90.0, fu_mpa=600.0))
    my = float(yield_moment_nmm(nail.fu_mpa, d))
    modes = timber_modes(nail.fh1_mpa * d, nail.fh2_mpa * d, nail.t1_mm, nail.t2_mm, my)
    gamma = gamma_row("connection")["gamma"]
    screws = [
        float(
            axial_screw_n(
                diameter_mm=5.0, nominal_mm=5.0, thread_mm=45.0, fax_mpa=10.0, count=count, declared=True
            )
        )
        for count in (1.0, 2.0)
    ]
    return {
        "fh ledger": nail.fh1_mpa,
        "fh stud": nail.fh2_mpa,
        "My": my,
        **{f"mode {name}": float(load) for name, load in zip(modes.names, modes.loads_n, strict=True)},
        "six nails staggered": 6.0 * float(min(modes.loads_n)) * kmod_row(1, "medium_term")["kmod"] / gamma,
        "one": screws[0],
        "two": screws[1] * kmod_row(1, "permanent")["kmod"] / gamma,
    }


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: f"{row['example']} {row['quantity']}")
def test_a_worked_example_comes_out_within_half_of_its_last_figure(row):
    what, _, rest = row["quantity"].partition(" ")
    if what in ("spacing", "end", "edge"):
        group, angle = rest.split()
        found = least_distance_mm(what, group, 3.1 if "nailed" in row["example"] else 5.0, float(angle))
    else:
        found = answers()[row["quantity"]]
    assert found == pytest.approx(float(row["expected"]), abs=float(row["half_of_last"]))


@pytest.mark.parametrize(
    "row", rows("ec5_bolt_distances.csv"), ids=lambda row: f"{row['kind']} {row['diameter_mm']}"
)
def test_printed_distances_of_bolts_and_dowels_come_out(row):
    kind, d = row["kind"], float(row["diameter_mm"])
    found = [
        least_distance_mm(what, kind, d, angle)
        for what, angle in (("spacing", 0.0), ("end", 0.0), ("edge", 90.0))
    ]
    assert found == pytest.approx([float(row[name]) for name in ("spacing_mm", "end_mm", "edge_mm")])
