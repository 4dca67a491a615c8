"""An observer of a march: what the probes read at every step, when they pass temperatures, where the heat went."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .arrays import FloatArray
from .kernels.probes import probe_values
from .probes import Probe, pack_probes
from .problem import Problem
from .stepping import Step, passing_times


@dataclass(frozen=True, slots=True)
class Passing:
    """A probe passed `threshold` [K] at `time` [s], upwards or not."""

    probe: int
    threshold: float
    time: float
    upwards: bool


@dataclass
class Watch:
    """Call `see` with every step.

    Attributes
    ----------
    every : float               read inside longer steps too, at least so often [s]
    time : [float]              [s]
    reading : [float64[n_probe]]    at each of these times [K]
    passings : [Passing]        in order of time
    heat : float                heat that entered from outside so far [J]
    taken_up : float            heat that the cells took up so far [J]
    exchanged : float           sum of the magnitudes of the heat of all steps [J]
    """

    problem: Problem
    probes: Sequence[Probe]
    thresholds: Sequence[tuple[int, float]] = ()
    every: float = np.inf
    time: list[float] = field(default_factory=list)
    reading: list[FloatArray] = field(default_factory=list)
    passings: list[Passing] = field(default_factory=list)
    heat: float = 0.0
    taken_up: float = 0.0
    exchanged: float = 0.0
    steps: int = 0
    newton: int = 0
    linear: int = 0

    def __post_init__(self) -> None:
        """Lay out the probes once."""
        self._packed = pack_probes(self.problem, self.probes)
        self._gain = np.zeros(self.problem.n_cell)
        self._watched = np.array([p for p, _ in self.thresholds], np.int64)
        self._level = np.array([t for _, t in self.thresholds], float)

    def value(self, T: FloatArray, step: Step) -> FloatArray:
        """Reading of every probe at temperatures T with the contacts as in `step` [K]."""
        out = np.empty(len(self.probes))
        probe_values(self._packed, step.states, T, out)
        return out

    def see(self, step: Step) -> None:
        """Take in one step."""
        if not self.time:
            self.time.append(step.start)
            self.reading.append(self.value(step.temperature(step.start), step))
        reading = self.value(step.T, step)
        self.passings.extend(sorted(self._passed(step, reading), key=lambda p: p.time))
        parts = self._parts(step)
        for n in range(1, parts):
            time = step.start + n / parts * (step.end - step.start)
            self.time.append(time)
            self.reading.append(self.value(step.temperature(time), step))
        self.time.append(step.end)
        self.reading.append(reading)
        self.heat += step.heat
        self.taken_up += step.energy_after - step.energy_before
        self._gain += self.problem.arrays.V * (step.H1 - step.H0)
        self.exchanged += abs(step.heat)
        self.steps += 1
        self.newton += step.newton
        self.linear += step.linear

    def _parts(self, step: Step) -> int:
        """Into how many parts a step is divided for reading."""
        return max(1, int(np.ceil((step.end - step.start) / self.every)))

    def _passed(self, step: Step, now: FloatArray) -> list[Passing]:
        """Every passing inside a step whose end reads `now`."""
        before, after = self.reading[-1][self._watched], now[self._watched]
        up = (before < self._level) & (after >= self._level)
        down = (before > self._level) & (after <= self._level)
        at = (up | down).nonzero()[0]
        if at.size == 0:
            return []
        probe, level = self._watched[at], self._level[at]
        times = passing_times(step, self._packed, probe, level, np.where(up[at], 1.0, -1.0))
        rows = zip(probe.tolist(), level.tolist(), times.tolist(), up[at].tolist(), strict=True)
        return [Passing(*row) for row in rows]

    def first(self, probe: int, threshold: float) -> float | None:
        """When a probe first passed a threshold upwards [s], or None."""
        return next(
            (p.time for p in self.passings if p.probe == probe and p.threshold == threshold and p.upwards), None
        )

    def energy_gain(self, cells: NDArray[np.int64]) -> float:
        """Heat that `cells` took up so far [J]."""
        return float(self._gain[cells].sum())

    @property
    def balance_error(self) -> float:
        """Heat that entered less heat taken up, relative to the heat exchanged; 0 when nothing was."""
        return abs(self.heat - self.taken_up) / self.exchanged if self.exchanged > 0.0 else 0.0
