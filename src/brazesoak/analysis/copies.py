"""Several copies of the load in one heat: how many there is room for, what a heat of so many is like."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from ..answer import Assumption, CopiesRow, CopiesTried
from ..bridge.simulate import Progress, simulate
from ..errors import InputError, SimulationError
from ..thermal.layout import NoLayout
from ..thermal.neighbours import arranged, most_copies
from .checks import uneven_inside
from .fidelity_choice import choose
from .hold import needed_hold, nominal_hold
from .prepared import Prepared, prepare
from .room import CLEARANCE

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.library import Library

MOST = 64
"""More copies than this are not tried; a chamber that holds more is told as holding so many."""


def copies_note(prepared: Prepared) -> tuple[Assumption, ...]:
    """How copies are computed; nothing of a single load."""
    grid, beside = prepared.grid, prepared.neighbours
    if grid is None or beside is None:
        return ()
    x, y, z = (1e3 * e for e in prepared.box)
    cube = "; no places are known: a cube of the same surface" if isinstance(prepared.placement, NoLayout) else ""
    value = f"{grid.copies}, {grid.columns} by {grid.rows}, {grid.spacing * 1e3:.0f} mm apart"
    why = (
        "all stand on one level and are taken as the one with the most neighbours, which is the slowest; those are as "
        f"warm as it and hide {beside.view:.0%} of the furnace from its sides, from all of them alike (boxes of "
        f"{x:.0f} by {y:.0f} by {z:.0f} mm face to face{cube}; copies across a corner are left out), the air reaches "
        "every side, and each has its equal share of the furnace; energies are those of all"
    )
    return (Assumption("copies", value, why, "load", f"copies {value}, all as the one with the most neighbours"),)


def try_copies(
    read: ReadJob, library: Library, fidelity: str | None = None, report: Progress | None = None
) -> CopiesTried:
    """Heats of 1, 2, 4 and so on copies, up to what the chamber has room for.

    Parameters
    ----------
    fidelity : str or None      None: ``network``

    Raises
    ------
    JobFileError, DataError     no spacing, a furnace without a size, or what the job itself cannot be
    """
    spacing = read.job.load.spacing
    if spacing is None:
        text = 'missing; how many there is room for depends on it; add spacing = "30 mm", for example'
        raise read.error(read.fault(("load", "spacing"), text))
    prepared = prepare(read, library)
    volume = prepared.settings.furnace.volume
    if volume is None:
        text = "this furnace has no size, and room for any number; name one with a chamber (see brazesoak data)"
        raise read.error(read.fault(("furnace", "name"), text))
    chosen, _ = choose(prepared, fidelity or "network")
    side = float(np.cbrt(volume)) - 2.0 * CLEARANCE
    room = min(most_copies(side, prepared.box, spacing), MOST)
    counts = sorted({n for n in (1, 2, 4, 8, 16, 32, room) if 1 <= n <= room})
    rows = []
    for k, n in enumerate(counts):
        if report is not None:
            report(f"{n} copies", k / len(counts))
        rows.append(_row(_with_copies(read, library, n), n, spacing, chosen))
    thick = uneven_inside(prepared.model(prepared.inputs), prepared.settings) if chosen == "network" else ()
    return CopiesTried(room, spacing, prepared.box, side, chosen, tuple(rows), thick)


def _with_copies(read: ReadJob, library: Library, n: int) -> Prepared:
    load = read.job.load.model_copy(update={"copies": n})
    return prepare(replace(read, job=read.job.model_copy(update={"load": load})), library)


def _row(prepared: Prepared, n: int, spacing: float, fidelity: str) -> CopiesRow:
    grid, wanted = arranged(n, prepared.box, spacing), prepared.settings.wanted
    try:
        run = simulate(
            prepared.model(prepared.inputs), fidelity, lambda clock, last: clock + nominal_hold(clock, last, wanted)
        )
    except (InputError, SimulationError) as error:
        return CopiesRow(n, grid.columns, grid.rows, None, None, None, None, str(error))
    hold = max(needed_hold(run.clock_start, run.last_target, wanted), 0.0)
    return CopiesRow(n, grid.columns, grid.rows, run.clock_start, hold, run.hold_end, run.heater_heat, "")
