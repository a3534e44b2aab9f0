"""The moisture simulation beside the same scheme in Python with scipy, beside fipy and beside C.

One year of hourly weather, 48 cells, warm (compiled before). The Python peer runs 60 days and fipy 5 days;
both are scaled by the number of steps.
"""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from pairs import Pair
from wood_banded import march

from longhold.air.grid_climate import climate_at
from longhold.air.weather_generator import generate_weather
from longhold.wood import kernel
from longhold.wood.faces import face_exposure
from longhold.wood.simulation import MoistureCase
from longhold.wood.simulation_input import prepare
from longhold.wood.transport import WoodSection

HERE = Path(__file__).resolve().parent
SETS = {"early": (0.981, 19.0), "late": (0.589, 23.0)}
POINTER = ctypes.POINTER(ctypes.c_double)


def case() -> Any:
    """A year of Hilo on a bare board of 38 mm: rain on 180 days, never frozen."""
    weather = generate_weather(climate_at(19.72, -155.06), 1, np.random.default_rng(1))
    board = WoodSection(0.038, 0.5)
    told = MoistureCase(board, face_exposure("open_above"), face_exposure("under_cover"), start_pct=16.0)
    more = {"sets": SETS, "threshold_pct": 18.0, "step_s": 3600, "spin_up_years": 0, "history_h": None}
    return prepare([told], [weather], **more)


def outputs(cells: int) -> list[np.ndarray]:
    shapes = ((2,), (2, kernel.TOTALS), (6,), (len(SETS), cells), (cells,), (12, cells), (cells,), (0, cells))
    return [*(np.zeros(shape) for shape in shapes), np.full(2, -1, dtype=np.int64)]


def ours(ready: Any, records: int) -> np.ndarray:
    out, nodes = outputs(ready.width_m.size), ready.place.size
    kernel.run_one(
        ready.front[0][:records], ready.back[0][:records], ready.month[:records], ready.place, ready.store[0],
        ready.link[0], ready.par[0], ready.law, ready.sets, 18.0, ready.dt, 1, ready.a_year, 0, 0,
        np.zeros((24, max(nodes, kernel.FACE_SIZE))), nodes, *out,
    )  # fmt: skip
    assert out[-1][1] == -1
    return out[3]


def python_peer(ready: Any, records: int) -> np.ndarray:
    front, back = ready.front[0][:records], ready.back[0][:records]
    rest = (ready.par[0], ready.law, ready.dt, list(SETS.values()))
    return march(front, back, ready.place, ready.store[0], ready.link[0], *rest)[1]


def c_peer(folder: str) -> Any:
    """The C kernel as a function, or None without a compiler."""
    if shutil.which("cc") is None:
        return None
    library = Path(folder) / "wood_kernel.so"
    command = ["cc", "-O3", "-march=native", "-shared", "-fPIC", "-o", library, HERE / "wood_kernel.c", "-lm"]
    subprocess.run(command, check=True)
    function = ctypes.CDLL(str(library)).run_one
    function.restype = ctypes.c_long

    def run(ready: Any, records: int) -> np.ndarray:
        out, nodes = outputs(ready.width_m.size), ready.place.size

        def at(array: np.ndarray) -> Any:
            return array.ctypes.data_as(POINTER)

        failed = function(
            ctypes.c_long(records), ctypes.c_long(nodes), at(ready.front[0]), at(ready.back[0]),
            at(ready.month), at(ready.place), at(ready.store[0]), at(ready.link[0]), at(ready.par[0]),
            at(ready.law), at(ready.sets), ctypes.c_long(len(SETS)), ctypes.c_double(18.0),
            ctypes.c_double(ready.dt), ctypes.c_long(ready.a_year), ctypes.c_long(0),
            at(out[1]), at(out[3]), at(out[4]), at(out[5]), at(out[6]),
        )  # fmt: skip
        assert failed == 0
        return out[3]

    return run


def fipy_peer(ready: Any, records: int) -> None:
    """Some records with fipy: same cells, law of bound water, faces held, no rain."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import fipy

        law, par = ready.law, ready.par[0]
        mesh = fipy.Grid1D(dx=ready.width_m)
        moisture = fipy.CellVariable(mesh=mesh, value=16.0, hasOld=True)
        edge = fipy.Variable(16.0)
        moisture.constrain(edge, mesh.exteriorFaces)
        at = moisture.faceValue
        pore = (1.0 - par[kernel.GRAVITY] * (law[kernel.PORE0] + law[kernel.PORE1] * at)) ** 0.5
        irt = 1.0 / (kernel.GAS * 296.0)
        wall = law[kernel.D0] * fipy.numerix.exp(-(law[kernel.ENERGY] - law[kernel.SLOPE] * at) * irt)
        equation = fipy.TransientTerm() == fipy.DiffusionTerm(coeff=wall / ((1.0 - pore) * (1.0 - pore**2)))
        for record in range(records):
            edge.setValue(16.0 + 6.0 * np.sin(record / 4.0))
            moisture.updateOld()
            for _ in range(4):
                equation.sweep(var=moisture, dt=3600.0)


def pairs() -> Iterator[Pair]:
    """Every pair of this file; peers of the same scheme must find the same."""
    if not kernel.HAS_COMPILER:
        raise SystemExit("numba is not installed: pip install 'longhold[fast]'")
    ready = case()
    year = ready.month.size
    job = "moisture of a timber, a year hour by hour, 48 cells"
    with tempfile.TemporaryDirectory() as folder:
        in_c = c_peer(folder)
        if in_c is not None:
            apart = np.abs(in_c(ready, year) - ours(ready, year)).max() / year
            assert apart < 1e-9, apart
            yield Pair(
                "wood",
                job,
                lambda: ours(ready, year),
                "the same scheme in C, cc -O3 -march=native",
                lambda: in_c(ready, year),
                turns=20,
            )
    days, few = 60 * 24, 5 * 24
    apart = np.abs(python_peer(ready, days) - ours(ready, days)).max() / days
    assert apart < 1e-6, apart
    yield Pair(
        "wood",
        job,
        lambda: ours(ready, year),
        "the same scheme, numpy and scipy's solve_banded (60 days, scaled)",
        lambda: python_peer(ready, days),
        turns=3,
        theirs_is=year / days,
    )
    yield Pair(
        "wood",
        job,
        lambda: ours(ready, year),
        "fipy, same cells, bound water only, faces held, 4 sweeps a step (5 days, scaled)",
        lambda: fipy_peer(ready, few),
        turns=3,
        theirs_is=year / few,
    )
