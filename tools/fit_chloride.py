"""Fit chloride against distance from the sea and what else is known, and judge it between campaigns.

    python tools/fit_chloride.py

Reads the station means kept with the tests, prints the table of docs/decisions/chloride-model.md and the
figures of tables/air/own/salt.toml. A test holds both to what is computed here.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

DATA = Path(__file__).resolve().parents[1] / "tests" / "against_published" / "data"
Array = NDArray[np.float64]
Rows = Mapping[str, Array]
P80 = 1.2816
SALT_PIVOT = 30.0  # a round number near the middle of the field's values


@dataclass(frozen=True)
class Form:
    """One way to say ln(chloride): a function of parameters and rows, and where to start."""

    name: str
    predict: Callable[[Array, Rows], Array]
    start: tuple[float, ...]
    at_run_time: bool = True


@dataclass(frozen=True)
class Judged:
    """Errors ln(measured) - ln(predicted) of rows whose campaign the fit did not see."""

    name: str
    parameters: tuple[float, ...]
    rms: float
    rms_by_campaign: float
    bias: float
    in_band: float


def stations() -> tuple[Rows, NDArray[np.str_]]:
    """Columns of the station means, and the campaign of each."""
    with (DATA / "air_chloride_stations.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))

    def column(name: str) -> Array:
        return np.array([float(row[name]) for row in found])

    rows = {
        "ln_km": np.log(column("distance_sea_km")),
        "km": column("distance_sea_km"),
        "elevation_m": column("elevation_m"),
        "ln_height": np.log1p(np.maximum(column("elevation_m"), 0.0) / 50.0),
        "ln_wind": np.log(column("wind_mean_m_s")),
        "windy": column("windy_month_share"),
        "ln_roughness": np.log(column("roughness_m") + 0.005),
        "ln_salt": np.log(column("sea_salt_index") / SALT_PIVOT),
        "y": np.log(column("chloride_mean_mg_m2_d")),
    }
    return rows, np.array([row["project"] for row in found])


def _power(*extra: str, salt: str = "none") -> Callable[[Array, Rows], Array]:
    def predict(p: Array, rows: Rows) -> Array:
        value = p[0] + p[1] * rows["ln_km"]
        for index, name in enumerate(extra, start=2):
            value = value + p[index] * rows[name]
        if salt == "one":
            value = value + rows["ln_salt"]
        return np.asarray(value)

    return predict


def _two_exponentials(salt: bool) -> Callable[[Array, Rows], Array]:
    def predict(p: Array, rows: Rows) -> Array:
        near, far = p[0] - rows["km"] / np.exp(p[1]), p[2] - rows["km"] / np.exp(p[3])
        return np.asarray(np.logaddexp(near, far) + (rows["ln_salt"] if salt else 0.0))

    return predict


FORMS = (
    Form("one value for all", lambda p, rows: np.full(len(rows["y"]), p[0]), (3.0,)),
    Form("power of distance", _power(), (3.3, -0.35)),
    Form("two exponentials of distance", _two_exponentials(False), (4.6, -1.6, 3.0, 4.0)),
    Form("power, wind speed", _power("ln_wind"), (3.3, -0.35, 0.1)),
    Form("power, windy months", _power("windy"), (3.3, -0.35, 0.1)),
    Form("power, height", _power("ln_height"), (3.3, -0.35, 0.0)),
    Form("power, roughness", _power("ln_roughness"), (3.3, -0.35, 0.0)),
    Form(
        "power, wind, windy months, height, roughness",
        _power("ln_wind", "windy", "ln_height", "ln_roughness"),
        (3.3, -0.35, 0.0, 0.0, 0.0, 0.0),
    ),
    Form("power times salt field", _power(salt="one"), (3.3, -0.3), False),
    Form("power times power of salt field", _power("ln_salt"), (3.3, -0.3, 1.0), False),
    Form("power times salt field, roughness", _power("ln_roughness", salt="one"), (3.3, -0.3, 0.0), False),
    Form("power times salt field, wind speed", _power("ln_wind", salt="one"), (3.3, -0.3, 0.0), False),
    Form("power times salt field, height", _power("ln_height", salt="one"), (3.3, -0.3, 0.0), False),
    Form("two exponentials times salt field", _two_exponentials(True), (4.3, -1.0, 2.6, 5.0), False),
)
BY_DISTANCE, BY_SALT_FIELD = "power of distance", "power times salt field"


def take(rows: Rows, mask: NDArray[np.bool_]) -> Rows:
    """The rows of a mask."""
    return {name: values[mask] for name, values in rows.items()}


def fit(form: Form, rows: Rows) -> Array:
    """Least squares by Levenberg's method with numerical slopes."""
    p, damping = np.array(form.start), 1e-3
    error = rows["y"] - form.predict(p, rows)
    for _ in range(500):
        steps = 1e-6 * np.maximum(1.0, np.abs(p))
        slopes = np.column_stack(
            [
                (form.predict(p + h * unit, rows) - form.predict(p - h * unit, rows)) / (2.0 * h)
                for h, unit in zip(steps, np.eye(len(p)), strict=True)
            ]
        )
        normal = slopes.T @ slopes
        move = np.linalg.solve(normal + damping * np.eye(len(p)), slopes.T @ error)
        trial = rows["y"] - form.predict(p + move, rows)
        if trial @ trial <= error @ error:
            p, error, damping = p + move, trial, damping / 5.0
            if np.abs(move).max() < 1e-10:
                break
        else:
            damping *= 5.0
            if damping > 1e12:
                break
    return p


def unseen_errors(form: Form, rows: Rows, campaign: NDArray[np.str_]) -> Array:
    """Error of each row under a fit that saw neither its campaign nor its place in another campaign."""
    errors = np.empty(len(campaign))
    for name in np.unique(campaign):
        out = campaign == name
        places = set(zip(rows["km"][out], rows["elevation_m"][out], strict=True))
        seen = np.array([place not in places for place in zip(rows["km"], rows["elevation_m"], strict=True)])
        p = fit(form, take(rows, seen & ~out))
        errors[out] = rows["y"][out] - form.predict(p, take(rows, out))
    return errors


def judge(form: Form, rows: Rows, campaign: NDArray[np.str_]) -> Judged:
    """Parameters from all rows, errors from campaigns left out one at a time."""
    errors = unseen_errors(form, rows, campaign)
    rms = float(np.sqrt(np.mean(errors**2)))
    by_campaign = [np.mean(errors[campaign == name] ** 2) for name in np.unique(campaign)]
    return Judged(
        form.name,
        tuple(float(value) for value in fit(form, rows)),
        rms,
        float(np.sqrt(np.mean(by_campaign))),
        float(np.mean(errors)),
        float(np.mean(np.abs(errors) <= P80 * rms)),
    )


def nested_rms(forms: Sequence[Form], rows: Rows, campaign: NDArray[np.str_]) -> tuple[float, list[str]]:
    """Error when the form itself is chosen without the campaign that judges it, and what was chosen."""
    squares, chosen = 0.0, []
    for name in np.unique(campaign):
        out = campaign == name
        inner, inner_campaign = take(rows, ~out), campaign[~out]
        scores = [float(np.mean(unseen_errors(form, inner, inner_campaign) ** 2)) for form in forms]
        best = forms[int(np.argmin(scores))]
        chosen.append(best.name)
        places = set(zip(rows["km"][out], rows["elevation_m"][out], strict=True))
        seen = np.array([p not in places for p in zip(inner["km"], inner["elevation_m"], strict=True)])
        left = take(rows, out)
        squares += float(np.sum((left["y"] - best.predict(fit(best, take(inner, seen)), left)) ** 2))
    return float(np.sqrt(squares / len(campaign))), chosen


def shore_trial() -> dict[str, float]:
    """Error at sites with a known kind of shore, with the shore factor and without."""
    from longhold.air.salt import chloride_from_distance

    with (DATA / "air_shore_trial.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    figures = {"sites": float(len(found))}
    for name, told in (("off", False), ("on", True)):
        errors = np.array(
            [
                np.log(
                    float(row["chloride_mean_mg_m2_d"])
                    / chloride_from_distance(
                        1000.0 * float(row["distance_sea_km"]), row["shore"] if told else "not_told"
                    ).median
                )
                for row in found
            ]
        )
        figures[f"rms_{name}"] = float(np.sqrt(np.mean(errors**2)))
        far = np.array([row["site"] not in ("Kure Beach (250 m lot)", "Helsinki") for row in found])
        figures[f"rms_{name}_unseen"] = float(np.sqrt(np.mean(errors[far] ** 2)))
    return figures


def table(judged: Sequence[Judged]) -> str:
    """The table of the decision note."""
    lines = [
        "| form | unseen campaigns, rms of ln | mean over campaigns | bias | in its 80 % band |",
        "|---|---|---|---|---|",
    ]
    lines += [
        f"| {one.name} | {one.rms:.3f} | {one.rms_by_campaign:.3f} | {one.bias:+.2f} | {one.in_band:.0%} |"
        for one in judged
    ]
    return "\n".join(lines)


def main() -> None:
    """Print everything."""
    rows, campaign = stations()
    judged = [judge(form, rows, campaign) for form in FORMS]
    print(f"{len(campaign)} station means, {len(np.unique(campaign))} campaigns\n")
    print(table(judged))
    for one in judged:
        if one.name in (BY_DISTANCE, BY_SALT_FIELD):
            print(f"\n{one.name}: {one.parameters}, sd_ln from unseen campaigns {one.rms:.4f}")
    for words, forms in (
        ("forms that need no salt field", [form for form in FORMS if form.at_run_time]),
        ("all forms", list(FORMS)),
    ):
        rms, chosen = nested_rms(forms, rows, campaign)
        print(f"\nchosen without the judge, {words}: rms {rms:.3f}; {sorted(set(chosen))}")
    print("\nshore factor:", {name: round(value, 3) for name, value in shore_trial().items()})


if __name__ == "__main__":
    main()
