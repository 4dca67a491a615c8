"""The furnace in a graph: which cells are what. Part of the bridge; SI."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .cells import FloatArray, IntArray


@dataclass(slots=True)
class Furnace:
    """The furnace in a graph.

    air, walls : int            surroundings of the load: what its film and what its radiation go to
    enclosure : float           resistance of the walls to radiation, referred to the load's area; less what of a field
                                is the load's own
    heated, sensed : int or None    cells of the elements and of the field around the load, or of the one lump; None
                                for an ideal furnace
    shelf : int or None         surroundings of what looks down at the shelf below the load
    shelf_resistance : float    of that shelf to radiation
    door : (int, ...)           contacts of the door
    cells : {name: int64[...]}  every cell of the furnace: ``lining``, ``field``, ``air``, ``elements``, ``pieces``,
                                ``shelf``, or ``chamber``; ``room``
    initial : {name: float64[...]}      temperature of each at the start [K]
    """

    air: int
    walls: int
    enclosure: float = 0.0
    heated: int | None = None
    sensed: int | None = None
    shelf: int | None = None
    shelf_resistance: float = 0.0
    door: tuple[int, ...] = ()
    cells: dict[str, IntArray] = field(default_factory=dict)
    initial: dict[str, FloatArray] = field(default_factory=dict)

    def put(self, name: str, cells: IntArray, initial: FloatArray | float) -> int:
        """Note cells and their temperature at the start; returns the first."""
        self.cells[name] = cells
        self.initial[name] = np.broadcast_to(np.asarray(initial, float), cells.shape)
        return int(cells[0])
