"""Which linear solver a problem gets, and what it needs to be set up once.

A band of Cholesky factors where that is cheap (chains, small networks, small sections), conjugate gradients
with a multilevel preconditioner elsewhere. Both see the interior cells only; border cells are eliminated.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from .kernels.multilevel import match_pairs
from .problem import Problem

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

BAND_WORK = 600_000
"""Cells times band width squared up to which the direct solver is the faster one (measured, see benchmarks)."""
COARSEST = 24
ROUNDS = 2
"""Pairings in a row from one level to the next: aggregates of up to four cells."""


class Levels(NamedTuple):
    """Hierarchy of graphs, all levels one after another.

    cell_ptr, face_ptr : int64[n_level + 2]    where each level starts
    row, col, edge : int64                     neighbours of each cell and the faces to them
    parent : int64[n_cell]                     aggregate of each cell on the next level
    face_parent : int64[n_face]                face on the next level, -1 inside an aggregate
    """

    cell_ptr: IntArray
    face_ptr: IntArray
    row: IntArray
    col: IntArray
    edge: IntArray
    parent: IntArray
    face_parent: IntArray


class LinearSolver(NamedTuple):
    """Set-up of the linear solver; `width` < 0 means multilevel.

    place : int64[n_cell]     row of each cell in the band
    """

    width: int
    place: IntArray
    band: FloatArray
    levels: Levels
    n_level: int
    G: FloatArray
    d: FloatArray
    work: FloatArray


def choose(problem: Problem, conductance: FloatArray, band_work: int = BAND_WORK) -> LinearSolver:
    """Set up the solver for `problem` whose faces have `conductance` [W/K] at the start."""
    a, b = problem.arrays.f.a, problem.arrays.f.b
    inner = (problem.arrays.border[a] < 0) & (problem.arrays.border[b] < 0)
    n = problem.n_cell
    graph = csr_array(coo_array((np.ones(int(inner.sum())), (a[inner], b[inner])), shape=(n, n)))
    order = np.asarray(reverse_cuthill_mckee(csr_array(graph + graph.T), symmetric_mode=True), np.int64)
    place = np.empty(n, np.int64)
    place[order] = np.arange(n)
    width = int(np.max(np.abs(place[a[inner]] - place[b[inner]]), initial=0))
    if n * (width + 1) ** 2 <= band_work:
        none = Levels(*(np.zeros(3, np.int64) for _ in range(7)))
        return LinearSolver(width, place, np.empty((n, width + 1)), none, 0, np.empty(0), np.empty(0), np.empty((1, n)))
    levels, n_level = _hierarchy(n, a, b, np.where(inner, conductance, 0.0))
    cells, faces = int(levels.cell_ptr[-1]), int(levels.face_ptr[-1])
    return LinearSolver(
        -1, place, np.empty((1, 1)), levels, n_level, np.empty(faces), np.empty(cells), np.zeros((9, cells))
    )


def _neighbours(n: int, a: IntArray, b: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """Rows of the graph: row pointer, neighbour and face of each entry."""
    start = np.concatenate([a, b])
    order = np.argsort(start, kind="stable")
    row = np.concatenate([[0], np.cumsum(np.bincount(start, minlength=n))]).astype(np.int64)
    return row, np.concatenate([b, a])[order], np.tile(np.arange(a.size), 2)[order]


def _coarsen(n: int, a: IntArray, b: IntArray, w: FloatArray) -> tuple[int, IntArray, IntArray, IntArray, IntArray, FloatArray]:
    """One round of pairing: number of groups, group of each cell, coarse face of each face, and the coarse graph."""
    row, col, edge = _neighbours(n, a, b)
    group = np.empty(n, np.int64)
    count = int(match_pairs(row, col, w[edge], group))
    low, high = np.minimum(group[a], group[b]), np.maximum(group[a], group[b])
    key = np.where(low == high, -1, low * count + high)
    unique, at = np.unique(key, return_inverse=True)
    inside = int(unique.size > 0 and unique[0] == -1)
    face = at.astype(np.int64) - inside
    kept = unique[inside:]
    weight = np.bincount(face[face >= 0], w[face >= 0], kept.size)
    return count, group, face, kept // count, kept % count, weight


def _hierarchy(n: int, a: IntArray, b: IntArray, w: FloatArray) -> tuple[Levels, int]:
    cell_ptr, face_ptr = [0, n], [0, a.size]
    rows, cols, edges, parents, face_parents = [], [], [], [], []
    while True:
        row, col, edge = _neighbours(n, a, b)
        rows.append(row + 2 * face_ptr[-2])
        cols.append(col)
        edges.append(edge)
        if n <= COARSEST or len(cell_ptr) > 40:
            break
        count, group, face, a2, b2, w2 = _coarsen(n, a, b, w)
        for _ in range(ROUNDS - 1):
            count, next_group, next_face, a2, b2, w2 = _coarsen(count, a2, b2, w2)
            group = next_group[group]
            face = np.where(face >= 0, next_face[face], -1)
        if count > 0.8 * n:  # nothing is left that is coupled
            break
        parents.append(group)
        face_parents.append(face)
        n, a, b, w = count, a2, b2, w2
        cell_ptr.append(cell_ptr[-1] + n)
        face_ptr.append(face_ptr[-1] + a.size)
    blank = np.zeros(n, np.int64)
    arrays = [np.concatenate(x).astype(np.int64) for x in (rows, cols, edges, [*parents, blank], [*face_parents, blank[:0]])]
    return Levels(np.array(cell_ptr), np.array(face_ptr), *arrays), len(cell_ptr) - 1
