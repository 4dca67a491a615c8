"""How time and linear iterations grow with the number of cells, for the same physical time and tolerance."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from typing import Any

from . import ours
from .cases import plate_with_boss_and_ribs
from .measure import alone

SECONDS = 300.0
"""Physical time simulated: the steep part of the heating."""
TOLERANCE = 30.0
ENOUGH = 2.0
"""A grid is run again until this many seconds are spent; the shortest run counts."""
CELLS_MM = (8.0, 5.0, 4.0, 3.0, 2.0, 1.4, 1.0, 0.8)
"""Widest cell [mm], for about 1e3 to 1e6 cells."""
QUICK_MM = (8.0, 5.0, 4.0, 3.0, 2.0)


def growth(cells_mm: Sequence[float], say: Callable[[str], None]) -> list[dict[str, Any]]:
    """A record for each grid, and one with the fitted exponent and the growth of the iterations."""
    records: list[dict[str, Any]] = []
    for mm in cells_mm:
        case = plate_with_boss_and_ribs(1e-3 * mm)
        say(f"growth: {case.n_cell} cells")
        seconds: list[float] = []
        while sum(seconds) < ENOUGH:
            start = time.perf_counter()
            run = ours.run(case, TOLERANCE, SECONDS)
            seconds.append(time.perf_counter() - start)
        # A linear system for every Newton step and one for the error estimate of every step.
        per_solve = run.linear / (run.newton + run.steps)
        counts = {"steps": run.steps, "newton": run.newton, "linear_per_solve": per_solve}
        records.append(alone(f"growth {mm:g} mm", case.n_cell, min(seconds), **counts))
    exponent = slope([math.log(r["cells"]) for r in records], [math.log(r["ours_s"]) for r in records])
    iterations = [r["linear_per_solve"] for r in records]
    growth_of = max(iterations) / iterations[0]
    note = (
        f"time ~ cells^{exponent:.2f} (goal 1.15); linear iterations a solve "
        f"{iterations[0]:.1f} to {iterations[-1]:.1f}, at most x{growth_of:.2f} (goal 1.5)"
    )
    last = records[-1]
    summary = alone("growth", last["cells"], last["ours_s"], exponent=exponent, iterations_growth=growth_of, note=note)
    return [*records, summary]


def slope(x: Sequence[float], y: Sequence[float]) -> float:
    """Slope of the straight line through the points by least squares."""
    mx, my = sum(x) / len(x), sum(y) / len(y)
    return sum((a - mx) * (b - my) for a, b in zip(x, y, strict=True)) / sum((a - mx) ** 2 for a in x)
