"""Heat flows between cells and from the surroundings, and how they change with temperature.

The conduction part of the Jacobian is kept symmetric: one conductance G a face and one positive diagonal D a
cell. Cells that are themselves surroundings of many others (a furnace chamber), or that a thermostat senses,
form the border; their coupling need not be symmetric and is kept in three small blocks:
dF/dT of an interior cell by a border cell in B, of a border cell by an interior cell in C, among them in E.
"""

from .._jit import kernel
from ..constants import STEFAN_BOLTZMANN
from .properties import curve, k_at


@kernel
def contact_conductance(P, states, f, Tm):
    """Conductance per area of the contact of face f at mean interface temperature Tm; infinite when bonded."""
    g = P.fcontact[f]
    if g < 0:
        return 1e300
    return curve(P, P.con_curve[P.con_ptr[g] + states[g]], Tm)


@kernel
def layered_face(P, states, f, Ta, Tb):
    """Conductance [W/K] of a face with a contact or between two materials, and the temperatures of both sides.

    Both half cells and the contact are in series; conductivities are taken midway between the centre and the
    side, which is exact for steady flow with k linear in T. The sides are found by fixed-point iteration.
    """
    a, b = P.fa[f], P.fb[f]
    one, other = Ta, Tb
    G = 0.0
    for _ in range(60):
        h = contact_conductance(P, states, f, 0.5 * (one + other))
        if h <= 0.0:
            return 0.0, Ta, Tb
        ra = 1.0 / (k_at(P, P.mat[a], 0.5 * (Ta + one)) * P.fsa[f])
        rb = 1.0 / (k_at(P, P.mat[b], 0.5 * (Tb + other)) * P.fsb[f])
        G = 1.0 / (ra + 1.0 / (h * P.fA[f]) + rb)
        q = G * (Ta - Tb)
        moved = abs(Ta - q * ra - one) + abs(Tb + q * rb - other)
        one, other = Ta - q * ra, Tb + q * rb
        if moved < 1e-12 * Ta:
            break
    return G, one, other


@kernel
def bonded_face(P, f, Ta, Tb, ka, kb, Ka, Kb):
    """Conductance [W/K] of a face inside one material: the mean of k over the two temperatures, exactly."""
    s = 1.0 / (1.0 / P.fsa[f] + 1.0 / P.fsb[f])
    d = Ta - Tb
    if abs(d) < 1e-4:
        return 0.5 * s * (ka + kb)
    return s * (Ka - Kb) / d


@kernel
def is_layered(P, f):
    """Whether a face has a contact or joins two materials."""
    return P.fcontact[f] >= 0 or P.mat[P.fa[f]] != P.mat[P.fb[f]]


@kernel
def add_face(P, f, G, T, F, Gf, D, B, C, E):
    """Enter the flow and the conductance of face f."""
    a, b = P.fa[f], P.fb[f]
    q = G * (T[a] - T[b])
    F[a] -= q
    F[b] += q
    i, j = P.border[a], P.border[b]
    if i < 0 and j < 0:
        Gf[f] = G
        return
    Gf[f] = 0.0
    if i >= 0 and j >= 0:
        E[i, i] -= G
        E[j, j] -= G
        E[i, j] += G
        E[j, i] += G
    elif i >= 0:
        D[b] += G
        E[i, i] -= G
        B[b, i] += G
        C[i, b] += G
    else:
        D[a] += G
        E[j, j] -= G
        B[a, j] += G
        C[j, a] += G


@kernel
def surface(P, b, Tc, Tg, Tw, Ts):
    """Surface temperature of boundary face b, from the guess Ts, and what the flow through it depends on.

    Returns surface temperature, convective and radiative heat into the surface [W], conductance gs from the
    cell [W/K] (infinite for a lumped cell), and the derivatives bg, br of both flows: A h and 4 A e sigma Ts^3.
    """
    A, s = P.bA[b], P.bs[b]
    if P.bfixed[b] == 1:
        gs = s * k_at(P, P.mat[P.bc[b]], 0.5 * (Tc + Tg))
        return Tg, gs * (Tg - Tc), 0.0, gs, 0.0, 0.0
    lumped = s > 1e299
    if lumped:
        Ts = Tc
    gs = 1e300
    conv = rad = hA = rA = 0.0
    for _ in range(60):
        hA = A * curve(P, P.bfilm[b], Ts)
        eps = curve(P, P.beps[b], Ts)
        eA = 0.0
        if eps > 0.0:
            eA = A * STEFAN_BOLTZMANN / (1.0 / eps + P.br[b])
        conv = hA * (Tg - Ts)
        rad = eA * (Tw**4 - Ts**4)
        rA = 4.0 * eA * Ts**3
        if lumped:
            break
        gs = s * k_at(P, P.mat[P.bc[b]], 0.5 * (Tc + Ts))
        move = (conv + rad + A * P.bq[b] - gs * (Ts - Tc)) / (gs + hA + rA)
        Ts += move
        if abs(move) < 1e-12 * Ts:
            break
    return Ts, conv, rad, gs, hA, rA


@kernel
def add_boundary(P, b, T, Tenv, Ts, F, D, B, C, E):
    """Enter boundary face b; returns the heat that came from prescribed surroundings [W].

    The surface follows its cell by `through` and each surroundings by that conductance times `share`.
    """
    n, g, w = P.bc[b], P.bgas[b], P.bwall[b]
    Ts[b], conv, rad, gs, hA, rA = surface(P, b, T[n], Tenv[g], Tenv[w], Ts[b])
    flux = P.bA[b] * P.bq[b]
    F[n] += conv + rad + flux
    if P.bfixed[b] == 1:
        add_own(P, n, gs, D, E)
        return flux + conv
    share, through = 0.0, 1.0
    if gs < 1e299:
        share = 1.0 / (gs + hA + rA)
        through = gs * share
    add_own(P, n, (hA + rA) * through, D, E)
    wA = rA * (Tenv[w] / Ts[b]) ** 3
    outside = flux
    gas, wall = P.env_cell[g], P.env_cell[w]
    if gas >= 0:
        couple(P, n, gas, conv, hA * through, hA * through, hA * (1.0 - hA * share), F, B, C, E)
    else:
        outside += conv
    if wall >= 0:
        couple(P, n, wall, rad, wA * through, rA * through, wA * (1.0 - rA * share), F, B, C, E)
    else:
        outside += rad
    if gas >= 0 and wall >= 0:
        E[P.border[gas], P.border[wall]] += hA * wA * share
        E[P.border[wall], P.border[gas]] += rA * hA * share
    return outside


@kernel
def add_own(P, n, G, D, E):
    """Enter that cell n loses G for each kelvin of its own."""
    i = P.border[n]
    if i < 0:
        D[n] += G
    else:
        E[i, i] -= G


@kernel
def couple(P, n, e, q, n_by_e, e_by_n, e_by_e, F, B, C, E):
    """Take the flow q out of border cell e, which is the surroundings of cell n, with its derivatives [W/K]."""
    F[e] -= q
    i, j = P.border[n], P.border[e]
    if i < 0:
        B[n, j] += n_by_e
        C[j, n] += e_by_n
    else:
        E[i, j] += n_by_e
        E[j, i] += e_by_n
    E[j, j] -= e_by_e


@kernel
def add_thermostats(P, T, target, feed, F, E):
    """Enter the heaters; returns their power [W]."""
    total = 0.0
    for h in range(P.th_cell.size):
        power = feed[h] + P.th_gain[h] * (target[h] - T[P.th_sensed[h]])
        held = min(max(power, 0.0), P.th_max[h])
        F[P.th_cell[h]] += held
        total += held
        if held == power:
            E[P.border[P.th_cell[h]], P.border[P.th_sensed[h]]] -= P.th_gain[h]
    return total


@kernel
def flows(P, states, T, k, K, ambient, source, target, feed, Ts, Tenv, F, Gf, D, B, C, E):
    """Net heat flow into every cell and the Jacobian's parts.

    Returns the heat that enters from outside [W]: prescribed surroundings and fluxes, sources, heaters.
    """
    F[:] = 0.0
    D[:] = 0.0
    B[:] = 0.0
    C[:] = 0.0
    E[:] = 0.0
    for e in range(P.env_cell.size):
        Tenv[e] = T[P.env_cell[e]] if P.env_cell[e] >= 0 else ambient[-1 - P.env_cell[e]]
    for f in range(P.fa.size):
        a, b = P.fa[f], P.fb[f]
        if is_layered(P, f):
            G, _, _ = layered_face(P, states, f, T[a], T[b])
        else:
            G = bonded_face(P, f, T[a], T[b], k[a], k[b], K[a], K[b])
        add_face(P, f, G, T, F, Gf, D, B, C, E)
    outside = 0.0
    for b in range(P.bc.size):
        outside += add_boundary(P, b, T, Tenv, Ts, F, D, B, C, E)
    if source.size > 0:
        for n in range(F.size):
            F[n] += source[n]
            outside += source[n]
    return outside + add_thermostats(P, T, target, feed, F, E)
