"""Surfaces of an enclosure on a rectilinear grid: faces between solid and empty places, and the box around.

A facet is one such face. It belongs to a place, the solid one or, for the walls of the box, the one just
outside the grid, and it looks into the empty place on its `side`. Its area and normal are those of the face
until the caller puts those of a smooth surface in their stead (`smooth`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from .arrays import FloatArray, IntArray
from .errors import ProblemError


@dataclass(frozen=True, slots=True)
class Facets:
    """Facets of a grid, ordered by axis, then low before high side, then by place; the walls of the box last.

    axis : int64[n]          axis that the face is normal to
    side : int64[n]          side of the place on which it lies: 0 = low, looking down the axis; 1 = high
    place : int64[n, 3]      place of the grid that it bounds; a wall of the box has -1 or n along its axis
    centre : float64[n, 3]   middle [m]
    area : float64[n]        area that radiates [m2]; 0: catches rays and sends none
    normal : float64[n, 3]   unit vector into the empty space
    height : float64[n]      height of the middle above the surface that the facet stands for [m]
    """

    axis: IntArray
    side: IntArray
    place: IntArray
    centre: FloatArray
    area: FloatArray
    normal: FloatArray
    height: FloatArray

    def __len__(self) -> int:
        """Number of facets."""
        return int(self.axis.size)

    def smooth(
        self, which: ArrayLike, normal: ArrayLike, height: ArrayLike = 0.0, area: ArrayLike | None = None
    ) -> Facets:
        """Let the facets `which` (mask or numbers), steps of a staircase, stand for a smooth surface.

        Parameters
        ----------
        normal : float64[m, 3]       outward normals of the surface, of any length
        height : float64[m]          height of the middle of each facet above the surface [m]; negative: below
        area : float64[m] or None    [m2]; None: the face's projection on the surface, which over a staircase
            adds up to the area of the surface

        Raises
        ------
        ProblemError    a normal without length, or more than a right angle off its face
        """
        picked = np.arange(len(self))[np.asarray(which)]
        n = np.asarray(normal, float).reshape(picked.size, 3)
        length = np.linalg.norm(n, axis=1)
        along = np.sum(n * self.normal[picked], axis=1)
        if np.any(length == 0.0) or np.any(along < -1e-9 * length):
            raise ProblemError("a smooth normal must have a length and look to the same side as its face")
        new_area, new_normal, new_height = self.area.copy(), self.normal.copy(), self.height.copy()
        new_normal[picked] = n / length[:, None]
        new_area[picked] = self.area[picked] * np.abs(along) / length if area is None else area
        new_height[picked] = height
        return replace(self, area=new_area, normal=new_normal, height=new_height)


def exposed_facets(edges: Sequence[FloatArray], region: IntArray) -> Facets:
    """Every face between a solid and an empty place, and every outer face of an empty place.

    Parameters
    ----------
    edges : (float64[n + 1], ...)      edges along x, y, z [m], strictly increasing
    region : int64[nx, ny, nz]         label of each place; negative: empty

    Raises
    ------
    ProblemError    edges and region do not fit, or nothing is empty
    """
    x = check_grid(edges, region)
    # A rim of places outside the grid makes walls of the box the same as any other face.
    solid = np.pad(np.asarray(region) >= 0, 1, constant_values=True)
    places, walls = [], []
    for axis in range(3):
        for side in (0, 1):
            beyond = np.roll(solid, 1 if side == 0 else -1, axis)
            at = np.argwhere(solid & ~beyond) - 1
            # Rolling wraps the rim onto itself, which is solid on both ends: nothing is found there.
            outside = np.any((at < 0) | (at >= np.array(region.shape)), axis=1)
            column = np.column_stack([at, np.full((at.shape[0], 2), (axis, side))])
            places.append(column[~outside])
            walls.append(column[outside])
    found = np.concatenate(places + walls)
    return _facets(x, found[:, 3], found[:, 4], found[:, :3])


def check_grid(edges: Sequence[FloatArray], region: IntArray) -> list[FloatArray]:
    """Edges as arrays, fit for `region`."""
    x = [np.ascontiguousarray(e, float) for e in edges]
    if len(x) != 3 or any(e.ndim != 1 or e.size < 2 or not np.all(np.diff(e) > 0.0) for e in x):
        raise ProblemError("an enclosure takes three arrays of strictly increasing edges")
    if np.shape(region) != tuple(e.size - 1 for e in x):
        raise ProblemError(f"region has shape {np.shape(region)}; the edges ask for {tuple(e.size - 1 for e in x)}")
    if np.all(np.asarray(region) >= 0):
        raise ProblemError("every place is solid: there is no space to radiate through")
    return x


def _facets(x: list[FloatArray], axis: IntArray, side: IntArray, place: IntArray) -> Facets:
    n = axis.size
    centre, area = np.empty((n, 3)), np.ones(n)
    for i in range(3):
        across = axis != i
        low = np.clip(place[:, i], 0, x[i].size - 2)
        centre[across, i] = 0.5 * (x[i][low] + x[i][low + 1])[across]
        area[across] *= np.diff(x[i])[low[across]]
        centre[~across, i] = x[i][(place[:, i] + side)[~across]]
    normal = np.zeros((n, 3))
    normal[np.arange(n), axis] = 2.0 * side - 1.0
    return Facets(axis, side, place, centre, area, normal, np.zeros(n))
