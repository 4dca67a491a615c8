"""Everything that a job's answer asks of many heats: samples, programs side by side, the search for the shortest."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from brazesoak.analysis.best_program import best_program
from brazesoak.analysis.percentiles import inputs_at, positions
from brazesoak.analysis.plan import uncertain
from brazesoak.analysis.prepared import Prepared, prepare
from brazesoak.analysis.sampling import Counted
from brazesoak.analysis.strategies import compare_programs
from brazesoak.jobfile.names import read_with_library

from .measure import alone
from .network import prepared

EXAMPLES = Path(__file__).parents[1] / "examples"
PEDESTAL, RIBS = "01_bearing_pedestal", "07_pedestal_with_ribs"
ALONE = (PEDESTAL, ("section", 1)), (PEDESTAL, ("section", 4)), (RIBS, ("solid", 1))
"""Of which the processor time of a cell and heat is told: `sampling.AFFORDABLE` and `DEARER` rest on it."""


def samples(say: Callable[[str], None], quick: bool) -> list[dict[str, Any]]:
    """Records of samples (an eighth of them if quick), of five programs and, in full, of the search."""
    share = 8 if quick else 1
    found = [
        _sampled(say, f"network, furnace {furnace}", prepared(furnace), ("network", 1), 512 // share, 2.0 / share)
        for furnace in ("ideal", "bench-kiln-10l")
    ]
    found.append(_sampled(say, f"section, {PEDESTAL}", _example(PEDESTAL), ("section", 4), 128 // share, 30.0 / share))
    found += [_cell(say, name, *grid, 32 // share) for name, grid in ALONE]
    found += [_whole(say, f"five programs, {name}", compare_programs, name, 5.0) for name in (PEDESTAL, RIBS)]
    if not quick:
        found.append(_whole(say, f"shortest program, {PEDESTAL}", best_program, PEDESTAL, 60.0))
    return found


def _example(name: str) -> Prepared:
    return prepare(*read_with_library(EXAMPLES / name / "job.toml"))


def _sampled(
    say: Callable[[str], None], what: str, job: Prepared, grid: tuple[str, int], number: int, goal: float
) -> dict[str, Any]:
    """So many heats with every input varied at once, on every core."""
    say(f"samples: {number} of {what}")
    inputs, heats = uncertain(job), Counted(job, lambda what, share: None).at(*grid)
    cells = heats(job.inputs).cells
    many = [inputs_at(job.inputs, inputs, at) for at in positions(len(inputs), number)]
    wall, spent = _clocked(lambda: heats.ahead(many))
    return alone(f"{number} samples, {what}", cells, wall, cpu_s=spent, note=_note(spent, goal))


def _cell(say: Callable[[str], None], name: str, by: str, fineness: int, number: int) -> dict[str, Any]:
    """The same, in processor time for each cell and heat."""
    found = _sampled(say, f"{by}, {name}", _example(name), (by, fineness), number, 0.0)
    each = 1e3 * found["cpu_s"] / (found["cells"] * number)
    return found | {"ms_a_cell_and_heat": each, "note": f"{each:.2g} ms of processor time a cell and heat"}


def _whole(
    say: Callable[[str], None], what: str, command: Callable[..., Any], name: str, goal: float
) -> dict[str, Any]:
    """A command of the program on an example, from the job file read to the answer."""
    say(f"samples: {what}")
    read, library = read_with_library(EXAMPLES / name / "job.toml")
    wall, spent = _clocked(lambda: command(read, library))
    return alone(what, 0, wall, cpu_s=spent, note=_note(spent, goal))


def _clocked(job: Callable[[], object]) -> tuple[float, float]:
    """Time on the wall and of all processors, this process and its workers [s]."""
    begin, start = time.perf_counter(), os.times()
    job()
    end, wall = os.times(), time.perf_counter() - begin
    return wall, sum(b - a for a, b in zip(start[:4], end[:4], strict=True))


def _note(spent: float, goal: float) -> str:
    return f"{spent:.2g} s of processor time, {len(os.sched_getaffinity(0))} cores (goal {goal:g} s)"
