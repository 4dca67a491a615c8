"""Bodies as piles of layers along an axis, and the fractions of a grid's cells that a cross-section fills.

Lengths in metres. Areas and lengths are closed forms: no fraction is sampled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Rectangle:
    """u0 to u1 and v0 to v1, along the two axes after the body's own, in cyclic order [m]."""

    u0: float
    u1: float
    v0: float
    v1: float


@dataclass(frozen=True, slots=True)
class Disc:
    """Centre and radius [m]."""

    u: float
    v: float
    radius: float


@dataclass(frozen=True, slots=True)
class Layer:
    """Part of a body between `low` and `high` along its axis [m]: an outline, less holes."""

    low: float
    high: float
    outline: Rectangle | Disc
    holes: tuple[Disc, ...] = ()


@dataclass(frozen=True, slots=True)
class Body:
    """Layers one on the other along `axis` (0, 1 or 2)."""

    axis: int
    layers: tuple[Layer, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A cross-section on the grid: area of each cell, open length of each grid line, and curved length by disc.

    area : float64[nu, nv];  across_u : float64[nu + 1, nv];  across_v : float64[nu, nv + 1]
    curved : ((disc, length, normal u, normal v), ...)    float64[nu, nv] each
    ends_u, ends_v : as across_u and across_v, where the outline ends on a grid line
    """

    area: FloatArray
    across_u: FloatArray
    across_v: FloatArray
    ends_u: FloatArray
    ends_v: FloatArray
    curved: tuple[tuple[Disc, FloatArray, FloatArray, FloatArray], ...]


def breaks(bodies: Sequence[Body]) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Places along each axis that must be planes of the grid: ends of layers, sides, extremes and middles [m].

    With a plane through its middle, a circle crosses no cell twice, and its length in every cell is exact.
    """
    found: list[list[float]] = [[], [], []]
    for body in bodies:
        u, v = (body.axis + 1) % 3, (body.axis + 2) % 3
        for layer in body.layers:
            found[body.axis] += [layer.low, layer.high]
            for shape in (layer.outline, *layer.holes):
                if isinstance(shape, Rectangle):
                    found[u] += [shape.u0, shape.u1]
                    found[v] += [shape.v0, shape.v1]
                else:
                    found[u] += [shape.u - shape.radius, shape.u, shape.u + shape.radius]
                    found[v] += [shape.v - shape.radius, shape.v, shape.v + shape.radius]
    x, y, z = (np.unique(np.round(f, 9)) for f in found)
    return x, y, z


def cross_section(layer: Layer, u: FloatArray, v: FloatArray) -> Section:
    """Cross-section of a layer on the grid with these edges along its two axes [m]."""
    shapes = [_rectangle(layer.outline, u, v) if isinstance(layer.outline, Rectangle) else _disc(layer.outline, u, v)]
    holes = [_disc(h, u, v) for h in layer.holes]
    area, across_u, across_v = (shapes[0][i] - sum(h[i] for h in holes) for i in range(3))
    discs: list[tuple[Disc, tuple[FloatArray, ...], float]] = [
        (hole, h, -1.0) for h, hole in zip(holes, layer.holes, strict=True)
    ]
    if isinstance(layer.outline, Disc):
        discs.append((layer.outline, shapes[0], 1.0))
    ends_u, ends_v = np.zeros_like(across_u), np.zeros_like(across_v)
    if isinstance(layer.outline, Rectangle):
        ends_u, ends_v = shapes[0][3], shapes[0][4]
    curved = tuple((disc, *_curved(found, disc.radius, sign)) for disc, found, sign in discs)
    return Section(area, across_u, across_v, ends_u, ends_v, curved)


def _overlap(edges: FloatArray, low: float | FloatArray, high: float | FloatArray) -> FloatArray:
    """Length of each interval between `edges` that lies between low and high."""
    return np.asarray(np.maximum(np.minimum(edges[1:], high) - np.maximum(edges[:-1], low), 0.0))


def _rectangle(r: Rectangle, u: FloatArray, v: FloatArray) -> tuple[FloatArray, ...]:
    in_u, in_v = _overlap(u, r.u0, r.u1), _overlap(v, r.v0, r.v1)
    near = 1e-9

    def inside(e: FloatArray, low: float, high: float) -> FloatArray:
        return ((e > low + near) & (e < high - near)).astype(float)

    def ends(e: FloatArray, low: float, high: float) -> FloatArray:
        return ((abs(e - low) <= near) | (abs(e - high) <= near)).astype(float)

    return (
        in_u[:, None] * in_v[None, :],
        inside(u, r.u0, r.u1)[:, None] * in_v[None, :],
        in_u[:, None] * inside(v, r.v0, r.v1)[None, :],
        ends(u, r.u0, r.u1)[:, None] * in_v[None, :],
        in_u[:, None] * ends(v, r.v0, r.v1)[None, :],
    )


def _disc(d: Disc, u: FloatArray, v: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Area of a disc in each cell, and length of each grid line inside it, in closed form."""
    x, y, r = u - d.u, v - d.v, d.radius
    half_u = np.sqrt(np.maximum(r * r - x * x, 0.0))
    half_v = np.sqrt(np.maximum(r * r - y * y, 0.0))
    across_u = np.stack([_overlap(y, -h, h) for h in half_u])
    across_v = np.stack([_overlap(x, -h, h) for h in half_v], axis=1)
    below = np.stack([_area_below(x, r, top) for top in y], axis=1)
    return np.diff(below, axis=1), across_u, across_v


def _area_below(x: FloatArray, r: float, top: float) -> FloatArray:
    """Integral over each interval of x of the signed height min(max(top, -h), h), h the circle's half height."""
    sign, level = np.sign(top), min(abs(top), r)
    corner = np.sqrt(r * r - level * level)  # nearer than this the circle is higher than the level

    def primitive(t: FloatArray) -> FloatArray:
        t = np.clip(t, -r, r)
        return 0.5 * (t * np.sqrt(np.maximum(r * r - t * t, 0.0)) + r * r * np.arcsin(np.clip(t / r, -1.0, 1.0)))

    low, high = x[:-1], x[1:]
    flat = level * np.maximum(np.minimum(high, corner) - np.maximum(low, -corner), 0.0)
    left = primitive(np.clip(high, -r, -corner)) - primitive(np.clip(low, -r, -corner))
    right = primitive(np.clip(high, corner, r)) - primitive(np.clip(low, corner, r))
    return np.asarray(sign * (flat + left + right))


def _curved(disc: tuple[FloatArray, ...], radius: float, sign: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Length of the circle in each cell and its normal, out of the metal.

    What the sides of a cell do not balance is the chord of its piece of the circle, and the chord gives the arc.
    """
    _, across_u, across_v = disc
    nu, nv = -np.diff(across_u, axis=0), -np.diff(across_v, axis=1)
    chord = np.hypot(nu, nv)
    safe = np.where(chord > 0.0, chord, 1.0)
    arc = 2.0 * radius * np.arcsin(np.minimum(0.5 * chord / radius, 1.0))
    return arc, sign * nu / safe, sign * nv / safe
