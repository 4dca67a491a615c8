"""Coupled cycles: load and real furnace through heat, hold and cooling to 60 degC, as a network and as a section."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from brazesoak.analysis.plan import prepare
from brazesoak.bridge.simulate import Simulation, simulate
from brazesoak.jobfile.read import read_job
from brazesoak.thermal.model import ThermalModel
from brazesoak.trade.library import Library
from brazesoak_solvers.constants import ZERO_CELSIUS

from .measure import alone

JOB = Path(__file__).parents[1] / "examples" / "01_bearing_pedestal" / "job.toml"
HOLD, OPEN_BELOW = 600.0, 500.0 + ZERO_CELSIUS
CASES = (("network", 2, 20, 0.02), ("section", 8, 3, 1.0))
"""Fidelity, fineness, runs and goal [s]; the section has 8,896 cells."""


def load() -> ThermalModel:
    """The bearing pedestal in its lined furnace with controller; the door is left ajar once it may be opened, so that
    a cycle lasts some 6 h."""
    read = read_job(JOB)
    job = prepare(read, Library(read.data_folders))
    return replace(job.model(job.inputs), cooling="ajar")


def run(model: ThermalModel, fidelity: str, fineness: int) -> Simulation:
    """One cycle: until the last joint is at its target, ten minutes more, and down to 60 degC."""
    return simulate(
        model, fidelity, lambda clock, last: max(clock, last) + HOLD, open_below=OPEN_BELOW, fineness=fineness
    )


def cycles(say: Callable[[str], None]) -> list[dict[str, Any]]:
    """Records of both."""
    return [_timed(say, *case) for case in CASES]


def _timed(say: Callable[[str], None], fidelity: str, fineness: int, runs: int, goal: float) -> dict[str, Any]:
    say(f"cycle: {fidelity}")
    model = load()
    found = run(model, fidelity, fineness)
    assert found.safe_to_handle is not None
    seconds, busy = [], []
    for _ in range(runs):
        start, cpu = time.perf_counter(), time.process_time()
        run(model, fidelity, fineness)
        busy.append(time.process_time() - cpu)
        seconds.append(time.perf_counter() - start)
    hours = found.safe_to_handle / 3600.0
    note = (
        f"{1e3 * min(busy):.1f} ms of processor time for {hours:.1f} h, {found.n_step} steps (goal {1e3 * goal:.0f} ms)"
    )
    return alone(
        f"Coupled cycle, {fidelity}", found.n_cell, min(seconds), steps=found.n_step, ours_runs_s=seconds,
        cpu_s=min(busy), note=note,
    )  # fmt: skip
