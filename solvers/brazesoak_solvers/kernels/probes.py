"""Temperatures of places: cells, sides of faces and surfaces, reduced to one value a probe."""

from .._jit import lean, part
from .control import wanted
from .settling import layered_face


@part
def side_temperature(M, f, U, mat, states, T, i, cold):
    """Temperature of the colder or the warmer side of face i."""
    # Flows whose faces do not settle end the step, so that here they do.
    _, one, other, _ = layered_face(M, f, U, mat, states, i, T[f.a[i]], T[f.b[i]])
    return min(one, other) if cold else max(one, other)


@part
def probe_value(M, f, U, mat, Q, states, T, j):
    """Value of probe j: the least, the mean or the greatest of its points."""
    first, last, how = Q.ptr[j], Q.ptr[j + 1], Q.how[j]
    value = 0.0
    for i in range(first, last):
        kind = Q.kind[i]
        if kind == 0:
            t = T[Q.place[i]]
        elif kind == 1:
            t = 0.5 * (T[Q.place[i]] + T[Q.other[i]])
        elif kind > 3:
            target, _ = wanted(Q.c, kind - 4, states, T)
            t = T[Q.place[i]] - target
        else:
            t = side_temperature(M, f, U, mat, states, T, Q.place[i], kind == 2)
        if i == first:
            value = t
        elif how == 0:
            value = min(value, t)
        elif how == 1:
            value += t
        else:
            value = max(value, t)
    return value / (last - first) if how == 1 else value


@lean
def probe_values(M, f, U, mat, Q, states, T, out):
    """Value of every probe."""
    for j in range(out.size):
        out[j] = probe_value(M, f, U, mat, Q, states, T, j)
