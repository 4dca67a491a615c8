"""One implicit stage: find H with V (H - base) = a F(T(H)), by Newton's method in H.

The unknown of a Newton step is the change y of temperature, so that the matrix V c - a dF/dT is symmetric;
enthalpy then moves by c y, which keeps a cell inside a peak of the heat capacity from leaping over it.
"""

from math import isfinite

import numpy as np

from .._jit import kernel
from .banded import assemble_band, factorise_band, solve_band
from .flows import flows
from .multilevel import conjugate_gradients, refresh
from .properties import state

LINEAR_TOLERANCE = 1e-4
"""Relative residual of the linear solver inside Newton's method; the next Newton step takes up the rest."""
MOST_NEWTON = 14
MOST_LINEAR = 120


@kernel
def prepare_matrix(P, S, a, c, W):
    """Set up V c - a dF/dT of the interior cells for the linear solver."""
    for n in range(c.size):
        W.diagonal[n] = 1.0 if P.border[n] >= 0 else P.V[n] * c[n] + a * W.D[n]
    if S.width >= 0:
        assemble_band(P, S.place, S.width, W.diagonal, W.Gf, a, S.band)
        factorise_band(S.width, S.band)
    else:
        S.d[: c.size] = W.diagonal
        for f in range(W.Gf.size):
            S.G[f] = a * W.Gf[f]
        refresh(S.levels, S.G, S.d, S.n_level)


@kernel
def solve_interior(S, rhs, x, tolerance):
    """Solve with the prepared matrix; returns the number of iterations."""
    if S.width >= 0:
        solve_band(S.place, S.width, S.band, rhs, x, S.work[0])
        return 1
    return conjugate_gradients(S.levels, S.G, S.d, S.n_level, rhs, x, tolerance, MOST_LINEAR, S.work)


@kernel
def gauss(A, b):
    """Solve a small dense system in place by elimination with pivoting; the answer is in b."""
    n = b.size
    for i in range(n):
        p = i
        for r in range(i + 1, n):
            if abs(A[r, i]) > abs(A[p, i]):
                p = r
        if p != i:
            for q in range(n):
                A[i, q], A[p, q] = A[p, q], A[i, q]
            b[i], b[p] = b[p], b[i]
        for r in range(i + 1, n):
            m = A[r, i] / A[i, i]
            for q in range(i, n):
                A[r, q] -= m * A[i, q]
            b[r] -= m * b[i]
    for i in range(n - 1, -1, -1):
        for q in range(i + 1, n):
            b[i] -= A[i, q] * b[q]
        b[i] /= A[i, i]


@kernel
def solve(P, S, a, c, rhs, y, W, tolerance):
    """Solve (V c - a dF/dT) y = rhs with the prepared matrix, border cells eliminated (Schur complement)."""
    nb = P.bcell.size
    for n in range(rhs.size):
        W.right[n] = 0.0 if P.border[n] >= 0 else rhs[n]
        y[n] = 0.0
    count = solve_interior(S, W.right, y, tolerance)
    if nb == 0:
        return count
    small = np.zeros((nb, nb))
    b = np.empty(nb)
    for j in range(nb):
        for n in range(rhs.size):
            W.right[n] = a * W.B[n, j]
        # The last answer is a good guess: the couplings to the border change slowly.
        count += solve_interior(S, W.right, W.X[j], tolerance)
        b[j] = rhs[P.bcell[j]] + a * np.dot(W.C[j], y)
    for i in range(nb):
        for j in range(nb):
            small[i, j] = -a * (W.E[i, j] + np.dot(W.C[i], W.X[j]))
        small[i, i] += P.V[P.bcell[i]] * c[P.bcell[i]]
    gauss(small, b)
    for j in range(nb):
        for n in range(y.size):
            y[n] += W.X[j, n] * b[j]
    for j in range(nb):
        y[P.bcell[j]] = b[j]
    return count


@kernel
def evaluate(P, states, H, where, T, W, ambient, source, target, feed):
    """Temperatures and flows at H; returns the heat that enters from outside [W]."""
    state(P, H, where, T, W.c, W.k, W.K)
    return flows(
        P, states, T, W.k, W.K, ambient, source, target, feed, W.Ts, W.Tenv, W.F, W.Gf, W.D, W.B, W.C, W.E
    )


@kernel
def implicit_stage(P, S, states, base, a, H, where, T, W, ambient, source, target, feed, tolerance):
    """Find H from the guess in H. On return W.F, W.c and the prepared matrix belong to the answer, nearly.

    Returns
    -------
    converged : bool
    outside : float     heat that enters from outside [W]
    newton, linear : int    iterations
    worst : float       last change of temperature [K]
    at : int            cell where it was largest
    """
    linear = 0
    moved = 1e300
    at = 0
    outside = 0.0
    for it in range(MOST_NEWTON):
        outside = evaluate(P, states, H, where, T, W, ambient, source, target, feed)
        left = 0.0
        for n in range(H.size):
            W.rhs[n] = a * W.F[n] - P.V[n] * (H[n] - base[n])
            left = max(left, abs(W.rhs[n]) / (P.V[n] * W.c[n]))
        if moved < tolerance or left < tolerance:
            return True, outside, it, linear, moved, at
        prepare_matrix(P, S, a, W.c, W)
        linear += solve(P, S, a, W.c, W.rhs, W.y, W, LINEAR_TOLERANCE)
        moved = 0.0
        for n in range(H.size):
            if abs(W.y[n]) > moved:
                moved, at = abs(W.y[n]), n
            H[n] += W.c[n] * W.y[n]
        if not isfinite(moved) or moved > 1e5:
            break
    return False, outside, MOST_NEWTON, linear, moved, at
