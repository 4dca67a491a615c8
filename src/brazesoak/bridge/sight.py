"""The bridge for radiation: which patches of the parts see each other and which see the chamber.

The open faces of a solid grid are gathered into patches by part, direction and place; view factors between the
patches, and to the walls of the chamber, come from rays cast through the grid. Lengths in metres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers.cutcells import CutBody
from brazesoak_solvers.facets import Facets, exposed_facets
from brazesoak_solvers.sections import Body
from brazesoak_solvers.view_factors import view_factors_by_rays

from .patches import (
    Patches,
    all_circles,
    curved_direction,
    face_keys,
    nearest_circles,
    nearest_patch,
    numbered,
    on_rectangle,
    patches_at,
    side_or_circle,
)
from .placement import Placement

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

WANTED = 0.005
"""Largest error of a view factor that is asked for, as a share of all that a patch sees."""
TILES = 4.0
"""Patches across the longest side of the assembly."""
FAR_WALLS = 3.0
"""Walls of an ideal furnace stand this many times the assembly's longest side apart."""
NUDGE = 1e-6
"""How far under a flat face its cell is looked for [m]."""


@dataclass(frozen=True, slots=True)
class Sight:
    """Patches and what they see.

    view_factors : float64[n + 1, n + 1]    the walls last
    flat, curved : (int64[...], ...)        patch of each open face of each body
    area : float64[n]                       of each patch, whole [m2]
    error : float                           largest standard error of a view factor, or what closure and reciprocity
                                            had to change in one, whichever is more
    shown : float                           share of its surface that the rays' grid shows of the worst body
    """

    view_factors: FloatArray
    flat: tuple[IntArray, ...]
    curved: tuple[IntArray, ...]
    area: FloatArray
    error: float
    shown: float

    @property
    def to_walls(self) -> float:
        """Area that the walls see of the whole [m2]."""
        return float(self.area @ self.view_factors[:-1, -1])

    @property
    def seen(self) -> tuple[float, ...]:
        """What each body's open surface sees of the chamber, as a share of what it would see alone and convex."""
        shares = []
        for of_body in zip(self.flat, self.curved, strict=True):
            patches = np.unique(np.concatenate(of_body))
            shares.append(float(np.average(self.view_factors[patches, -1], weights=self.area[patches])))
        return tuple(shares)


def find_sight(
    placement: Placement,
    edges: tuple[FloatArray, ...],
    cuts: tuple[CutBody, ...],
    open_flat: tuple[FloatArray, ...],
    open_round: tuple[FloatArray, ...],
    chamber_side: float | None,
    room: tuple[tuple[FloatArray, ...], tuple[CutBody, ...]],
    rays: int,
) -> Sight:
    """Patches of the open faces (with what is left open of them [m2]) and their view factors.

    `room` is the assembly on the grid that the rays cross, at least as fine as that of the faces: a wall that is
    thinner than half of its cells would let them through, and `Sight.shown` tells. Each patch sends `rays` rays.
    """
    fold = np.array([1 if s else 0 for s in placement.symmetric])
    tile = max(e[-1] - e[0] for e in edges) * (2.0 if fold.any() else 1.0) / TILES
    keys = [face_keys(i, c, placement.bodies[i], edges, tile) for i, c in enumerate(cuts)]
    areas = [np.concatenate([f, r]) for f, r in zip(open_flat, open_round, strict=True)]
    table, patch = np.unique(np.concatenate(keys), axis=0, return_inverse=True)
    counted = _total(patch, np.concatenate(areas), table.shape[0])
    patch, table, counted = _without_empty(patch, table, counted)
    whole = counted * 2.0 ** fold.sum()
    full_edges, region = _room(placement, *room, chamber_side)
    split = np.split(patch, np.cumsum([k.shape[0] for k in keys])[:-1])
    faces = [numbered(c, k[:, 1], p, edges) for c, k, p in zip(cuts, keys, split, strict=True)]
    F, error, shown = _factors(placement, full_edges, region, Patches(table, whole, tile, edges, tuple(faces)), rays)
    flat = tuple(p[: c.flat_cell.size] for p, c in zip(split, cuts, strict=True))
    curved = tuple(p[c.flat_cell.size :] for p, c in zip(split, cuts, strict=True))
    return Sight(F, flat, curved, whole, error, shown)


def _without_empty(patch: IntArray, table: IntArray, area: FloatArray) -> tuple[IntArray, IntArray, FloatArray]:
    """Patches whose faces are all covered join the nearest open patch of their body."""
    open_ = np.flatnonzero(area > 1e-9 * area.max())
    nearest = np.array([nearest_patch(table[k], table[open_]) for k in range(table.shape[0])])
    return nearest[patch], table[open_], _total(nearest, area, open_.size)


def _total(patch: IntArray, area: FloatArray, n: int) -> FloatArray:
    """Area of each of `n` patches."""
    found = np.zeros(n)
    np.add.at(found, patch, area)
    return found


def _room(
    placement: Placement, edges: tuple[FloatArray, ...], cuts: tuple[CutBody, ...], chamber_side: float | None
) -> tuple[tuple[FloatArray, ...], IntArray]:
    """The whole assembly, mirror images and all, inside its chamber: edges, and the body in each place or -1."""
    shape = tuple(e.size - 1 for e in edges)
    filled, most, region = np.zeros(shape), np.zeros(shape), np.full(shape, -1)
    for i, c in enumerate(cuts):
        at = tuple(c.place.T)
        share = c.volume / c.place_volume
        filled[at] += share
        more = share > most[at]
        region[tuple(p[more] for p in c.place.T)] = i
        most[at] = np.maximum(most[at], share)
    region[filled < 0.5] = -1
    whole = []
    for axis, (e, symmetric) in enumerate(zip(edges, placement.symmetric, strict=True)):
        if symmetric:
            region = np.concatenate([np.flip(region, axis), region], axis=axis)
        whole.append(np.concatenate([-e[:0:-1], e]) if symmetric else e)
    longest = max(e[-1] - e[0] for e in whole)
    side = FAR_WALLS * longest if chamber_side is None else max(chamber_side, 1.1 * longest)
    boxed = []
    for e in whole:
        margin = 0.5 * (side - (e[-1] - e[0]))
        boxed.append(np.concatenate([[e[0] - margin], e, [e[-1] + margin]]))
    return tuple(boxed), np.pad(region, 1, constant_values=-1)


def _factors(
    placement: Placement,
    edges: tuple[FloatArray, ...],
    region: IntArray,
    patches: Patches,
    rays: int,
) -> tuple[FloatArray, float, float]:
    """View factors of the patches, the walls last, how sure the least sure is, and what is shown."""
    table, area = patches.table, patches.area
    facets = exposed_facets(edges, region)
    inside = np.all((facets.place >= 0) & (facets.place < np.array(region.shape)), axis=1)
    owner = np.where(inside, region[tuple(np.clip(facets.place, 0, np.array(region.shape) - 1).T)], -1)
    patch = np.full(len(facets), table.shape[0])
    normal, height = facets.normal.copy(), np.zeros(len(facets))
    for i, body in enumerate(placement.bodies):
        at = np.flatnonzero(owner == i)
        patch[at], normal[at], height[at] = _facet_patches(i, body, facets, at, placement, patches)
    n = table.shape[0]
    present = np.bincount(patch, facets.area, n + 1)
    projected = facets.area * np.maximum(np.sum(normal * facets.normal, axis=1), 0.05)
    sums = np.bincount(patch, projected, n + 1)
    scale = np.where(sums[:n] > 0.0, area / np.where(sums[:n] > 0.0, sums[:n], 1.0), 0.0)
    own = np.flatnonzero(patch < n)
    facets = facets.smooth(own, normal[own], height[own], projected[own] * scale[patch[own]])
    seen = np.flatnonzero(present > 0.0)  # a patch that no facet of the grid shows sees the walls only
    number = np.full(n + 1, -1)
    number[seen] = np.arange(seen.size)
    views = view_factors_by_rays(edges, region, facets, number[patch], rays=np.where(seen < n, rays, 0))
    F = np.zeros((n + 1, n + 1))
    F[np.ix_(seen, seen)] = views.F
    hidden = np.flatnonzero(present[:n] == 0.0)
    F[hidden, n] = 1.0
    F[n, hidden] = area[hidden] / views.area[-1]
    F[n, n] -= F[n, hidden].sum()
    return F, max(float(views.standard_error.max()), views.correction), _shown(table, np.asarray(sums[:n], float), area)


def _shown(table: IntArray, shown: FloatArray, area: FloatArray) -> float:
    """Share of its surface that the grid of the rays shows of the body it shows least of.

    Counted by body and direction, or circle: the tiles and quadrants of two grids need not meet.
    """
    kind = side_or_circle(table[:, 1])
    kinds = int(kind.max()) + 1
    group = table[:, 0] * kinds + kind
    seen, whole = np.bincount(group, shown), np.bincount(group, area)
    body = np.arange(whole.size) // kinds
    share = np.bincount(body, np.minimum(seen, whole)) / np.maximum(np.bincount(body, whole), 1e-30)
    return float(share[np.unique(table[:, 0])].min())


def _facet_patches(
    i: int, body: Body, facets: Facets, at: IntArray, placement: Placement, patches: Patches
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Patch, smooth normal and height above the true surface of the facets of one body.

    The patch is that of the face of the solid grid which the facet lies on: faces and facets share one partition
    of the surface, else closure would have to mend what their quadrants and tiles differ by.
    """
    mirrored = np.array(placement.symmetric)[None, :] & (facets.centre[at] < 0.0)
    sign = np.where(mirrored, -1.0, 1.0)
    centre, face = facets.centre[at] * sign, facets.normal[at] * sign
    direction = 2 * facets.axis[at] + (face[np.arange(at.size), facets.axis[at]] > 0.0)
    normal, height = face.copy(), np.zeros(at.size)
    if all_circles(body):
        circle, smooth, above = nearest_circles(body, centre, face)
        curved = (facets.axis[at] != body.axis) & ~on_rectangle(body, centre) & (np.sum(smooth * face, axis=1) > 0.05)
        direction = np.where(curved, curved_direction(body, smooth, circle), direction)
        normal[curved], height[curved] = smooth[curved], above[curved]
    inside = centre - np.where(height == 0.0, NUDGE, height)[:, None] * normal
    return patches_at(patches, i, direction, inside, centre), normal * sign, height
