"""Time the moisture simulation beside the same scheme in Python with scipy, beside fipy and beside C.

    python benchmarks/wood_kernel.py

One year of hourly weather, 48 cells, warm (compiled before). The Python peer runs 60 days and fipy 5 days;
both are scaled by the number of steps. No figure here is asserted: what counts is the ratio.
"""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
import time
import warnings
from pathlib import Path
from typing import Any

import numpy as np
from rich.console import Console
from rich.table import Table
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


def fipy_peer(ready: Any, records: int) -> float:
    """Seconds that fipy takes for some records: same cells, law of bound water, faces held, no rain."""
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
        start = time.perf_counter()
        for record in range(records):
            edge.setValue(16.0 + 6.0 * np.sin(record / 4.0))
            moisture.updateOld()
            for _ in range(4):
                equation.sweep(var=moisture, dt=3600.0)
        return time.perf_counter() - start


def best(runs: int, job: Any) -> float:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        job()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Run everything and print the table."""
    if not kernel.HAS_COMPILER:
        raise SystemExit("numba is not installed: pip install 'longhold[fast]'")
    ready = case()
    year = ready.month.size
    table = Table(
        "peer", "peer, a year [s]", "ours, a year [s]", "peer / ours", "largest difference of a loss share"
    )
    with tempfile.TemporaryDirectory() as folder:
        in_c = c_peer(folder)
        whole = ours(ready, year)
        mine = best(10, lambda: ours(ready, year))
        if in_c is None:
            table.add_row("the same scheme in C: no cc here, skipped", "", f"{mine:.4f}", "", "")
        else:
            theirs = in_c(ready, year)
            pairs = [
                (best(1, lambda: ours(ready, year)), best(1, lambda: in_c(ready, year))) for _ in range(20)
            ]
            mine, seconds = (min(column) for column in zip(*pairs, strict=True))
            apart = np.abs(theirs - whole).max() / year
            row = ("the same scheme in C, cc -O3 -march=native", f"{seconds:.4f}", f"{mine:.4f}")
            table.add_row(*row, f"{seconds / mine:.2f} (ours {mine / seconds:.2f} x C)", f"{apart:.1e}")
    days = 60 * 24
    apart = np.abs(python_peer(ready, days) - ours(ready, days)).max() / days
    seconds = best(2, lambda: python_peer(ready, days)) * year / days
    peer = "the same scheme, numpy and scipy solve_banded (60 days, scaled)"
    table.add_row(peer, f"{seconds:.2f}", f"{mine:.4f}", f"{seconds / mine:.0f}", f"{apart:.1e}")
    few = 5 * 24
    seconds = fipy_peer(ready, few) * year / few
    peer = "fipy, same cells, bound water only, faces held, 4 sweeps a step (5 days, scaled)"
    table.add_row(
        peer, f"{seconds:.1f}", f"{mine:.4f}", f"{seconds / mine:.0f}", "see tests/against_published"
    )
    Console(width=150).print(table)


if __name__ == "__main__":
    main()
