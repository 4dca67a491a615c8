"""How close a step comes to what the machine's memory allows, and the memory of the largest case.

The model of the traffic is the least that a code of this kind must move when nothing but a few rows stays in
cache. It counts one float64 for each value read or written: state arrays of the cells, conductances of the
faces, vectors of the conjugate gradients. Index arrays and the geometry that an unstructured code also reads
are not in it, so that the share reached also tells what those cost.
"""

from __future__ import annotations

import concurrent.futures
import multiprocessing
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from brazesoak_solvers._jit import kernel

from . import ours
from .cases import HOUR, plate_with_boss_and_ribs
from .measure import alone

BYTES = 8.0
PER_NEWTON_CELL = 14.0
"""H read; T, c, k and K written and read again (9 in all); F and D written; base, V and the change read."""
PER_NEWTON_FACE = 3.0
"""Shape factor read, conductance written, and read again for the matrix."""
PER_LINEAR_CELL = 10.0
"""p, q, r, x and z: two products and three updates of a preconditioned iteration, each array once a use."""
PASSES = 4.0
"""Passes over the matrix in an iteration: its own product, two half-sweeps and a residual on the finest level."""
COARSER = 8.0 / 7.0
"""All levels together, next to the finest, when each has an eighth of the cells."""


@dataclass(frozen=True, slots=True)
class Counts:
    """What a march did."""

    cells: int
    faces: int
    newton: int
    linear: int


def traffic(n: Counts) -> float:
    """Bytes that the march must move."""
    newton = PER_NEWTON_CELL * n.cells + PER_NEWTON_FACE * n.faces
    linear = PER_LINEAR_CELL * n.cells + PASSES * COARSER * (3.0 * n.cells + n.faces)
    return BYTES * (n.newton * newton + n.linear * linear)


@kernel
def _triad(a, b, c, s):
    for i in range(a.size):
        a[i] = b[i] + s * c[i]


def bandwidth(size: int = 20_000_000, rounds: int = 7) -> float:
    """Bytes a second of a[i] = b[i] + s c[i] on one core, three arrays counted, best of some rounds."""
    a, b, c = np.zeros(size), np.ones(size), np.ones(size)
    _triad(a, b, c, 2.0)
    best = float("inf")
    for _ in range(rounds):
        start = time.perf_counter()
        _triad(a, b, c, 3.0)
        best = min(best, time.perf_counter() - start)
    return 3.0 * BYTES * size / best


def limit(mm: float, say: Callable[[str], None], tolerance: float = 30.0, seconds: float = 300.0) -> dict[str, Any]:
    """A record with the share of the bandwidth that a march reaches."""
    case = plate_with_boss_and_ribs(1e-3 * mm)
    say(f"limit: {case.n_cell} cells against the triad")
    before = bandwidth()
    start = time.perf_counter()
    run = ours.run(case, tolerance, seconds)
    spent = time.perf_counter() - start
    triad = max(before, bandwidth())
    moved = traffic(Counts(case.n_cell, case.mesh.faces.area.size, run.newton, run.linear))
    share = moved / spent / triad
    note = (
        f"triad {triad / 1e9:.1f} GB/s; a step must move {moved / run.steps / 1e6:.0f} MB and reaches "
        f"{moved / spent / 1e9:.2f} GB/s, {share:.0%} of it"
    )
    figures = {"triad_bytes_per_s": triad, "bytes_moved": moved, "bytes_per_step": moved / run.steps, "share": share}
    return alone(f"limit {mm:g} mm", case.n_cell, spent, note=note, **figures)


def largest(mm: float, tolerance: float, say: Callable[[str], None], seconds: float = HOUR) -> dict[str, Any]:
    """A record of the largest case, in a process of its own, with its peak of memory."""
    say(f"P1 at {mm:g} mm in a process of its own")
    spawn = multiprocessing.get_context("spawn")
    with concurrent.futures.ProcessPoolExecutor(1, mp_context=spawn) as pool:
        cells, spent, peak = pool.submit(_march, mm, tolerance, seconds).result()
    note = f"ours alone; peak of memory {peak / 1e9:.2f} GB (goal 4 GB)"
    return alone(f"P1 3-D {mm:g} mm", cells, spent, peak_bytes=peak, ours_setting=tolerance, note=note)


def _march(mm: float, tolerance: float, seconds: float) -> tuple[int, float, float]:
    """Cells, seconds and peak of resident memory [bytes] of one march in this process."""
    case = plate_with_boss_and_ribs(1e-3 * mm)
    ours.run(plate_with_boss_and_ribs(16e-3), tolerance, 10.0)  # load the compiled kernels
    start = time.perf_counter()
    ours.run(case, tolerance, seconds)
    return case.n_cell, time.perf_counter() - start, _peak()


def _peak() -> float:
    """Most memory that this process had resident [bytes]."""
    status = Path("/proc/self/status")
    if status.exists():  # on Linux ru_maxrss keeps what the process that began this one had
        (line,) = (line for line in status.read_text().splitlines() if line.startswith("VmHWM:"))
        return 1024.0 * float(line.split()[1])
    import resource

    return float(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)  # of macOS, in bytes
