"""Direct solution by Cholesky factors in a band: tridiagonal for a chain of cells, dense for a small network.

The band stands by columns: L[j, r] is what stands r rows below the diagonal in column j, so that whatever a column
does to those after it runs along memory. Behind the last column stand `PAD` and `width` more that hold zeros, and as
many zeros stand behind each column: loops may then go four and four, and two columns at a time, past every end.
"""

from .._jit import part

SUMS = {"reassoc", "contract"}
"""Sums may be added up in any order, several at a time; values that are not numbers stay what they are."""
PAD = 6


@part
def assemble_band(fa, fb, place, diagonal, Gf, a, L):
    """Matrix diag(diagonal) + a (graph of Gf), rows ordered by `place`, into L[n + width + PAD, width + PAD]."""
    L[:] = 0.0
    for n in range(diagonal.size):
        L[place[n], 0] = diagonal[n]
    for f in range(fa.size):
        g = a * Gf[f]
        if g != 0.0:
            i, j = place[fa[f]], place[fb[f]]
            L[i, 0] += g
            L[j, 0] += g
            if i > j:
                i, j = j, i
            L[i, j - i] -= g


@part(fastmath=SUMS)
def factorise_band(n, width, L):
    """Replace a symmetric positive definite matrix by its factors: the reciprocal pivots, and unit columns below."""
    for j in range(n):
        inverse = 1.0 / L[j, 0]
        L[j, 0] = inverse
        column = L[j]
        for s in range(1, width + 1):
            share = column[s] * inverse
            if share != 0.0:
                other = L[j + s]
                for t in range(width + 1 - s):
                    other[t] -= share * column[s + t]
        for s in range(1, width + 1):
            column[s] *= inverse


@part(fastmath=SUMS)
def solve_band(place, width, L, rhs, x, work):
    """Solve with the factors; rhs and x in the order of the cells. Two columns go at a time."""
    n = rhs.size
    for m in range(n):
        work[place[m]] = rhs[m]
    for m in range(n, work.size):
        work[m] = 0.0
    for j in range(0, n, 2):
        column, other = L[j], L[j + 1]
        v = work[j]
        w = work[j + 1] - column[1] * v
        work[j + 1] = w
        for r in range(2, width + 2, 4):
            a = work[j + r] - column[r] * v - other[r - 1] * w
            b = work[j + r + 1] - column[r + 1] * v - other[r] * w
            c = work[j + r + 2] - column[r + 2] * v - other[r + 1] * w
            d = work[j + r + 3] - column[r + 3] * v - other[r + 2] * w
            work[j + r], work[j + r + 1], work[j + r + 2], work[j + r + 3] = a, b, c, d
    for j in range(n - 2 + n % 2, -1, -2):
        column, other = L[j], L[j + 1]
        a = b = c = d = 0.0
        e = f = g = h = 0.0
        for r in range(2, width + 2, 4):
            a += column[r] * work[j + r]
            b += column[r + 1] * work[j + r + 1]
            c += column[r + 2] * work[j + r + 2]
            d += column[r + 3] * work[j + r + 3]
            e += other[r - 1] * work[j + r]
            f += other[r] * work[j + r + 1]
            g += other[r + 1] * work[j + r + 2]
            h += other[r + 2] * work[j + r + 3]
        w = work[j + 1] * other[0] - ((e + f) + (g + h))
        work[j + 1] = w
        work[j] = work[j] * column[0] - ((a + b) + (c + d)) - column[1] * w
    for m in range(n):
        x[m] = work[place[m]]
