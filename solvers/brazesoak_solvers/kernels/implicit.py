"""One implicit stage: find H with V (H - base) = a F(T(H)), by Newton's method in H.

The unknown of a Newton step is the change y of temperature, so that the matrix V c - a dF/dT is symmetric;
enthalpy then moves by c y, which keeps a cell inside a peak of the heat capacity from leaping over it.
"""

from math import isfinite

from .._jit import lean, part
from .banded import assemble_band, factorise_band, solve_band
from .flows import flows
from .multilevel import conjugate_gradients, refresh
from .properties import state

LINEAR_TOLERANCE = 1e-2
"""Relative residual of the linear solver inside Newton's method; the next Newton step takes up the rest."""
UNMOVED = 1e-3
"""Share of Newton's tolerance that may be left of a guess taken as it is: in a short step all that happens may be less
than the tolerance, and a temperature that never moved would stand still for good."""
MOST_NEWTON = 14
MOST_LINEAR = 120


@part
def prepare_matrix(V, border, fa, fb, S, a, c, D, Gf, diagonal):
    """Set up V c - a dF/dT of the interior cells for the linear solver."""
    for n in range(c.size):
        diagonal[n] = 1.0 if border[n] >= 0 else V[n] * c[n] + a * D[n]
    if S.width >= 0:
        assemble_band(fa, fb, S.place, diagonal, Gf, a, S.band)
        factorise_band(c.size, S.width, S.band)
    else:
        for n in range(c.size):
            S.d[S.place[n]] = diagonal[n]
        for f in range(Gf.size):
            S.G[f] = a * Gf[f]
        refresh(S.levels, S.n_level, S.G, S.d, S.value, S.inverse, S.finest, S.diagonal)


@part
def solve_interior(S, rhs, x, tolerance):
    """Solve with the prepared matrix; returns the number of iterations."""
    if S.width >= 0:
        solve_band(S.place, S.width, S.band, rhs, x, S.right)
        return 1
    return conjugate_gradients(
        S.levels, S.n_level, S.place, S.value, S.inverse, S.finest, S.diagonal, rhs, x, tolerance, MOST_LINEAR,
        S.single, S.double, S.visit, S.walk,
    )  # fmt: skip


@part
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


@part
def border_system(V, bcell, rim, a, c, C, E, rhs, y, X, felt, small, b):
    """Solve for the border cells from the answers of the interior, and correct these; all in y."""
    nb = bcell.size
    for i in range(nb):
        e = bcell[i]
        b[i] = rhs[e]
        for t in range(rim.size):
            b[i] += a * C[i, t] * y[rim[t]]
        for j in range(nb):
            s = E[i, j]
            if felt[j] > 0.0:
                for t in range(rim.size):
                    s += C[i, t] * X[j, rim[t]]
            small[i, j] = -a * s
        small[i, i] += V[e] * c[e]
    gauss(small, b)
    for j in range(nb):
        if felt[j] > 0.0:
            for n in range(y.size):
                y[n] += X[j, n] * b[j]
    for j in range(nb):
        y[bcell[j]] = b[j]


@part
def renew_border(P, S, a, W, Z, tolerance):
    """Answers of the interior to each border cell, once a step: within it they hardly change. Returns iterations."""
    count = 0
    scale = a / Z.stale[1]
    Z.stale[1] = a
    for n in range(Z.right.size):
        Z.right[n] = 0.0
    for j in range(P.bcell.size):
        coupled = False
        for t in range(P.rim.size):
            Z.right[P.rim[t]] = a * W.B[t, j]
            coupled = coupled or W.B[t, j] != 0.0
        Z.felt[j] = 1.0 if coupled else 0.0
        if coupled:  # not a sensor, nor the memory of a controller
            for n in range(Z.right.size):
                Z.X[j, n] *= scale
            count += solve_interior(S, Z.right, Z.X[j], tolerance)
    return count


@part
def solve(P, S, a, W, rhs, y, Z, tolerance, guessed):
    """Solve (V c - a dF/dT) y = rhs with the prepared matrix, border cells eliminated (Schur complement).

    With `guessed`, y holds a guess of the interior's answer to a border at rest.
    """
    nb = P.bcell.size
    for n in range(rhs.size):
        Z.right[n] = 0.0 if P.border[n] >= 0 else rhs[n]
        if P.border[n] >= 0 or not guessed:
            y[n] = 0.0
    count = solve_interior(S, Z.right, y, tolerance)
    if nb > 0:
        if Z.stale[0] > 0.0:
            count += renew_border(P, S, a, W, Z, tolerance)
            Z.stale[0] = 0.0
        border_system(P.V, P.bcell, P.rim, a, W.c, W.C, W.E, rhs, y, Z.X, Z.felt, Z.small, Z.b)
    return count


@lean
def evaluate(P, states, H, where, T, W, ambient, source):
    """Temperatures and flows at H; returns the heat that enters from outside [W]."""
    state(P.m, P.mat, H, where, T, W.c, W.k)
    return flows(
        P,
        states,
        T,
        W.k,
        ambient,
        source,
        W.rise,
        W.Tenv,
        W.radiation,
        W.grey,
        W.F,
        W.Gf,
        W.D,
        W.B,
        W.C,
        W.E,
        W.stuck,
    )


@part
def even_shift(n_heat, V, c, left):
    """Change of temperature [K] that would take up the sum of what Newton's method left [J], spread evenly."""
    heat = 0.0
    capacity = 0.0
    for n in range(n_heat):
        heat += left[n]
        capacity += V[n] * c[n]
    return heat / capacity


@part
def leave(V, least, mat, slack, a, F, H, base, rhs):
    """What Newton's method has still to take up in each cell [J]; the most of it in any [K], slack apart, and where."""
    left, at = 0.0, 0
    for n in range(H.size):
        rhs[n] = a * F[n] - V[n] * (H[n] - base[n])
        share = abs(rhs[n]) / (V[n] * least[mat[n]] * slack[n])
        if not share <= left and left == left:  # so written, a value that is not a number is not lost
            left, at = share, n
    return left, at


@part
def move(least, mat, slack, c, y, H, at):
    """Change temperatures by y; the largest change [K], slack apart, and its cell, or `at` when nothing moves."""
    moved = 0.0
    for n in range(H.size):
        # Counted as heat, in kelvin of the plain metal: inside a latent heat a small step is much heat.
        change = abs(y[n]) * c[n] / (least[mat[n]] * slack[n])
        if not change <= moved and moved == moved:
            moved, at = change, n
        H[n] += c[n] * y[n]
    return moved, at


@lean
def implicit_stage(P, S, states, base, a, H, where, T, W, Z, ambient, source, slack, tolerance, conserve):
    """Find H from the guess in H. On return W.F, W.c and the prepared matrix belong to the answer, nearly.

    What the last change of temperature leaves over is judged by how fast the changes shrank when last seen
    (E. Hairer and G. Wanner, Solving Ordinary Differential Equations II, 2nd ed., section IV.8, recalled).
    With `conserve`, the sum of what is left over, as heat, is spread evenly over the cells when that moves them by
    less than the tolerance: flows between cells cancel in the sum, so that the heat content then follows the
    heat from outside to round-off, however loose the tolerance.

    Returns
    -------
    converged : bool
    outside : float     heat that enters from outside [W]
    newton, linear : int    iterations
    worst : float       last change of temperature [K], or how far off what did not settle inside the flows is
    at : int            cell where it was largest
    """
    linear = 0
    moved = 1e300
    at = 0
    outside = 0.0
    for it in range(MOST_NEWTON):
        outside = evaluate(P, states, H, where, T, W, ambient, source)
        left, where_left = leave(P.V, P.m.least, P.mat, slack, a, W.F, H, base, Z.rhs)
        shift = even_shift(P.n_heat, P.V, W.c, Z.rhs) if conserve else 0.0
        if not isfinite(left):  # told now: the linear solver would spread it over all cells
            moved, at = left, where_left
            break
        enough = UNMOVED * tolerance if it == 0 else tolerance
        if (
            W.stuck[0] == 0.0
            and abs(shift) < tolerance
            and (left < enough or moved * min(1.0, 2.0 * Z.rate[0]) < tolerance)
        ):
            if it == 0:  # the error estimate of the step needs the matrix
                prepare_matrix(P.V, P.border, P.f.a, P.f.b, S, a, W.c, W.D, W.Gf, Z.diagonal)
            elif it == 1:
                Z.rate[0] *= 1.5  # taken on trust, and the less so the longer it was not measured
            for n in range(P.n_heat):
                H[n] += W.c[n] * shift
            return True, outside, it, linear, moved, at
        prepare_matrix(P.V, P.border, P.f.a, P.f.b, S, a, W.c, W.D, W.Gf, Z.diagonal)
        linear += solve(P, S, a, W, Z.rhs, Z.y, Z, LINEAR_TOLERANCE, False)
        before = moved
        moved, at = move(P.m.least, P.mat, slack, W.c, Z.y, H, at)
        if not isfinite(moved) or moved > 1e5:
            break
        if it > 0:
            Z.rate[0] = moved / before
    if W.stuck[0] > 0.0:
        moved, at = W.stuck[0], int(W.stuck[1])
    return False, outside, MOST_NEWTON, linear, moved, at
