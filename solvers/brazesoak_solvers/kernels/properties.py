"""Temperature, heat capacity and conductivity of every cell from its enthalpy."""

from math import sqrt

from .._jit import kernel, lean, part


@part
def curve(U, j, T):
    """Value of curve j at T: linear between points, held at both ends."""
    low, high = U.ptr[j], U.ptr[j + 1] - 1
    if T <= U.T[low]:
        return U.v[low]
    if T >= U.T[high]:
        return U.v[high]
    while high - low > 1:
        middle = (low + high) // 2
        if T >= U.T[middle]:
            low = middle
        else:
            high = middle
    return U.v[low] + (U.v[high] - U.v[low]) * (T - U.T[low]) / (U.T[high] - U.T[low])


@part
def interval_of_H(M, m, H, i):
    """Interval of material m that holds H, searched from interval i, which was right a moment ago."""
    first, last = M.ptr[m], M.ptr[m + 1] - 1
    while i < last and H >= M.H[i + 1 + m]:
        i += 1
    while i > first and H < M.H[i + m]:
        i -= 1
    return i


@part
def interval_of_T(M, m, T):
    """Interval of material m that holds T, by bisection."""
    first, last = M.ptr[m], M.ptr[m + 1] - 1
    while first < last:
        middle = (first + last + 1) // 2
        if T >= M.T[middle + m]:
            first = middle
        else:
            last = middle - 1
    return first


@part
def T_and_c(M, m, i, H):
    """Temperature and dH/dT where H lies in (or beyond) interval i."""
    e = i + m
    dH = H - M.H[e]
    if dH < 0.0:
        return M.T[e] + dH / M.c0[i], M.c0[i]
    if H > M.H[e + 1]:
        return M.T[e + 1] + (H - M.H[e + 1]) / M.c1[i], M.c1[i]
    c = sqrt(M.c0[i] * M.c0[i] + 2.0 * M.bend[i] * dH)
    return M.T[e] + 2.0 * dH / (M.c0[i] + c), c


@part
def H_of_T(M, m, T):
    """Enthalpy at T [J/m3]."""
    i = interval_of_T(M, m, T)
    e = i + m
    d = T - M.T[e]
    dT = M.T[e + 1] - M.T[e]
    if d < 0.0:
        return M.H[e] + M.c0[i] * d
    if d > dT:
        return M.H[e + 1] + M.c1[i] * (d - dT)
    return M.H[e] + d * (M.c0[i] + 0.5 * M.bend[i] * d)


@kernel
def initial_state(M, mat, T, H, where):
    """Enthalpy and interval of every cell at temperature T."""
    for n in range(T.size):
        H[n] = H_of_T(M, mat[n], T[n])
        where[n] = interval_of_T(M, mat[n], T[n])


@part
def state(M, mat, H, where, T, c, k):
    """Temperature, heat capacity and conductivity of every cell; `where` is the search's memory."""
    for n in range(H.size):
        m = mat[n]
        i = interval_of_H(M, m, H[n], where[n])
        where[n] = i
        T[n], c[n] = T_and_c(M, m, i, H[n])
        low, high = M.T[i + m], M.T[i + m + 1]
        k[n] = M.k0[i] + M.slope[i] * (min(max(T[n], low), high) - low)


@part
def temperatures_near(M, mat, H, where, T):
    """Temperature of every cell after a small move; `where` is the search's memory."""
    for n in range(H.size):
        where[n] = interval_of_H(M, mat[n], H[n], where[n])
        T[n], _ = T_and_c(M, mat[n], where[n], H[n])


@lean
def temperatures(M, mat, H, where, T):
    """Temperature of every cell."""
    for n in range(H.size):
        i = interval_of_H(M, mat[n], H[n], where[n])
        T[n], _ = T_and_c(M, mat[n], i, H[n])
