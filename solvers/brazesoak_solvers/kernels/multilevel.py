"""Conjugate gradients with a multilevel preconditioner that is itself made of conduction graphs.

Cells are gathered into aggregates, and the conductances between two aggregates add up: a coarse level is a
lumped network of the same body, in the same form as the fine one. Each level is smoothed by one Gauss-Seidel
sweep down and one up, in order of colours that neighbours do not share, so that no cell waits for the one before it,
and corrected by at most two steps of conjugate gradients on the next level (K-cycle).
Source: Y. Notay and P. S. Vassilevski, Recursive Krylov-based multigrid cycles, Numer. Linear Algebra Appl.
15 (2008) 473-487; pairwise aggregation: Y. Notay, An aggregation-based algebraic multigrid method, ETNA 37
(2010) 123-146.

The preconditioner works in single precision: half the memory to move, and conjugate gradients around it, in
double precision, do not notice. Rows hold the neighbours before a cell first, then those after it.
"""

import numpy as np

from .._jit import kernel, part

REORDER = {"reassoc", "contract"}
"""Sums may be added up in any order, several at a time; values that are not numbers stay what they are."""
NOTHING_LEFT = 1e-13
"""A remainder whose square is below this, of a right-hand side of norm 1, is not worth a coarser level."""
SURE = 0.9
"""What each iteration gains must shrink at least so fast for the sum of all further gains to be believed."""


@part
def refresh(M, levels, G, d, value, inverse, finest, diagonal):
    """Sum conductances G[n_face] and diagonal d[n_cell] up through the levels, and lay them out by rows.

    Out: value by entry and inverse of the whole diagonal, of all levels in single precision; `finest` values
    and whole `diagonal` of the finest level in double precision.
    """
    for l in range(levels):
        c0, c1, f0, f1 = M.cell_ptr[l], M.cell_ptr[l + 1], M.face_ptr[l], M.face_ptr[l + 1]
        for i in range(c1 - c0):
            s = d[c0 + i]
            for e in range(M.row[c0 + l + i], M.row[c0 + l + i + 1]):
                g = G[f0 + M.edge[e]]
                value[e] = g
                if l == 0:
                    finest[e] = g
                s += g
            inverse[c0 + i] = 1.0 / s
            if l == 0:
                diagonal[i] = s
        if l == levels - 1:
            return
        d[c1 : M.cell_ptr[l + 2]] = 0.0
        G[f1 : M.face_ptr[l + 2]] = 0.0
        for i in range(c1 - c0):
            d[c1 + M.parent[c0 + i]] += d[c0 + i]
        for f in range(f1 - f0):
            up = M.face_parent[f0 + f]
            if up >= 0:
                G[f1 + up] += G[f0 + f]


@part(fastmath=REORDER, inline="always")
def along(s, value, col, x, first, last):
    """Add to s what the entries of a row give; rows of four and of six, of which grids are made, are written out."""
    e = first
    if last - first == 4:
        s += (value[e] * x[col[e]] + value[e + 1] * x[col[e + 1]]) + (
            value[e + 2] * x[col[e + 2]] + value[e + 3] * x[col[e + 3]]
        )
    elif last - first == 6:
        s += (value[e] * x[col[e]] + value[e + 1] * x[col[e + 1]]) + (
            value[e + 2] * x[col[e + 2]] + value[e + 3] * x[col[e + 3]]
        )
        s += value[e + 4] * x[col[e + 4]] + value[e + 5] * x[col[e + 5]]
    else:
        for f in range(first, last):
            s += value[f] * x[col[f]]
    return s


@part(fastmath=REORDER)
def multiply(row, col, value, diagonal, x, y):
    """y = A x on the finest level."""
    for i in range(y.size):
        y[i] = diagonal[i] * x[i] - along(0.0, value, col, x, row[i], row[i + 1])


@part(fastmath=REORDER)
def multiply_level(row, col, value, inverse, x, y):
    """y = A x on one level, from the inverse of the diagonal."""
    for i in range(y.size):
        y[i] = x[i] / inverse[i] - along(np.float32(0.0), value, col, x, row[i], row[i + 1])


@part(fastmath=REORDER)
def sweep_down(row, middle, col, value, inverse, r, x):
    """Gauss-Seidel in order, from zero: neighbours after a cell are still zero."""
    for i in range(r.size):
        x[i] = along(r[i], value, col, x, row[i], middle[i]) * inverse[i]


@part(fastmath=REORDER)
def hand_down(row, middle, col, value, parent, x, coarse):
    """Sum what is left after a sweep down into the aggregates: only the neighbours after a cell leave anything."""
    coarse[:] = 0.0
    for i in range(x.size):
        coarse[parent[i]] += along(np.float32(0.0), value, col, x, middle[i], row[i + 1])


@part(fastmath=REORDER)
def sweep_up(row, col, value, inverse, r, x):
    """Gauss-Seidel in reverse order."""
    for i in range(r.size - 1, -1, -1):
        x[i] = along(r[i], value, col, x, row[i], row[i + 1]) * inverse[i]


@part(fastmath=REORDER)
def dot(x, y):
    """Scalar product, summed in double precision."""
    s = 0.0
    for i in range(x.size):
        s += x[i] * y[i]
    return s


@part
def first_answer(row, col, value, inverse, r, x, y, z):
    """Take the first answer x of a level as a direction of conjugate gradients.

    Leaves the direction in y, its image in z, the remainder in r and the scaled answer in x; returns the energy
    of the direction, the step taken, and the square of the remainder.
    """
    multiply_level(row, col, value, inverse, x, z)
    rho = dot(x, z)
    step = dot(x, r) / rho if rho > 0.0 else 0.0
    left = 0.0
    for i in range(x.size):
        y[i] = x[i]
        r[i] -= step * z[i]
        x[i] *= step
        left += r[i] * r[i]
    return rho, step, left


@part
def second_answer(row, col, value, inverse, r, x, y, z, rho, step):
    """Take the second answer of a level as a further direction, and combine both in x."""
    gamma, alpha = dot(x, z), dot(x, r)
    multiply_level(row, col, value, inverse, x, z)
    rho2 = dot(x, z) - (gamma * gamma / rho if rho > 0.0 else 0.0)
    second = alpha / rho2 if rho2 > 0.0 else 0.0
    first = step - (gamma * second / rho if rho > 0.0 else 0.0)
    for i in range(x.size):
        x[i] = first * y[i] + second * x[i]


@part
def cycle(M, levels, value, inverse, R, X, Y, Z, visit, walk):
    """Approximate solution X of A X = R on the finest level, from zero; R is kept there.

    A walk down and up the levels with `visit` as its memory, not a recursion: machine code of a recursive
    function does not survive numba's cache.
    """
    rho, step, square = walk[0], walk[1], walk[2]
    l = visit[0] = 0
    while True:
        c0, c1 = M.cell_ptr[l], M.cell_ptr[l + 1]
        row, middle, inv = M.row[c0 + l : c1 + l + 1], M.middle[c0:c1], inverse[c0:c1]
        r, x = R[c0:c1], X[c0:c1]
        if visit[l] == 0:
            sweep_down(row, middle, M.col, value, inv, r, x)
            if l == levels - 1:
                for _ in range(6):
                    sweep_up(row, M.col, value, inv, r, x)
            else:
                c2 = M.cell_ptr[l + 2]
                hand_down(row, middle, M.col, value, M.parent[c0:c1], x, R[c1:c2])
                square[l] = dot(R[c1:c2], R[c1:c2])
                if square[l] > NOTHING_LEFT:
                    visit[l] = 1
                    l += 1
                    visit[l] = 0
                    continue
                X[c1:c2] = 0.0
        else:
            c2 = M.cell_ptr[l + 2]
            row2, inv2 = M.row[c1 + l + 1 : c2 + l + 2], inverse[c1:c2]
            r2, x2, y2, z2 = R[c1:c2], X[c1:c2], Y[c1:c2], Z[c1:c2]
            if visit[l] == 1:
                rho[l], step[l], left = first_answer(row2, M.col, value, inv2, r2, x2, y2, z2)
                if l + 1 < levels - 1 and left > 0.0625 * square[l]:
                    visit[l] = 2
                    l += 1
                    visit[l] = 0
                    continue
            else:
                second_answer(row2, M.col, value, inv2, r2, x2, y2, z2, rho[l], step[l])
        if l < levels - 1:
            for i in range(x.size):
                x[i] += X[c1 + M.parent[c0 + i]]
            sweep_up(row, M.col, value, inv, r, x)
        if l == 0:
            return
        l -= 1


@part(fastmath=REORDER)
def conjugate_gradients(
    M, levels, place, value, inverse, finest, diagonal, rhs, x, tolerance, most, single, double, visit, walk
):
    """Solve A x = rhs to a relative error in the energy norm; x holds the guess. Returns the number of iterations.

    Each iteration lowers the energy of the error by a gain that is known; what further ones would gain, a geometric
    series, is what is left. Source: Z. Strakos and P. Tichy, Error estimation in preconditioned conjugate gradients,
    BIT 45 (2005) 789-817 (recalled). A residual alone would ask for more iterations the finer the grid: it counts
    the roughest errors, which carry no heat. One that is small enough ends the iteration, too.
    """
    n = rhs.size
    row, col = M.row[: n + 1], M.col
    R, X, Y, Z = single[0], single[1], single[2], single[3]
    r, p, q, old, b, u = double[0], double[1], double[2], double[3], double[4], double[5]
    guessed = False
    for i in range(n):
        b[place[i]] = rhs[i]
        u[place[i]] = x[i]
        guessed = guessed or x[i] != 0.0
    if guessed:
        multiply(row, col, finest, diagonal, u, q)
    for i in range(n):
        r[i] = b[i] - q[i] if guessed else b[i]
        p[i] = 0.0
    goal = tolerance * tolerance * dot(b, b)
    before, gain, count = 1.0, 0.0, most
    for it in range(most):
        size = dot(r, r)
        if size <= goal or not np.isfinite(size):
            count = it
            break
        scale = 1.0 / np.sqrt(size)  # keeps single precision away from its ends
        for i in range(n):
            R[i] = r[i] * scale
        cycle(M, levels, value, inverse, R, X, Y, Z, visit, walk)
        zr = zold = 0.0
        for i in range(n):
            zr += X[i] * r[i]
            if it > 0:
                zold += X[i] * old[i]
        # Flexible form: the preconditioner is not the same linear map twice.
        beta = (zr - zold) / before if it > 0 else 0.0
        before = zr
        for i in range(n):
            p[i] = X[i] + beta * p[i]
            old[i] = r[i]
        multiply(row, col, finest, diagonal, p, q)
        along = dot(p, r)
        step = along / dot(p, q)
        energy = 0.0
        for i in range(n):
            u[i] += step * p[i]
            r[i] -= step * q[i]
            energy += b[i] * u[i]
        gain, last = step * along, gain
        shrinks = gain / last if it > 0 else 1.0
        if shrinks < SURE and gain * shrinks / (1.0 - shrinks) < tolerance * tolerance * energy:
            count = it + 1
            break
    for i in range(n):
        x[i] = u[place[i]]
    return count


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


@kernel
def colour(row, col, found):
    """Give each cell the least colour that no neighbour before it has; returns the number of colours."""
    neighbours = 0
    for i in range(found.size):
        neighbours = max(neighbours, row[i + 1] - row[i])
    last_taken = np.full(neighbours + 1, -1)  # the last cell that had a neighbour of this colour
    colours = 0
    for i in range(found.size):
        for e in range(row[i], row[i + 1]):
            if col[e] < i:
                last_taken[found[col[e]]] = i
        c = 0
        while last_taken[c] == i:
            c += 1
        found[i] = c
        colours = max(colours, c + 1)
    return colours
