"""A furnace as cells and faces of the core: chamber, sensor and, where it is known, the lining.

The chamber is one well-mixed cell: air, elements and shelf, where the load gives and takes its heat. The lining is a
chain of cells from the hot face outwards; the area that the heat crosses grows as the surface of a cube, 6 (a + 2 x)^2.
Edges and corners truly pass less (0.54 a for an edge instead of a, 0.15 L for a corner; Langmuir, Adams and Meikle,
1913, recalled), so the loss is too large: by a quarter for a lining half as thick as the inside is wide, a seventh for
a fifth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brazesoak_solvers import Graph, Options, Probe, Watch, steps
from brazesoak_solvers import material as core_material

from ..thermal.furnace import Chamber, Lining, Surroundings
from .cells import FloatArray, IntArray
from .control import add_control

SENSOR_CAPACITY = 5.0
"""Heat capacity of the furnace's sensor [J/K]: small beside the chamber, so only its time constant matters."""
HOT_FACE_FILM = 1000.0
"""Conductance from the chamber to the hot face [W/(m2 K)]: so high that the two differ by a few kelvin only.

One temperature for elements, air and wall is the model of the chamber; this must not add a resistance that matters.
"""
FIRST_CELLS, MORE_CELLS, GROWTH = 14, 6, 1.2
"""Cells of the innermost layer, of each further one, and how much thicker each is than the one before it."""


@dataclass(frozen=True, slots=True)
class Walls:
    """The lining on its cells.

    cells : int64[n]        from the hot face outwards; the last stands for the outer face
    initial : float64[n]    temperature at the start [K]
    conductance : float     from the outer face to the room [W/K]
    """

    cells: IntArray
    initial: FloatArray
    conductance: float


@dataclass(frozen=True, slots=True)
class Furnace:
    """The furnace in a graph.

    environment : int       surroundings of the load
    enclosure : float       resistance of the walls to radiation, referred to the load's area
    chamber, sensor : int or None       cells; None for an ideal furnace
    walls : Walls or None   None where the furnace is one lump
    """

    environment: int
    enclosure: float = 0.0
    chamber: int | None = None
    sensor: int | None = None
    walls: Walls | None = None


def add_furnace(graph: Graph, s: Surroundings, start: float, load_area: float, heating: bool) -> Furnace:
    """Add the furnace to a graph; `start` [K] is a cold furnace's, `load_area` [m2] all that sees the walls."""
    c = s.chamber
    if c is None:
        return Furnace(graph.ambient((s.profile.time, s.profile.temperature + s.offset)))
    unit = graph.material(core_material(1.0, 1.0))
    chamber, sensor = (int(n) for n in graph.cells([c.heat_capacity, SENSOR_CAPACITY], unit))
    lag = graph.contact(SENSOR_CAPACITY / c.sensor_time_constant)
    graph.faces(chamber, sensor, 1.0, contact=lag)
    room = graph.ambient(s.room)
    graph.boundary(chamber, 1.0, gas=room, film=c.loss_conductance)
    walls = None
    if c.lining is not None:
        inside = s.profile.set_point + s.offset if s.loaded_hot else start
        walls = _add_lining(graph, c.lining, chamber, room, inside, s.room if s.loaded_hot else start)
    if heating:
        add_control(graph, s, chamber, sensor, steady_loss(c, s.profile.set_point, s.room))
    enclosure = (1.0 - c.wall_emissivity) / c.wall_emissivity * load_area / c.wall_area
    return Furnace(graph.surroundings(chamber), enclosure, chamber, sensor, walls)


def steady_loss(chamber: Chamber, inside: float, room: float) -> float:
    """Heat lost in the steady state with the chamber at `inside` [K], to a room [K], in W."""
    lost = chamber.loss_conductance * (inside - room)
    if chamber.lining is not None:
        grid = _Grid(chamber.lining)
        lost += grid.outer * (grid.steady(inside, room)[-1] - room)
    return lost


class _Grid:
    """Where the cells of a lining lie, and what they pass: resistances in a shell are exact, whatever its thickness."""

    def __init__(self, lining: Lining) -> None:
        a = lining.inside
        depths, owner = [0.0], []
        for n, layer in enumerate(lining.layers):
            ratio = GROWTH ** np.arange(FIRST_CELLS if n == 0 else MORE_CELLS)
            depths += (depths[-1] + layer.thickness * np.cumsum(ratio) / ratio.sum()).tolist()
            owner += [n] * ratio.size
        edge = np.array(depths)
        node = 0.5 * (edge[:-1] + edge[1:])
        node[-1] = edge[-1]  # the last cell's temperature is the outer face's, which the room takes heat from
        self.lining = lining
        self.layer = np.array(owner, np.int64)
        self.volume = np.diff((a + 2.0 * edge) ** 3)
        self.area = np.array([lining.area(x) for x in edge])
        self.inner = 1.0 / _path(a, edge[:-1], node)
        with np.errstate(divide="ignore"):
            self.outward = 1.0 / _path(a, node, edge[1:])
        self.outer = lining.outer_film * float(self.area[-1])

    def steady(self, inside: float, room: float) -> FloatArray:
        """Temperature of each cell in the steady state [K]: the flow is found by iteration, for k depends on T."""
        T = np.linspace(inside, room, self.layer.size + 1)[:-1]
        for _ in range(_ITERATIONS):
            before = T
            middle_in = np.concatenate([T[:1], 0.5 * (T[:-1] + T[1:])])
            middle_out = np.concatenate([middle_in[1:], T[-1:]])
            own = 1.0 / (self.inner * self._conductivity(middle_in))
            onward = 1.0 / (self.outward * self._conductivity(middle_out))
            steps = np.concatenate([[1.0 / (HOT_FACE_FILM * self.area[0]) + own[0]], onward[:-1] + own[1:]])
            flow = (inside - room) / (steps.sum() + 1.0 / self.outer)
            T = inside - flow * np.cumsum(steps)
            if np.max(np.abs(T - before)) < _CLOSE:
                break
        return T

    def _conductivity(self, T: FloatArray) -> FloatArray:
        layers = self.lining.layers
        return np.array([np.interp(t, *layers[n].conductivity) for t, n in zip(T, self.layer, strict=True)])


_ITERATIONS, _CLOSE = 100, 1e-9


def _path(a: float, start: FloatArray, end: FloatArray) -> FloatArray:
    """Integral of dx / (6 (a + 2 x)^2): thickness over area of a shell [1/m]."""
    return np.asarray((1.0 / (a + 2.0 * start) - 1.0 / (a + 2.0 * end)) / 12.0)


def _add_lining(graph: Graph, lining: Lining, chamber: int, room: int, inside: float, outside: float) -> Walls:
    """Add the cells of the lining; they begin in the steady state between `inside` and `outside` [K]."""
    grid = _Grid(lining)
    materials = [
        graph.material(core_material(y.capacity[1], y.conductivity[1], y.capacity[0], y.conductivity[0]))
        for y in lining.layers
    ]
    cells = graph.cells(grid.volume, np.array(materials)[grid.layer])
    film = graph.contact(HOT_FACE_FILM)
    graph.faces(chamber, cells[0], grid.area[0], shape_b=grid.inner[0], contact=film)
    graph.faces(cells[:-1], cells[1:], grid.area[1:-1], grid.outward[:-1], grid.inner[1:])
    graph.boundary(cells[-1], grid.area[-1], gas=room, film=lining.outer_film)
    return Walls(cells, grid.steady(inside, outside), grid.outer)


@dataclass(frozen=True, slots=True)
class EmptyHeat:
    """An empty furnace at full power: time to the temperature [s], None if it never comes to it, and heat given [J]."""

    time: float | None
    heat: float


LONGEST = 24 * 3600.0
"""A furnace that is not hot by then never will be [s]."""


def empty_heat(s: Surroundings, to: float) -> EmptyHeat:
    """Heat an empty chamber from the room's temperature until it is at `to` [K], heater full on."""
    c = s.chamber
    assert c is not None
    graph = Graph()
    found = add_furnace(graph, s, s.room, 0.0, heating=False)
    assert found.chamber is not None
    graph.source([found.chamber], c.power)
    problem = graph.problem(s.room)
    watch = Watch(problem, (Probe((found.chamber,)),), [(0, to)])
    for step in steps(problem, LONGEST, Options(tolerance=0.1)):
        watch.see(step)
        if watch.reading[-1][0] >= to:
            break
    time = watch.first(0, to)
    return EmptyHeat(time, c.power * (LONGEST if time is None else time))
