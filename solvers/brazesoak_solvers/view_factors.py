"""View factors between patches of an enclosure by ray casting on its grid.

Each patch sends rays as a diffuse surface does, from points and in directions that fill their four dimensions
evenly (Sobol points, shifted at random); the share that ends on another patch is the view factor. The shares
of all patches are then made to agree: A_i F_ij = A_j F_ji, and every row sums to 1.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .closure import balance
from .errors import ProblemError
from .facets import Facets, check_grid
from .kernels.rays import cast_all

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

RAYS = 262_144
"""Rays a patch: standard errors near 0.1 % or less for factors above 0.07 (measured on cases)."""
REPLICATES = 16
"""Independent shifts of the points; their scatter gives the standard error (to about a fifth of itself)."""
_BITS = 32
# Primitive polynomials and first direction numbers. Source: Joe and Kuo, SIAM J. Sci. Comput. 30 (2008) 2635.
_SOBOL = ((0, 0, ()), (1, 0, (1,)), (2, 1, (1, 3)), (3, 1, (1, 3, 1)))


@dataclass(frozen=True, slots=True)
class ViewFactors:
    """View factors that close and are reciprocal to round-off.

    F : float64[n, n]                F[i, j] share of what leaves patch i that ends on j; rows sum to 1
    area : float64[n]                [m2]; area[i] F[i, j] is symmetric
    standard_error : float64[n, n]   of F, from the scatter of the replicates. A factor that no ray found is 0
                                     with error 0; the true one is then below about 3 / rays.
    correction : float               largest change of a sampled factor that closure and reciprocity asked for
    rays : int64[n]                  rays that each patch sent
    """

    F: FloatArray
    area: FloatArray
    standard_error: FloatArray
    correction: float
    rays: IntArray


class GridArrays(NamedTuple):
    """The grid as the kernels see it, with a rim of one place on every side.

    x, y, z : edges;  ny, nz : places along y and z with the rim;  body : int16[places], 0 where empty, -1 rim
    face : int32[3, places]     facet on the low side of each place along each axis, -1 for none
    """

    x: FloatArray
    y: FloatArray
    z: FloatArray
    ny: int
    nz: int
    body: NDArray[np.int16]
    face: NDArray[np.int32]


class FacetArrays(NamedTuple):
    """Facets as the kernels see them, sorted by patch and then by rows, along which one place changes.

    at : int64[n, 3]    place with the rim counted;  surface : float64[n, 4]   n and c of the plane n p = c
    outward : int64[n]  step of the place's number along the normal of the face
    cum : float64[n + 1]   area before each facet [m2]
    row : int64[rows + 1]   first facet of each row;  row_cum : float64[rows + 1]
    patch_row : int64[patches + 1]   first row of each patch
    """

    patch: IntArray
    axis: IntArray
    side: IntArray
    at: IntArray
    surface: FloatArray
    outward: IntArray
    cum: FloatArray
    row: IntArray
    row_cum: FloatArray
    patch_row: IntArray


def view_factors_by_rays(
    edges: Sequence[FloatArray],
    region: IntArray,
    facets: Facets,
    patch: ArrayLike,
    *,
    rays: int | ArrayLike = RAYS,
    replicates: int = REPLICATES,
    seed: int = 0,
) -> ViewFactors:
    """View factors between patches of facets.

    Parameters
    ----------
    edges, region           the grid, as in `exposed_facets`
    facets : Facets         every exposed face of the grid; besides, facets of area 0 may stand between two
        solids, where a ray that cuts the corner of a staircase can meet them
    patch : int64[n_facet]  patch of each facet, 0 to n - 1, each with an area
    rays : int or int64[n]  rays from each patch, rounded up to `replicates` times a power of two; 0, for one
        patch at most: it only catches, and what it sends follows from reciprocity and closure
    replicates : int        at least 2
    seed : int              the same seed gives the same factors, bit for bit

    Raises
    ------
    ProblemError    facets that leave a gap or do not fit the grid, a patch without area, bad counts
    """
    x = check_grid(edges, region)
    patch = np.asarray(patch, np.int64)
    area = _check_patches(facets, patch)
    per_replicate = _rays_a_replicate(rays, replicates, area.size)
    _, ny, nz = np.shape(region)
    order, f = _sort_facets(facets, patch, ((ny + 2) * (nz + 2), nz + 2, 1))
    g = _grid_arrays(x, np.asarray(region), facets, order)
    shift = np.random.default_rng(seed).integers(0, 2**_BITS, (replicates, area.size, 4))
    hits = np.zeros((replicates, area.size, area.size), np.int64)
    v = direction_numbers()
    with ThreadPoolExecutor(
        os.cpu_count()
    ) as pool:  # replicates know nothing of each other: the same hits on any cores
        list(pool.map(lambda one, into: cast_all(g, f, v, one, per_replicate, into), shift, hits))
    sampled = hits / np.maximum(per_replicate, 1)[:, None]
    F = balance(sampled, area, per_replicate * replicates)
    mean, sends = F.mean(axis=0), per_replicate > 0
    change = np.abs(mean - sampled.mean(axis=0))[sends]
    return ViewFactors(
        mean,
        area,
        F.std(axis=0, ddof=1) / np.sqrt(replicates),
        float(change.max(initial=0.0)),
        per_replicate * replicates,
    )


def _check_patches(facets: Facets, patch: IntArray) -> FloatArray:
    """Area of every patch [m2]."""
    if patch.shape != (len(facets),) or patch.min(initial=0) < 0:
        raise ProblemError(f"patch must name a patch, from 0 on, for each of {len(facets)} facets")
    if np.any(facets.area < 0.0) or not np.all(np.isfinite(facets.area)):
        raise ProblemError("the area of a facet cannot be negative")
    area: FloatArray = np.bincount(patch, facets.area).astype(float)
    if np.any(area <= 0.0):
        raise ProblemError(f"patch {int(np.argmin(area))} has no area")
    return area


def _rays_a_replicate(rays: int | ArrayLike, replicates: int, n: int) -> IntArray:
    wanted = np.broadcast_to(np.asarray(rays, np.int64), (n,))
    if replicates < 2 or np.any(wanted < 0) or np.sum(wanted == 0) > min(1, n - 1):
        raise ProblemError("view factors take two replicates or more, and rays from every patch but at most one")
    each = -(-wanted // replicates)
    return np.where(each > 0, 2 ** np.ceil(np.log2(np.maximum(each, 1))).astype(np.int64), 0)


def direction_numbers() -> IntArray:
    """Sobol direction numbers of four dimensions, int64[4, 33]; the last column only ends a count of 2^32."""
    v = np.zeros((len(_SOBOL), _BITS + 1), np.int64)
    for row, (degree, polynomial, first) in zip(v, _SOBOL, strict=True):
        m = list(first) if degree else [1] * _BITS
        while len(m) < _BITS:
            new = m[-degree] ^ (m[-degree] << degree)
            for q in range(1, degree):
                new ^= (m[-q] << q) * ((polynomial >> (degree - 1 - q)) & 1)
            m.append(new)
        row[:_BITS] = [value << (_BITS - 1 - bit) for bit, value in enumerate(m)]
    return v


def _sort_facets(facets: Facets, patch: IntArray, strides: tuple[int, int, int]) -> tuple[IntArray, FacetArrays]:
    """Order that puts the facets in rows, and the facets in that order."""
    across = np.where(facets.axis == 0, 1, 0)
    along = np.where(facets.axis == 2, 1, 2)
    every = np.arange(len(facets))
    keys = (
        patch,
        facets.axis,
        facets.side,
        facets.place[every, facets.axis],
        facets.place[every, across],
        facets.place[every, along],
    )
    order = np.lexsort(keys[::-1])
    heads = np.stack(keys[:-1])[:, order]
    first = np.flatnonzero(np.any(np.diff(heads, axis=1, prepend=-2) != 0, axis=0))
    cum = np.concatenate([[0.0], np.cumsum(facets.area[order])])
    row = np.append(first, len(facets))
    patch_row = np.searchsorted(patch[order][first], np.arange(patch.max() + 2))
    offset = np.sum(facets.normal * facets.centre, axis=1) - facets.height
    return order, FacetArrays(
        patch[order],
        facets.axis[order],
        facets.side[order],
        np.ascontiguousarray(facets.place[order] + 1),
        np.column_stack([facets.normal, offset])[order],
        ((2 * facets.side - 1) * np.array(strides)[facets.axis])[order],
        cum,
        row,
        cum[row],
        patch_row,
    )


def _grid_arrays(x: list[FloatArray], region: IntArray, facets: Facets, order: IntArray) -> GridArrays:
    body = np.pad(np.where(region < 0, 0, region % (2**15 - 1) + 1).astype(np.int16), 1, constant_values=-1)
    face = np.full((3, *body.shape), -1, np.int32)
    axis, place = facets.axis[order], facets.place[order] + 1
    on_face = place.copy()
    on_face[np.arange(axis.size), axis] += facets.side[order]
    if np.any(on_face < 0) or np.any(on_face >= np.array(body.shape)):
        raise ProblemError("a facet lies outside of the grid")
    face[axis, on_face[:, 0], on_face[:, 1], on_face[:, 2]] = np.arange(axis.size)
    for i in range(3):
        low = tuple(slice(None, -1) if q == i else slice(None) for q in range(3))
        high = tuple(slice(1, None) if q == i else slice(None) for q in range(3))
        open_ = ((body[low] == 0) != (body[high] == 0)) & (face[i][high] < 0)
        if np.any(open_):
            raise ProblemError(f"{int(open_.sum())} exposed faces normal to axis {i} have no facet")
    px, py, pz = (np.concatenate([[-1e30], e, [1e30]]) for e in x)
    _, ny, nz = body.shape
    return GridArrays(px, py, pz, ny, nz, body.ravel(), face.reshape(3, -1))
