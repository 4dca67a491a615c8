"""When probes pass temperatures inside a step, on its cubic in enthalpy."""

from .._jit import part
from .probes import probe_value
from .properties import T_and_c, interval_of_H

MOST = 200
"""Halvings and interpolations: more than bisection needs down to the last bit."""


@part
def temperature_at(M, m, H0, rate0, H1, rate1, i, h, s):
    """Temperature of a cell at the share s of a step of h: the cubic through enthalpies and rates at both ends."""
    r = 1.0 - s
    H = (1.0 + 2.0 * s) * r * r * H0 + s * r * r * h * rate0 + s * s * (3.0 - 2.0 * s) * H1 - s * s * r * h * rate1
    T, _ = T_and_c(M, m, interval_of_H(M, m, H, i), H)
    return T


@part
def probe_at(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, h, s, j, T):
    """Value of probe j at the share s of a step; only the cells that it needs are looked at."""
    for i in range(Q.ptr[j], Q.ptr[j + 1]):
        one, other = Q.place[i], Q.other[i]
        if Q.kind[i] == 0:
            other = one
        elif 1 < Q.kind[i] < 4:
            one, other = f.a[one], f.b[one]
        T[one] = temperature_at(M, mat[one], H0[one], rate0[one], H1[one], rate1[one], where[one], h, s)
        if other != one:
            n = other
            T[n] = temperature_at(M, mat[n], H0[n], rate0[n], H1[n], rate1[n], where[n], h, s)
    return probe_value(M, f, U, mat, Q, states, T, j)


@part
def passing_time(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, T, start, end, j, level, sign):
    """When sign (probe j - level), below zero at the start of a step, reaches zero: start, end or between [s].

    T is scratch, float64[n_cell]. Source of the root finder: T. R. Chandrupatla, A new hybrid quadratic/bisection
    algorithm for finding the zero of a nonlinear function without using derivatives, Adv. Eng. Software 28 (1997)
    145-149 (recalled).
    """
    h = end - start
    tolerance = (1e-9 + 1e-15 * abs(end)) / h
    b, a = 0.0, 1.0
    fb = sign * (probe_at(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, h, b, j, T) - level)
    fa = sign * (probe_at(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, h, a, j, T) - level)
    if fb >= 0.0 or fa < 0.0:
        return start if fb >= 0.0 else end
    part, best = 0.5, 1.0
    for _ in range(MOST):
        x = a + part * (b - a)
        fx = sign * (probe_at(M, f, U, mat, Q, states, H0, rate0, H1, rate1, where, h, x, j, T) - level)
        if (fx > 0.0) == (fa > 0.0):
            c, fc = a, fa
        else:
            c, fc, b, fb = b, fb, a, fa
        a, fa = x, fx
        best, f_best = (a, fa) if abs(fa) < abs(fb) else (b, fb)
        least = tolerance / abs(b - a) if b != a else 1.0
        if f_best == 0.0 or least > 0.5:
            break
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        part = 0.5
        if phi * phi < xi and (1.0 - phi) * (1.0 - phi) < 1.0 - xi:
            part = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        part = min(max(part, least), 1.0 - least)
    return start + best * h
