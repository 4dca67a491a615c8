"""Which linear solver a problem gets, and what it needs to be set up once.

A band of Cholesky factors where that is cheap (chains, small networks, small sections), conjugate gradients
with a multilevel preconditioner elsewhere. Both see the interior cells only; border cells are eliminated.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from .arrays import FloatArray, IntArray
from .kernels.banded import PAD
from .kernels.multilevel import colour, match_pairs
from .problem import Problem

BAND_WORK = 600_000
"""Cells times band width squared up to which the direct solver is the faster one (measured, see benchmarks)."""
SMALL = 16
"""Cells up to which a band in the order that they come in is soon solved, and looking for a narrow one takes longer."""
KEPT = 30_000
"""Faces up to which the order of a band is kept for the next problem with the same graph."""
COARSEST = 24
ROUNDS = 3
"""Pairings in a row from one level to the next: aggregates of up to eight cells."""


class Levels(NamedTuple):
    """Hierarchy of graphs, all levels one after another.

    cell_ptr, face_ptr : int64[n_level + 1]    where each level starts
    row, middle, col, edge : int64, int64, uint32, uint32    by level and cell: its entries, the first entry of a
        neighbour after it, and by entry the neighbour and the face to it
    parent : uint32[n_cell]                     aggregate of each cell on the next level
    face_parent : int32[n_face]                face on the next level, -1 inside an aggregate
    """

    cell_ptr: IntArray
    face_ptr: IntArray
    row: IntArray
    middle: IntArray
    col: NDArray[np.uint32]
    edge: NDArray[np.uint32]
    parent: NDArray[np.uint32]
    face_parent: NDArray[np.int32]


class LinearSolver(NamedTuple):
    """Set-up of the linear solver; `width` < 0 means multilevel.

    place : int64[n_cell]       row of each cell in the band
    band, right : float64           factors and work space, see `kernels.banded`
    G, d : float64              conductances and diagonals of all levels
    value, inverse : float32    by entry and by cell of all levels
    finest, diagonal : float64  by entry and by cell of the finest level
    single : float32[4, n];  double : float64[6, n_cell]    work space
    visit : int64[n_level];  walk : float64[3, n_level]     memory of a walk through the levels
    """

    width: int
    place: IntArray
    band: FloatArray
    right: FloatArray
    levels: Levels
    n_level: int
    G: FloatArray
    d: FloatArray
    value: NDArray[np.float32]
    inverse: NDArray[np.float32]
    finest: FloatArray
    diagonal: FloatArray
    single: NDArray[np.float32]
    double: FloatArray
    visit: IntArray
    walk: FloatArray


def choose(problem: Problem, conductance: FloatArray, band_work: int = BAND_WORK) -> LinearSolver:
    """Set up the solver for `problem` whose faces have `conductance` [W/K] at the start."""
    a, b = problem.arrays.f.a, problem.arrays.f.b
    inner = (problem.arrays.border[a] < 0) & (problem.arrays.border[b] < 0)
    n = problem.n_cell
    place = np.arange(n) if n <= SMALL else _place(n, a[inner], b[inner])
    width = int(np.max(np.abs(place[a[inner]] - place[b[inner]]), initial=0))
    if n * (width + 1) ** 2 <= band_work:
        rows, columns = n + width + PAD, width + PAD
        return _solver(width, place, np.zeros((rows, columns)), np.zeros(rows), _no_levels(), 0)
    levels, n_level, place = _hierarchy(n, a, b, np.where(inner, conductance, 0.0))
    return _solver(-1, place, np.empty((1, 1)), np.empty(1), levels, n_level)


def _place(n: int, a: IntArray, b: IntArray) -> IntArray:
    """`_narrow_band`, kept: sampled heats of one job have one graph."""
    if a.size > KEPT:
        return _narrow_band(n, a, b)
    return _kept_band(n, a.tobytes(), b.tobytes())


@lru_cache(maxsize=16)
def _kept_band(n: int, a: bytes, b: bytes) -> IntArray:
    return _narrow_band(n, np.frombuffer(a, np.int64), np.frombuffer(b, np.int64))


def _narrow_band(n: int, a: IntArray, b: IntArray) -> IntArray:
    """Row of each cell that keeps neighbours near each other."""
    graph = csr_array(coo_array((np.ones(a.size), (a, b)), shape=(n, n)))
    order = np.asarray(reverse_cuthill_mckee(csr_array(graph + graph.T), symmetric_mode=True), np.int64)
    place = np.empty(n, np.int64)
    place[order] = np.arange(n)
    return place


def _no_levels() -> Levels:
    """What the band solver has instead of a hierarchy."""
    i, u = np.zeros(2, np.int64), np.zeros(2, np.uint32)
    return Levels(i, i, i, i, u, u, u, np.zeros(2, np.int32))


def _solver(
    width: int, place: IntArray, band: FloatArray, right: FloatArray, levels: Levels, n_level: int
) -> LinearSolver:
    cells, faces = int(levels.cell_ptr[-1]), int(levels.face_ptr[-1])
    n, entries = int(levels.cell_ptr[1]), 2 * faces
    return LinearSolver(
        width, place, band, right, levels, n_level, np.empty(faces), np.empty(cells),
        np.empty(entries, np.float32), np.empty(cells, np.float32), np.empty(2 * int(levels.face_ptr[1])),
        np.empty(n), np.zeros((4, cells), np.float32), np.zeros((6, n)),
        np.zeros(n_level, np.int64), np.zeros((3, n_level)),
    )  # fmt: skip


def _neighbours(n: int, a: IntArray, b: IntArray) -> tuple[IntArray, IntArray, Any, Any]:
    """Rows of the graph: row pointer, first entry of a neighbour after the cell, neighbour and face of each entry."""
    start, end = np.concatenate([a, b]), np.concatenate([b, a])
    order = np.lexsort((end, start))
    row = np.concatenate([[0], np.cumsum(np.bincount(start, minlength=n))]).astype(np.int64)
    before = np.bincount(start, end < start, n).astype(np.int64)
    return row, row[:-1] + before, end[order], np.tile(np.arange(a.size), 2)[order]


def _coarsen(n: int, a: IntArray, b: IntArray, w: FloatArray) -> tuple[int, Any, Any, Any, Any, FloatArray]:
    """One round of pairing: number of groups, group of each cell, coarse face of each face, and the coarse graph."""
    row, _, col, edge = _neighbours(n, a, b)
    group = np.empty(n, np.int64)
    count = int(match_pairs(row, col, w[edge], group))
    low, high = np.minimum(group[a], group[b]), np.maximum(group[a], group[b])
    key = np.where(low == high, -1, low * count + high)
    unique, at = np.unique(key, return_inverse=True)
    inside = int(unique.size > 0 and unique[0] == -1)
    face = at.astype(np.int64) - inside
    kept = unique[inside:]
    weight = np.bincount(face[face >= 0], w[face >= 0], kept.size)
    return count, group, face, kept // count, kept % count, np.asarray(weight, float)


def _by_colour(n: int, a: IntArray, b: IntArray) -> IntArray:
    """Place of each cell among all, in order of colours that no two neighbours share."""
    row, _, col, _ = _neighbours(n, a, b)
    found = np.empty(n, np.int64)
    colour(row, col, found)
    place = np.empty(n, np.int64)
    place[np.argsort(found, kind="stable")] = np.arange(n)
    return place


def _hierarchy(n: int, a: IntArray, b: IntArray, w: FloatArray) -> tuple[Levels, int, IntArray]:
    cell_ptr, face_ptr = [0, n], [0, a.size]
    columns: list[list[IntArray]] = [[], [], [], [], [], []]
    finest = place = _by_colour(n, a, b)
    while True:
        row, middle, col, edge = _neighbours(n, place[a], place[b])
        group, face = np.zeros(n, np.int64), np.zeros(a.size, np.int64)
        count, a2, b2, w2 = n, a, b, w
        if n > COARSEST:
            group, face = np.arange(n), np.arange(a.size)
            for _ in range(ROUNDS):
                count, next_group, next_face, a2, b2, w2 = _coarsen(count, a2, b2, w2)
                group = next_group[group]
                face = np.where(face >= 0, next_face[face], -1)
        start, coarser = 2 * face_ptr[-2], _by_colour(count, a2, b2)
        group[place] = coarser[group]
        for column, part in zip(columns, (row + start, middle + start, col, edge, group, face), strict=True):
            column.append(part)
        if n <= COARSEST or count > 0.8 * n:  # small enough, or nothing is left that is coupled
            break
        n, a, b, w, place = count, a2, b2, w2, coarser
        cell_ptr.append(cell_ptr[-1] + n)
        face_ptr.append(face_ptr[-1] + a.size)
    # Unsigned where a number is only used as an index: a compiled index then needs no check for a negative one.
    types = (np.int64, np.int64, np.uint32, np.uint32, np.uint32, np.int32)
    arrays = [np.concatenate(c).astype(t) for c, t in zip(columns, types, strict=True)]
    return Levels(np.array(cell_ptr), np.array(face_ptr), *arrays), len(cell_ptr) - 1, finest
