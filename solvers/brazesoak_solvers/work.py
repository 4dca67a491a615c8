"""Scratch arrays of the kernels, and what a march or a search for rest keeps beside a problem."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .arrays import Arrays, FloatArray
from .exchange import patch_irradiation
from .problem import Problem


class FlowWork(NamedTuple):
    """Scratch arrays: properties and flows at one state, as the kernels name them."""

    c: FloatArray
    k: FloatArray
    rise: FloatArray
    Tenv: FloatArray
    radiation: FloatArray
    grey: FloatArray
    F: FloatArray
    Gf: FloatArray
    D: FloatArray
    B: FloatArray
    C: FloatArray
    E: FloatArray
    stuck: FloatArray


class SolveWork(NamedTuple):
    """Scratch arrays of a step: answers of the border, diagonal, right-hand sides, change, base, rates at the inner
    point, error, which border cells the interior feels, small system, how fast Newton's method converges, and
    whether the answers of the border belong to another step."""

    X: FloatArray
    diagonal: FloatArray
    right: FloatArray
    rhs: FloatArray
    y: FloatArray
    base: FloatArray
    middle: FloatArray
    error: FloatArray
    felt: FloatArray
    small: FloatArray
    b: FloatArray
    rate: FloatArray
    stale: FloatArray


def own_arrays(problem: Problem) -> Arrays:
    """The problem's arrays with an exchange matrix and controllers of their own, which a march changes as it goes."""
    x, c = problem.arrays.x, problem.arrays.c
    x = x._replace(W=x.W.copy(), grey=x.grey.copy())
    return problem.arrays._replace(x=x, c=c._replace(row=c.row.copy()))


def renew_exchange(problem: Problem, P: Arrays, grey: FloatArray) -> None:
    """Compute anew what each patch receives, for patches of emissivity `grey`."""
    if problem.view_factors is not None:
        P.x.W[:] = patch_irradiation(problem.view_factors, grey)
        P.x.grey[:] = grey


def make_work(P: Arrays, T: FloatArray) -> tuple[FlowWork, SolveWork]:
    """Scratch arrays for a problem that starts at temperature T."""
    n, nb = P.V.size, P.bcell.size
    c, k, F, D, diagonal, right, rhs, y, base, middle, error = np.zeros((11, n))
    rim = P.rim.size
    flow = FlowWork(
        c, k, np.zeros(P.b.cell.size), np.zeros(P.env_cell.size), np.zeros((4, P.x.W.shape[0] + 1)),
        np.zeros(P.x.W.shape[0]), F, np.zeros(P.f.a.size), D,
        np.zeros((rim, nb)), np.zeros((nb, rim)), np.zeros((nb, nb)), np.zeros(2),
    )  # fmt: skip
    solve = SolveWork(
        np.zeros((nb, n)),
        diagonal,
        right,
        rhs,
        y,
        base,
        middle,
        error,
        np.zeros(nb),
        np.zeros((nb, nb)),
        np.zeros(nb),
        np.ones(1),
        np.ones(2),
    )
    return flow, solve
