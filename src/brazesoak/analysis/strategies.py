"""The job under the five strategies of the trade: straight, even out first, loaded hot, full power, and its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..bridge.simulate import Progress, simulate
from ..programs import Compared, Leg, Program, Tried
from . import fidelity as fidelities
from .advice import FAST_FROM
from .many import divided
from .prepared import told_with_its_line
from .sampling import COARSE_TOLERANCE
from .trial import Trial, own_planned

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..parts.assembly import Assembly
    from ..trade.library import Library

BEFORE_FLUX = 25.0
"""The load evens out this far below where the flux of a joint is counted [K]: a furnace swings about what it is set
to. Common practice, no source."""
BEFORE_SOLIDUS = 80.0
"""And this far below the lowest solidus of the fillers [K]. Common practice, no source: 80 to 200 K."""
EVEN = 15.0
"""Coldest and hottest place of an even load differ by this [K]. Chosen here, no source."""
LONGEST_EVENING = 3 * 3600.0
"""Nobody evens out for longer [s]."""
ROUND = 300.0
"""Its hold is told in steps of this [s]."""


def compare_programs(
    read: ReadJob, library: Library, fidelity: str | None = None, progress: Progress | None = None
) -> Compared:
    """The five strategies, each with the fidelity of the job unless another is asked for.

    Raises
    ------
    InputError, DataError, SimulationError      the user's own program cannot be planned
    """
    report = progress or (lambda what, share: None)
    with told_with_its_line(read):
        plan, trial, own = own_planned(read, library, fidelity, report)
        tried = list[Tried]()
        programs = list(strategies(trial).items())
        report("programs", 0.0)
        for one in divided(lambda named: trial.tried(*named), programs):
            tried.append(one)
            report(f"programs, {len(tried)} of {len(programs)}", len(tried) / len(programs))
    return Compared(plan, (*tried, own))


def strategies(trial: Trial) -> dict[str, Program]:
    """Programs by name, without the user's own. All end at the set-point of the job."""
    s = trial.prepared.settings
    rate = s.stages[-1].rate or s.furnace.default_ramp
    top = Leg(s.set_point, None, 0.0)
    even = evening_temperature(trial.prepared.assembly) - s.surroundings.offset
    return {
        "straight ramp": Program((Leg(s.set_point, rate, 0.0),)),
        "even out, then quickly": Program((Leg(even, rate, _evening_hold(trial, even, rate)), top)),
        "loaded hot": Program((top,), hot=True),
        "full power": Program((top,)),
    }


def evening_temperature(assembly: Assembly) -> float:
    """Where to even out [K]: below every flux's clock and every solidus, in whole 5 degC."""
    highest = min(
        FAST_FROM[1] + ZERO_CELSIUS,
        *(j.flux.clock_from - BEFORE_FLUX for j in assembly.joints),
        *(j.filler.solidus - BEFORE_SOLIDUS for j in assembly.joints),
    )
    return 5.0 * float(np.floor((highest - ZERO_CELSIUS) / 5.0 + 1e-9)) + ZERO_CELSIUS


def _evening_hold(trial: Trial, to: float, rate: float | None) -> float:
    """How long the load takes to even out at `to` [s], from the end of the ramp, by the coarse grid."""
    legs = (Leg(to, rate, LONGEST_EVENING), Leg(trial.prepared.settings.set_point, None, 0.0))
    prepared = trial.with_program(Program(legs))
    run = simulate(
        prepared.model(prepared.inputs), trial.fidelity, lambda clock, last: last, fineness=1,
        tolerance=COARSE_TOLERANCE, every=fidelities.CURVE_STEP,
    )  # fmt: skip
    begins = float(prepared.settings.surroundings.profile.time[1])
    waiting = (run.time >= begins) & (run.time <= begins + LONGEST_EVENING)
    # Even, and come near to what is asked for: a load just put into a cold furnace is even too.
    coldest, near = run.coldest.min(axis=0), to + prepared.settings.surroundings.offset - 2.0 * EVEN
    even = (run.hottest.max(axis=0) - coldest <= EVEN) & (coldest >= near)
    at = np.flatnonzero(waiting & even)
    after = LONGEST_EVENING if not at.size else float(run.time[at[0]]) - begins
    return ROUND * float(np.ceil(after / ROUND - 1e-9))
