"""How the heats of a sample are computed: each by the plan's own fidelity, or as a network that is put right.

``own``         the plan's own fidelity, on the grid that the plan begins with or, where that has more than `MOST_CELLS`
                cells, on the coarsest. Nothing is to be put right; what the grid costs is measured on one twice as fine
``coarse``      the same on the coarsest grid
``network``     one temperature a segment, each deviation put right towards the plan's own fidelity on its coarsest
                grid; what is left is measured on the grid that the plan begins with (the coarsest if that is too large)
``auto``        ``coarse`` where that costs a few seconds, else ``network``
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from ..bridge.simulate import FINENESS, grid_error, simulate
from ..thermal.model import Inputs
from . import fidelity as fidelities
from .many import Kept
from .percentiles import CHECKED, Heated, Sample, checked, inputs_at, positions, sample
from .placing import Heats
from .prepared import Prepared
from .readings import READ_EVERY, since
from .spread import Spread, Uncertain, hold_spread

COARSE_TOLERANCE = 0.1
"""Of the runs that tell how sure the hold is: their differences count, not their values [K]. With 0.4 another
heat of the sample may lie at the confidence, 10 s from the one that does with smaller steps (measured)."""
MOST_CELLS = 2_500
"""Of a grid that heats are sampled on."""
AFFORDABLE = 20_000
"""Cells times heats up to which ``auto`` takes the plan's own fidelity: some 4 s of processor time, our own choice. A
section takes 0.18 ms a cell and heat on 139 cells, 0.10 on 2,224 (``python -m benchmarks --only samples``,
2026-11-28)."""
DEARER = 2.5
"""So many times as much costs a cell of a solid of a few hundred: 0.46 ms on 272 cells, the same command."""
Report = Callable[[str, float], None]


@dataclass(frozen=True, slots=True)
class Way:
    """Fidelity and grid of the heats sampled and of those that check them; `check` None: nothing is to be checked.

    left : float        error beside the difference to `check`
    """

    by: str
    fineness: int
    check: tuple[str, int] | None
    left: float = 1.0


def way_of(wanted: str, fidelity: str, cells: int, finer_cells: float, samples: int) -> Way:
    """How to sample.

    Parameters
    ----------
    wanted : ``auto``, ``network``, ``coarse`` or ``own``
    fidelity : ``network``, ``section`` or ``solid``        of the plan
    cells, finer_cells      of the plan's coarsest grid, and of the one it begins with
    """
    if fidelity == "network":
        return Way("network", 1, None)
    finest = FINENESS if finer_cells <= MOST_CELLS else 1
    dear = cells * samples * (DEARER if fidelity == "solid" else 1.0) > AFFORDABLE
    if wanted == "network" or (wanted == "auto" and dear):
        return Way("network", 1, (fidelity, finest))
    fineness = finest if wanted == "own" else 1
    return Way(fidelity, fineness, (fidelity, 2 * fineness), grid_error(fidelity))


class Counted:
    """Heats of one job by fidelity and fineness, each computed once and counted."""

    def __init__(self, prepared: Prepared, report: Report) -> None:
        self._prepared, self._report = prepared, report
        self._kept: dict[tuple[str, int], Kept[Heated]] = {}
        self.done, self.total = 0, 0

    def at(self, by: str, fineness: int) -> Kept[Heated]:
        """Heats with one fidelity and grid."""
        key = by, 1 if by == "network" else fineness
        if key not in self._kept:
            self._kept[key] = Kept(lambda x: heated(self._prepared, x, *key), self._tell)
        return self._kept[key]

    def _tell(self) -> None:
        self.done += 1
        if self.total:
            share = min(self.done / self.total, 1.0)
            self._report(f"how sure, heat {min(self.done, self.total)} of {self.total}", share)


def heated(prepared: Prepared, x: Inputs, by: str, fineness: int) -> Heated:
    """One heat with these inputs.

    Raises
    ------
    TargetNotReachedError, SimulationError
    """
    run = simulate(
        prepared.model(x), by, lambda clock, last: last, fineness=fineness, tolerance=COARSE_TOLERANCE, every=READ_EVERY
    )
    passed = tuple(p.target or 0.0 for p in run.joints)
    readings = since(run, prepared.readings, prepared.settings.thermocouple_lag)
    return Heated(fidelities.needed(prepared, run), passed, readings, run.n_cell)


def how_sure(
    prepared: Prepared, fidelity: str, inputs: Sequence[Uncertain], report: Report
) -> tuple[Spread, Sample, Heats]:
    """How much the hold may change with what is not known: each input by the plan's fidelity on its coarsest grid, then
    all at once."""
    s, use, counted = prepared.settings, prepared.inputs, Counted(prepared, report)
    coarse = counted.at(fidelity, 1)
    cells = coarse(use).cells
    finer = fidelities.finer_cells(prepared.model(use), fidelity, cells) if fidelity != "network" else 0.0
    way = way_of(s.sampled, fidelity, cells, finer, s.samples)
    quick = counted.at(way.by, way.fineness)
    exact = coarse if way.by != fidelity else quick
    check = quick if way.check is None else counted.at(*way.check)
    ends = [end for one in inputs for end in (one.low, one.high)]
    heats = [inputs_at(use, inputs, at) for at in positions(len(inputs), s.samples)]
    put_right = ends if exact is not quick else []
    asked = {coarse: [use, *ends]}
    asked[quick] = [*asked.get(quick, []), use, *heats, *put_right]
    asked[check] = [*asked.get(check, []), use]
    counted.total = sum(len(set(many)) for many in asked.values()) + (0 if check is quick else CHECKED)
    if quick is not coarse:
        coarse.ahead(ends)
    quick(use)
    quick.ahead([*(ends if quick is coarse else put_right), *heats])
    spread = hold_spread(max(coarse(use).need, 0.0), inputs, lambda x: max(coarse(x).need, 0.0))
    found = sample(use, inputs, quick, s.samples, exact)
    near, checked_on = list[int](), 0
    if check is not quick:
        # First by itself: what one surface sees of another is found once, and workers inherit it.
        near, checked_on = found.around(s.confidence), check(use).cells
        check.ahead([heats[n] for n in near])
        found = checked(found, use, inputs, check, s.confidence, way.left)
    title = fidelities.title(way.by, prepared.model(use).layout)
    found = replace(found, by=title, cells=quick(use).cells, checked_on=checked_on)
    return spread, found, Heats(use, inputs, quick, exact, s.samples, check, way.left, near)
