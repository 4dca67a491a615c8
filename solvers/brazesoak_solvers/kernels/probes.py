"""Temperatures of places: cells, sides of faces and surfaces, reduced to one value a probe."""

from .._jit import kernel
from .flows import layered_face


@kernel
def point_temperature(M, f, U, mat, Q, states, T, i):
    """Temperature of point i: a cell, the mean of two cells, or the colder or warmer side of a face."""
    kind, which = Q.kind[i], Q.index[i]
    if kind == 0:
        return T[which]
    if kind == 1:
        return 0.5 * (T[which] + T[Q.other[i]])
    _, one, other = layered_face(M, f, U, mat, states, which, T[f.a[which]], T[f.b[which]])
    if kind == 2:
        return min(one, other)
    return max(one, other)


@kernel
def probe_values(M, f, U, mat, Q, states, T, out):
    """Value of every probe: the least, the mean or the greatest of its points."""
    for j in range(out.size):
        first, last = Q.ptr[j], Q.ptr[j + 1]
        value = point_temperature(M, f, U, mat, Q, states, T, first)
        for i in range(first + 1, last):
            t = point_temperature(M, f, U, mat, Q, states, T, i)
            if Q.how[j] == 0:
                value = min(value, t)
            elif Q.how[j] == 1:
                value += t
            else:
                value = max(value, t)
        out[j] = value / (last - first) if Q.how[j] == 1 else value
