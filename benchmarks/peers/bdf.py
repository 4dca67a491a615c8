"""(d) scipy's BDF with a sparse Jacobian on the same finite-volume equations.

The unknown is the enthalpy divided by a constant heat capacity, so that tolerances read as kelvin and the
peak of the heat capacity is smooth; the Jacobian is exact but for the slope of k. `scipy.integrate.BDF` is the
solver behind ``solve_ivp(method="BDF")``; taken by the step here, so that the clock can stop it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import BDF
from scipy.sparse import csc_array
from scipy.sparse.linalg import SuperLU

from ..cases import Case
from ..melting import OutOfTimeError, Readings, Run
from .implicit import Clock
from .sparse import FixedPattern, symmetric_lu
from .volumes import Volumes

FloatArray = NDArray[np.float64]
BETWEEN = (0.25, 0.5, 0.75, 1.0)
"""Readings within a step, from the method's own interpolation: its steps are long and of high order."""
RELATIVE = 1e-4
"""Relative tolerance; that of enthalpy counted from 250 K, next to which the absolute one rules."""


class Rates:
    """Rate of change of the scaled enthalpies and its Jacobian."""

    def __init__(self, case: Case) -> None:
        self.v = Volumes(case)
        n, cells = self.v.n, np.arange(self.v.n)
        self.H0 = self.v.solids.enthalpy(case.start)
        _, self.c0, _ = self.v.solids.state(self.H0)
        # Transposed on purpose: the rows of the pattern are the columns that scipy's factorisation wants.
        self.pattern = FixedPattern(
            np.concatenate([self.v.a, self.v.b, cells]), np.concatenate([self.v.b, self.v.a, cells]), n
        )

    def rate(self, _: float, u: FloatArray) -> FloatArray:
        """du/dt [K/s]."""
        T, _, k = self.v.solids.state(u * self.c0)
        return self.v.flows(T, k)[0] / (self.v.V * self.c0)

    def jacobian(self, _: float, u: FloatArray) -> Any:
        """d(du/dt)/du in compressed columns."""
        v = self.v
        T, c, k = v.solids.state(u * self.c0)
        _, G, D = v.flows(T, k)
        per_kelvin = self.c0 / c
        row = 1.0 / (v.V * self.c0)
        own = -D - np.bincount(v.a, G, v.n) - np.bincount(v.b, G, v.n)
        values = np.concatenate(
            [G * per_kelvin[v.a] * row[v.b], G * per_kelvin[v.b] * row[v.a], own * per_kelvin * row]
        )
        A = self.pattern.fill(values)
        return csc_array((A.data.copy(), A.indices, A.indptr), shape=A.shape)

    def reading(self, u: FloatArray) -> FloatArray:
        """Readings of the case's places."""
        T, _, k = self.v.solids.state(u * self.c0)
        return self.v.reading(T, k)


def _counted(solver: BDF) -> Callable[[Any], SuperLU]:
    """The solver's factorisation with an ordering that suits it better than its own choice: twice as fast."""

    def lu(A: Any) -> SuperLU:
        solver.nlu += 1
        return symmetric_lu(A)

    return lu


def run(case: Case, tolerance: float, clock: Clock) -> Run:
    """March a case with absolute tolerance in kelvin."""
    rates, readings = Rates(case), Readings(case)
    u0 = rates.H0 / rates.c0
    solver = BDF(rates.rate, 0.0, u0, case.end, rtol=RELATIVE, atol=tolerance, jac=rates.jacobian, first_step=0.1)
    solver.lu = _counted(solver)
    readings.see(0.0, rates.reading(u0))
    steps = 0
    try:
        while solver.status == "running":
            message = solver.step()
            if solver.status == "failed":
                raise RuntimeError(f"BDF failed at {solver.t} s: {message}")
            dense, dt = solver.dense_output(), solver.t - solver.t_old
            for share in BETWEEN:
                t = solver.t_old + share * dt
                readings.see(t, rates.reading(dense(t)))
            steps += 1
            clock(solver.t)
    except OutOfTimeError:
        pass
    return Run(readings.melt(), steps, solver.nfev, solver.nlu, float(solver.t))
