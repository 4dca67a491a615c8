"""The shelf of a furnace in cells: a zone under the load and the free rest, each a chain through its thickness."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brazesoak_solvers import Graph
from brazesoak_solvers import material as core_material

from ..thermal.furnace import Shelf
from ..thermal.support import Support
from .cells import FloatArray, IntArray

LAYERS = np.array([0.125, 0.25, 0.25, 0.25, 0.125])
"""Share of the thickness that each cell has; the outermost ones stand for the faces."""
MOST_COVERED = 0.95
"""Share of the shelf that a load may cover in the model."""


@dataclass(frozen=True, slots=True)
class Side:
    """What a face of something in the chamber sees: surroundings, and the enclosure as of `Graph.boundary`."""

    walls: int
    enclosure: float


Shine = Callable[[int, float, float, Side], None]
"""Lets a face of a cell, of some area and emissivity, exchange heat with one side of the chamber and with its air."""


def add_shelf(
    graph: Graph, shelf: Shelf, shine: Shine, sides: tuple[Side, Side], below: Support | None, copies: int
) -> tuple[IntArray, int | None]:
    """Add the shelf: its cells, and as surroundings what the load sees of it.

    sides : (Side, Side)        above and beneath
    below : Support or None     how each copy of the load stands on it

    The zone under the load faces the load with its top and, of what the load does not see of it, the chamber.
    """
    above, beneath = sides
    material = graph.material(core_material(shelf.capacity, shelf.conductivity))
    hidden = 0.0 if below is None else covered(shelf, below, copies)
    free = _zone(graph, shelf, shelf.area - hidden, material)
    shine(int(free[0]), shelf.area - hidden, shelf.emissivity, beneath)
    shine(int(free[-1]), shelf.area - hidden, shelf.emissivity, above)
    if below is None:
        return free, None
    under = _zone(graph, shelf, hidden, material)
    shine(int(under[0]), hidden, shelf.emissivity, beneath)
    shine(int(under[-1]), hidden * (1.0 - below.view), shelf.emissivity, above)
    # Heat that spreads sideways crosses the edges of the covered zones, over a quarter of the shelf's width.
    across = 4.0 * np.sqrt(copies * hidden) * shelf.thickness * LAYERS / (0.25 * np.sqrt(shelf.area))
    graph.faces(free, under, 1.0, 2.0 * across, 2.0 * across)
    return np.concatenate([free, under]), graph.surroundings(int(under[-1]))


def covered(shelf: Shelf, below: Support, copies: int) -> float:
    """Area of the shelf below the load, all copies together [m2]."""
    return min(copies * below.footprint, MOST_COVERED * shelf.area)


def _zone(graph: Graph, shelf: Shelf, area: float, material: int) -> IntArray:
    """Cells of a part of the shelf, from the bottom up."""
    cells = graph.cells(area * shelf.thickness * LAYERS, material)
    half: FloatArray = np.full(LAYERS.size - 1, area / (0.125 * shelf.thickness))
    graph.faces(cells[:-1], cells[1:], 1.0, half, half)
    return cells
