"""The part of a graph that senses and controls, over what the graph has gathered."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from .arrays import IntArray
from .controllers import Controller, Sensor, Target
from .errors import ProblemError
from .gathered import Gathered

_ANY = np.array([300.0])
"""Temperature of the one point of a constant [K]."""
Curve = float | tuple[ArrayLike, ArrayLike]
"""A constant, or temperatures [K] and values between which it is linear; it holds its ends."""


@dataclass
class Controlled:
    """Gathers sensors and controllers; every method returns the number of what it added. `Graph` builds on it."""

    _has: Gathered = field(default_factory=Gathered)

    def sensor(self, cells: ArrayLike, weights: ArrayLike, lag: float) -> int:
        """Add a sensor that follows the mean of `cells` by `weights` with a time constant of `lag` [s], taking no heat.

        Returns
        -------
        int     what a controller can sense; `Problem.cell_of` gives the cell that holds the reading
        """
        self._has.sensors.append(Sensor.of(cells, weights, lag))
        self._check_cells(self._has.sensors[-1].cells)
        return -len(self._has.sensors)

    def controller(
        self,
        cell: int,
        sensed: int,
        *,
        gain: float,
        maximum: float,
        target: Target,
        integral_time: float = np.inf,
        derivative_time: float = 0.0,
        feed: Curve = 0.0,
        holdback: float = np.inf,
    ) -> int:
        """Heat `cell` by the temperature of `sensed`, with at least nothing and at most `maximum` [W].

        Power: feed + gain (e + z - derivative_time ds/dt), with deviation e = target - s and dz/dt = e/integral_time,
        which stands still while the power is at the limit that z drives it to; s is filtered for ds/dt.

        Parameters
        ----------
        sensed : int                    a cell or a sensor
        gain, maximum : float           [W/K], [W]
        target : Target                 a temperature [K], or the times [s] and temperatures of a program
        integral_time, derivative_time : float      [s]; infinite and 0 for none
        feed : Curve                    power given at no deviation [W] against the target [K]
        holdback : float                the program waits while its target is so far above `sensed` [K]

        Returns
        -------
        int     number of the controller
        """
        curve = self._curve(feed, "feed")
        return self._control(
            Controller(int(cell), int(sensed), maximum, target, holdback, gain, integral_time, derivative_time, curve)
        )

    def relay(
        self,
        cell: int,
        sensed: int,
        *,
        maximum: float,
        target: Target,
        hysteresis: float,
        holdback: float = np.inf,
    ) -> int:
        """Heat `cell` with `maximum` [W] or not at all: on at `hysteresis` [K] below the target, off at as much above.

        Parameters and returns: as of `controller`.
        """
        return self._control(Controller(int(cell), int(sensed), maximum, target, holdback, hysteresis=hysteresis))

    def _control(self, controller: Controller) -> int:
        sensed = controller.sensed
        if sensed < -len(self._has.sensors):
            raise ProblemError("a controller names a sensor that was not added")
        self._check_cells(np.array([controller.cell, max(sensed, 0)]))
        self._has.controllers.append(controller)
        return len(self._has.controllers) - 1

    def _check_cells(self, cells: IntArray) -> None:
        if np.any(cells < 0) or np.any(cells >= self._has.n):
            raise ProblemError("a surroundings, source or controller names a cell that was not added")

    def _curve(self, curve: Curve, name: str) -> int:
        if isinstance(curve, tuple):
            t, v = (np.asarray(x, float) for x in curve)
            if t.shape != v.shape or (t[1:] <= t[:-1]).any():
                raise ProblemError(f"{name}: needs as many values as temperatures, and temperatures that increase")
            within = bool(((v >= 0.0) & (v < np.inf)).all())
        else:
            t, v = _ANY, np.array([float(curve)])
            within = 0.0 <= curve < np.inf
        if not within:
            raise ProblemError(f"{name}: must be finite and not negative")
        self._has.curves.append((t, v))
        return len(self._has.curves) - 1
