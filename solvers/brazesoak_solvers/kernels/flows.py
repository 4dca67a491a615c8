"""Heat flows between cells and from the surroundings, and how they change with temperature.

The conduction part of the Jacobian is kept symmetric: one conductance G a face and one positive diagonal D a
cell. Cells that are themselves surroundings of many others (a furnace chamber), or that a controller heats or senses,
form the border, and the interior cells that they act on or that act on them its rim. Their coupling need not be
symmetric and is kept in three small blocks: dF/dT of a cell of the rim by a border cell in B, of a border cell by one
of the rim in C, among the border in E.

What is found by iteration inside (sides of a face, surfaces, what falls on patches) and does not settle is kept in
`stuck`: how far off it is [K], or 0, and the cell. Flows with `stuck` above 0 are no flows; the step must not stand.
"""

from .._jit import part
from .control import add_controllers, add_sensors
from .patches import patch_surroundings
from .properties import curve
from .settling import layered_face, surface


@part
def couple_face(i, j, a, b, G, D, B, C, E):
    """Enter what a face between cells a and b, of which the border has one or both, passes for each kelvin.

    i and j are their places on the border or, from -2 down, on the rim.
    """
    if i >= 0 and j >= 0:
        E[i, i] -= G
        E[j, j] -= G
        E[i, j] += G
        E[j, i] += G
    elif i >= 0:
        D[b] += G
        E[i, i] -= G
        B[-2 - j, i] += G
        C[i, -2 - j] += G
    else:
        D[a] += G
        E[j, j] -= G
        B[-2 - i, j] += G
        C[j, -2 - i] += G


@part
def add_faces(M, f, U, mat, states, border, T, k, F, Gf, D, B, C, E, stuck):
    """Enter every face; the interior matrix has no conductance for one in which the border takes part.

    Inside one material the conductance has the mean of k at both temperatures, exact for k linear in T.
    """
    for i in range(f.a.size):
        Gf[i] = 0.5 * f.s[i] * (k[f.a[i]] + k[f.b[i]])
    for j in range(f.layered.size):
        i = f.layered[j]
        Gf[i], _, _, off = layered_face(M, f, U, mat, states, i, T[f.a[i]], T[f.b[i]])
        if off > stuck[0]:
            stuck[0], stuck[1] = off, f.a[i]
    for i in range(f.a.size):
        a, b = f.a[i], f.b[i]
        q = Gf[i] * (T[a] - T[b])
        F[a] -= q
        F[b] += q
    for j in range(f.bordering.size):
        i = f.bordering[j]
        a, b = f.a[i], f.b[i]
        couple_face(border[a], border[b], a, b, Gf[i], D, B, C, E)
        Gf[i] = 0.0


@part
def add_boundaries(bf, U, x, mk, mat, border, env_cell, T, Tenv, Ts, F, D, B, C, E, stuck):
    """Enter every boundary face; returns the heat that came from prescribed surroundings and fluxes [W].

    The surface follows its cell by `through` and each surroundings by that conductance times `share`.
    """
    outside = 0.0
    for b in range(bf.cell.size):
        n, g, w, A, s, q = bf.cell[b], bf.gas[b], bf.wall[b], bf.A[b], bf.s[b], bf.q[b]
        if bf.fixed[b] == 1:
            gs = s * curve(U, mk[mat[n]], 0.5 * (T[n] + Tenv[g]))
            Ts[b] = Tenv[g]
            F[n] += gs * (Tenv[g] - T[n])
            outside += gs * (Tenv[g] - T[n])
            add_own(border[n], n, gs, D, E)
            continue
        Ts[b], conv, rad, gs, hA, rA, off = surface(
            U, mk[mat[n]], bf.film[b], bf.eps[b], A, s, bf.r[b], q, T[n], Tenv[g], Tenv[w], Ts[b]
        )
        if off > stuck[0]:
            stuck[0], stuck[1] = off, n
        F[n] += conv + rad + A * q
        outside += A * q
        share, through = 0.0, 1.0
        if gs < 1e299:
            share = 1.0 / (gs + hA + rA)
            through = gs * share
        add_own(border[n], n, (hA + rA) * through, D, E)
        gas, wall = env_cell[g], env_cell[w]
        if gas < 0 and wall < 0 and (x.patch[w] < 0 or env_cell[x.wall[0]] < 0):
            outside += conv + rad
            continue
        patch = x.patch[w]
        front = rA  # radiative conductance towards the walls, seen from the surface
        if patch >= 0:
            # What the patches exchange among themselves sums to nothing: all that they take up comes from the walls.
            w = x.wall[0]
            wall = env_cell[w]
            front = rA * x.W[patch, x.W.shape[0]]
        wA = front * (Tenv[w] / Ts[b]) ** 3
        if gas >= 0:
            couple(
                border[n], border[gas], n, gas, conv, hA * through, hA * through, hA * (1.0 - hA * share), F, B, C, E
            )
        else:
            outside += conv
        if wall >= 0:
            couple(
                border[n],
                border[wall],
                n,
                wall,
                rad,
                wA * through,
                front * through,
                wA * (1.0 - front * share),
                F,
                B,
                C,
                E,
            )
        else:
            outside += rad
        if gas >= 0 and wall >= 0:
            E[border[gas], border[wall]] += hA * wA * share
            E[border[wall], border[gas]] += front * hA * share
    return outside


@part
def add_own(i, n, G, D, E):
    """Enter that cell n, at place i of the border or none, loses G for each kelvin of its own."""
    if i < 0:
        D[n] += G
    else:
        E[i, i] -= G


@part
def couple(i, j, n, e, q, n_by_e, e_by_n, e_by_e, F, B, C, E):
    """Take the flow q out of border cell e, the surroundings of cell n, with its derivatives [W/K].

    i and j are the places of n and e on the border; i is from -2 down where n is on the rim.
    """
    F[e] -= q
    if i < 0:
        B[-2 - i, j] += n_by_e
        C[j, -2 - i] += e_by_n
    else:
        E[i, j] += n_by_e
        E[j, i] += e_by_n
    E[j, j] -= e_by_e


@part
def flows(P, states, T, k, ambient, source, rise, Tenv, radiation, grey, F, Gf, D, B, C, E, stuck):
    """Net heat flow into every cell and the Jacobian's parts.

    Returns the heat that enters from outside [W]: prescribed surroundings and fluxes, sources, heaters.
    """
    # Between evaluations a surface is kept by its rise over its cell, so that it follows the cell's last move.
    Ts = rise
    for b in range(P.b.cell.size):
        Ts[b] += T[P.b.cell[b]]
    F[:] = 0.0
    D[:] = 0.0
    B[:] = 0.0
    C[:] = 0.0
    E[:] = 0.0
    stuck[0] = 0.0
    for e in range(P.env_cell.size):
        if P.x.patch[e] < 0:
            Tenv[e] = T[P.env_cell[e]] if P.env_cell[e] >= 0 else ambient[-1 - P.env_cell[e]]
    if P.x.W.shape[0] > 0:
        patch_surroundings(P.x, P.b, P.u, Ts, Tenv, radiation, grey, stuck)
    add_faces(P.m, P.f, P.u, P.mat, states, P.border, T, k, F, Gf, D, B, C, E, stuck)
    outside = add_boundaries(P.b, P.u, P.x, P.m.k, P.mat, P.border, P.env_cell, T, Tenv, Ts, F, D, B, C, E, stuck)
    for b in range(P.b.cell.size):
        Ts[b] -= T[P.b.cell[b]]
    if source.size > 0:
        for n in range(source.size):
            F[n] += source[n]
            outside += source[n]
    add_sensors(P.c, P.n_heat, P.border, T, F, C, E)
    return outside + add_controllers(P.c, P.u, P.border, states, T, F, E)
