"""A furnace as cells and faces of the core: heaters, hot face, air, what stands in the chamber, sensor, room.

A furnace that tells of its bodies has one cell for each: the elements, where the power enters, the air, every piece
in the chamber, and the lining as a chain (`lining`). Elements, pieces and load each exchange radiation with the hot
face as two grey surfaces, and heat with the air through one film. One that does not is a single lump.
The room is a cell so large that it stays as it is: what it takes up is what the furnace has lost.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brazesoak_solvers import Graph
from brazesoak_solvers import material as core_material

from ..thermal.furnace import Chamber, Interior, Surroundings
from ..thermal.support import Support
from .cells import FloatArray, IntArray
from .control import add_control, add_sensor
from .door import add_door
from .furnace_cells import Furnace
from .lining import Walls, add_lining, lining_grid
from .shelf import add_shelf

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
        heated = seen = f.put("chamber", graph.cells(c.heat_capacity, unit), inside)
        f.air = f.walls = graph.surroundings(heated)
    else:
        walls = add_lining(graph, c.interior.lining, room, inside, s.room if s.loaded_hot else start)
        seen = f.put("lining", walls.cells, walls.initial)
        heated = _add_interior(graph, f, c, c.interior, s, walls, inside)
        if c.interior.shelf is not None:
            resistance = enclosure(c, 2.0 * c.interior.shelf.area)
            add_shelf(graph, f, c.interior.shelf, s.film, resistance, inside, below, copies)
    if c.loss_conductance > 0.0:
        graph.faces(seen, room, 1.0, contact=graph.contact(c.loss_conductance))
    add_door(graph, f, c, s.room)
    f.heated, f.seen = heated, seen
    f.enclosure = enclosure(c, load_area)
    return f


def follow_program(
    graph: Graph, f: Furnace, s: Surroundings, heating: bool, load: Sequence[IntArray] = (), seen: Sequence[float] = ()
) -> int:
    """Add the furnace's sensor and, while it is heating, its controller; returns the sensor.

    load : (int64[n], ...)      cells of each body of the load;  seen : (float, ...)    surface of each [m2]
    """
    assert s.chamber is not None
    assert f.heated is not None
    assert f.seen is not None
    sensor = add_sensor(graph, s.chamber, f.seen, load, seen)
    if heating:
        add_control(graph, s, f.heated, sensor, steady_loss(s.chamber, s.profile.set_point, s.room, s.film))
    return sensor


def enclosure(c: Chamber, area: float) -> float:
    """Resistance of the walls to radiation, referred to a surface of `area` [m2] inside them.

    Two grey surfaces, the inner one convex: q = sigma (Tw^4 - T^4) / (1/e + (1 - ew)/ew A/Aw). Source: Incropera and
    DeWitt, table 13.3 (recalled).
    """
    return (1.0 - c.wall_emissivity) / c.wall_emissivity * area / c.wall_area


def _add_interior(
    graph: Graph, f: Furnace, c: Chamber, b: Interior, s: Surroundings, walls: Walls, inside: float
) -> int:
    """Add elements, air and pieces; returns the cell of the elements."""
    unit = graph.material(core_material(1.0, 1.0))
    hot_face = int(walls.cells[0])
    air_begins = s.room + _air_share(c, s.film) * (inside - s.room) if s.loaded_hot else inside
    air = f.put("air", graph.cells(b.air_heat_capacity, unit), air_begins)
    f.air, f.walls = graph.surroundings(air), graph.surroundings(hot_face)
    graph.faces(hot_face, air, c.wall_area, contact=graph.contact(s.film))
    if b.air_leak > 0.0:
        graph.faces(air, int(f.cells["room"][0]), 1.0, contact=graph.contact(b.air_leak))
    all_pieces = (b.elements, *b.pieces)
    cells = graph.cells([p.heat_capacity for p in all_pieces], unit)
    for piece, cell in zip(all_pieces, cells, strict=True):
        graph.boundary(
            cell, piece.area, gas=f.air, walls=f.walls, film=s.film, emissivity=piece.emissivity,
            enclosure=enclosure(c, piece.area),
        )  # fmt: skip
    if b.pieces:
        f.put("pieces", cells[1:], inside)
    return f.put("elements", cells[:1], inside)


def _air_share(c: Chamber, film: float) -> float:
    """How far the air of an empty chamber is from the room's temperature to the walls' in the steady state."""
    if c.interior is None:
        return 1.0
    taken = film * (c.wall_area + c.interior.area)
    return taken / (taken + c.interior.air_leak) if taken > 0.0 else 1.0


def steady_loss(chamber: Chamber, inside: float, room: float, film: float) -> float:
    """Heat lost in the steady state with the hot face at `inside` [K], to a room [K], in W; `film` is the air's."""
    lost = chamber.loss_conductance * (inside - room)
    b = chamber.interior
    if b is not None:
        lost += lining_grid(b.lining).steady_loss(inside, room)
        lost += b.air_leak * _air_share(chamber, film) * (inside - room)
    return lost


def initial(f: Furnace, load: FloatArray | None = None) -> FloatArray:
    """Temperature of every cell at the start [K], with `load` in place of what is not the furnace's."""
    own = sum(c.size for c in f.cells.values())
    start = np.empty(own) if load is None else load
    for name, cells in f.cells.items():
        start[cells] = f.initial[name]
    return start
