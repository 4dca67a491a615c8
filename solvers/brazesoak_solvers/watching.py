"""An observer of a march: what the probes read at every step, when they pass temperatures, where the heat went."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .arrays import FloatArray, IntArray
from .kernels import watching as k
from .kernels.probes import probe_values
from .probes import Probe, ProbeArrays, pack_probes
from .problem import Problem
from .step import Step

ROOM = 512
"""Readings for which there is room at first; it doubles whenever it is full."""


@dataclass(frozen=True, slots=True)
class Passing:
    """A probe passed `threshold` [K] at `time` [s], upwards or not."""

    probe: int
    threshold: float
    time: float
    upwards: bool


@dataclass(frozen=True, slots=True)
class Goal:
    """A probe is at `level` [K] or beyond, upwards or downwards."""

    probe: int
    level: float
    upwards: bool = True


class WatchArrays(NamedTuple):
    """What is watched and what was read, as the kernels see it.

    watched, level : int64, float64[n_threshold]    probe and temperature of each passing [K]
    goal, goal_level, goal_sign, met                goals: probe, level [K], 1 or -1, and 1 once it was met
    at_once : int64[1]              1: all goals must be met at one time
    time, reading, passed : float64     room for readings [s], [K] and passings: probe, threshold, time, 1 or -1
    before, after : float64[n_cell]     enthalpy at the start of the first step and at the end of the last [J/m3]
    sight : float64[n_cell]         scratch
    real, whole : float64, int64    sums and counts, see `kernels.watching`
    """

    watched: IntArray
    level: FloatArray
    goal: IntArray
    goal_level: FloatArray
    goal_sign: FloatArray
    met: IntArray
    at_once: IntArray
    time: FloatArray
    reading: FloatArray
    passed: FloatArray
    before: FloatArray
    after: FloatArray
    sight: FloatArray
    real: FloatArray
    whole: IntArray


class Watch:
    """Hand it to a march, or call `see` with every step.

    Parameters
    ----------
    probes : (Probe, ...)           or what `pack_probes` made of them, for several watches
    thresholds : ((probe, temperature), ...)    passings to be found, upwards and downwards [K]
    every : float                   read inside longer steps too, at least so often [s]
    goals : (Goal, ...)             a march ends where they are met
    at_once : bool                  all goals must be met at one time; False: each at some time, also at the start
    """

    def __init__(
        self,
        problem: Problem,
        probes: Sequence[Probe] | ProbeArrays,
        thresholds: Sequence[tuple[int, float]] = (),
        every: float = np.inf,
        goals: Sequence[Goal] = (),
        at_once: bool = False,
    ) -> None:
        self.problem = problem
        self.packed = probes if isinstance(probes, ProbeArrays) else pack_probes(problem, probes)
        n, (before, after, sight) = self.packed.how.size, np.zeros((3, problem.n_cell))
        self.arrays = WatchArrays(
            np.array([p for p, _ in thresholds], np.int64),
            np.array([t for _, t in thresholds], float),
            np.array([g.probe for g in goals], np.int64),
            np.array([g.level for g in goals], float),
            np.array([1.0 if g.upwards else -1.0 for g in goals]),
            np.zeros(len(goals), np.int64),
            np.array([at_once], np.int64),
            np.empty(ROOM),
            np.empty((ROOM, n)),
            np.empty((ROOM + len(thresholds), 4)),
            before,
            after,
            sight,
            np.array([0.0, 0.0, every]),
            np.zeros(5, np.int64),
        )
        self._first_of, self._firsts = 0, dict[tuple[int, float], float]()

    def grow(self) -> None:
        """Make twice the room for readings and passings."""
        a = self.arrays
        more = {name: np.concatenate([x, np.empty_like(x)]) for name in _GROWING for x in (getattr(a, name),)}
        self.arrays = a._replace(**more)

    def value(self, T: FloatArray, step: Step) -> FloatArray:
        """Reading of every probe at temperatures T with the contacts as in `step` [K]."""
        P, out = self.problem.arrays, np.empty(self.packed.how.size)
        probe_values(P.m, P.f, P.u, P.mat, self.packed, step.states, T, out)
        return out

    def see(self, step: Step) -> None:
        """Take in one step."""
        P, s = self.problem.arrays, step
        while not k.take_in(
            P.m, P.f, P.u, P.mat, self.packed, self.arrays, s.states, s.H0, s.rate0, s.H1, s.rate1, s.where, s.T,
            s.start, s.end, s.heat, s.newton, s.linear,
        ):  # fmt: skip
            self.grow()

    @property
    def time(self) -> FloatArray:
        """When was read [s]: float64[n]."""
        return self.arrays.time[: self._count(k.ROWS)]

    @property
    def reading(self) -> FloatArray:
        """What the probes read at each of these times [K]: float64[n, n_probe]."""
        return self.arrays.reading[: self._count(k.ROWS)]

    @property
    def passings(self) -> list[Passing]:
        """What was passed so far, in order of time."""
        rows = self.arrays.passed[: self._count(k.PASSINGS)].tolist()
        return [Passing(int(probe), level, time, sign > 0.0) for probe, level, time, sign in rows]

    @property
    def n_passing(self) -> int:
        """How many passings there were so far."""
        return self._count(k.PASSINGS)

    @property
    def heat(self) -> float:
        """Heat that entered from outside so far [J]."""
        return float(self.arrays.real[k.HEAT])

    @property
    def exchanged(self) -> float:
        """Sum of the magnitudes of the heat of all steps [J]."""
        return float(self.arrays.real[k.EXCHANGED])

    @property
    def taken_up(self) -> float:
        """Heat that the cells took up so far [J]."""
        return float(self._gain()[: self.problem.arrays.n_heat].sum())

    @property
    def steps(self) -> int:
        """Steps seen."""
        return self._count(k.STEPS)

    @property
    def newton(self) -> int:
        """Newton's iterations of these steps."""
        return self._count(k.NEWTON)

    @property
    def linear(self) -> int:
        """Iterations of the linear solver in these steps."""
        return self._count(k.LINEAR)

    def _count(self, which: int) -> int:
        return int(self.arrays.whole[which])

    def _gain(self) -> FloatArray:
        return self.problem.arrays.V * (self.arrays.after - self.arrays.before)

    def first(self, probe: int, threshold: float) -> float | None:
        """When a probe first passed a threshold upwards [s], or None."""
        if self._first_of != self.n_passing:
            self._first_of, self._firsts = self.n_passing, {}
            for p in self.passings:
                if p.upwards:
                    self._firsts.setdefault((p.probe, p.threshold), p.time)
        return self._firsts.get((probe, threshold))

    def energy_gain(self, cells: NDArray[np.int64]) -> float:
        """Heat that `cells` took up so far [J]."""
        return float(self._gain()[cells].sum())

    @property
    def balance_error(self) -> float:
        """Heat that entered less heat taken up, relative to the heat exchanged; 0 when nothing was."""
        return abs(self.heat - self.taken_up) / self.exchanged if self.exchanged > 0.0 else 0.0


_GROWING = ("time", "reading", "passed")
