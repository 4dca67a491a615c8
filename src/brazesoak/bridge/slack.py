"""How exact a furnace must be beside its load. Part of the bridge.

A step's tolerance is for the load. Elements, air and hot face swing faster than the load can follow, and hold less
heat: the same error in them moves the load by less, as heat capacities go. They are allowed so much more.
"""

from __future__ import annotations

import numpy as np

from ..thermal.model import ThermalModel
from .cells import FloatArray
from .discretise import Discrete

SHARE, MOST = 4.0, 10.0
"""A cell of the furnace may be off by this many times what would move the load by the tolerance, since its swings go
either way, and by so many tolerances at most (measured: events stay within 0.1 s, see tests/unit/test_events.py)."""


SWITCHED = 0.2
"""Under an on-off controller every switching moves the next, and small errors add up over a hundred of them, and are
in proportion to this: with 1, the clock starts 0.4 s off (tests/unit/test_events.py)."""


def slack(model: ThermalModel, d: Discrete) -> FloatArray:
    """Allowed error of each cell, in tolerances."""
    capacity, chamber = d.problem.capacity, model.surroundings.chamber
    if chamber is not None and chamber.controller.mode == "on-off":
        return np.full(capacity.size, SWITCHED)
    found = np.ones(capacity.size)
    if chamber is not None:
        heats = slice(d.problem.arrays.n_heat)
        load = sum(float(capacity[c].sum()) for c in d.cells)
        found[heats] = np.clip(SHARE * load / capacity[heats], 1.0, MOST)
        found[np.concatenate(d.cells)] = 1.0
    return found
