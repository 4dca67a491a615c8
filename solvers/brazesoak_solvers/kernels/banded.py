"""Direct solution by Cholesky factors in a band: tridiagonal for a chain of cells, dense for a small network."""

from math import sqrt

from .._jit import kernel, part


@part
def assemble_band(fa, fb, place, width, diagonal, Gf, a, L):
    """Matrix diag(diagonal) + a (graph of Gf), rows ordered by `place`, lower band into L[n, width + 1]."""
    L[:] = 0.0
    for n in range(diagonal.size):
        L[place[n], width] = diagonal[n]
    for f in range(fa.size):
        g = a * Gf[f]
        if g != 0.0:
            i, j = place[fa[f]], place[fb[f]]
            L[i, width] += g
            L[j, width] += g
            if i < j:
                i, j = j, i
            L[i, j - i + width] -= g


@kernel(fastmath=True)
def factorise_band(width, L):
    """Replace the lower band of a symmetric positive definite matrix by its Cholesky factor."""
    for i in range(L.shape[0]):
        first = max(0, i - width)
        for j in range(first, i):
            s = L[i, j - i + width]
            for k in range(max(first, j - width), j):
                s -= L[i, k - i + width] * L[j, k - j + width]
            L[i, j - i + width] = s / L[j, width]
        s = L[i, width]
        for k in range(first, i):
            s -= L[i, k - i + width] ** 2
        L[i, width] = sqrt(s)


@part
def solve_band(place, width, L, rhs, x, work):
    """Solve with the factor; rhs and x in the order of the cells."""
    n = rhs.size
    for m in range(n):
        work[place[m]] = rhs[m]
    for i in range(n):
        s = work[i]
        for j in range(max(0, i - width), i):
            s -= L[i, j - i + width] * work[j]
        work[i] = s / L[i, width]
    for i in range(n - 1, -1, -1):
        work[i] /= L[i, width]
        for j in range(max(0, i - width), i):
            work[j] -= L[i, j - i + width] * work[i]
    for m in range(n):
        x[m] = work[place[m]]
