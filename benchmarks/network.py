"""P3: a heat of eight segments as a network, once and a thousand times on two cores."""

from __future__ import annotations

import concurrent.futures
import multiprocessing
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from brazesoak.analysis.plan import Prepared, prepare
from brazesoak.bridge.simulate import Simulation, simulate
from brazesoak.jobfile.read import read_job
from brazesoak.thermal.model import Inputs
from brazesoak.trade.library import Library

from .measure import alone

WORKERS = 2
HOLD = 300.0
JOB = """
title = "Eight segments (invented for the benchmark)"
[furnace]
name = "{furnace}"
[brazing]
filler = "BAg-7"
flux = "FB3-C"
gap = "0.1 mm"
[[segment]]
name = "plate"
metal = "AISI 1018"
surface = "oxidised"
shape = "plate"
length = "240 mm"
width = "160 mm"
thickness = "8 mm"
"""
SEGMENT = """
[[segment]]
name = "{name}"
metal = "{metal}"
surface = "oxidised"
shape = "boss"
diameter = "{diameter} mm"
height = "{height} mm"
[[joint]]
name = "{name} to plate"
between = ["{name}", "plate"]
"""

_prepared: Prepared | None = None


def prepared(furnace: str = "ideal") -> Prepared:
    """The job of eight segments: a plate with seven bosses of different sizes, ready to be simulated."""
    text = JOB.format(furnace=furnace)
    for i in range(7):
        metal = "UNS C36000" if i % 2 else "AISI 304"
        text += SEGMENT.format(name=f"boss {i}", metal=metal, diameter=20 + 4 * i, height=15 + 6 * i)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(text)
        read = read_job(path)
        return prepare(read, Library(read.data_folders))


def finish(clock_start: float, last_target: float) -> float:
    """The heat ends a fixed hold after the last joint has come to its target."""
    return max(clock_start, last_target) + HOLD


def cycle(job: Prepared, film_factor: float = 1.0) -> Simulation:
    """One heat and hold."""
    return simulate(job.model(Inputs(job.inputs.film * film_factor)), "network", finish)


def _get_ready() -> None:
    """In a worker: read the job and load the compiled kernels."""
    global _prepared
    _prepared = prepared()
    cycle(_prepared)


def _one(film_factor: float) -> float:
    assert _prepared is not None
    return cycle(_prepared, film_factor).last_target


def network(say: Callable[[str], None], runs: int) -> list[dict[str, Any]]:
    """Records of one cycle in each kind of furnace, and of many on two cores."""
    return [_one_cycle(say, "ideal"), _one_cycle(say, "bench-kiln-10l"), _many(say, runs)]


def _one_cycle(say: Callable[[str], None], furnace: str) -> dict[str, Any]:
    say(f"P3: one cycle, furnace {furnace}")
    job = prepared(furnace)
    found = cycle(job)
    seconds = []
    for _ in range(20):
        start = time.perf_counter()
        cycle(job)
        seconds.append(time.perf_counter() - start)
    note = f"a cycle in {1e3 * min(seconds):.1f} ms, {found.n_step} steps (goal 5 ms)"
    case = f"P3 network, furnace {furnace}"
    return alone(case, found.n_cell, min(seconds), steps=found.n_step, ours_runs_s=seconds, note=note)


def _many(say: Callable[[str], None], runs: int) -> dict[str, Any]:
    """`runs` cycles with different film coefficients, the workers being ready."""
    say(f"P3: {runs} cycles on {WORKERS} cores")
    factors = [0.8 + 0.4 * i / runs for i in range(runs)]
    begin = time.perf_counter()
    spawn = multiprocessing.get_context("spawn")
    with concurrent.futures.ProcessPoolExecutor(WORKERS, mp_context=spawn, initializer=_get_ready) as pool:
        list(pool.map(_one, [1.0] * 4 * WORKERS))
        ready = time.perf_counter()
        times = list(pool.map(_one, factors, chunksize=max(1, runs // (8 * WORKERS))))
        done = time.perf_counter()
    assert times[0] > times[-1], "a larger film coefficient must heat faster"
    note = (
        f"{done - ready:.2f} s on {WORKERS} cores with workers ready (goal 3 s for 1000); "
        f"{ready - begin:.1f} s before that to start them"
    )
    return alone(f"P3 network, {runs} cycles", 8, done - ready, start_up_s=ready - begin, note=note)
