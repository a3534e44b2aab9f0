"""Fit the monthly humidity of the offline climate to stations, and say how far it is off.

    python tools/fit_climate.py FOLDER_OF_MAPS

Reads the station rows of ``tests/against_published/data`` that are marked for fitting, the built-in
stations and the recalled wood moistures; the ten stations marked ``judge`` are never used here.
Writes ``tools/climate_humidity.json``; prints errors with a whole part of the world left out at a time.
"""

from __future__ import annotations

import csv
import json
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from climate_humidity import FEATURES, corrected, features
from climate_maps import Maps, unit_vectors

from longhold.air.climates import station, stations
from longhold.wood.sorption import equilibrium_moisture_pct

ROOT = Path(__file__).resolve().parents[1]
DATA = ROOT / "tests" / "against_published" / "data"
OUT = Path(__file__).with_name("climate_humidity.json")
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
RIDGE = 3.0
SAME_PLACE = 150.0 / 6371.0
# weight of a station by how its humidity is known
WEIGHT = {"hourly file": 1.0, "recalled": 1.0, "wood moisture": 0.5, "yearly mean": 1.0}


@dataclass(frozen=True)
class Known:
    """Stations with twelve humidities each, or one mean repeated."""

    kind: list[str]
    latitude: np.ndarray
    longitude: np.ndarray
    humidity_pct: np.ndarray


def rows(name: str) -> list[dict[str, str]]:
    """Rows of one file of station data."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def known(maps: Maps) -> Known:
    """Every station that may be used for fitting."""
    found: list[tuple[str, float, float, np.ndarray]] = []
    hourly = [row for row in rows("climate_hourly_months.csv") if row["group"] == "fit"]
    for name in dict.fromkeys(row["station"] for row in hourly):
        of = [row for row in hourly if row["station"] == name]
        humidity = np.array([float(row["relative_humidity_pct"]) for row in of])
        found.append(("hourly file", float(of[0]["latitude"]), float(of[0]["longitude"]), humidity))
    for entry in stations():
        humidity = np.array(station(entry.name).relative_humidity_pct)
        found.append(("recalled", entry.latitude, entry.longitude, humidity))
    for row in rows("climate_wood_moisture.csv"):
        lat, lon = float(row["latitude"]), float(row["longitude"])
        t = maps.temperature_c.at(np.array([lat]), np.array([lon]))[0]
        found.append(
            ("wood moisture", lat, lon, humidity_of_wood(t, np.array([float(row[m]) for m in MONTHS])))
        )
    for row in rows("climate_yearly_sites.csv"):
        yearly = np.full(12, float(row["relative_humidity_pct"]))
        found.append(("yearly mean", float(row["latitude"]), float(row["longitude"]), yearly))
    kind, lat, lon, humidity = zip(*found, strict=True)
    return Known(list(kind), np.array(lat), np.array(lon), np.array(humidity))


def humidity_of_wood(temperature_c: np.ndarray, moisture_pct: np.ndarray) -> np.ndarray:
    """Humidity at which wood of a temperature comes to rest at a moisture."""
    grid = np.linspace(1.0, 99.0, 981)
    return np.array(
        [
            np.interp(m, equilibrium_moisture_pct(t, grid), grid)
            for t, m in zip(temperature_c, moisture_pct, strict=True)
        ]
    )


def part_of_world(latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """0 North America, 1 Europe, 2 north-east Asia, 3 the tropics and the south."""
    america = (longitude < -50) & (latitude > 15)
    europe = (longitude > -25) & (longitude < 45) & (latitude > 35)
    asia = (longitude > 60) & (latitude > 30)
    return np.select([america, europe, asia], [0, 1, 2], 3)


def clusters(latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """Stations within 150 km of each other count as one place."""
    points, label = unit_vectors(latitude, longitude), np.full(len(latitude), -1)
    for i, point in enumerate(points):
        if label[i] < 0:
            label[np.linalg.norm(points - point, axis=1) < SAME_PLACE] = i
    return label


def fitted(X: np.ndarray, stations_known: Known, use: np.ndarray, region: np.ndarray) -> np.ndarray:
    """Ridge regression; every part of the world weighs the same; a yearly mean counts as one row."""
    yearly = np.array([kind == "yearly mean" for kind in stations_known.kind])
    weight = np.array([WEIGHT[kind] for kind in stations_known.kind])
    for part in np.unique(region):
        weight = np.where(region == part, weight / weight[region == part].sum(), weight)
    weight = weight * 100.0
    monthly, mean = use & ~yearly, use & yearly
    a = np.concatenate([X[monthly].reshape(-1, X.shape[-1]), X[mean].mean(1)])
    y = np.concatenate(
        [stations_known.humidity_pct[monthly].ravel(), stations_known.humidity_pct[mean].mean(1)]
    )
    w = np.concatenate([np.repeat(weight[monthly], 12) / 4.0, weight[mean] * 3.0])
    centre = (a * w[:, None]).sum(0) / w.sum()
    scale = np.sqrt((((a - centre) ** 2) * w[:, None]).sum(0) / w.sum())
    s = np.concatenate([np.ones((len(a), 1)), (a - centre) / scale], 1)
    normal = (s * w[:, None]).T @ s + RIDGE * np.diag([0.0] + [1.0] * len(centre))
    c = np.linalg.solve(normal, (s * w[:, None]).T @ y)
    slopes = c[1:] / scale
    return np.concatenate([[c[0] - slopes @ centre], slopes])


def left_out(X: np.ndarray, at: Known, groups: np.ndarray, region: np.ndarray) -> np.ndarray:
    """Humidity at each station from a fit that never saw its group."""
    found = np.zeros(X.shape[:2])
    for group in np.unique(groups):
        found[groups == group] = corrected(X[groups == group], fitted(X, at, groups != group, region))
    return found


def errors(found: np.ndarray, at: Known) -> dict[str, dict[str, float]]:
    """Bias and root mean square of yearly means, and of months, for each kind of station."""
    told = {}
    for kind in WEIGHT:
        of = np.array([k == kind for k in at.kind])
        off = (found - at.humidity_pct)[of]
        told[kind] = {
            "stations": int(of.sum()),
            "yearly_bias": off.mean(),
            "yearly_rms": np.sqrt((off.mean(1) ** 2).mean()),
        }
        if kind != "yearly mean":
            told[kind]["monthly_rms"] = np.sqrt((off**2).mean())
    off = (found - at.humidity_pct).mean(1)
    told["all"] = {"stations": len(off), "yearly_bias": off.mean(), "yearly_rms": np.sqrt((off**2).mean())}
    return {kind: {name: round(float(value), 2) for name, value in row.items()} for kind, row in told.items()}


def main(folder: Path) -> None:
    """Fit, judge, write."""
    maps = Maps(folder)
    at = known(maps)
    X = features(maps, at.latitude, at.longitude)
    region = part_of_world(at.latitude, at.longitude)
    coefficients = fitted(X, at, np.ones(len(region), bool), region)
    report = {
        "coefficients": dict(zip(("constant", *FEATURES), np.round(coefficients, 4).tolist(), strict=True)),
        "quantiles_alone": errors(X[..., 0] + X[..., 1], at),
        "place_left_out": errors(left_out(X, at, clusters(at.latitude, at.longitude), region), at),
        "part_of_world_left_out": errors(left_out(X, at, region, region), at),
    }
    OUT.write_text(json.dumps(report, indent=1) + "\n", encoding="utf-8")
    print(OUT.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
