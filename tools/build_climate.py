"""Make places/src/longhold_places/climate.npz: monthly climate on a half-degree grid of land and shores.

    python tools/build_climate.py FOLDER_OF_MAPS

``climate_maps.py`` says where the maps come from; ``climate_humidity.json`` holds the coefficients that
``fit_climate.py`` found. The table is the same, byte for byte, whenever it is made from the same maps.

Arrays (16-bit integers; those with months are divided by ``scales`` of air/own/grid_climate.toml):
index      361 x 720: row of the node at latitude -90 + i/2, longitude -180 + j/2; -1 where there is none
height     height of the smoothed land that the temperatures belong to [m]
temperature, humidity, rain   nodes x 12
scale_height                  of vapour [m]
shore                         rows of nodes that have marine wind
wind_speed, wind_east, wind_north   shore nodes x 12
"""

from __future__ import annotations

import json
import sys
import zipfile
from io import BytesIO
from pathlib import Path

import numpy as np
from climate_humidity import FEATURES, corrected, features, rain
from climate_maps import EARTH_KM, Grid, Maps, unit_vectors
from scipy.ndimage import gaussian_filter

from longhold.base.tables import load_toml

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "places" / "src" / "longhold_places" / "climate.npz"
COEFFICIENTS = Path(__file__).with_name("climate_humidity.json")
STEP_DEG, SOUTH_OF_ALL = 0.5, -60.0
NEAR_LAND_KM, SHORE_KM = 120.0, 80.0
# points of 1/12 degree; the smoothing that makes height differences explain those of the reanalysis best
SMOOTHING = 2.0


def nodes(maps: Maps) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Index grid, latitudes and longitudes of the nodes that are kept."""
    latitude = np.arange(-90.0, 90.0 + STEP_DEG / 2, STEP_DEG)
    longitude = np.arange(-180.0, 180.0, STEP_DEG)
    lon, lat = np.meshgrid(longitude, latitude)
    km = maps.land_points.query(unit_vectors(lat.ravel(), lon.ravel()))[0].reshape(lat.shape) * EARTH_KM
    keep = (km <= NEAR_LAND_KM) & (lat >= SOUTH_OF_ALL)
    index = np.full(lat.shape, -1, np.int32)
    index[keep] = np.arange(keep.sum())
    return index, lat[keep], lon[keep]


def smooth_height(maps: Maps) -> Grid:
    """Height of land as smooth as that of the reanalysis [m]."""
    grid = maps.height_m
    values = gaussian_filter(np.maximum(grid.values[0], -430.0), SMOOTHING, mode="nearest")
    return Grid(grid.latitude, grid.longitude, values[None])


def layers(maps: Maps, latitude: np.ndarray, longitude: np.ndarray) -> dict[str, np.ndarray]:
    """Every array but the index, in its own unit."""
    coefficients = np.array(
        list(json.loads(COEFFICIENTS.read_text(encoding="utf-8"))["coefficients"].values())
    )
    if len(coefficients) != len(FEATURES) + 1:
        raise SystemExit("climate_humidity.json is of another fit; run fit_climate.py")
    shore = np.flatnonzero(maps.sea_distance_km(latitude, longitude) <= SHORE_KM)
    wind = {
        name: maps.at_sea(latitude[shore], longitude[shore], maps.marine[layer])
        for name, layer in (("wind_speed", "WSPD"), ("wind_east", "UWND"), ("wind_north", "VWND"))
    }
    sailed = np.isfinite(wind["wind_speed"]).all(1)
    return {
        "height": smooth_height(maps).at(latitude, longitude)[:, 0],
        "scale_height": 1000.0 * maps.vapour_scale_km.at(latitude, longitude)[:, 0],
        "temperature": maps.temperature_c.at(latitude, longitude),
        "humidity": corrected(features(maps, latitude, longitude), coefficients),
        "rain": rain(maps, latitude, longitude),
        "shore": shore[sailed],
        **{name: values[sailed] for name, values in wind.items()},
    }


def packed(arrays: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Arrays as integers; those with months are stored month by month."""
    units = load_toml("air/own/grid_climate.toml")["scales"]
    found = {}
    for name, values in arrays.items():
        scaled = np.rint(values * units.get(name, 1))
        kind = np.int32 if name in {"index", "shore"} else np.int16
        if scaled.min() < np.iinfo(kind).min or scaled.max() > np.iinfo(kind).max:
            raise SystemExit(f"{name} does not fit its integers: {scaled.min()} to {scaled.max()}")
        found[name] = scaled.astype(kind).T if values.ndim == 2 and name != "index" else scaled.astype(kind)
    return found


def write(arrays: dict[str, np.ndarray], file: Path) -> None:
    """An npz without clock times, so that the same arrays give the same bytes."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as out:
        for name, values in arrays.items():
            # differences from node to node pack better than the values
            body = np.diff(values, axis=-1, prepend=values.dtype.type(0)) if name != "index" else values
            data = BytesIO()
            np.lib.format.write_array(data, np.ascontiguousarray(body), version=(1, 0))
            info = zipfile.ZipInfo(f"{name}.npy", (1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            out.writestr(info, data.getvalue())


def main(folder: Path) -> None:
    """Derive, pack, write, say the size."""
    maps = Maps(folder)
    index, latitude, longitude = nodes(maps)
    arrays = packed({"index": index, **layers(maps, latitude, longitude)})
    OUT.parent.mkdir(parents=True, exist_ok=True)
    write(arrays, OUT)
    shore = len(arrays["shore"])
    print(f"{len(latitude):,} nodes, {shore:,} with marine wind, {OUT.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
