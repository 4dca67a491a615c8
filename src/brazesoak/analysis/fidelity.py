"""How finely to compute: how fine a grid is enough, and all fidelities side by side."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from ..answer import Assumption, FidelityRow
from ..bridge.sight import WANTED
from ..bridge.simulate import FINENESS, Finish, Progress, Simulation, refine, simulate
from ..errors import GeometryError
from ..thermal.layout import Layout
from ..thermal.model import ThermalModel
from .fidelity_choice import available
from .hold import needed_hold
from .prepared import Prepared

UNSHADED = "solid without shade"
LARGEST_ERROR = 0.01
"""A passing is to be right to this share of the time from the start to it; otherwise the grid is made finer."""
MOST_CELLS = 60_000
"""A grid is not made finer than this: a run would take many minutes."""
MOST_TIMES = 2
"""The grid is made twice as fine so often at most."""
CURVE_STEP = 60.0
"""Readings are kept at least so often, for smooth curves [s]."""


@dataclass(frozen=True, slots=True)
class MainRun:
    """The run that the plan tells, and the numerical error of each joint's passing [s]."""

    simulation: Simulation
    errors: tuple[float, ...]
    fineness: int

    @property
    def share(self) -> float:
        """Largest error of a passing beside the time from the start to it."""
        pairs = zip(self.errors, self.simulation.joints, strict=True)
        return max((e / p.target for e, p in pairs if p.target), default=0.0)


def title(fidelity: str, layout: Layout | None) -> str:
    """The fidelity with the kind of its section."""
    return f"section {layout.kind}" if fidelity == "section" and layout else fidelity


def main_run(
    model: ThermalModel, fidelity: str, finish: Finish, open_below: float | None, progress: Progress
) -> MainRun:
    """The run that the plan tells, on a grid that is fine enough or as fine as can be."""
    found = _run(model, fidelity, finish, open_below, progress, FINENESS)
    for _ in range(MOST_TIMES):
        if found.share <= LARGEST_ERROR or finer_cells(model, fidelity, found.simulation.n_cell) > MOST_CELLS:
            break
        try:
            found = _run(model, fidelity, finish, open_below, progress, 2 * found.fineness)
        except GeometryError:  # the finer grid does not fit in memory
            break
    return found


def _run(
    model: ThermalModel, fidelity: str, finish: Finish, open_below: float | None, progress: Progress, fineness: int
) -> MainRun:
    run = simulate(
        model, fidelity, finish, open_below=open_below, every=CURVE_STEP, progress=progress, fineness=fineness
    )
    progress("numerical error", 0.0)
    return MainRun(run, refine(model, fidelity, run, finish, fineness), fineness)


def finer_cells(model: ThermalModel, fidelity: str, cells: int) -> float:
    """Cells of a grid twice as fine as one of so many; a network has none."""
    if fidelity == "network":
        return float("inf")
    ways = 3 if fidelity == "solid" else 1 if model.layout and model.layout.kind == "stack" else 2
    return float(cells * 2**ways)


def nominal(prepared: Prepared, run: Simulation) -> float:
    """The hold with every input as it was in this run [s]."""
    return max(needed(prepared, run), 0.0)


def needed(prepared: Prepared, run: Simulation) -> float:
    """As `nominal`, but below 0 where the joints have had their time before the clock starts [s]."""
    return needed_hold(run.clock_start, run.last_target, prepared.settings.wanted)


def ruling(run: Simulation) -> int:
    """Number of the joint that is last at its target."""
    return max(range(len(run.joints)), key=lambda j: run.joints[j].target or 0.0)


def grid_assumption(fidelity: str, run: MainRun, has_bores: bool = False) -> tuple[Assumption, ...]:
    """The grid on record: how large, how exact, and how far off it was before it was made exact."""
    on_grid = run.simulation.discrete.on_grid
    if on_grid is None:
        return ()
    # The exposed area of a solid whose parts shade each other is that of its grid, see `discretise`.
    what = "volumes and joint areas" if fidelity == "solid" else "volumes, joint areas and exposed areas"
    bores = " (a bore counts as the cavity it is, with less than its wall)" if has_bores and fidelity != "solid" else ""
    finer = f"made {run.fineness // FINENESS} times as fine for it; " if run.fineness > FINENESS else ""
    text = (
        f"the joints' times are right to {max(run.errors):.2g} s, {_percent(run.share)} of the way to them (wanted "
        f"{LARGEST_ERROR:.0%}); {finer}{what} of the grid differed by {_percent(on_grid.scale - 1.0)} "
        f"at most from those of the parts{bores}, to which they were then scaled"
    )
    if on_grid.kept is not None:
        text += f"; exposed areas, which differed by {_percent(on_grid.kept - 1.0)} at most, are the grid's own"
    if (sight := run.simulation.discrete.sight_error) is not None:
        text += f"; how much one surface sees of another is right to {_percent(sight)} of all it sees"
        text += f" (wanted {WANTED:.1%}{'' if sight <= WANTED else '; finer grids and more rays were of no help'})"
    cells = f"{run.simulation.n_cell} cells"
    return (Assumption("grid", cells, text, short=cells),)


def _percent(share: float) -> str:
    """A share without its sign; what would read as nothing is said to be less than the last digit."""
    return f"{abs(share):.1%}" if abs(share) >= 0.0005 else "less than 0.1%"


def compare(prepared: Prepared, finish: Finish, report: Progress) -> tuple[FidelityRow, ...]:
    """Every fidelity of the job, each with its own error."""
    model, found = prepared.model(prepared.inputs), available(prepared)
    runs: list[tuple[str, str, ThermalModel]] = [
        (name, name, model) for name in ("network", "section", "solid") if name in found
    ]
    if "solid" in found:
        runs.insert(-1, (UNSHADED, "solid", replace(model, shade=False)))
    rows = []
    for n, (shown, name, one) in enumerate(runs):
        report("side by side", n / len(runs))
        rows.append(_row(prepared, title(shown, model.layout), name, one, finish))
    return tuple(rows)


def _row(prepared: Prepared, shown: str, fidelity: str, model: ThermalModel, finish: Finish) -> FidelityRow:
    began = time.perf_counter()
    run = simulate(model, fidelity, finish)
    took = time.perf_counter() - began
    return FidelityRow(
        shown,
        run.n_cell,
        nominal(prepared, run),
        model.contacts[ruling(run)].name,
        {c.name: p.target for c, p in zip(model.contacts, run.joints, strict=True)},
        run.balance_error,
        max(refine(model, fidelity, run, finish)),
        took,
    )
