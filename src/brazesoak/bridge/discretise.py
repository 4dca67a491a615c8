"""The bridge, first half: a thermal model becomes a graph of the core. With `simulate`, all that imports the solver.

Three builders make the same kind of graph: a network with one cell a body, `section` and `solid` with a grid.
Mass, exposed area and joint area of every body are exact in all (a solid whose parts shade each other keeps the exposed
area of its grid): cells and faces are scaled to them, and what the grid had itself is kept to be shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers import Graph, Material, Probe, Problem
from brazesoak_solvers import material as core_material

from ..thermal.model import Body, ThermalModel
from .cells import Expose, Grid, OnGrid
from .chamber import add_furnace, follow_program, initial
from .furnace_cells import Furnace
from .section import add_section
from .slices import slices
from .solid import add_solid
from .spots import Skin, Spot, find_spots, network_spots, section_skin, solid_skin

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

Heater = Literal["program", "off", "full"]

DRY, FILLED, SOLID = 0, 1, 2
"""States of a joint: a fluxed gap, full of molten filler, full of solid filler; it never goes back to dry."""


@dataclass(frozen=True, slots=True)
class Discrete:
    """A model as a problem of the core, with the places to watch.

    Attributes
    ----------
    cells : (int64[...], ...)       cells of each body
    coldest, hottest : (Probe, ...)     of each body
    joints : (Probe, ...)           coldest point of each joint
    contacts : (int, ...)           number of each joint's contact in the core
    furnace : Furnace               its cells by name; none for an ideal one
    sensor : int or None            cell that holds what the furnace's sensor reads; None for an ideal furnace
    clock : int or None             cell that holds the time of the program [s]; None where it is that of the heat
    sight_error : float or None     of the view factors of a solid whose parts shade each other, see `Sight.error`
    seen : (float, ...) or None     share of the chamber that each body of such a solid sees, see `Sight.seen`
    planes : (Grid, ...)            for pictures, through the middle of each joint; none of a network
    on_grid : OnGrid or None        what the grid itself has beside the parts; None of a network
    spots : (Spot, ...)             places where a thermocouple can be fixed
    """

    problem: Problem
    cells: tuple[IntArray, ...]
    coldest: tuple[Probe, ...]
    hottest: tuple[Probe, ...]
    joints: tuple[Probe, ...]
    contacts: tuple[int, ...]
    furnace: Furnace
    sensor: int | None
    clock: int | None
    planes: tuple[Grid, ...]
    on_grid: OnGrid | None
    spots: tuple[Spot, ...]
    sight_error: float | None
    seen: tuple[float, ...] | None

    @property
    def n_cell(self) -> int:
        """Cells of the load."""
        return int(sum(c.size for c in self.cells))


def discretise(model: ThermalModel, fidelity: str, fineness: int = 2, heater: Heater = "program") -> Discrete:
    """A problem of the core for `model`.

    Parameters
    ----------
    fidelity : ``network``, ``section`` or ``solid``
    fineness : int      cells of a section: each interval has a multiple of this many
    heater : ``program``, which it follows, ``off`` while the chamber cools, or ``full`` power without a controller
    """
    graph = Graph()
    materials = [graph.material(_material(b)) for b in model.bodies]
    contacts = tuple(graph.contact(_curve(c.dry), _curve(c.filled), _curve(c.filled)) for c in model.contacts)
    furnace = add_furnace(graph, model.surroundings, model.start, model.seen_area, model.support, model.copies)

    def expose(
        body: int,
        cell: IntArray,
        area: FloatArray,
        shape: FloatArray,
        walls: int | None = None,
        down: NDArray[np.bool_] | None = None,
        side: NDArray[np.bool_] | None = None,
    ) -> None:
        walls = furnace.walls if walls is None else walls
        emissivity, support, beside = _curve(model.bodies[body].emissivity), model.support, model.neighbours
        open_ = np.ones(cell.size)
        if down is not None and support is not None and furnace.shelf is not None and down.any():
            share = support.view
            graph.boundary(
                cell[down], area[down] * share, shape[down] * share, gas=furnace.shelf, film=_curve(support.film),
                emissivity=emissivity, enclosure=furnace.shelf_resistance,
            )  # fmt: skip
            open_ = np.where(down, 1.0 - share, 1.0)
        if side is not None and beside is not None and beside.view > 0.0 and side.any():
            # A neighbour as warm as the load gives it nothing and takes nothing from it; the air passes between them.
            share, film = beside.view, model.surroundings.film
            graph.boundary(cell[side], area[side] * share, shape[side] * share, gas=furnace.air, film=film)
            open_ = np.where(side, 1.0 - share, open_)
        graph.boundary(
            cell, area * open_, shape * open_, gas=furnace.air, walls=walls, film=model.surroundings.film,
            emissivity=emissivity,
            enclosure=furnace.enclosure if walls == furnace.walls else 0.0,  # patches have it in their exchange
        )  # fmt: skip

    skin, sight = None, None
    planes: tuple[Grid, ...] = ()
    on_grid: OnGrid | None = None
    with graph.repeated(model.copies):
        if fidelity == "network":
            cells, faces = _network(graph, model, materials, contacts, expose)
        elif fidelity == "solid":
            solid = add_solid(graph, model, materials, contacts, fineness, expose, furnace)
            cells, faces, planes, on_grid = solid.cells, solid.faces, slices(solid, model), solid.on_grid
            sight = solid.sight
            skin = solid_skin(solid, model.placement.symmetric[:2]) if model.placement else None
        else:
            cells, faces, grid, on_grid = add_section(graph, model, materials, contacts, fineness, expose)
            planes = (grid,) * len(faces)
            skin = section_skin(grid)
    sensor = None
    if furnace.heated is not None:
        seen = [b.exposed_area for b in model.bodies]
        sensor = follow_program(graph, furnace, model.surroundings, heater == "program", cells, seen)
        if heater == "full" and model.surroundings.chamber is not None:
            graph.source([furnace.heated], model.surroundings.chamber.power)
    everything = sum(c.size for c in (*cells, *furnace.cells.values()))
    problem = graph.problem(initial(furnace, np.full(everything, model.start)))
    return Discrete(
        problem,
        cells,
        tuple(Probe(tuple(c.tolist()), "cell", "least") for c in cells),
        tuple(Probe(tuple(c.tolist()), "cell", "greatest") for c in cells),
        tuple(Probe(tuple(f.tolist()), "cold side", "least") for f in faces),
        contacts,
        furnace,
        None if sensor is None else problem.cell_of(sensor),
        problem.clock_of(0) if heater == "program" and sensor is not None else None,
        planes,
        on_grid,
        network_spots(cells) if skin is None else _spots(skin, model, problem, faces),
        None if sight is None else sight.error,
        None if sight is None else sight.seen,
    )


def _spots(skin: Skin, model: ThermalModel, problem: Problem, faces: tuple[IntArray, ...]) -> tuple[Spot, ...]:
    f = problem.arrays.f
    return find_spots(skin, tuple(c.bodies for c in model.contacts), tuple((f.a[n], f.b[n]) for n in faces))


def _material(body: Body) -> Material:
    return core_material(body.capacity[1], body.conductivity[1], body.capacity[0], body.conductivity[0])


def _curve(curve: tuple[FloatArray, FloatArray]) -> tuple[FloatArray, FloatArray]:
    return np.asarray(curve[0], float), np.asarray(curve[1], float)


def _network(
    graph: Graph, model: ThermalModel, materials: list[int], contacts: tuple[int, ...], expose: Expose
) -> tuple[tuple[IntArray, ...], tuple[IntArray, ...]]:
    """One cell a body."""
    cells = tuple(graph.cells(b.volume, m) for b, m in zip(model.bodies, materials, strict=True))
    for i, body in enumerate(model.bodies):
        below = 0.0 if model.support is None else min(model.support.undersides[i], body.exposed_area)
        beside = 0.0 if model.neighbours is None else min(model.neighbours.sides[i], body.exposed_area - below)
        for area, down, side in (
            (body.exposed_area - below - beside, False, False), (below, True, False), (beside, False, True)
        ):  # fmt: skip
            if area > 0.0:
                expose(i, cells[i], np.array([area]), np.array([np.inf]), down=np.array([down]), side=np.array([side]))
    faces = []
    for contact, number in zip(model.contacts, contacts, strict=True):
        a, b = (cells[i] for i in contact.bodies)
        faces.append(graph.faces(a, b, contact.area, contact=number))
    return cells, tuple(faces)
