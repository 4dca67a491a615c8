"""Rays through a rectilinear grid: where they start, and the first facet that they meet.

The grid has a rim of solid places, so a ray always ends. A place has number (i (ny + 2) + j)(nz + 2) + k, and
the face on its low side along an axis has the number of the place. Symbols: p point, d direction, n normal,
u coordinates in the unit square or cube.
"""

from math import cos, pi, sin, sqrt

import numpy as np

from .._jit import kernel

TO_UNIT = 2.0**-32


@kernel
def next_point(v, index, s):
    """Advance the Sobol point s (integers below 2^32) from `index` to the next, in Gray code order."""
    bit = 0
    while index & 1:
        index >>= 1
        bit += 1
    for i in range(s.size):
        s[i] ^= v[i, bit]


@kernel
def frame(nx, ny, nz):
    """Two unit vectors that make a right-handed frame with n. Source: Duff et al., JCGT 6 (1), 2017."""
    sign = 1.0 if nz >= 0.0 else -1.0
    a = -1.0 / (sign + nz)
    b = nx * ny * a
    return 1.0 + sign * nx * nx * a, sign * b, -sign * nx, b, sign + ny * ny * a, -ny


@kernel
def cosine_direction(nx, ny, nz, u, w):
    """Direction about n with density cosine over pi: how a diffuse surface sends and receives."""
    r = sqrt(u)
    a, b, c = r * cos(2.0 * pi * w), r * sin(2.0 * pi * w), sqrt(1.0 - u)
    sx, sy, sz, tx, ty, tz = frame(nx, ny, nz)
    return a * sx + b * tx + c * nx, a * sy + b * ty + c * ny, a * sz + b * tz + c * nz


@kernel
def split(cum, first, last, u):
    """Divide the unit interval among `first` to `last` - 1 by area: whose part u lies in, and where in it."""
    s = cum[first] + u * (cum[last] - cum[first])
    while last - first > 1:
        middle = (first + last) // 2
        if cum[middle] <= s:
            first = middle
        else:
            last = middle
    part = max(cum[first + 1] - cum[first], 1e-300)
    return first, min(max((s - cum[first]) / part, 0.0), 1.0)


@kernel
def pick(f, p, u, w):
    """Facet of patch p and place on it for (u, w) in the unit square, even by area.

    u picks a row of facets and the place across it, w a facet of the row and the place along it: neighbours
    in the square stay neighbours on the patch, so that an even sequence stays even.
    """
    first, last = f.patch_row[p], f.patch_row[p + 1]
    row, across = split(f.row_cum, first, last, u)
    e, along = split(f.cum, f.row[row], f.row[row + 1], w)
    return e, across, along


@kernel
def point_on(g, f, e, u, w):
    """Point of facet e at (u, w) of its rectangle."""
    i, j, k = f.at[e, 0], f.at[e, 1], f.at[e, 2]
    if f.axis[e] == 0:
        return g.x[i + f.side[e]], g.y[j] + u * (g.y[j + 1] - g.y[j]), g.z[k] + w * (g.z[k + 1] - g.z[k])
    if f.axis[e] == 1:
        return g.x[i] + u * (g.x[i + 1] - g.x[i]), g.y[j + f.side[e]], g.z[k] + w * (g.z[k + 1] - g.z[k])
    return g.x[i] + u * (g.x[i + 1] - g.x[i]), g.y[j] + w * (g.y[j + 1] - g.y[j]), g.z[k + f.side[e]]


@kernel
def start(x, i, p, d):
    """Along one axis from place i: step of the place, next edge, inverse of d, distance to the edge."""
    if d > 0.0:
        return 1, i + 1, 1.0 / d, (x[i + 1] - p) / d
    if d < 0.0:
        return -1, i, 1.0 / d, (x[i] - p) / d
    return 0, i, 0.0, 1e300


@kernel
def above(surface, e, x, y, z):
    """Height of a point above the surface that facet e stands for [m]."""
    return surface[e, 0] * x + surface[e, 1] * y + surface[e, 2] * z - surface[e, 3]


@kernel
def towards(surface, e, dx, dy, dz):
    """Cosine between d and the normal of facet e."""
    return surface[e, 0] * dx + surface[e, 1] * dy + surface[e, 2] * dz


@kernel
def beneath(g, outward, e, c, step, axis):
    """Facet of the body that a ray enters by `step` along `axis` from place c, in the staircase of facet e.

    The staircase covers that body, so the facet is looked for beside it, on the side to which e looks. Where
    there is none, the surface of e is charged.
    """
    body = g.body[c]
    while g.body[c] == body:
        c += outward[e]
    met = g.face[axis, max(c, c + step)] if g.body[c] == 0 else -1
    return met if met >= 0 else e


@kernel
def first_hit(g, surface, outward, e, i, j, k, px, py, pz, dx, dy, dz):
    """Facet that a ray from p along d, which left facet e in place (i, j, k), meets first.

    A face stands for the surface that lies a little under it. The ray goes on into the solid until it reaches
    that surface; if it is out again before, or if the surface looks away from it, it has run through the
    corner of a staircase and missed. The walls of the box are what they are.
    """
    sx, ex, rx, tx = start(g.x, i, px, dx)
    sy, ey, ry, ty = start(g.y, j, py, dy)
    sz, ez, rz, tz = start(g.z, k, pz, dz)
    many = g.nz
    more = g.ny * many
    c = i * more + j * many + k
    body = g.body[c]  # not 0 when the ray starts in a corner of its own staircase
    reach = 1e300
    while True:
        if tx < ty and tx < tz:
            axis, step = 0, sx * more
            ex += sx
            tx = (g.x[ex] - px) * rx
        elif ty < tz:
            axis, step = 1, sy * many
            ey += sy
            ty = (g.y[ey] - py) * ry
        else:
            axis, step = 2, sz
            ez += sz
            tz = (g.z[ez] - pz) * rz
        c += step
        if g.body[c] == 0:
            body = 0
            continue
        met = g.face[axis, max(c, c - step)]
        if met >= 0:
            if g.body[c] < 0:
                return met
            e, body, reach = met, g.body[c], 1e300
            cosine = towards(surface, e, dx, dy, dz)
            if cosine < 0.0:
                reach = -above(surface, e, px, py, pz) / cosine
        elif g.body[c] != body:
            return beneath(g, outward, e, c - step, step, axis)
        if reach < min(tx, ty, tz):
            return e


@kernel
def move(x, i, p):
    """Place of p along one axis, from place i nearby; a point on the box is in the place inside."""
    while p < x[i]:
        i -= 1
    while p >= x[i + 1]:
        i += 1
    return min(max(i, 1), x.size - 3)


@kernel
def depart(g, f, e, across, along):
    """Where a ray leaves facet e: place and point, brought down from the face to the surface."""
    px, py, pz = point_on(g, f, e, across, along)
    i, j, k = f.at[e, 0], f.at[e, 1], f.at[e, 2]
    h = above(f.surface, e, px, py, pz)
    px, py, pz = px - h * f.surface[e, 0], py - h * f.surface[e, 1], pz - h * f.surface[e, 2]
    return move(g.x, i, px), move(g.y, j, py), move(g.z, k, pz), px, py, pz


@kernel
def cast(g, f, v, shift, p, rays, s, hits):
    """Send `rays` rays from patch p and add to hits[q] those that end on patch q."""
    s[:] = shift
    for ray in range(rays):
        e, across, along = pick(f, p, (s[0] + 0.5) * TO_UNIT, (s[1] + 0.5) * TO_UNIT)
        nx, ny, nz = f.surface[e, 0], f.surface[e, 1], f.surface[e, 2]
        dx, dy, dz = cosine_direction(nx, ny, nz, (s[2] + 0.5) * TO_UNIT, (s[3] + 0.5) * TO_UNIT)
        next_point(v, ray, s)
        i, j, k, px, py, pz = depart(g, f, e, across, along)
        hits[f.patch[first_hit(g, f.surface, f.outward, e, i, j, k, px, py, pz, dx, dy, dz)]] += 1


@kernel(nogil=True)
def cast_all(g, f, v, shift, rays, hits):
    """Each patch p sends rays[p] rays, points shifted by shift[p], and counts in hits[p]: one replicate."""
    s = np.zeros(4, np.int64)
    for p in range(hits.shape[0]):
        if rays[p] > 0:
            cast(g, f, v, shift[p], p, rays[p], s, hits[p])
