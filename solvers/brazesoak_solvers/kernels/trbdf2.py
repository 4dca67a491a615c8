"""One step of TR-BDF2: trapezoidal rule to a point inside the step, then BDF2 to its end.

Second order and L-stable, both stages with the same matrix form; an embedded third-order formula gives the
error. Source: R. E. Bank et al., Transient simulation of silicon devices and circuits, IEEE Trans. CAD 4
(1985) 436-451; coefficients and error estimate: M. E. Hosea and L. F. Shampine, Analysis and implementation
of TR-BDF2, Appl. Numer. Math. 20 (1996) 21-37.
"""

from math import sqrt

from .._jit import kernel
from .implicit import evaluate, implicit_stage, solve

GAMMA = 2.0 - sqrt(2.0)
D = 0.5 * GAMMA
WEIGHT = 0.25 * sqrt(2.0)
LEFT = 1e-2
"""Share of the step's tolerance that Newton's method may leave of any temperature."""
E0 = WEIGHT - (1.0 - WEIGHT) / 3.0
E1 = WEIGHT - (3.0 * WEIGHT + 1.0) / 3.0
E2 = D - D / 3.0


@kernel
def begin(bundle, states, H, where, T, signals):
    """Temperatures and flows at H, where a march begins or begins anew; returns the outside heat flow [W]."""
    s = signals
    return evaluate(bundle.P, states, H, where, T, bundle.W, s.ambient, s.source)


@kernel
def step(bundle, states, H0, F0, Q0, dt, slope, inner, outer, H, F, where, T, tolerance):
    """Advance by dt from enthalpy H0 with flows F0 and outside heat Q0.

    Parameters
    ----------
    bundle : MarchBundle        problem, linear solver and scratch arrays
    slope : float64[n_cell]     dH/dt guessed for this step [W/m3]
    inner, outer : Signals      the outside at the inner point and at the end
    H, F, T : float64[n_cell]   out: enthalpy, flow and temperature at the end

    Returns
    -------
    converged : bool
    error : float       estimated error of temperature, largest over the cells [K]
    heat : float        heat that entered from outside during the step [J]
    Q : float           outside heat flow at the end [W]
    newton, linear : int    iterations
    worst, at : float, int  last change of temperature [K] and its cell
    """
    P, S, W, Z = bundle.P, bundle.S, bundle.W, bundle.Z
    a = D * dt
    base, Fg, y = Z.base, Z.Fg, Z.error
    for n in range(H.size):
        base[n] = H0[n] + a * F0[n] / P.V[n]
        H[n] = H0[n] + GAMMA * dt * slope[n]
    small = LEFT * tolerance
    ok, Qg, newton, linear, worst, at = implicit_stage(
        P, S, states, base, a, H, where, T, W, Z, inner.ambient, inner.source, small, True
    )
    if not ok:
        return False, 0.0, 0.0, 0.0, newton, linear, worst, at
    for n in range(H.size):
        # The flow that the stage implies, not the one evaluated: a stiff cell would amplify Newton's remainder.
        Fg[n] = P.V[n] * (H[n] - base[n]) / a
        base[n] = H0[n] + dt * WEIGHT * (F0[n] + Fg[n]) / P.V[n]
        H[n] = H0[n] + (H[n] - H0[n]) / GAMMA
    ok, Q, n2, l2, worst, at = implicit_stage(
        P, S, states, base, a, H, where, T, W, Z, outer.ambient, outer.source, small, True
    )
    if not ok:
        return False, 0.0, 0.0, 0.0, newton + n2, linear + l2, worst, at
    for n in range(H.size):
        F[n] = P.V[n] * (H[n] - base[n]) / a
        Z.rhs[n] = dt * (E0 * F0[n] + E1 * Fg[n] + E2 * F[n])
    # Filtered through the step's own matrix, so that stiff cells do not count twice.
    linear += l2 + solve(P, S, a, W, Z.rhs, y, Z, 0.05)
    error = 0.0
    for n in range(H.size):
        if not abs(y[n]) <= error:
            error = abs(y[n])
    heat = dt * (WEIGHT * (Q0 + Qg) + D * Q)
    return True, error, heat, Q, newton + n2, linear, worst, at
