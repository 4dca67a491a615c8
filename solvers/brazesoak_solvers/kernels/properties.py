"""Temperature, heat capacity and conductivity of every cell from its enthalpy."""

from math import sqrt

from .._jit import kernel


@kernel
def curve(P, j, T):
    """Value of curve j at T: linear between points, held at both ends."""
    i, end = P.cur_ptr[j], P.cur_ptr[j + 1] - 1
    if T <= P.cur_T[i]:
        return P.cur_v[i]
    if T >= P.cur_T[end]:
        return P.cur_v[end]
    while P.cur_T[i + 1] < T:
        i += 1
    return P.cur_v[i] + (P.cur_v[i + 1] - P.cur_v[i]) * (T - P.cur_T[i]) / (P.cur_T[i + 1] - P.cur_T[i])


@kernel
def interval_of_H(P, m, H, i):
    """Interval of material m that holds H, searched from interval i, which was right a moment ago."""
    first, last = P.mat_ptr[m], P.mat_ptr[m + 1] - 1
    while i < last and H >= P.mat_H[i + 1 + m]:
        i += 1
    while i > first and H < P.mat_H[i + m]:
        i -= 1
    return i


@kernel
def interval_of_T(P, m, T):
    """Interval of material m that holds T, by bisection."""
    first, last = P.mat_ptr[m], P.mat_ptr[m + 1] - 1
    while first < last:
        middle = (first + last + 1) // 2
        if T >= P.mat_T[middle + m]:
            first = middle
        else:
            last = middle - 1
    return first


@kernel
def T_and_c(P, m, i, H):
    """Temperature and dH/dT where H lies in (or beyond) interval i."""
    e = i + m
    dT = P.mat_T[e + 1] - P.mat_T[e]
    dH = H - P.mat_H[e]
    if dH < 0.0:
        return P.mat_T[e] + dH / P.mat_c0[i], P.mat_c0[i]
    if H > P.mat_H[e + 1]:
        return P.mat_T[e + 1] + (H - P.mat_H[e + 1]) / P.mat_c1[i], P.mat_c1[i]
    slope = (P.mat_c1[i] - P.mat_c0[i]) / dT
    c = sqrt(P.mat_c0[i] * P.mat_c0[i] + 2.0 * slope * dH)
    return P.mat_T[e] + 2.0 * dH / (P.mat_c0[i] + c), c


@kernel
def H_of_T(P, m, T):
    """Enthalpy at T [J/m3]."""
    i = interval_of_T(P, m, T)
    e = i + m
    d = T - P.mat_T[e]
    dT = P.mat_T[e + 1] - P.mat_T[e]
    if d < 0.0:
        return P.mat_H[e] + P.mat_c0[i] * d
    if d > dT:
        return P.mat_H[e + 1] + P.mat_c1[i] * (d - dT)
    return P.mat_H[e] + d * (P.mat_c0[i] + 0.5 * (P.mat_c1[i] - P.mat_c0[i]) / dT * d)


@kernel
def k_in(P, m, i, T):
    """Conductivity at T, which lies in (or beyond) interval i."""
    e = i + m
    w = (T - P.mat_T[e]) / (P.mat_T[e + 1] - P.mat_T[e])
    w = min(max(w, 0.0), 1.0)
    return P.mat_k[e] + w * (P.mat_k[e + 1] - P.mat_k[e])


@kernel
def K_in(P, m, i, T):
    """Integral of the conductivity up to T, which lies in (or beyond) interval i."""
    e = i + m
    d = T - P.mat_T[e]
    dT = P.mat_T[e + 1] - P.mat_T[e]
    if d < 0.0:
        return P.mat_K[e] + P.mat_k[e] * d
    if d > dT:
        return P.mat_K[e + 1] + P.mat_k[e + 1] * (d - dT)
    return P.mat_K[e] + d * (P.mat_k[e] + 0.5 * (P.mat_k[e + 1] - P.mat_k[e]) / dT * d)


@kernel
def k_at(P, m, T):
    """Conductivity at T."""
    return k_in(P, m, interval_of_T(P, m, T), T)


@kernel
def initial_state(P, T, H, where):
    """Enthalpy and interval of every cell at temperature T."""
    for n in range(T.size):
        H[n] = H_of_T(P, P.mat[n], T[n])
        where[n] = interval_of_T(P, P.mat[n], T[n])


@kernel
def state(P, H, where, T, c, k, K):
    """Temperature, heat capacity, conductivity and its integral of every cell; `where` is the search's memory."""
    for n in range(H.size):
        m = P.mat[n]
        i = interval_of_H(P, m, H[n], where[n])
        where[n] = i
        T[n], c[n] = T_and_c(P, m, i, H[n])
        k[n] = k_in(P, m, i, T[n])
        K[n] = K_in(P, m, i, T[n])


@kernel
def temperatures(P, H, where, T):
    """Temperature of every cell."""
    for n in range(H.size):
        i = interval_of_H(P, P.mat[n], H[n], where[n])
        T[n], _ = T_and_c(P, P.mat[n], i, H[n])
