"""An order of cells that keeps neighbours near each other, so that a direct solver needs a narrow band only.

Breadth first, neighbours of least degree first, reversed, from a cell at an end of the graph. Sources: E. Cuthill and
J. McKee, Proc. 24th ACM National Conference (1969) 157-172; A. George and J. W. H. Liu, ACM Trans. Math. Software 5
(1979) 284-295 (both recalled). scipy.sparse.csgraph does so, too, but takes long to load.
"""

from __future__ import annotations

import numpy as np

from .arrays import IntArray


def narrow_order(n: int, a: IntArray, b: IntArray) -> IntArray:
    """Row of each of `n` cells, of which a and b are neighbours: int64[n]."""
    start, end = np.concatenate([a, b]), np.concatenate([b, a])
    degree = np.bincount(start, minlength=n)
    by_degree = np.lexsort((degree[end], start))
    row, col = np.concatenate([[0], np.cumsum(degree)]).tolist(), end[by_degree].tolist()
    order: list[int] = []
    placed = bytearray(n)
    for first in np.argsort(degree, kind="stable").tolist():
        if not placed[first]:
            for m in _from_an_end(first, row, col):
                placed[m] = 1
                order.append(m)
    place = np.empty(n, np.int64)
    place[order] = np.arange(n - 1, -1, -1)
    return place


def _from_an_end(first: int, row: list[int], col: list[int]) -> list[int]:
    """What hangs together with a cell, from a cell as far from all others as is soon found."""
    walk, layers = _walk(first, row, col)
    while True:
        last = walk[layers[-1] :]
        further, more = _walk(min(last, key=lambda m: row[m + 1] - row[m]), row, col)
        if len(more) <= len(layers):
            return further
        walk, layers = further, more


def _walk(first: int, row: list[int], col: list[int]) -> tuple[list[int], list[int]]:
    """Cells in the order in which they are come to from the first, and where each layer begins."""
    walk, layers, seen = [first], [0], {first}
    begin = 0
    while begin < len(walk):
        end = len(walk)
        for m in walk[begin:end]:
            for other in col[row[m] : row[m + 1]]:
                if other not in seen:
                    seen.add(other)
                    walk.append(other)
        begin = end
        layers.append(begin)
    return walk, layers[:-1]
