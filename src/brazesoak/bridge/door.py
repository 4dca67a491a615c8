"""The door of a furnace, ajar or open: air that goes in and out, and the chamber that shines through it. SI.

The door is two contacts to the room, of air and of the radiation inside (or of the lump), with a state for each of its
positions.
"""

from __future__ import annotations

from math import sqrt

import numpy as np

from brazesoak_solvers import Graph
from brazesoak_solvers.constants import STEFAN_BOLTZMANN

from ..thermal.furnace import Chamber
from .furnace_cells import Furnace

SHUT, AJAR, OPEN = 0, 1, 2
"""States of the contacts of a door."""
OPENING = (0.0, 0.25, 1.0)
"""Share of the face of the chamber that is open in each state: ajar, held a hand's breadth open, is an assumption."""
FLOW = 0.5
"""Air through an opening of height H and area A of a hot chamber is FLOW A sqrt(H) [kg/s]: K. Kawagoe, Fire behaviour
in rooms, Building Research Institute, Tokyo, report 27, 1958 (recalled)."""
AIR_HEAT = 1010.0
"""Specific heat of the air of a room [J/(kg K)] (recalled)."""
SEEN = 0.9
"""Emissivity of a chamber that is one lump seen through its opening: a cavity, nearly black (recalled). Of one in
bodies the field of radiation is what shines out, all of it."""


def air_through(area: float, height: float) -> float:
    """What the air through a vertical opening carries off [W/K]; area [m2], height [m]."""
    return FLOW * area * sqrt(height) * AIR_HEAT


def shining(area: float, room: float, emissivity: float) -> tuple[np.ndarray, np.ndarray]:
    """Conductance of radiation through an opening [W/K] against the mean of chamber and room [K]: exact."""
    mean = np.linspace(0.6 * room, 0.5 * (room + 1600.0), 60)
    hot = 2.0 * mean - room
    return mean, area * emissivity * STEFAN_BOLTZMANN * (hot**2 + room**2) * (hot + room)


def add_door(graph: Graph, f: Furnace, c: Chamber, room: float) -> None:
    """Give a furnace in a graph its door, shut; `room` [K]."""
    side = sqrt(c.wall_area / 6.0)
    outside = int(f.cells["room"][0])
    air, inside = (int(f.cells.get(name, f.cells.get("chamber"))[0]) for name in ("air", "field"))  # type: ignore[index]
    areas = [share * side**2 for share in OPENING]
    flow = graph.contact(*(air_through(a, side) for a in areas))
    emissivity = 1.0 if "field" in f.cells else SEEN
    shine = graph.contact(0.0, *(shining(a, room, emissivity) for a in areas[1:]))
    graph.faces(air, outside, 1.0, contact=flow)
    graph.faces(inside, outside, 1.0, contact=shine)
    f.door = (flow, shine)
