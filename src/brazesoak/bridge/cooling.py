"""The way down of one heat: heater off and door shut, then shut, ajar or out on the bench, until it can be handled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from brazesoak_solvers import Watch
from brazesoak_solvers.constants import ZERO_CELSIUS

from ..thermal.furnace import Profile, Surroundings
from ..thermal.model import ThermalModel
from .cells import FloatArray
from .discretise import Discrete

HANDLE = 60.0 + ZERO_CELSIUS
"""Below this the load can be handled with gloves [K]. Common practice, no source."""
BENCH_FILM = 7.0
"""Convection in the still air of a room [W/(m2 K)]: Churchill-Chu vertical plate, computed, as in the furnace files."""
FAST, SLOW = 700.0 + ZERO_CELSIUS, 500.0 + ZERO_CELSIUS
"""Between these the rate of cooling decides whether steel hardens [K]. Common practice, no source."""
LOOSE = 5.0
"""How much more error a step may have once every joint is solid: what is told of the rest is told in minutes (measured:
safe to open within 0.1 s, safe to handle within 10 s)."""
LONGEST = 96 * 3600.0
"""A load that is not cold so long after the hold is left out [s]."""


@dataclass(frozen=True, slots=True)
class Cooled:
    """A load on its way down; times from the start of the program [s], None for what never comes or was not computed.

    joints_solid, safe_to_open, safe_to_handle : float or None
    rates : (float or None, ...)    of each body, coldest place, from 700 (or where it began) to 500 degC [K/s]
    """

    joints_solid: float | None = None
    safe_to_open: float | None = None
    safe_to_handle: float | None = None
    rates: tuple[float | None, ...] = ()


def levels(model: ThermalModel, open_below: float) -> list[tuple[int, float]]:
    """Temperatures to be passed on the way down, by probe: coldest of joints, coldest and hottest of bodies, hottest of
    joints."""
    n, m = len(model.contacts), len(model.bodies)
    found = [(n + 2 * m + j, c.solidus) for j, c in enumerate(model.contacts)]
    found += [(n + m + i, t) for i in range(m) for t in sorted({open_below, HANDLE})]
    return found + [(n + i, t) for i in range(m) for t in (FAST, SLOW)]


def cooled(model: ThermalModel, watches: Sequence[Watch], open_below: float) -> Cooled:
    """How the load cooled, from watches over `levels`, the first of which begins at the end of the hold."""
    n, m = len(model.contacts), len(model.bodies)
    start, first = watches[0].time[0], watches[0].reading[0]
    down: dict[tuple[int, float], float] = {}
    for watch in watches:
        down.update({(p.probe, p.threshold): p.time for p in watch.passings if not p.upwards})

    def passed(probe: int, level: float) -> float | None:
        return float(start) if first[probe] < level else down.get((probe, level))

    solid = [passed(n + 2 * m + j, c.solidus) for j, c in enumerate(model.contacts)]
    safe, cold = ([passed(n + m + i, t) for i in range(m)] for t in (open_below, HANDLE))
    rates = tuple(_rate(float(first[n + i]), passed(n + i, FAST), passed(n + i, SLOW)) for i in range(m))
    return Cooled(_latest(solid), _latest(safe), _latest(cold), rates)


def _rate(begin: float, above: float | None, below: float | None) -> float | None:
    """From 700 degC, or from where it began, to 500 degC [K/s]."""
    if above is None or below is None or below <= above:
        return None
    return (min(begin, FAST) - SLOW) / (below - above)


def on_the_bench(model: ThermalModel) -> ThermalModel:
    """One load alone in a still room, which it sees as black and large."""
    s = model.surroundings
    room = Surroundings(Profile(np.array([0.0]), np.array([s.room])), BENCH_FILM, None, s.clock_band, s.room)
    return replace(model, surroundings=room, support=None, neighbours=None)


def moved(T: FloatArray, old: Discrete, new: Discrete) -> FloatArray:
    """Temperatures of the load where another problem has its cells."""
    found = np.array(new.problem.initial, float)
    for own, other in zip(old.cells, new.cells, strict=True):
        found[other] = T[own]
    return found


def _latest(times: list[float | None]) -> float | None:
    """The latest of these times; None when one never came."""
    known = [t for t in times if t is not None]
    return max(known) if known and len(known) == len(times) else None
