"""Implicit marching for peers that bring their own space discretisation.

Backward Euler, or the second-order backward difference formula with variable step, in enthalpy: Newton's
method with the change of temperature as unknown, so that the peak of the heat capacity costs no heat. Steps
are equal, or as long as an error estimate allows (the distance from an extrapolation of the last steps).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ..cases import Case
from ..melting import OutOfTimeError, Readings, Run

FloatArray = NDArray[np.float64]
Clock = Callable[[float], None]
"""Called with the simulated time after every step; raises `OutOfTimeError` when time is up."""


class System(Protocol):
    """A space discretisation: capacities times dH/dt = flow(T)."""

    V: FloatArray

    def start(self, temperature: float) -> FloatArray:
        """Enthalpy of every unknown [J/m3]."""

    def evaluate(self, H: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Net heat flow [W] and dH/dT [J/(m3 K)] of every unknown."""

    def solve(self, a: float, c: FloatArray, rhs: FloatArray, rtol: float) -> tuple[FloatArray, int]:
        """Solve (V c - a dF/dT) y = rhs with the last evaluation's dF/dT; returns y and linear iterations."""

    def reading(self) -> FloatArray:
        """Temperature of every watched place at the last evaluation [K]."""


@dataclass(frozen=True, slots=True)
class March:
    """How to march.

    order : 1 or 2              backward Euler or second-order backward differences
    newton, linear              tolerances: change of temperature [K], relative residual
    most : int                  Newton steps at most; 1 makes the method linearly implicit
    growth : float              longest ratio of a step to the last
    """

    order: int = 1
    newton: float = 0.05
    linear: float = 1e-3
    most: int = 8
    growth: float = 1.6


def march(
    case: Case,
    system: System,
    how: March,
    clock: Clock,
    *,
    step: float | None = None,
    tolerance: float | None = None,
) -> Run:
    """March with equal steps of `step` [s], or with the error of every step kept within `tolerance` [K]."""
    return _Marching(case, system, how).run(clock, step, tolerance)


class _Marching:
    def __init__(self, case: Case, system: System, how: March) -> None:
        self.case, self.system, self.how = case, system, how
        self.H = system.start(case.start)
        self.before: FloatArray | None = None  # enthalpy one step ago
        self.slope = np.zeros_like(self.H)
        self.last = 0.0
        self.newton = self.linear = self.steps = 0
        self.readings = Readings(case)

    def run(self, clock: Clock, step: float | None, tolerance: float | None) -> Run:
        t, end = 0.0, self.case.end
        dt = step or 0.5
        self.system.evaluate(self.H)
        self.readings.see(0.0, self.system.reading())
        try:
            while t < end * (1.0 - 1e-12):
                dt = min(dt, end - t)
                H, error = self._step(dt)
                if tolerance is not None and error > 2.0 * tolerance and self.steps > 0:
                    dt *= max(0.3, 0.8 * (tolerance / error) ** (1.0 / (self._order() + 1)))
                    continue
                self.before, self.H, self.slope, self.last = self.H, H, (H - self.H) / dt, dt
                t, self.steps = t + dt, self.steps + 1
                self.readings.see(t, self.system.reading())
                clock(t)
                if tolerance is not None:
                    ratio = (tolerance / max(error, 1e-12)) ** (1.0 / (self._order() + 1))
                    dt *= min(max(0.85 * ratio, 0.3), self.how.growth)
        except OutOfTimeError:
            pass
        return Run(self.readings.melt(), self.steps, self.newton, self.linear, t)

    def _order(self) -> int:
        return min(self.how.order, 1 if self.before is None else 2)

    def _step(self, dt: float) -> tuple[FloatArray, float]:
        """Enthalpy after dt and the estimated error of temperature [K]."""
        base, a = self.H, dt
        if self._order() == 2:
            w = dt / self.last
            base = self.H + (self.H - self.before) * (w * w / (1.0 + 2.0 * w))
            a = dt * (1.0 + w) / (1.0 + 2.0 * w)
        guess = self.H + dt * self.slope
        H = guess.copy()
        c = self._newton(H, base, a)
        # Straight extrapolation is off by dt (dt + last)/2 H'': Euler's error dt^2/2 H'' is a share of that.
        share = 1.0 if self.last == 0.0 else dt / (dt + self.last)
        if self._order() == 2:
            share *= 0.5  # an upper estimate: the difference formula's own error is of third order
        return H, share * float(np.max(np.abs(H - guess) / c))

    def _newton(self, H: FloatArray, base: FloatArray, a: float) -> FloatArray:
        s, how = self.system, self.how
        c = np.empty(0)
        for _ in range(how.most):
            F, c = s.evaluate(H)
            y, count = s.solve(a, c, a * F - s.V * (H - base), how.linear)
            H += c * y
            self.newton += 1
            self.linear += count
            if np.max(np.abs(y)) < how.newton:
                break
        s.evaluate(H)
        return c
