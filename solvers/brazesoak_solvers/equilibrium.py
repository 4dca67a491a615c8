"""The steady state of a problem, by implicit steps in time that grow until time no longer matters."""

from __future__ import annotations

import numpy as np

from . import linear
from .arrays import FloatArray
from .errors import ConvergenceError, ProblemError
from .kernels.implicit import evaluate, implicit_stage
from .kernels.properties import initial_state
from .problem import Problem
from .work import make_work, own_arrays, renew_exchange


def steady(problem: Problem, tolerance: float = 1e-10, time: float = 0.0) -> FloatArray:
    """Temperature of every cell at rest [K], with the signals as at `time`.

    Parameters
    ----------
    tolerance : float   change of temperature in the last step [K], relative to 1000 K

    Raises
    ------
    ProblemError        a controller follows a program
    ConvergenceError    no rest was found: nothing ties the temperature down, or the properties are wild
    """
    if problem.changes:
        raise ProblemError("a controller that follows a program has no steady state; give it one target")
    P, n = own_arrays(problem), problem.n_cell
    W, Z = make_work(P, problem.initial)
    H, where, T = np.empty(n), np.zeros(n, np.int64), problem.initial.copy()
    initial_state(P.m, P.mat, T, H, where)
    signals = problem.signals(time)
    evaluate(P, problem.contact_states, H, where, T, W, *signals)
    solver = linear.choose(problem, W.Gf.copy())
    dt, worst, at = 1.0, np.inf, 0
    for _ in range(200):
        renew_exchange(problem, P, W.grey)
        base = H.copy()
        Z.stale[0] = 1.0
        ok, _, _, _, worst, at = implicit_stage(
            P, solver, problem.contact_states, base, dt, H, where, T, W, Z, *signals, np.ones(n), tolerance * 1e3, False
        )
        if not ok:
            H, dt = base, 0.1 * dt
            continue
        if dt >= 1e15:
            return T
        dt *= 10.0
    raise ConvergenceError(time=time, step=dt, cell=int(at), residual=float(worst))
