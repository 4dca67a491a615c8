"""The lining of a furnace as a chain of cells from the hot face to the case. Part of the bridge; SI.

Edges and corners pass less heat than the area of the cube at their depth says: the heat crosses a tube whose integral
of dx over area is the reciprocal shape factor (`thermal.furnace.Lining`), so that the steady loss is right whatever
the thickness. The cells hold two thirds of the tube's volume and a third of the whole shell's, whose corners stay cold:
so they take up what conduction in three dimensions does, from half an hour to the steady state, within 2 % for linings
like the library's (tests/verification/test_lining.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from brazesoak_solvers import Graph
from brazesoak_solvers import material as core_material

from ..thermal.furnace import Lining
from .cells import FloatArray, IntArray

FIRST_CELLS, MORE_CELLS, GROWTH = 14, 6, 1.2
"""Cells of the innermost layer, of each further one, and how much thicker each is than the one before it."""
_ITERATIONS, _CLOSE = 100, 1e-9


@dataclass(frozen=True, slots=True)
class Walls:
    """The lining on its cells.

    cells : int64[n]        the first stands for the hot face, the last is the case
    initial : float64[n]    temperature at the start [K]
    """

    cells: IntArray
    initial: FloatArray


class LiningGrid:
    """Where the cells of a lining lie, and what they pass; the first cell's temperature is that of the hot face."""

    def __init__(self, lining: Lining) -> None:
        depths, owner = [0.0], []
        for n, layer in enumerate(lining.layers):
            ratio = GROWTH ** np.arange(FIRST_CELLS if n == 0 else MORE_CELLS)
            depths += (depths[-1] + layer.thickness * np.cumsum(ratio) / ratio.sum()).tolist()
            owner += [n] * ratio.size
        edge = np.array(depths)
        node = 0.5 * (edge[:-1] + edge[1:])
        node[0] = 0.0
        self.lining = lining
        self.layer = np.array(owner, np.int64)
        shell = np.diff((lining.inside + 2.0 * edge) ** 3)
        # Simpson's rule for the tube: its area is nearly a parabola, and the cells are thin.
        middle = 0.5 * (edge[:-1] + edge[1:])
        tube = np.diff(edge) / 6.0 * (lining.tube(edge[:-1]) + 4.0 * lining.tube(middle) + lining.tube(edge[1:]))
        self.volume = (2.0 * tube + shell) / 3.0
        path = lining.path
        with np.errstate(divide="ignore"):
            self.inward = 1.0 / (path(node) - path(edge[:-1]))
        self.outward = 1.0 / (path(edge[1:]) - path(node))
        self.film = lining.outer_film * lining.case_area
        self.materials = [
            core_material(y.capacity[1], y.conductivity[1], y.capacity[0], y.conductivity[0]) for y in lining.layers
        ]

    def steady(self, inside: float, room: float) -> FloatArray:
        """Temperature of each cell and of the case in the steady state [K]: k depends on it, so by iteration."""
        T = np.linspace(inside, room, self.layer.size + 1)
        for _ in range(_ITERATIONS):
            before = T
            halves = 0.5 * (T[:-1] + T[1:])
            own = 1.0 / (self.inward * self._conductivity(np.concatenate([T[:1], halves[:-1]])))
            onward = 1.0 / (self.outward * self._conductivity(halves))
            steps = np.concatenate([[0.0], onward[:-1] + own[1:], onward[-1:]])
            flow = (inside - room) / (steps.sum() + 1.0 / self.film)
            T = inside - flow * np.cumsum(steps)
            if np.max(np.abs(T - before)) < _CLOSE:
                break
        return T

    def steady_loss(self, inside: float, room: float) -> float:
        """Heat that passes in the steady state with the hot face at `inside` [K], in W."""
        return float(self.film * (steady_temperatures(self.lining, inside, room)[-1] - room))

    def _conductivity(self, T: FloatArray) -> FloatArray:
        found = np.empty(T.size)
        for n, layer in enumerate(self.lining.layers):
            found[self.layer == n] = np.interp(T[self.layer == n], *layer.conductivity)
        return found


@lru_cache(maxsize=64)
def lining_grid(lining: Lining) -> LiningGrid:
    """The grid of a lining; kept, since many heats go on in one furnace."""
    return LiningGrid(lining)


@lru_cache(maxsize=256)
def steady_temperatures(lining: Lining, inside: float, room: float) -> FloatArray:
    """Temperature of each cell of a lining and of its case in the steady state [K]; kept."""
    found = lining_grid(lining).steady(inside, room)
    found.flags.writeable = False
    return found


def add_lining(graph: Graph, lining: Lining, room: int, inside: float, outside: float) -> Walls:
    """Add the cells of the lining and its case; they begin in the steady state between `inside` and `outside` [K]."""
    grid = lining_grid(lining)
    materials = [graph.material(m) for m in grid.materials]
    cells = graph.cells(grid.volume, np.array(materials)[grid.layer])
    case = graph.cells(lining.case_heat_capacity, graph.material(core_material(1.0, 1.0)))
    graph.faces(cells[:-1], cells[1:], 1.0, grid.outward[:-1], grid.inward[1:])
    graph.faces(cells[-1], case, 1.0, grid.outward[-1])  # the case has no resistance of its own
    graph.faces(case, room, lining.case_area, contact=graph.contact(lining.outer_film))
    return Walls(np.concatenate([cells, case]), steady_temperatures(lining, inside, outside))
