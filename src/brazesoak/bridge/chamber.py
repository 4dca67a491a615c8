"""A furnace as cells and faces of the core: heaters, hot face, air, what stands in the chamber, sensor, room.

A furnace that tells of its bodies has one cell for each (`interior`), and the lining as a chain (`lining`). One that
does not is a single lump.
The room is a cell so large that it stays as it is: what it takes up is what the furnace has lost.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brazesoak_solvers import Graph
from brazesoak_solvers import material as core_material

from ..thermal.furnace import Chamber, Surroundings
from ..thermal.support import Support
from .at_rest import AtRest, at_rest
from .cells import FloatArray, IntArray
from .control import add_control, add_sensor
from .door import add_door
from .furnace_cells import Furnace
from .interior import Load, add_interior
from .lining import add_lining

ROOM_CAPACITY = 1e10
"""Heat capacity of the room [J/K]: a heat of 100 MJ warms it by 0.01 K."""


def add_furnace(
    graph: Graph, s: Surroundings, start: float, load_area: float, below: Support | None = None, copies: int = 1
) -> Furnace:
    """Add the furnace to a graph; `start` [K] is a cold furnace's, `load_area` [m2] all that sees the walls, and
    `below` how each of the `copies` of the load stands on its shelf."""
    c = s.chamber
    if c is None:
        program = graph.ambient((s.profile.time, s.profile.temperature + s.offset))
        return Furnace(program, program)
    unit = graph.material(core_material(1.0, 1.0))
    f = Furnace(-1, -1)
    inside = s.profile.set_point + s.offset if s.loaded_hot else start
    room = f.put("room", graph.cells(ROOM_CAPACITY, unit), s.room)
    if c.interior is None:
        f.heated = f.sensed = lossy = f.put("chamber", graph.cells(c.heat_capacity, unit), inside)
        f.air = f.walls = graph.surroundings(lossy)
        f.enclosure = enclosure(c, load_area)
    else:
        rest = at_rest(c, inside, s.room, s.film) if s.loaded_hot else AtRest(start, start, start, 0.0)
        walls = add_lining(graph, c.interior.lining, room, rest.hot_face, s.room if s.loaded_hot else start)
        lossy = f.put("lining", walls.cells, walls.initial)
        add_interior(graph, f, s, inside, rest, Load(load_area, below, copies))
    if c.loss_conductance > 0.0:
        graph.faces(lossy, room, 1.0, contact=graph.contact(c.loss_conductance))
    add_door(graph, f, c, s.room)
    return f


def follow_program(
    graph: Graph, f: Furnace, s: Surroundings, heating: bool, load: Sequence[IntArray] = (), seen: Sequence[float] = ()
) -> int:
    """Add the furnace's sensor and, while it is heating, its controller; returns the sensor.

    load : (int64[n], ...)      cells of each body of the load;  seen : (float, ...)    surface of each [m2]
    """
    assert s.chamber is not None
    assert f.heated is not None
    assert f.sensed is not None
    sensor = add_sensor(graph, s.chamber, f.sensed, load, seen)
    if heating:
        add_control(graph, s, f.heated, sensor, at_rest(s.chamber, s.profile.set_point, s.room, s.film).power)
    return sensor


def enclosure(c: Chamber, area: float) -> float:
    """Resistance of the walls of a lump to radiation, referred to a surface of `area` [m2] inside them.

    Two grey surfaces, the inner one convex: q = sigma (Tw^4 - T^4) / (1/e + (1 - ew)/ew A/Aw). Source: Incropera and
    DeWitt, table 13.3 (recalled).
    """
    return (1.0 - c.wall_emissivity) / c.wall_emissivity * area / c.wall_area


def initial(f: Furnace, load: FloatArray | None = None) -> FloatArray:
    """Temperature of every cell at the start [K], with `load` in place of what is not the furnace's."""
    own = sum(c.size for c in f.cells.values())
    start = np.empty(own) if load is None else load
    for name, cells in f.cells.items():
        start[cells] = f.initial[name]
    return start
