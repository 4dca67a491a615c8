"""When each place passed each temperature, from the readings that a code took at its steps."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from .cases import THRESHOLDS, Case

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Run:
    """What a code found.

    melt : (float, ...)     for each place of the case, time of passing each threshold [s]; nan: never
    steps, newton, linear   counted where the code can tell
    reached : float         time simulated [s]; less than the case's end where the run was stopped
    """

    melt: tuple[float, ...]
    steps: int = 0
    newton: int = 0
    linear: int = 0
    reached: float = float("nan")


class OutOfTimeError(Exception):
    """A peer has used up the time that it was given."""


@dataclass
class Readings:
    """Readings of all places at the end of every step; smooth in between (monotone cubic)."""

    case: Case
    time: list[float] = field(default_factory=list)
    value: list[FloatArray] = field(default_factory=list)

    def see(self, time: float, value: FloatArray) -> None:
        """Take in the readings at one time."""
        self.time.append(time)
        self.value.append(value)

    def melt(self) -> tuple[float, ...]:
        """Melt times in the order place by place, threshold by threshold."""
        table = np.array(self.value)
        return tuple(self._passing(table[:, i], T) for i in range(table.shape[1]) for T in THRESHOLDS)

    def _passing(self, reading: FloatArray, threshold: float) -> float:
        above = np.flatnonzero(reading >= threshold)
        if above.size == 0 or above[0] == 0:
            return float("nan")
        i = int(above[0])
        smooth = PchipInterpolator(self.time, reading)
        return float(brentq(lambda t: smooth(t) - threshold, self.time[i - 1], self.time[i]))
