"""Radiation among patches of surface: what falls on each from what all emit."""

from .._jit import part
from .properties import curve

MOST = 60
"""Rounds in which what falls on the patches must settle; two or three are the rule."""


@part
def irradiate(W, emitted, fall):
    """What falls on each patch from what all emit."""
    for p in range(fall.size):
        s = 0.0
        for q in range(emitted.size):
            s += W[p, q] * emitted[q]
        fall[p] = s


@part
def patch_surroundings(x, bf, U, Ts, Tenv, radiation, grey, stuck):
    """Temperature of the radiation that falls on each patch, from what the patches and the walls emit.

    Out: the patches' emissivity, and in the first row of `radiation`, whose others are scratch, the fourth power of
    the mean emitting temperature of each patch, the walls last. What does not settle is kept in `stuck`, see `flows`.
    """
    n = x.W.shape[0]
    emitted, corrected, fall, area = radiation[0], radiation[1], radiation[2, :n], radiation[3, :n]
    grey[:] = 0.0
    emitted[:] = 0.0
    area[:] = 0.0
    for b in range(bf.cell.size):
        p = x.patch[bf.wall[b]]
        if p >= 0:
            e = bf.A[b] * curve(U, bf.eps[b], Ts[b])
            area[p] += bf.A[b]
            grey[p] += e
            emitted[p] += e * Ts[b] ** 4
    for p in range(n):
        emitted[p] /= grey[p]
        grey[p] /= area[p]
    emitted[n] = Tenv[x.wall[0]] ** 4
    # W belongs to the emissivities x.grey; what they have changed since acts as if a patch emitted that much more of
    # the difference between its emission and its irradiation. The repetition shrinks by that change each time.
    irradiate(x.W, emitted, fall)
    for p in range(n + 1):
        corrected[p] = emitted[p]
    worst, at = 0.0, 0
    for _ in range(MOST):
        worst = 0.0
        for p in range(n):
            new = emitted[p] + (grey[p] / x.grey[p] - 1.0) * (emitted[p] - fall[p])
            change = abs(new - corrected[p]) / emitted[n]
            corrected[p] = new
            if change > worst:
                worst, at = change, p
        if worst < 1e-10:
            break
        irradiate(x.W, corrected, fall)
    if worst > 1e-8:
        stuck[0] = 0.25 * worst * Tenv[x.wall[0]]  # as a temperature of what falls on it
        for b in range(bf.cell.size):
            if x.patch[bf.wall[b]] == at:
                stuck[1] = bf.cell[b]
    for e in range(x.patch.size):
        p = x.patch[e]
        if p >= 0:
            Tenv[e] = fall[p] ** 0.25
