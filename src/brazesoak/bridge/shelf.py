"""The shelf of a furnace in cells: a zone under the load and the free rest, each a chain through its thickness."""

from __future__ import annotations

import numpy as np

from brazesoak_solvers import Graph
from brazesoak_solvers import material as core_material

from ..thermal.furnace import Shelf
from ..thermal.support import Support
from .cells import FloatArray, IntArray
from .furnace_cells import Furnace

LAYERS = np.array([0.125, 0.25, 0.25, 0.25, 0.125])
"""Share of the thickness that each cell has; the outermost ones stand for the faces."""
MOST_COVERED = 0.95
"""Share of the shelf that a load may cover in the model."""


def add_shelf(
    graph: Graph,
    f: Furnace,
    shelf: Shelf,
    film: float,
    resistance: float,
    inside: float,
    below: Support | None,
    copies: int = 1,
) -> None:
    """Add the shelf; `resistance` is that of the walls to its radiation, `below` how each copy of the load stands.

    Every free face exchanges with hot face and air. The zone under the load faces the load with its top and, of what
    the load does not see of it, the hot face.
    """
    material = graph.material(core_material(shelf.capacity, shelf.conductivity))
    covered = 0.0 if below is None else min(copies * below.footprint, MOST_COVERED * shelf.area)
    free = _zone(graph, shelf, shelf.area - covered, material)

    def faces(cell: int, area: float) -> None:
        if area > 0.0:
            graph.boundary(
                cell, area, gas=f.air, walls=f.walls, film=film, emissivity=shelf.emissivity, enclosure=resistance
            )

    faces(int(free[0]), shelf.area - covered)
    faces(int(free[-1]), shelf.area - covered)
    cells = free
    if below is not None:
        under = _zone(graph, shelf, covered, material)
        faces(int(under[0]), covered)
        faces(int(under[-1]), covered * (1.0 - below.view))
        # Heat that spreads sideways crosses the edges of the covered zones, over a quarter of the shelf's width.
        across = 4.0 * np.sqrt(copies * covered) * shelf.thickness * LAYERS / (0.25 * np.sqrt(shelf.area))
        graph.faces(free, under, 1.0, 2.0 * across, 2.0 * across)
        f.shelf = graph.surroundings(int(under[-1]))
        f.shelf_resistance = (1.0 - shelf.emissivity) / shelf.emissivity
        cells = np.concatenate([free, under])
    f.put("shelf", cells, inside)


def _zone(graph: Graph, shelf: Shelf, area: float, material: int) -> IntArray:
    """Cells of a part of the shelf, from the bottom up."""
    cells = graph.cells(area * shelf.thickness * LAYERS, material)
    half: FloatArray = np.full(LAYERS.size - 1, area / (0.125 * shelf.thickness))
    graph.faces(cells[:-1], cells[1:], 1.0, half, half)
    return cells
