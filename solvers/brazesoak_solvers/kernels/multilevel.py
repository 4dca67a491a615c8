"""Conjugate gradients with a multilevel preconditioner that is itself made of conduction graphs.

Cells are gathered into aggregates, and the conductances between two aggregates add up: a coarse level is a
lumped network of the same body, in the same form as the fine one. Each level is smoothed by one Gauss-Seidel
sweep down and one up, and corrected by at most two steps of conjugate gradients on the next level (K-cycle).
Source: Y. Notay and P. S. Vassilevski, Recursive Krylov-based multigrid cycles, Numer. Linear Algebra Appl.
15 (2008) 473-487; pairwise aggregation: Y. Notay, An aggregation-based algebraic multigrid method, ETNA 37
(2010) 123-146.
"""

import numpy as np

from .._jit import kernel


@kernel
def refresh(M, G, d, levels):
    """Sum conductances G[n_face] and diagonal d[n_cell] up through the levels."""
    for l in range(levels - 1):
        c0, c1, f0, f1 = M.cell_ptr[l], M.cell_ptr[l + 1], M.face_ptr[l], M.face_ptr[l + 1]
        d[c1 : M.cell_ptr[l + 2]] = 0.0
        G[f1 : M.face_ptr[l + 2]] = 0.0
        for i in range(c1 - c0):
            d[c1 + M.parent[c0 + i]] += d[c0 + i]
        for f in range(f1 - f0):
            up = M.face_parent[f0 + f]
            if up >= 0:
                G[f1 + up] += G[f0 + f]


@kernel
def multiply(M, G, d, l, x, y):
    """y = A x on level l."""
    c0, f0 = M.cell_ptr[l], M.face_ptr[l]
    for i in range(M.cell_ptr[l + 1] - c0):
        s = d[c0 + i] * x[c0 + i]
        for e in range(M.row[c0 + l + i], M.row[c0 + l + i + 1]):
            s += G[f0 + M.edge[e]] * (x[c0 + i] - x[c0 + M.col[e]])
        y[c0 + i] = s


@kernel
def sweep(M, G, d, l, r, x, down):
    """One Gauss-Seidel sweep on level l, in order (down) or in reverse (up)."""
    c0, f0 = M.cell_ptr[l], M.face_ptr[l]
    n = M.cell_ptr[l + 1] - c0
    for m in range(n):
        i = m if down else n - 1 - m
        s, p = r[c0 + i], d[c0 + i]
        for e in range(M.row[c0 + l + i], M.row[c0 + l + i + 1]):
            g = G[f0 + M.edge[e]]
            s += g * x[c0 + M.col[e]]
            p += g
        x[c0 + i] = s / p


@kernel
def dot(x, y, first, last):
    """Scalar product of two vectors between two places."""
    s = 0.0
    for i in range(first, last):
        s += x[i] * y[i]
    return s


@kernel
def descend(M, G, d, l, R, X, W):
    """Smooth on level l from zero and hand the remainder down; returns its squared norm."""
    c0, c1, c2 = M.cell_ptr[l], M.cell_ptr[l + 1], M.cell_ptr[l + 2]
    X[c0:c1] = 0.0
    sweep(M, G, d, l, R, X, True)
    multiply(M, G, d, l, X, W)
    R[c1:c2] = 0.0
    for i in range(c1 - c0):
        R[c1 + M.parent[c0 + i]] += R[c0 + i] - W[c0 + i]
    return dot(R, R, c1, c2)


@kernel
def first_answer(M, G, d, l, R, X, Y, Z, rho, step):
    """Take the first answer of level l as a direction of conjugate gradients; returns the remainder's square."""
    c0, c1 = M.cell_ptr[l], M.cell_ptr[l + 1]
    multiply(M, G, d, l, X, Z)
    rho[l] = dot(X, Z, c0, c1)
    step[l] = dot(X, R, c0, c1) / rho[l]
    for i in range(c0, c1):
        Y[i] = X[i]
        R[i] -= step[l] * Z[i]
        X[i] *= step[l]
    return dot(R, R, c0, c1)


@kernel
def second_answer(M, G, d, l, R, X, Y, Z, rho, step):
    """Take the second answer of level l as a further direction, and combine both."""
    c0, c1 = M.cell_ptr[l], M.cell_ptr[l + 1]
    gamma, alpha = dot(X, Z, c0, c1), dot(X, R, c0, c1)
    multiply(M, G, d, l, X, Z)
    rho2 = dot(X, Z, c0, c1) - gamma * gamma / rho[l]
    second = alpha / rho2 if rho2 > 0.0 else 0.0
    first = step[l] - gamma * second / rho[l]
    for i in range(c0, c1):
        X[i] = first * Y[i] + second * X[i]


@kernel
def cycle(M, G, d, levels, R, X, W, Y, Z, rho, step, square, visit):
    """Approximate solution X of A X = R on the finest level, from zero; R is kept there.

    A walk down and up the levels with `visit` as its memory, not a recursion: machine code of a recursive
    function does not survive numba's cache.
    """
    l = 0
    visit[0] = 0
    while True:
        if visit[l] == 0 and l == levels - 1:
            X[M.cell_ptr[l] : M.cell_ptr[l + 1]] = 0.0
            for _ in range(8):
                sweep(M, G, d, l, R, X, True)
                sweep(M, G, d, l, R, X, False)
        elif visit[l] == 0:
            square[l] = descend(M, G, d, l, R, X, W)
            if square[l] > 0.0:
                visit[l] = 1
                l += 1
                visit[l] = 0
                continue
            X[M.cell_ptr[l + 1] : M.cell_ptr[l + 2]] = 0.0
        elif visit[l] == 1:
            left = first_answer(M, G, d, l + 1, R, X, Y, Z, rho, step)
            if l + 1 < levels - 1 and left > 0.0625 * square[l]:
                visit[l] = 2
                l += 1
                visit[l] = 0
                continue
        else:
            second_answer(M, G, d, l + 1, R, X, Y, Z, rho, step)
        if l < levels - 1:
            c0, c1 = M.cell_ptr[l], M.cell_ptr[l + 1]
            for i in range(c1 - c0):
                X[c0 + i] += X[c1 + M.parent[c0 + i]]
            sweep(M, G, d, l, R, X, False)
        if l == 0:
            return
        l -= 1


@kernel
def conjugate_gradients(M, G, d, levels, rhs, x, tolerance, most, work):
    """Solve A x = rhs to a relative residual; x holds the guess. Returns the number of iterations."""
    n = rhs.size
    R, X, W, Y, Z = work[0], work[1], work[2], work[3], work[4]
    r, p, q, old = work[5], work[6], work[7], work[8]
    rho, taken, square, visit = np.empty(levels), np.empty(levels), np.empty(levels), np.empty(levels, np.int64)
    multiply(M, G, d, 0, x, q)
    for i in range(n):
        r[i] = rhs[i] - q[i]
        p[i] = 0.0
        old[i] = 0.0
    goal = tolerance * tolerance * dot(rhs, rhs, 0, n)
    before = 1.0
    for it in range(most):
        if dot(r, r, 0, n) <= goal:
            return it
        R[:n] = r[:n]
        cycle(M, G, d, levels, R, X, W, Y, Z, rho, taken, square, visit)
        beta = 0.0
        if it > 0:
            # Flexible form: the preconditioner is not the same linear map twice.
            beta = (dot(X, r, 0, n) - dot(X, old, 0, n)) / before
        before = dot(X, r, 0, n)
        for i in range(n):
            p[i] = X[i] + beta * p[i]
            old[i] = r[i]
        multiply(M, G, d, 0, p, q)
        step = dot(p, r, 0, n) / dot(p, q, 0, n)
        for i in range(n):
            x[i] += step * p[i]
            r[i] -= step * q[i]
    return most


@kernel
def match_pairs(row, col, weight, partner):
    """Pair each cell with the unpaired neighbour it is coupled to most strongly; returns the number of groups.

    `partner` receives the group of each cell. A neighbour whose coupling is below a quarter of the cell's
    strongest is left alone, so that pairs form along the stiff direction of a stretched grid.
    """
    partner[:] = -1
    groups = 0
    for i in range(partner.size):
        if partner[i] >= 0:
            continue
        strongest, best, at = 0.0, 0.0, -1
        for e in range(row[i], row[i + 1]):
            strongest = max(strongest, weight[e])
            if partner[col[e]] < 0 and weight[e] > best:
                best, at = weight[e], col[e]
        partner[i] = groups
        if at >= 0 and best >= 0.25 * strongest:
            partner[at] = groups
        groups += 1
    return groups
