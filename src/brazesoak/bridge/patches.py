"""The bridge for radiation: how open faces are gathered into patches, by body, direction and place.

Faces of the solid grid, and facets of the grid that the rays cross, get the same patch where they lie on the same
surface. Lengths in metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers.cutcells import CutBody
from brazesoak_solvers.sections import Body, Disc, Rectangle

from .cells import FloatArray, IntArray

FLAT = 6
"""Directions of flat faces; those of curved ones are numbered after them, four to a circle."""
MOST_SIDES = 10_000
"""More than the directions and circles of any body."""


@dataclass(frozen=True, slots=True)
class Patches:
    """Patches, and the open faces of the solid grid that they are made of.

    table : int64[n, 5]     body, direction and tile of each patch
    area : float64[n]       of each, whole [m2];  tile : float      side of a tile [m]
    edges : (float64[...], ...)     of the solid grid [m]
    faces : ((int64[m], int64[m]), ...)     of each body: numbers of its faces in rising order, see `face_number`, and
        the patch of each
    """

    table: IntArray
    area: FloatArray
    tile: float
    edges: tuple[FloatArray, ...]
    faces: tuple[tuple[IntArray, IntArray], ...]


def face_keys(i: int, c: CutBody, body: Body, edges: tuple[FloatArray, ...], tile: float) -> IntArray:
    """What decides the patch of each open face of a body: body, direction, and tile."""
    middles = [0.5 * (e[1:] + e[:-1]) for e in edges]
    flat = np.stack([m[c.place[c.flat_cell, a]] for a, m in enumerate(middles)], axis=1)
    rows = np.arange(flat.shape[0])
    for a, e in enumerate(edges):
        at = c.flat_axis == a
        flat[rows[at], a] = e[c.place[c.flat_cell[at], a] + c.flat_side[at]]
    curved = np.stack([m[c.place[c.round_cell, a]] for a, m in enumerate(middles)], axis=1)
    direction = 2 * c.flat_axis + c.flat_side
    circle = _own_circles(body, c, curved)
    return np.concatenate(
        [
            patch_keys(i, direction, flat, tile),
            patch_keys(i, curved_direction(body, c.round_normal, circle), curved, tile),
        ]
    )


def numbered(
    c: CutBody, direction: IntArray, patch: IntArray, edges: tuple[FloatArray, ...]
) -> tuple[IntArray, IntArray]:
    """Numbers of the open faces of a body in rising order, and their patches."""
    number = face_number(np.concatenate([c.place[c.flat_cell], c.place[c.round_cell]]), direction, edges)
    order = np.argsort(number)
    return number[order], patch[order]


def face_number(place: IntArray, direction: IntArray, edges: tuple[FloatArray, ...]) -> IntArray:
    """One number for the place on the solid grid and the side, or the circle, of a face."""
    shape = tuple(e.size - 1 for e in edges)
    return np.asarray(np.ravel_multi_index(tuple(place.T), shape) * MOST_SIDES + side_or_circle(direction))


def side_or_circle(direction: IntArray) -> IntArray:
    """Direction of a flat face, or circle of a curved one, whatever the quadrant."""
    return np.where(direction < FLAT, direction, FLAT + (direction - FLAT) // 4)


def patch_keys(i: int, direction: IntArray, centre: FloatArray, tile: float) -> IntArray:
    """Body, direction and tile of faces of body i, int64[n, 5]."""
    body = np.full(direction.size, i)
    return np.column_stack([body, direction, np.floor(centre / tile + 1e-9).astype(np.int64)])


def _own_circles(body: Body, c: CutBody, centre: FloatArray) -> IntArray:
    """Number of the circle that each curved face belongs to: a cell may hold both sides of a thin wall."""
    u, v = (body.axis + 1) % 3, (body.axis + 2) % 3
    number = np.zeros(c.round_cell.size, np.int64)
    from_axis = centre[:, [u, v]] - c.round_circle[:, 1:3]
    outwards = np.sum(c.round_normal[:, [u, v]] * from_axis, axis=1) > 0.0
    for k, (circle, sign) in enumerate(all_circles(body)):
        same = np.all(np.abs(c.round_circle[:, 1:] - (circle.u, circle.v, circle.radius)) < 1e-9, axis=1)
        number[same & (outwards == (sign > 0.0))] = k
    return number


def nearest_circles(body: Body, centre: FloatArray, face: FloatArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """Nearest circle of a body to each face that looks to the same side: number, outward normal, height above it."""
    u, v = (body.axis + 1) % 3, (body.axis + 2) % 3
    n = centre.shape[0]
    number, normal, height = np.zeros(n, np.int64), np.zeros((n, 3)), np.full(n, np.inf)
    for k, (circle, sign) in enumerate(all_circles(body)):
        du, dv = centre[:, u] - circle.u, centre[:, v] - circle.v
        radius = np.maximum(np.hypot(du, dv), 1e-12)
        looks = sign * (face[:, u] * du + face[:, v] * dv) > 0.0
        nearer = looks & (abs(radius - circle.radius) < abs(height))
        number[nearer] = k
        height[nearer] = (sign * (radius - circle.radius))[nearer]
        normal[nearer, u], normal[nearer, v] = (sign * du / radius)[nearer], (sign * dv / radius)[nearer]
    return number, normal, height


@lru_cache
def all_circles(body: Body) -> tuple[tuple[Disc, float], ...]:
    """Every circle of a body's layers, outlines with sign 1 and holes with sign -1."""
    found: dict[tuple[Disc, float], None] = {}
    for layer in body.layers:
        if isinstance(layer.outline, Disc):
            found[layer.outline, 1.0] = None
        found.update({(h, -1.0): None for h in layer.holes})
    return tuple(found)


def curved_direction(body: Body, normal: FloatArray, circle: IntArray) -> IntArray:
    """Number of the quadrant that a curved face looks into, by circle."""
    u, v = (body.axis + 1) % 3, (body.axis + 2) % 3
    along_u = abs(normal[:, u]) >= abs(normal[:, v])
    positive = np.where(along_u, normal[:, u], normal[:, v]) > 0.0
    return FLAT + 4 * circle + 2 * (~along_u) + positive


def patches_at(patches: Patches, i: int, direction: IntArray, point: FloatArray, centre: FloatArray) -> IntArray:
    """Patch of body i at points just inside its surface; where no open face is, that nearest to `centre`."""
    place = np.empty(point.shape, np.int64)
    for a, e in enumerate(patches.edges):
        place[:, a] = np.clip(np.searchsorted(e, point[:, a]) - 1, 0, e.size - 2)
    number = face_number(place, direction, patches.edges)
    known, owner = patches.faces[i]
    found = np.minimum(np.searchsorted(known, number), known.size - 1)
    patch = owner[found]
    strays = known[found] != number
    keys, which = np.unique(patch_keys(i, direction[strays], centre[strays], patches.tile), axis=0, return_inverse=True)
    nearest = np.array([nearest_patch(k, patches.table) for k in keys], np.int64).reshape(-1)
    patch[strays] = nearest[which.reshape(-1)]
    return patch


def nearest_patch(key: IntArray, table: IntArray) -> int:
    """Row of the patch that is the same, or of the same body and near."""
    distance = 1e6 * (table[:, 0] != key[0]) + 1e3 * (table[:, 1] != key[1]) + abs(table[:, 2:] - key[2:]).sum(axis=1)
    return int(np.argmin(distance))


def on_rectangle(body: Body, centre: FloatArray) -> NDArray[np.bool_]:
    """Points on a side of a rectangular outline."""
    u, v = (body.axis + 1) % 3, (body.axis + 2) % 3
    found = np.zeros(centre.shape[0], bool)
    for layer in body.layers:
        if isinstance(layer.outline, Rectangle):
            r = layer.outline
            for a, ends in ((u, (r.u0, r.u1)), (v, (r.v0, r.v1))):
                found |= np.min(abs(centre[:, a, None] - np.array(ends)), axis=1) < 1e-9
    return found
