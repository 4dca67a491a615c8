"""The grid of a solid: edges through every face of every part, and the assembly on it as cut bodies that touch.

Contacts are found from the geometry. Where the assembly is its own mirror image, a half or a quarter stands for the
whole.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from brazesoak_solvers.cutcells import CutBody
from brazesoak_solvers.sections import breaks
from brazesoak_solvers.touching import Touching, touching

from ..errors import GeometryError
from .cells import FloatArray
from .placement import Placement, cut_all, near
from .thin import finest_cells

MOST_PLACES = 3_000_000
"""A grid of more places than this, filled or not, would not fit in the memory of a small computer."""
MOST_CELLS = 1_000_000
"""Cells need some 3.6 kB each while they march (1.9 GB for the 533,000 of `benchmarks`, case P1 at 1 mm)."""
CELLS_ACROSS = 12
"""Cells of a solid at fineness 1 across its longest side."""


@dataclass(frozen=True, slots=True, eq=False)
class Geometry:
    """An assembly on its grid, whatever its metals and its furnace.

    edges : (float64[...], ...)     of the grid [m]
    bodies : (CutBody, ...)
    touches : {(i, j): (Touching, Touching)}    flat and curved faces that bodies i < j share
    open_flat, open_round : (float64[...], ...)     what is left open of each face of each body [m2]
    fold : float                    how many times the grid's part stands for itself
    """

    edges: tuple[FloatArray, ...]
    bodies: tuple[CutBody, ...]
    touches: dict[tuple[int, int], tuple[Touching, Touching]]
    open_flat: tuple[FloatArray, ...]
    open_round: tuple[FloatArray, ...]
    fold: float


def grid_edges(placement: Placement, fineness: int, for_rays: bool = False) -> tuple[FloatArray, ...]:
    """Edges through every face of every part, at most a share of the longest side apart.

    Every interval has a multiple of `fineness` cells, so that a coarser grid is nested in a finer one. With
    `for_rays` it has as many as the walls need that run through it aslant.

    Raises
    ------
    GeometryError   the grid would not fit in memory
    """
    planes = breaks(placement.bodies)
    size = max(b[-1] - b[0] for b in planes) / CELLS_ACROSS
    thin = finest_cells(placement.bodies) if for_rays else ([], [], [])
    edges = []
    for b, symmetric, walls in zip(planes, placement.symmetric, thin, strict=True):
        kept = np.unique(np.concatenate([[0.0], b[b > 0.0]])) if symmetric else b
        parts = [kept[:1]]
        for low, high in pairwise(kept.tolist()):
            count = fineness * max(1, round(np.ceil((high - low) / size - 1e-9)))
            widest = min((w for start, end, w in walls if start < high and low < end), default=np.inf)
            count = max(count, round(np.ceil((high - low) / widest - 1e-9)))
            parts.append(np.linspace(low, high, count + 1)[1:])
        edges.append(np.concatenate(parts))
    places, cells = np.prod([float(e.size - 1) for e in edges]), _most_cells(placement, edges)
    for found, limit, what in ((places, MOST_PLACES, "places"), (0.0 if for_rays else cells, MOST_CELLS, "cells")):
        if found > limit:
            raise GeometryError(
                f"a solid grid of this assembly has {found:.2g} {what}, more than {limit:.0e}: its parts are of "
                'very different size, or there are many of them; choose fidelity = "section" or "network"',
                part="",
            )
    return tuple(edges)


def _most_cells(placement: Placement, edges: list[FloatArray]) -> float:
    """Places of the grid in the boxes of all bodies together: their cells, or somewhat more."""
    total = 0.0
    for low, high in placement.boxes:
        middles = (0.5 * (e[1:] + e[:-1]) for e in edges)
        total += float(np.prod([float(np.sum((m > a) & (m < b))) for m, a, b in zip(middles, low, high, strict=True)]))
    return total


@lru_cache(maxsize=8)
def geometry(placement: Placement, fineness: int, for_rays: bool = False) -> Geometry:
    """The assembly on its grid; the same for every run of a plan, and so kept.

    Raises
    ------
    GeometryError   the grid would not fit in memory, or a body vanishes on it
    """
    edges = grid_edges(placement, fineness, for_rays)
    shape = tuple(e.size - 1 for e in edges)
    bodies = cut_all(placement, edges)
    open_flat = tuple(b.flat_area.copy() for b in bodies)
    open_round = tuple(b.round_area.copy() for b in bodies)
    touches, boxes = {}, placement.boxes
    for j in range(len(bodies)):
        for i in range(j):
            touches[i, j] = Touching.nowhere(), Touching.nowhere()
            if not near(boxes[i], boxes[j]):
                continue
            touches[i, j] = both = touching(bodies[i], bodies[j], shape)
            for t, open_area in zip(both, (open_flat, open_round), strict=True):
                open_area[i][t.one] -= t.area
                open_area[j][t.other] -= t.area
    _hide_planes_of_symmetry(placement, edges, bodies, open_flat)
    for body, flat, curved in zip(bodies, open_flat, open_round, strict=True):
        flat[flat < 1e-6 * body.flat_area] = 0.0
        curved[curved < 1e-6 * body.round_area] = 0.0
    return Geometry(edges, bodies, touches, open_flat, open_round, float(2 ** sum(placement.symmetric)))


def _hide_planes_of_symmetry(
    placement: Placement, edges: tuple[FloatArray, ...], bodies: tuple[CutBody, ...], open_flat: tuple[FloatArray, ...]
) -> None:
    """A plane of symmetry is no surface."""
    for body, flat in zip(bodies, open_flat, strict=True):
        for axis, symmetric in enumerate(placement.symmetric):
            if symmetric:
                low = (body.flat_axis == axis) & (body.flat_side == 0)
                flat[low & (edges[axis][body.place[body.flat_cell, axis]] < 1e-12)] = 0.0
