"""The bridge, first half: a thermal model becomes a graph of the core. With `simulate`, all that imports the solver.

Two builders make the same kind of graph: `network` with one cell a body, and `section` with a grid. Mass,
exposed area and joint area of every body are exact in both: a section's cells and faces are scaled to them,
and the scale is kept to be shown.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers import Graph, Material, Mesh, Probe, Problem, structured
from brazesoak_solvers import material as core_material

from .layout import Layout, Region
from .model import Body, Contact, ThermalModel
from .solid import SolidCells, add_solid

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SENSOR_CAPACITY = 5.0
"""Heat capacity of the furnace's sensor [J/K]: small beside the chamber, so only its time constant matters."""
DRY, FILLED, SOLID = 0, 1, 2
"""States of a joint: a fluxed gap, full of molten filler, full of solid filler; it never goes back to dry."""
FINEST = 4
"""Fewest cells across any interval of a section at fineness 1."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A section's grid, kept for pictures.

    x_edges, y_edges : float64 [m];  number : int64[nx, ny] cell of each place, -1 for none
    body : int64[nx, ny]
    """

    kind: str
    x_edges: FloatArray
    y_edges: FloatArray
    number: IntArray
    body: IntArray


@dataclass(frozen=True, slots=True)
class Discrete:
    """A model as a problem of the core, with the places to watch.

    Attributes
    ----------
    cells : (int64[...], ...)       cells of each body
    coldest, hottest : (Probe, ...)     of each body
    joints : (Probe, ...)           coldest point of each joint
    contacts : (int, ...)           number of each joint's contact in the core
    sensor : int or None            the sensor's cell; None for an ideal furnace
    chamber : int or None
    scale : float                   largest factor by which a section's area was corrected
    """

    problem: Problem
    cells: tuple[IntArray, ...]
    coldest: tuple[Probe, ...]
    hottest: tuple[Probe, ...]
    joints: tuple[Probe, ...]
    contacts: tuple[int, ...]
    sensor: int | None
    chamber: int | None
    grid: Grid | None
    scale: float

    @property
    def n_cell(self) -> int:
        """Cells of the load."""
        return int(sum(c.size for c in self.cells))


def discretise(model: ThermalModel, fidelity: str, fineness: int = 2, heating: bool = True) -> Discrete:
    """A problem of the core for `model`.

    Parameters
    ----------
    fidelity : ``network``, ``section`` or ``solid``
    fineness : int      cells of a section: each interval has a multiple of this many
    heating : bool      False: the heater is off and the chamber cools
    """
    graph = Graph()
    materials = [graph.material(_material(b)) for b in model.bodies]
    contacts = tuple(graph.contact(_curve(c.dry), _curve(c.filled), _curve(c.filled)) for c in model.contacts)
    chamber, sensor, environment, enclosure = _furnace(graph, model, heating)

    def expose(body: int, cell: IntArray, area: FloatArray, shape: FloatArray, walls: int | None = None) -> None:
        patch = walls is not None and walls != environment
        graph.boundary(
            cell, area, shape, gas=environment, walls=walls, film=model.surroundings.film,
            emissivity=_curve(model.bodies[body].emissivity), enclosure=0.0 if patch else enclosure,
        )  # fmt: skip

    if fidelity == "network":
        cells, faces, grid, scale = *_network(graph, model, materials, contacts, expose), None, 1.0
    elif fidelity == "solid":
        solid = add_solid(graph, model, materials, contacts, fineness, expose, environment)
        cells, faces, grid, scale = solid.cells, solid.faces, _slice(solid), 1.0
    else:
        assert model.layout is not None
        cells, faces, grid, scale = _section(graph, model, model.layout, materials, contacts, expose, fineness)
    start = np.full(sum(c.size for c in cells) + (0 if chamber is None else 2), model.start)
    if chamber is not None:
        start[[chamber, sensor]] = model.surroundings.profile.temperature[0] + model.surroundings.offset
    problem = graph.problem(start, model.surroundings.profile.time)
    return Discrete(
        problem,
        cells,
        tuple(Probe(tuple(c.tolist()), "cell", "least") for c in cells),
        tuple(Probe(tuple(c.tolist()), "cell", "greatest") for c in cells),
        tuple(Probe(tuple(f.tolist()), "cold side", "least") for f in faces),
        contacts,
        sensor,
        chamber,
        grid,
        scale,
    )


def _slice(solid: SolidCells) -> Grid:
    """The plane through a solid's middle across y (or its plane of symmetry), for pictures."""
    x, y, z = solid.geometry.edges
    layer = 0 if y[0] == 0.0 else int(np.searchsorted(y, 0.5 * (y[0] + y[-1]), side="right")) - 1
    number = np.full((x.size - 1, z.size - 1), -1)
    body = np.full(number.shape, -1)
    filled = np.zeros(number.shape)
    for i, (cut, cells) in enumerate(zip(solid.geometry.bodies, solid.cells, strict=True)):
        at = np.flatnonzero(cut.place[:, 1] == layer)
        u, w = cut.place[at, 0], cut.place[at, 2]
        more = cut.volume[at] > filled[u, w]
        number[u[more], w[more]] = cells[at[more]]
        body[u[more], w[more]], filled[u[more], w[more]] = i, cut.volume[at[more]]
    return Grid("slice", x, z, number, body)


def _material(body: Body) -> Material:
    return core_material(body.capacity[1], body.conductivity[1], body.capacity[0], body.conductivity[0])


def _curve(curve: tuple[FloatArray, FloatArray]) -> tuple[FloatArray, FloatArray]:
    return np.asarray(curve[0], float), np.asarray(curve[1], float)


def _furnace(graph: Graph, model: ThermalModel, heating: bool) -> tuple[int | None, int | None, int, float]:
    """Add the furnace; returns chamber and sensor cells, the surroundings of the load and its wall resistance."""
    s = model.surroundings
    if s.chamber is None:
        return None, None, graph.ambient(lambda t: s.profile.at(t) + s.offset), 0.0
    c = s.chamber
    unit = graph.material(core_material(1.0, 1.0))
    chamber, sensor = (int(n) for n in graph.cells([c.heat_capacity, SENSOR_CAPACITY], unit))
    lag = graph.contact(SENSOR_CAPACITY / c.sensor_time_constant)
    graph.faces(chamber, sensor, 1.0, contact=lag)
    room = graph.ambient(s.room)
    graph.boundary(chamber, 1.0, gas=room, film=c.loss_conductance)
    if heating:
        graph.thermostat(
            chamber, sensor, gain=c.power / c.control_band, maximum=c.power,
            target=lambda t: s.profile.at(t) + s.offset,
            feed=lambda t: c.loss_conductance * (s.profile.at(t) - s.room),
        )  # fmt: skip
    area = sum(b.exposed_area for b in model.bodies)
    enclosure = (1.0 - c.wall_emissivity) / c.wall_emissivity * area / c.wall_area
    return chamber, sensor, graph.surroundings(chamber), enclosure


Expose = Callable[[int, NDArray[np.generic], FloatArray, FloatArray], None]


def _network(
    graph: Graph, model: ThermalModel, materials: list[int], contacts: tuple[int, ...], expose: Expose
) -> tuple[tuple[IntArray, ...], list[IntArray]]:
    """One cell a body."""
    cells = tuple(graph.cells(b.volume, m) for b, m in zip(model.bodies, materials, strict=True))
    for i, body in enumerate(model.bodies):
        if body.exposed_area > 0.0:
            expose(i, cells[i], np.array([body.exposed_area]), np.array([np.inf]))
    faces = []
    for contact, number in zip(model.contacts, contacts, strict=True):
        a, b = (cells[i] for i in contact.bodies)
        faces.append(graph.faces(a, b, contact.area, contact=number))
    return cells, faces


def _section(
    graph: Graph,
    model: ThermalModel,
    layout: Layout,
    materials: list[int],
    contacts: tuple[int, ...],
    expose: Expose,
    fineness: int,
) -> tuple[tuple[IntArray, ...], list[IntArray], Grid, float]:
    """A grid through the assembly, scaled to the exact mass, exposed area and joint area of every body."""
    mesh, grid = _mesh(layout, fineness)
    bodies = mesh.region
    volume = mesh.volume * _ratio([b.volume for b in model.bodies], np.bincount(bodies, mesh.volume))[bodies]
    cells = graph.cells(volume, np.asarray(materials)[bodies])
    faces = _join(graph, model, mesh, cells, contacts)
    scale = _expose_all(model, layout, mesh, cells, expose)
    by_body = tuple(cells[bodies == i] for i in range(len(model.bodies)))
    return by_body, faces, Grid(grid.kind, grid.x_edges, grid.y_edges, _shifted(mesh.number, cells), grid.body), scale


def _ratio(wanted: list[float], found: FloatArray) -> FloatArray:
    return np.array(wanted) / np.where(found > 0.0, found, 1.0)


def _shifted(number: IntArray, cells: IntArray) -> IntArray:
    number = number.reshape(number.shape[0], -1) if number.ndim == 2 else number.reshape(1, -1)
    return np.where(number >= 0, number + int(cells[0]), -1)


def _mesh(layout: Layout, fineness: int) -> tuple[Mesh, Grid]:
    y = _edges([v for r in layout.regions for v in (r.y0, r.y1)], fineness)
    if layout.kind == "stack":
        region = np.array([_region_at(layout.regions, 0.5, v) for v in 0.5 * (y[1:] + y[:-1])])
        depth = np.array([_depth(layout.regions, b) for b in region])
        mesh = structured([y], "plane", region, depth)
        return mesh, Grid("stack", np.array([0.0, 1.0]), y, mesh.number, region.reshape(1, -1))
    x = _edges([v for r in layout.regions for v in (r.x0, r.x1)], fineness)
    xm, ym = 0.5 * (x[1:] + x[:-1]), 0.5 * (y[1:] + y[:-1])
    region = np.array([[_region_at(layout.regions, u, v) for v in ym] for u in xm])
    if layout.kind == "axisymmetric":
        mesh = structured([x, y], "axisymmetric", region)
    else:
        mesh = structured([x, y], "plane", region, np.vectorize(lambda b: _depth(layout.regions, b))(region))
    return mesh, Grid(layout.kind, x, y, mesh.number, region)


def _region_at(regions: tuple[Region, ...], x: float, y: float) -> int:
    return next((r.body for r in regions if r.x0 < x < r.x1 and r.y0 < y < r.y1), -1)


def _depth(regions: tuple[Region, ...], body: int) -> float:
    return next((r.depth for r in regions if r.body == body), 1.0)


def _edges(values: list[float], fineness: int) -> FloatArray:
    """Edges through all values, in each interval a multiple of `fineness`, so that a coarser grid is nested."""
    breaks = np.unique(np.round(values, 9))
    size = (breaks[-1] - breaks[0]) / 16.0
    edges = [breaks[:1]]
    for low, high in zip(breaks[:-1], breaks[1:], strict=True):
        count = fineness * max(int(np.ceil((high - low) / size)), FINEST // 2)
        edges.append(np.linspace(low, high, count + 1)[1:])
    return np.concatenate(edges)


def _join(graph: Graph, model: ThermalModel, mesh: Mesh, cells: IntArray, contacts: tuple[int, ...]) -> list[IntArray]:
    """Faces inside bodies, and through the declared joints; bodies that only touch do not conduct."""
    f = mesh.faces
    a, b = mesh.region[f.cell_a], mesh.region[f.cell_b]
    own = a == b
    graph.faces(cells[f.cell_a[own]], cells[f.cell_b[own]], f.area[own], f.shape_a[own], f.shape_b[own])
    added = []
    for contact, number in zip(model.contacts, contacts, strict=True):
        at = _between(a, b, contact)
        scale = contact.area / f.area[at].sum()
        added.append(
            graph.faces(
                cells[f.cell_a[at]], cells[f.cell_b[at]],
                f.area[at] * scale, f.shape_a[at] * scale, f.shape_b[at] * scale, number,
            )
        )  # fmt: skip
    return added


def _between(a: IntArray, b: IntArray, contact: Contact) -> NDArray[np.bool_]:
    one, other = contact.bodies
    return ((a == one) & (b == other)) | ((a == other) & (b == one))


def _expose_all(model: ThermalModel, layout: Layout, mesh: Mesh, cells: IntArray, expose: Expose) -> float:
    """Boundary faces of every body, scaled to its exact exposed area; returns the scale furthest from 1."""
    outer = mesh.outer
    inside = (outer.axis == 0) & (outer.side == 0) & (outer.centre[:, 0] < 1e-12) & (layout.kind != "stack")
    cell, area, shape = outer.cell[~inside], outer.area[~inside], outer.shape[~inside]
    if layout.kind != "axisymmetric":
        # The sides that the section lies between; heat spreads across the whole depth at once.
        side = _sides(layout, mesh)
        cell = np.concatenate([cell, np.arange(side.size)])
        area, shape = np.concatenate([area, side]), np.concatenate([shape, np.full(side.size, np.inf)])
    body = mesh.region[cell]
    scale = _ratio([b.exposed_area for b in model.bodies], np.bincount(body, area, len(model.bodies)))
    for i in range(len(model.bodies)):
        at = body == i
        if scale[i] > 0.0 and at.any():
            expose(i, cells[cell[at]], area[at] * scale[i], shape[at] * scale[i])
    return float(scale[np.argmax(np.abs(np.log(np.maximum(scale, 1e-12))))])


def _sides(layout: Layout, mesh: Mesh) -> FloatArray:
    """Area of the sides of each cell of a plane section or a stack [m2]."""
    depth = np.array([_depth(layout.regions, int(b)) for b in mesh.region])
    if layout.kind == "plane":
        # Half the section with twice the depth: the two sides of the whole are two of the half, doubled by it.
        return 2.0 * 2.0 * mesh.volume / depth
    return 4.0 * mesh.volume / np.sqrt(depth)
