"""One step of TR-BDF2, carried to third order: trapezoidal rule to a point inside the step, then BDF2 to its end.

Both stages have the same matrix; an embedded third-order formula gives the error. Source: R. E. Bank et al., Transient
simulation of silicon devices and circuits, IEEE Trans. CAD 4 (1985) 436-451; coefficients and error estimate: M. E.
Hosea and L. F. Shampine, Analysis and implementation of TR-BDF2, Appl. Numer. Math. 20 (1996) 21-37.

The embedded formula by itself is unstable. Its error is therefore filtered twice through the step's own matrix,
e / (1 - d z)^2 on y' = z y, and then taken out of the answer: what the filter changes is of fourth order, the method so
made is of third order, and A- and L-stable (tests/unit/test_step_formula.py).
"""

from math import sqrt

from .._jit import kernel, part
from .implicit import implicit_stage, solve
from .properties import T_and_c, interval_of_H, temperatures_near

GAMMA = 2.0 - sqrt(2.0)
D = 0.5 * GAMMA
WEIGHT = 0.25 * sqrt(2.0)
LEFT = 2e-2
"""Share of the step's tolerance that Newton's method may leave of any temperature."""
STRAIGHT = 0.1
"""Share of the largest error by which a temperature may miss where a straight line takes it, or be moved evenly."""
ERROR_TOLERANCE = 0.05
"""Relative error of the linear solver in the filters: so much of the error stays in."""
E0 = WEIGHT - (1.0 - WEIGHT) / 3.0
E1 = WEIGHT - (3.0 * WEIGHT + 1.0) / 3.0
E2 = D - D / 3.0
BEND = (1.0 - GAMMA) / (GAMMA * GAMMA)
"""From the inner point to the end, a parabola through the start bends so much of what the inner rate is off by."""


@part
def onward(rise, bend):
    """Guess of a rise: what a straight line gives, and a parabola's bend where that is less."""
    return rise + min(max(bend, -abs(rise)), abs(rise))


@part
def outside_change(D, B, C, E, bcell, rim, n_heat, y):
    """Change of the heat that enters from outside [W] when temperatures change by y: the Jacobian's columns, summed."""
    total = 0.0
    for n in range(y.size):
        total -= D[n] * y[n]
    for i in range(bcell.size):
        for t in range(rim.size):
            total += B[t, i] * y[bcell[i]]
        if bcell[i] < n_heat:
            for t in range(rim.size):
                total += C[i, t] * y[rim[t]]
            for j in range(bcell.size):
                total += E[i, j] * y[bcell[j]]
    return total


@part
def bends(M, mat, c, z, H, where, T):
    """Whether temperatures do not follow enthalpies in a straight line from H to H - c z: inside a latent heat, say.

    There the formula is not of third order, and taking the error out would melt what is not to melt.
    """
    most = worst = 0.0
    for n in range(H.size):
        moved = H[n] - c[n] * z[n]
        there, _ = T_and_c(M, mat[n], interval_of_H(M, mat[n], moved, where[n]), moved)
        now, _ = T_and_c(M, mat[n], interval_of_H(M, mat[n], H[n], where[n]), H[n])
        if not abs(z[n]) <= most:  # so written, a value that is not a number is not lost
            most = abs(z[n])
        if not abs(now - there - z[n]) <= worst:
            worst = abs(now - there - z[n])
    return not worst <= STRAIGHT * most


@part
def take_out(V, c, n_heat, a, y, z, more, faster, small, H, rate):
    """Take the error z out of enthalpies, and out of rates what it stands for; y is the error filtered once.

    The sums are set right evenly, as those of Newton's method are: the heat content changes by `more` [J], and at the
    rate `faster` [W] at the end, whatever the linear solver left. Where it left so much that this would move every
    temperature by more than `small` [K] and than a share of the largest error, nothing is taken out; whether it was.
    """
    heat = flow = capacity = most = 0.0
    for n in range(n_heat):
        heat += V[n] * c[n] * z[n]
        flow += V[n] * c[n] * (z[n] - y[n]) / a
        capacity += V[n] * c[n]
        most = max(most, abs(z[n]))
    shift, turn = (heat + more) / capacity, (flow + faster) / capacity
    if not abs(shift) <= max(STRAIGHT * most, small):
        return False
    for n in range(H.size):
        whole = n < n_heat
        H[n] += c[n] * ((shift if whole else 0.0) - z[n])
        rate[n] += c[n] * ((turn if whole else 0.0) - (z[n] - y[n]) / a)
    return True


@kernel(inline="always")
def raise_order(P, S, W, Z, a, embedded, small, H, rate, where, T):
    """Carry a step to third order.

    Parameters
    ----------
    embedded : float    heat that enters by the embedded formula, less that by TR-BDF2 [J]
    small : float       what Newton's method may leave of any temperature [K]

    Returns
    -------
    heat : float    what more entered from outside during the step [J]
    Q : float       change of the outside heat flow at the end [W]
    linear : int    iterations
    """
    y, z = Z.error, Z.y
    for n in range(H.size):
        Z.rhs[n] = P.V[n] * W.c[n] * y[n]
        z[n] = y[n]
    linear = solve(P, S, a, W, Z.rhs, z, Z, ERROR_TOLERANCE, True)
    if bends(P.m, P.mat, W.c, z, H, where, T):
        return 0.0, 0.0, linear
    once = outside_change(W.D, W.B, W.C, W.E, P.bcell, P.rim, P.n_heat, y)
    twice = outside_change(W.D, W.B, W.C, W.E, P.bcell, P.rim, P.n_heat, z)
    heat = embedded - a * (once + twice)
    if not take_out(P.V, W.c, P.n_heat, a, y, z, heat, -twice, small, H, rate):
        return 0.0, 0.0, linear
    temperatures_near(P.m, P.mat, H, where, T)
    return heat, -twice, linear


@kernel(inline="always")
def step(
    P, S, W, Z, states, H0, rate0, Q0, dt, slope, before, inner, outer, H, rate, where, T, slack, tolerance, third
):
    """Advance by dt from enthalpy H0, which changes at rate0, with the outside heat flow Q0.

    Parameters
    ----------
    P, S, W, Z                  problem, linear solver and scratch arrays
    slope : float64[n_cell]     mean dH/dt of the step before [W/m3], 0 after a jump
    before : float              length of the step before [s]
    inner, outer : Signals      the outside at the inner point and at the end
    H, rate, T : float64[n_cell]    out: enthalpy, its rate and temperature at the end
    slack : float64[n_cell]     allowed error of each cell, in tolerances
    third : bool                take the error out

    Returns
    -------
    converged : bool
    error : float       estimated error of temperature before it is taken out, largest over the cells, slack apart [K]
    heat : float        heat that entered from outside during the step [J]
    Q : float           outside heat flow at the end [W]
    newton, linear : int    iterations
    worst, at : float, int  last change of temperature [K] and its cell
    """
    a, t = D * dt, GAMMA * dt
    Z.stale[0] = 1.0
    base, middle, y = Z.base, Z.middle, Z.error
    for n in range(H.size):
        base[n] = H0[n] + a * rate0[n]
        H[n] = H0[n] + onward(slope[n] * t, (rate0[n] - slope[n]) * t * (1.0 + t / before))
    small = LEFT * tolerance
    ok, Qg, newton, linear, worst, at = implicit_stage(
        P, S, states, base, a, H, where, T, W, Z, inner.ambient, inner.source, slack, small, True
    )
    if not ok:
        return False, 0.0, 0.0, 0.0, newton, linear, worst, at
    for n in range(H.size):
        # The rate that the stage implies, not the one evaluated: a stiff cell would amplify Newton's remainder.
        middle[n] = (H[n] - base[n]) / a
        base[n] = H0[n] + dt * WEIGHT * (rate0[n] + middle[n])
        rise = H[n] - H0[n]
        H[n] = H0[n] + onward(rise / GAMMA, (middle[n] * t - rise) * BEND)
    ok, Q, n2, l2, worst, at = implicit_stage(
        P, S, states, base, a, H, where, T, W, Z, outer.ambient, outer.source, slack, small, True
    )
    if not ok:
        return False, 0.0, 0.0, 0.0, newton + n2, linear + l2, worst, at
    for n in range(H.size):
        rate[n] = (H[n] - base[n]) / a
        Z.rhs[n] = dt * P.V[n] * (E0 * rate0[n] + E1 * middle[n] + E2 * rate[n])
    # Filtered through the step's own matrix, so that stiff cells do not count twice.
    linear += l2 + solve(P, S, a, W, Z.rhs, y, Z, ERROR_TOLERANCE, False)
    error = 0.0
    for n in range(H.size):
        share = abs(y[n]) / slack[n]
        if not share <= error and error == error:
            error = share
    heat = dt * (WEIGHT * (Q0 + Qg) + D * Q)
    if not third:
        return True, error, heat, Q, newton + n2, linear, worst, at
    embedded = -dt * (E0 * Q0 + E1 * Qg + E2 * Q)
    more, faster, l3 = raise_order(P, S, W, Z, a, embedded, small, H, rate, where, T)
    return True, error, heat + more, Q + faster, newton + n2, linear + l3, worst, at
