"""Fit how far measured first-year loss stands from the printed equations, and judge it by group.

    python tools/fit_air_calibration.py

ln(measured / printed) = level of the metal + slope x ln(printed / pivot); the slope is one for the four
metals. Reads the measured sites kept with the tests and the list of sites in tables/air/own; prints the
figures of tables/air/own/calibration.csv and the tables of docs/decisions/air-calibration.md.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from longhold.air.calibration import calibration
from longhold.air.categories import mass_loss_g_m2
from longhold.air.discrepancy import Discrepancy, MetalShift
from longhold.air.dose_response import first_year_loss_um
from longhold.air.metals import METALS
from longhold.air.salt import chloride_from_distance
from longhold.base.tables import load_csv, load_toml

DATA = Path(__file__).resolve().parents[1] / "tests" / "against_published" / "data"
Array = NDArray[np.float64]
PIVOT_UM = {"carbon_steel": 10.0, "zinc": 1.0, "copper": 1.0, "aluminium": 0.1}
ROUNDS = 10
P80 = 1.2816


@dataclass(frozen=True)
class Row:
    """One metal at one site."""

    metal: str
    group: str
    site: str
    fitted: bool
    inputs: tuple[float, float, float, float]  # deg C, %, mg/(m2 d) of sulphur dioxide, of chloride
    chloride_measured: bool
    measured_um: float
    printed_um: float
    salted_um: float  # printed at the least chloride that the calibrated law is asked with

    @property
    def error(self) -> float:
        """ln(measured / printed at that chloride)."""
        return float(np.log(self.measured_um / self.salted_um))

    @property
    def steepness(self) -> float:
        """ln(printed at that chloride / pivot)."""
        return float(np.log(self.salted_um / PIVOT_UM[self.metal]))


def rows(*, by_distance: bool = False) -> list[Row]:
    """Every metal of every measured site whose other inputs are known.

    A chloride that nobody measured stands as the table has it, 0 or 1; or it comes by distance.
    """
    columns = {"group": str, "site": str, "fitted": str, "why": str}
    fitted = {
        row["site"]: row["fitted"] == "yes" for row in load_csv("air/own/calibration_sites.csv", columns)
    }
    least = calibration().least_chloride_mg_m2_d
    found = []
    with (DATA / "air_measured_sites.csv").open(encoding="utf-8", newline="") as file:
        for cells in csv.DictReader(file):
            chloride = float(cells["chloride_mg_m2_d"] or 1.0)  # as the study behind the table has it
            told = cells["chloride_mg_m2_d"] not in ("", "0.0")
            if by_distance and not told:
                chloride = chloride_from_distance(1000.0 * float(cells["distance_sea_km"])).median
            inputs = (
                float(cells["temperature_c"]),
                float(cells["relative_humidity_pct"]),
                float(cells["sulphur_dioxide_mg_m2_d"]),
                chloride,
            )
            for metal in METALS:
                text = cells["aluminium" if metal == "aluminium" else f"{metal}_um"]
                if not text:
                    continue
                measured = float(text)
                if metal == "aluminium" and cells["aluminium_unit"].startswith("g/m2"):
                    measured /= float(mass_loss_g_m2("aluminium", 1.0))
                printed = float(first_year_loss_um(metal, *inputs))
                salted = float(first_year_loss_um(metal, *inputs[:3], max(inputs[3], least)))
                site = cells["site"]
                found.append(
                    Row(
                        metal,
                        cells["group"],
                        site,
                        fitted[site],
                        inputs,
                        told,
                        measured,
                        printed,
                        salted,
                    )
                )
    return found


def fit(seen: Sequence[Row], *, sloped: bool = True) -> Discrepancy:
    """Least squares with one slope for all metals, each metal weighed by its own scatter.

    Levels and slope are drawn to nought by normal priors. A chloride of nought is asked as the law asks it.
    """
    used = [row for row in seen if row.fitted]
    prior = load_toml("air/own/calibration.toml")["prior"]
    design = np.zeros((len(used), len(METALS) + 1))
    for index, row in enumerate(used):
        design[index, METALS.index(row.metal)] = 1.0
        design[index, -1] = row.steepness if sloped else 0.0
    errors = np.array([row.error for row in used])
    of_metal = np.array([METALS.index(row.metal) for row in used])
    spread = np.full(len(METALS), 0.5)
    pull = np.diag([prior["level_sd"] ** -2] * len(METALS) + [prior["slope_sd"] ** -2])
    for _ in range(ROUNDS):
        weights = 1.0 / spread[of_metal] ** 2
        p = np.linalg.solve((design.T * weights) @ design + pull, (design.T * weights) @ errors)
        over = errors - design @ p
        spread = np.array([np.sqrt(np.mean(over[of_metal == index] ** 2)) for index in range(len(METALS))])
    return discrepancy(dict(zip(METALS, p[:-1].tolist(), strict=True)), float(p[-1]), used)


def discrepancy(levels: Mapping[str, float], slope: float, used: Sequence[Row]) -> Discrepancy:
    """The shift of the package with these figures, fading beyond these rows as the tables say."""
    kept = calibration()
    inputs = np.array([(*row.inputs[:3], max(row.inputs[3], kept.least_chloride_mg_m2_d)) for row in used])
    ranges = [
        replace(limits, least=least, most=most)
        for limits, least, most in zip(kept.ranges, inputs.min(axis=0), inputs.max(axis=0), strict=True)
    ]
    metals = {}
    for metal in METALS:
        printed = [row.salted_um for row in used if row.metal == metal]
        metals[metal] = MetalShift(levels[metal], PIVOT_UM[metal], min(printed), max(printed))
    return replace(kept, slope_ratio=slope, metals=metals, ranges=ranges)


def left(found: Discrepancy, row: Row, *, faded: bool) -> float:
    """ln(measured / predicted) of a row; without fading as if every row lay within the data."""
    if faded:
        return float(np.log(row.measured_um / found.shifted(row.metal, row.inputs).median_um))
    return row.error - found.metals[row.metal].level_ln - found.slope_ratio * row.steepness


def unseen(
    all_rows: Sequence[Row],
    left_out: str,
    *,
    faded: bool,
    sloped: bool = True,
    judged: Sequence[Row] | None = None,
) -> dict[Row, float]:
    """Error of each row under a fit that did not see its group, its site, or any group but its own.

    ``judged`` are the rows to judge where they are not those of the fit.
    """
    errors = {}
    for out in sorted({(row.group, row.site) for row in all_rows}):
        if left_out == "the group":
            seen = [row for row in all_rows if row.group != out[0]]
        elif left_out == "the site":
            seen = [row for row in all_rows if row.site != out[1]]
        else:
            seen = [row for row in all_rows if row.group == out[0] and row.site != out[1]]
        found = fit(seen, sloped=sloped)
        for row in judged or all_rows:
            if (row.group, row.site) == out:
                errors[row] = left(found, row, faded=faded)
    return errors


def figures(errors: Sequence[float]) -> tuple[int, float, float, float, int, int]:
    """Count, rms, bias and spread of ln(measured / predicted), and how many lie within 1.5 and 2."""
    e = np.array(errors)
    within = [int((np.abs(e) <= np.log(factor)).sum()) for factor in (1.5, 2.0)]
    return len(e), float(np.sqrt(np.mean(e**2))), float(e.mean()), float(e.std()), within[0], within[1]


def slope_band(all_rows: Sequence[Row], draws: int = 400, seed: int = 1) -> tuple[float, float]:
    """5 and 95 % of the slope when sites are drawn again with replacement."""
    generator = np.random.default_rng(seed)
    sites = sorted({row.site for row in all_rows if row.fitted})
    by_site = {site: [row for row in all_rows if row.site == site] for site in sites}
    slopes = [
        fit([row for site in generator.choice(sites, len(sites)) for row in by_site[site]]).slope_ratio
        for _ in range(draws)
    ]
    low, high = np.quantile(slopes, [0.05, 0.95])
    return float(low), float(high)


LAWS = ("printed", "printed, some salt", "a factor for each metal", "calibrated, not faded", "calibrated")
LEFT_OUT = ("the group", "the site", "the site, its group alone")


@cache
def _cross_validation(left_out: str) -> dict[str, dict[Row, float]]:
    """Errors by law; the printed law has nothing to leave out."""
    all_rows = rows()
    return {
        "printed": {row: float(np.log(row.measured_um / row.printed_um)) for row in all_rows},
        "printed, some salt": {row: row.error for row in all_rows},
        "a factor for each metal": unseen(all_rows, left_out, faded=False, sloped=False),
        "calibrated, not faded": unseen(all_rows, left_out, faded=False),
        "calibrated": unseen(all_rows, left_out, faded=True),
    }


def cross_validation(left_out: str) -> dict[str, dict[Row, float]]:
    """ln(measured / predicted) of every row by law, with one of ``LEFT_OUT`` unseen by the fit."""
    return _cross_validation(left_out)


def table(left_out: str, group: str | None = None, laws: Sequence[str] = LAWS) -> str:
    """Figures by metal and law as a table."""
    errors = cross_validation(left_out)
    return _lines({law: errors[law] for law in laws}, group)


def _lines(errors: Mapping[str, Mapping[Row, float]], group: str | None) -> str:
    lines = [
        "| metal | law | rms of ln | predicted over measured | spread of ln | within 1.5 | within 2 |",
        "|---|---|---|---|---|---|---|",
    ]
    for metal in METALS:
        for law, found in errors.items():
            of_metal = [
                error for row, error in found.items() if row.metal == metal and group in (None, row.group)
            ]
            n, rms, bias, spread, near, far = figures(of_metal)
            words = metal.replace("_", " ")
            lines.append(
                f"| {words} | {law} | {rms:.2f} | {np.exp(-bias):.2f} | {spread:.2f} "
                f"| {near} of {n} | {far} of {n} |"
            )
    return "\n".join(lines)


def by_distance_table() -> str:
    """Figures where a chloride that nobody measured comes by distance, under fits that saw no such group."""
    filled = rows(by_distance=True)
    laws = {
        "printed": {row: float(np.log(row.measured_um / row.printed_um)) for row in filled},
        "calibrated": unseen(rows(), "the group", faded=True, judged=filled),
    }
    return _lines(laws, None)


def bands() -> dict[str, tuple[float, float]]:
    """Spread of ln inside and outside the data: a group that the fit did not see; the printed law's error."""
    errors = cross_validation("the group")
    found = {}
    for metal in METALS:
        inside, outside = (
            figures([error for row, error in errors[law].items() if row.metal == metal])[1]
            for law in ("calibrated, not faded", "printed, some salt")
        )
        found[metal] = (inside, outside)
    return found


def main() -> None:
    """Print everything."""
    all_rows = rows()
    found = fit(all_rows)
    print("levels", {metal: round(of.level_ln, 4) for metal, of in found.metals.items()})
    band = [round(value, 2) for value in slope_band(all_rows)]
    print(f"slope {found.slope_ratio:.4f}, 90 % by drawing sites again {band}")
    print("ranges", {limits.name: (float(limits.least), float(limits.most)) for limits in found.ranges})
    print(
        "printed loss",
        {m: (round(of.least_printed_um, 4), round(of.most_printed_um, 4)) for m, of in found.metals.items()},
    )
    print(
        "bands inside, outside",
        {metal: tuple(round(value, 3) for value in pair) for metal, pair in bands().items()},
    )
    print(f"\nunmeasured chloride by distance\n{by_distance_table()}")
    groups = sorted({row.group for row in all_rows})
    for left_out in LEFT_OUT:
        print(f"\nleave out {left_out}, all\n{table(left_out)}")
        for group in groups:
            print(f"\nleave out {left_out}, rows of {group}\n{table(left_out, group)}")


if __name__ == "__main__":
    main()
