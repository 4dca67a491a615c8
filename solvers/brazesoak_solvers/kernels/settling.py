"""What is found by iteration at one face: the sides of a contact, and a surface between its cell and the outside.

Each says last how far off it still is [K] if it did not settle, else 0.
"""

from .._jit import part
from ..constants import STEFAN_BOLTZMANN
from .properties import curve

MOST = 60
"""Rounds in which the surface of a face, or the sides of a contact, must settle; two or three are the rule."""
PATIENCE = 12
"""Rounds after which they are found by halving: at a steep curve, iteration swings to and fro or creeps."""


@part
def contact_conductance(U, states, g, Tm):
    """Conductance per area of contact g at mean interface temperature Tm; without bound when bonded (-1)."""
    if g < 0:
        return 1e300
    return curve(U, U.contact_curve[U.contact_ptr[g] + states[g]], Tm)


@part
def series(M, f, U, mat, h, i, Ta, Tb, one, other):
    """One round for face i with contact conductance h: conductance [W/K], and how both sides move [K].

    Both half cells and the contact are in series; conductivities are taken midway between the centre and the
    side, which is exact for steady flow with k linear in T.
    """
    ra = 1.0 / (curve(U, M.k[mat[f.a[i]]], 0.5 * (Ta + one)) * f.sa[i])
    rb = 1.0 / (curve(U, M.k[mat[f.b[i]]], 0.5 * (Tb + other)) * f.sb[i])
    G = 1.0 / (ra + 1.0 / (h * f.A[i]) + rb)
    q = G * (Ta - Tb)
    return G, Ta - q * ra - one, Tb + q * rb - other


@part
def layered_face(M, f, U, mat, states, i, Ta, Tb):
    """Conductance [W/K] of face i with a contact or between two materials, and the temperatures of both sides.

    They are found by fixed-point iteration. Last comes how far off they still are if they did not settle [K], else 0.
    """
    one, other = Ta, Tb
    for _ in range(PATIENCE):
        h = contact_conductance(U, states, f.contact[i], 0.5 * (one + other))
        if h <= 0.0:
            return 0.0, Ta, Tb, 0.0
        G, move_a, move_b = series(M, f, U, mat, h, i, Ta, Tb, one, other)
        one, other = one + move_a, other + move_b
        if abs(move_a) + abs(move_b) < 1e-12 * Ta:
            return G, one, other, 0.0
    return halved_face(M, f, U, mat, states, i, Ta, Tb, one, other)


@part
def halved_face(M, f, U, mat, states, i, Ta, Tb, one, other):
    """As `layered_face`, by halving the range in which the contact's conductance lies."""
    g = f.contact[i]
    low = high = 1e300
    if g >= 0:
        j = U.contact_curve[U.contact_ptr[g] + states[g]]
        for n in range(U.ptr[j], U.ptr[j + 1]):
            low = U.v[n] if n == U.ptr[j] else min(low, U.v[n])
            high = U.v[n] if n == U.ptr[j] else max(high, U.v[n])
    G = off = 0.0
    for _ in range(MOST):
        h = 0.5 * (low + high)
        for _ in range(MOST):
            G, move_a, move_b = series(M, f, U, mat, h, i, Ta, Tb, one, other)
            one, other = one + move_a, other + move_b
            off = abs(move_a) + abs(move_b)
            if off < 1e-12 * Ta:
                off = 0.0
                break
        if high - low < 1e-14 * high or off > 0.0:
            break
        if contact_conductance(U, states, g, 0.5 * (one + other)) > h:
            low = h
        else:
            high = h
    return G, one, other, off


@part
def surface(U, kcurve, film, eps, A, s, r, q, Tc, Tg, Tw, Ts):
    """Surface temperature of a boundary face of a cell whose conductivity is `kcurve`, from the guess Ts.

    Returns surface temperature, convective and radiative heat into the surface [W], conductance gs from the
    cell [W/K] (without bound for a lumped cell), the derivatives of both flows, A h and 4 A e sigma Ts^3, and how far
    off the surface still is if it did not settle [K], else 0; the next guess is then the cell's temperature.
    Takes numbers, not the arrays they come from: handing many arrays to a function costs more than its work.
    """
    lumped = s > 1e299
    if lumped:
        Ts = Tc
    gs = 1e300
    conv = rad = hA = rA = off = 0.0
    low, high, pace = 0.0, 1e300, 1.0
    Tw4 = Tw * Tw * Tw * Tw
    for n in range(MOST):
        hA = A * curve(U, film, Ts)
        e = curve(U, eps, Ts)
        eA = A * STEFAN_BOLTZMANN / (1.0 / e + r) if e > 0.0 else 0.0
        Ts3 = Ts * Ts * Ts
        conv = hA * (Tg - Ts)
        rad = eA * (Tw4 - Ts * Ts3)
        rA = 4.0 * eA * Ts3
        if lumped:
            break
        gs = s * curve(U, kcurve, 0.5 * (Tc + Ts))
        move = (conv + rad + A * q - gs * (Ts - Tc)) / (gs + hA + rA)
        Ts += move
        # The flows follow the last move to first order, so that its square is what is left over.
        conv -= hA * move
        rad -= rA * move
        if abs(move) < 1e-6 * Ts:
            break
        off = abs(move)
        if move > 0.0:
            low = Ts - move
        else:
            high = Ts - move
        if n >= PATIENCE:
            pace *= 2.0
            Ts = 0.5 * (low + high) if high < 1e300 else Ts + pace * move
    else:
        return Tc, conv, rad, gs, hA, rA, off
    if not lumped and hA > gs:
        # What comes through the half cell: a strong film times a vanishing difference would be all round-off.
        conv = gs * (Ts - Tc) - rad - A * q
    return Ts, conv, rad, gs, hA, rA, 0.0
