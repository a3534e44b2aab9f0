"""Write a portfolio to try: sites, structures and labels drawn from a seed. All of it is invented.

    python tools/demo_portfolio.py OUT.csv|OUT.parquet [--sites 40] [--joints 2000] [--seed 1]

Sites are drawn over land between 27 and 47 degrees north, 123 and 68 west, more of them near the sea;
nothing stands there.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
import pyarrow as pa
from pyarrow import csv, parquet

HANGER = ("hanger", "18 ga", 1, "nail", "10d common x 1-1/2 in", 10)
STRAP = ("strap", "16 ga", 1, "nail", "10d common x 1-1/2 in", 8)
POST_BASE = ("post_base", "12 ga", 1, "lag_screw", "1/2 in x 4 in", 4)
JOIST = ("southern pine", "MCA", "UC4A", "2x8")
LEDGER = ("southern pine", "ACQ-D", "UC4A", "2x8")
POST = ("southern pine", "CCA-C", "UC4B", "6x6")
BARE = ("southern pine", "none", "", "2x8")
KINDS = [
    ("open_to_rain", "structural", LEDGER, HANGER, "G90", "HDG per ASTM A153", 22),
    ("open_to_rain", "structural", LEDGER, HANGER, "G185", "HDG per ASTM A153", 22),
    ("open_to_rain", "structural", LEDGER, HANGER, "304 stainless", "304 stainless", 22),
    ("open_to_rain", "structural", JOIST, HANGER, "G90", "bright", 12),
    ("open_to_rain", "structural", JOIST, HANGER, "G185", "HDG per ASTM A153", 12),
    ("open_to_rain", "structural", JOIST, STRAP, "G90", "HDG per ASTM A153", 6),
    ("open_to_rain", "structural", JOIST, STRAP, "G185", "HDG per ASTM A153", 6),
    ("open_to_rain", "structural", POST, POST_BASE, "G90", "ASTM A153 Class C", 4),
    ("open_to_rain", "structural", POST, POST_BASE, "ASTM A123", "ASTM A153 Class C", 4),
    ("open_to_rain", "other", JOIST, ("wood_screw", "#10 x 2-1/2 in", 4), "yellow zinc", "", 60),
    ("open_to_rain", "other", JOIST, ("wood_screw", "#10 x 2-1/2 in", 4), "HDG per ASTM A153", "", 60),
    ("open_to_rain", "other", JOIST, ("wood_screw", "#10 x 2-1/2 in", 4), "304 stainless", "", 60),
    ("open_to_rain", "structural", POST, ("bolt", "1/2 in x 8 in", 2), "ASTM A153 Class C", "", 8),
    ("under_cover", "structural", JOIST, STRAP, "G60", "bright", 10),
    ("under_cover", "structural", BARE, HANGER, "G60", "bright", 16),
    ("damp_inside", "structural", BARE, HANGER, "G60", "bright", 16),
    ("dry_inside", "structural", BARE, HANGER, "G60", "bright", 24),
    ("ground_contact", "structural", POST, ("nail", "16d common", 6), "HDG per ASTM A153", "", 6),
]
"""Place, role, timber, parts with their sizes and counts, both labels, joints on a line."""


def sites(count: int, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Positions on land [degree], half of them within some 20 km of salt water."""
    from longhold.assessment.located import shoreline

    latitude, longitude = np.zeros(0), np.zeros(0)
    while len(latitude) < count:
        some = 8 * count + 200
        lat = np.round(rng.uniform(27.0, 47.0, some), 4)
        lon = np.round(rng.uniform(-123.0, -68.0, some), 4)
        found = shoreline().nearest_shore(lat, lon)
        near = np.asarray(found.to_salt_water_m) < 20_000.0
        kept = ~np.asarray(found.at_sea) & ~np.asarray(found.refer, dtype=bool)
        kept &= near | (rng.random(some) < 0.05)
        latitude = np.concatenate([latitude, lat[kept]])
        longitude = np.concatenate([longitude, lon[kept]])
    return latitude[:count], longitude[:count]


def portfolio(site_count: int, joint_count: int, seed: int) -> pa.Table:
    """The table, a row a joint."""
    rng = np.random.default_rng(seed)
    latitude, longitude = sites(site_count, rng)
    each = max(joint_count // site_count, 1)
    site = np.repeat(np.arange(site_count), each)
    at = np.tile(np.arange(each), site_count)
    structure = site * 10 + at // 50  # up to fifty joints a structure
    kind = rng.integers(len(KINDS), size=len(site))
    built = rng.integers(1975, 2025, size=site.max() * 10 + 10 + each // 50)
    setting = np.array(["rural", "urban"])[rng.integers(2, size=site_count)]

    def of_kind(make) -> pa.Array:
        return pa.array([make(one) for one in KINDS]).take(pa.array(kind))

    def named(words: str, numbers: np.ndarray) -> pa.Array:
        some, place = np.unique(numbers, return_inverse=True)
        return pa.array([words.format(one) for one in some.tolist()]).take(pa.array(place))

    columns = {
        "structure": named("Invented structure {:06d}", structure),
        "site": named("Invented site {:05d}", site),
        "latitude": latitude[site],
        "longitude": longitude[site],
        "setting": pa.array(setting).take(pa.array(site)),
        "build_date": named("{}-05-01", built[structure]),
        "design_life": pa.array(["50 years"] * len(site)),
        "pack": pa.array(["us_irc"] * len(site)),
        "edition": pa.array(["2021"] * len(site)),
        "joint": named("J{:06d}", at),
        "place": of_kind(lambda one: one[0]),
        "role": of_kind(lambda one: one[1]),
        "quantity": of_kind(lambda one: one[6]),
    }
    for place, name in enumerate(("species", "preservative", "use_category", "size")):
        columns[f"main_{name}"] = of_kind(lambda one, place=place: one[2][place] or None)
    for part in (0, 1):
        for place, name in enumerate(("kind", "size", "count")):
            columns[f"part{part + 1}_{name}"] = of_kind(
                lambda one, place=3 * part + place: one[3][place] if place < len(one[3]) else None
            )
        columns[f"part{part + 1}_label"] = of_kind(lambda one, place=4 + part: one[place] or None)
    return pa.table(columns)


def main() -> None:
    """Write the table."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("out", type=Path)
    ask.add_argument("--sites", type=int, default=40)
    ask.add_argument("--joints", type=int, default=2000)
    ask.add_argument("--seed", type=int, default=1)
    told = ask.parse_args()
    table = portfolio(told.sites, told.joints, told.seed)
    (parquet.write_table if told.out.suffix == ".parquet" else csv.write_csv)(table, told.out)
    print(f"{len(table):,} invented joints: {told.out}")


if __name__ == "__main__":
    main()
