"""One step of TR-BDF2: trapezoidal rule to a point inside the step, then BDF2 to its end.

Second order and L-stable, both stages with the same matrix form; an embedded third-order formula gives the
error. Source: R. E. Bank et al., Transient simulation of silicon devices and circuits, IEEE Trans. CAD 4
(1985) 436-451; coefficients and error estimate: M. E. Hosea and L. F. Shampine, Analysis and implementation
of TR-BDF2, Appl. Numer. Math. 20 (1996) 21-37.
"""

from math import sqrt

from .._jit import kernel
from .implicit import implicit_stage, solve

GAMMA = 2.0 - sqrt(2.0)
D = 0.5 * GAMMA
WEIGHT = 0.25 * sqrt(2.0)
LEFT = 1e-2
"""Share of the step's tolerance that Newton's method may leave of any temperature."""
E0 = WEIGHT - (1.0 - WEIGHT) / 3.0
E1 = WEIGHT - (3.0 * WEIGHT + 1.0) / 3.0
E2 = D - D / 3.0


@kernel(inline="always")
def step(P, S, W, Z, states, H0, rate0, Q0, dt, slope, inner, outer, H, rate, where, T, tolerance):
    """Advance by dt from enthalpy H0, which changes at rate0, with the outside heat flow Q0.

    Parameters
    ----------
    P, S, W, Z                  problem, linear solver and scratch arrays
    slope : float64[n_cell]     dH/dt guessed for this step [W/m3]
    inner, outer : Signals      the outside at the inner point and at the end
    H, rate, T : float64[n_cell]    out: enthalpy, its rate and temperature at the end

    Returns
    -------
    converged : bool
    error : float       estimated error of temperature, largest over the cells [K]
    heat : float        heat that entered from outside during the step [J]
    Q : float           outside heat flow at the end [W]
    newton, linear : int    iterations
    worst, at : float, int  last change of temperature [K] and its cell
    """
    a = D * dt
    base, middle, y = Z.base, Z.middle, Z.error
    for n in range(H.size):
        base[n] = H0[n] + a * rate0[n]
        H[n] = H0[n] + GAMMA * dt * slope[n]
    small = LEFT * tolerance
    ok, Qg, newton, linear, worst, at = implicit_stage(
        P, S, states, base, a, H, where, T, W, Z, inner.ambient, inner.source, small, True
    )
    if not ok:
        return False, 0.0, 0.0, 0.0, newton, linear, worst, at
    for n in range(H.size):
        # The rate that the stage implies, not the one evaluated: a stiff cell would amplify Newton's remainder.
        middle[n] = (H[n] - base[n]) / a
        base[n] = H0[n] + dt * WEIGHT * (rate0[n] + middle[n])
        H[n] = H0[n] + (H[n] - H0[n]) / GAMMA
    ok, Q, n2, l2, worst, at = implicit_stage(
        P, S, states, base, a, H, where, T, W, Z, outer.ambient, outer.source, small, True
    )
    if not ok:
        return False, 0.0, 0.0, 0.0, newton + n2, linear + l2, worst, at
    for n in range(H.size):
        rate[n] = (H[n] - base[n]) / a
        Z.rhs[n] = dt * P.V[n] * (E0 * rate0[n] + E1 * middle[n] + E2 * rate[n])
    # Filtered through the step's own matrix, so that stiff cells do not count twice.
    linear += l2 + solve(P, S, a, W, Z.rhs, y, Z, 0.05)
    error = 0.0
    for n in range(H.size):
        if not abs(y[n]) <= error and error == error:
            error = abs(y[n])
    heat = dt * (WEIGHT * (Q0 + Qg) + D * Q)
    return True, error, heat, Q, newton + n2, linear, worst, at
