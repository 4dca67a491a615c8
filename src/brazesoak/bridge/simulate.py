"""The bridge, second half: simulate a model's heat, and say how exact the times are."""

from __future__ import annotations

import numpy as np

from brazesoak_solvers import ProblemError

from ..errors import SimulationError
from ..thermal.model import ThermalModel
from .cells import FINENESS
from .heat import Heat
from .placement import Placement
from .simulation import Field, Finish, Passed, Progress, Simulation

__all__ = [
    "COARSER",
    "FINENESS",
    "TOLERANCE",
    "Field",
    "Finish",
    "Passed",
    "Progress",
    "Simulation",
    "estimate",
    "grid_error",
    "refine",
    "simulate",
]

TOLERANCE = 0.02
"""Estimated error of any temperature in one step, before it is taken out [K]. Melting and freezing come within 0.1 s of
the exact instant (measured) on the grid as it is; what the grid adds is measured, too, see `refine`."""
COARSER = 8.0
"""The coarse run's tolerance: with half the cells each way, both errors grow, that of the steps the more."""


def simulate(
    model: ThermalModel,
    fidelity: str,
    finish: Finish,
    *,
    open_below: float | None = None,
    fineness: int = FINENESS,
    tolerance: float = TOLERANCE,
    every: float = np.inf,
    progress: Progress | None = None,
) -> Simulation:
    """Heat until every joint has passed its target, hold as `finish` says, and cool where the furnace is real.

    Parameters
    ----------
    fidelity : ``network``, ``section`` or ``solid``
    open_below : float or None      cool until everything is below this [K]; None: do not cool
    fineness, tolerance             of grid and time step
    every : float                   keep readings at least so often [s], for smooth curves

    Raises
    ------
    TargetNotReachedError       a joint never comes to its target
    NotConvergedError           the solver gave up; what it had until then is with the error
    GeometryError               the parts do not go on a grid
    SimulationError             the model is no problem that can be solved
    """
    try:
        heat = Heat(model, fidelity, fineness, tolerance, every, progress or (lambda what, share: None))
        return heat.run(finish, open_below)
    except ProblemError as error:
        raise SimulationError(
            f"the parts cannot be laid out for the solver: {error}. Look for a value in the job or in your own data "
            "that is far from any real one; if there is none, report this together with the job file."
        ) from error


ORDER = {"network": 2.0, "section": 2.0, "solid": 1.5}
"""Order of convergence; that of cut cells is the least measured, see tests/verification/test_cut_cells.py."""


TWO_GRIDS = 3.0
"""Roache's factor of safety for an estimate from two grids (recalled)."""
FLOOR = 1e-3
"""Share of the time that the error of cut round bodies is taken for at least. Our own choice: a free boss at Biot 0.1
is 0.02 % off on the default grid, at Biot 1 0.2 %."""


def grid_error(fidelity: str) -> float:
    """Error of a run beside its difference to one with twice the cells each way: 2^p / (2^p - 1), as in `refine`."""
    ratio: float = 2.0 ** ORDER[fidelity]
    return ratio / (ratio - 1.0)


def refine(
    model: ThermalModel, fidelity: str, fine: Simulation, finish: Finish, fineness: int = FINENESS
) -> tuple[float, ...]:
    """Numerical error of the time at which each joint passes its target [s].

    From a second run with half the cells each way and a larger tolerance, whose errors are 2^p times those of
    `fine`, see `estimate`.
    """
    coarse = simulate(model, fidelity, finish, fineness=max(fineness // 2, 1), tolerance=TOLERANCE * COARSER)
    pairs = zip(fine.joints, coarse.joints, strict=True)
    curved = fidelity == "solid" and isinstance(model.layout, Placement) and model.layout.is_curved
    return tuple(estimate(c.target or 0.0, f.target or 0.0, fidelity, curved) for f, c in pairs)


def estimate(coarse: float, fine: float, fidelity: str, curved: bool) -> float:
    """Error of the time `fine` from that with half the cells each way [s].

    The difference over 2^p - 1, with p the order that the fidelity shows (`ORDER`): Richardson's rule, P. J. Roache,
    J. Fluids Eng. 116 (1994) 405-413 (recalled). Where a rectangular grid cuts round bodies the error does not fall
    evenly, and two grids may agree by chance: there Roache's factor for an estimate from two grids, and a floor.
    """
    error: float = abs(fine - coarse) / (2.0 ** ORDER[fidelity] - 1.0)
    return max(TWO_GRIDS * error, FLOOR * abs(fine)) if curved else error
