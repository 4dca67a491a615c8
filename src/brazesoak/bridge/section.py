"""The bridge in two dimensions: a section through the assembly, or a stack, becomes cells and the faces between them.

Cells and faces are scaled to the exact mass, exposed area and joint area of every body.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers import Graph, Mesh, structured

from ..errors import GeometryError
from ..thermal.layout import Layout, Region
from ..thermal.model import Contact, ThermalModel
from .cells import Expose, FloatArray, Grid, IntArray, OnGrid

LEVEL = 1e-9
"""Faces this close to the lowest one are at its level [m]."""
FINEST = 4
"""Fewest cells across any interval of a section at fineness 1."""


def add_section(
    graph: Graph, model: ThermalModel, materials: list[int], contacts: tuple[int, ...], fineness: int, expose: Expose
) -> tuple[tuple[IntArray, ...], tuple[IntArray, ...], Grid, OnGrid]:
    """Add a grid through the assembly; cells of each body, faces of each joint, the grid, and what it has itself.

    Raises
    ------
    GeometryError   the segments of a joint do not touch in the section
    """
    assert model.layout is not None
    mesh, grid = _mesh(model.layout, fineness)
    bodies = mesh.region
    volume = _total(bodies, mesh.volume, len(model.bodies))
    full = np.array([b.volume for b in model.bodies]) / volume
    cells = graph.cells(mesh.volume * full[bodies], np.asarray(materials)[bodies])
    faces, joined = _join(graph, model, mesh, cells, contacts)
    exposed = _expose_all(model, model.layout, mesh, cells, expose)
    by_body = tuple(cells[bodies == i] for i in range(len(model.bodies)))
    grid = Grid(grid.kind, grid.x_edges, grid.y_edges, _shifted(mesh.number, cells), grid.body)
    own = OnGrid(
        tuple((float(v), b.volume) for v, b in zip(volume, model.bodies, strict=True)),
        tuple((float(e), b.exposed_area) for e, b in zip(exposed, model.bodies, strict=True)),
        tuple((a, c.area) for a, c in zip(joined, model.contacts, strict=True)),
    )
    return by_body, faces, grid, own


def _total(body: IntArray, found: FloatArray, n: int) -> FloatArray:
    """The sum of what was found of each of `n` bodies."""
    return np.asarray(np.bincount(body, found, n))


def _shifted(number: IntArray, cells: IntArray) -> IntArray:
    number = number.reshape(number.shape[0], -1) if number.ndim == 2 else number.reshape(1, -1)
    return np.where(number >= 0, number + int(cells[0]), -1)


@lru_cache(maxsize=8)
def _mesh(layout: Layout, fineness: int) -> tuple[Mesh, Grid]:
    """The grid through the assembly; kept, since many heats go on one."""
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
    for low, high in pairwise(breaks.tolist()):
        count = fineness * max(int(np.ceil((high - low) / size)), FINEST // 2)
        edges.append(np.linspace(low, high, count + 1)[1:])
    return np.concatenate(edges)


def _join(
    graph: Graph, model: ThermalModel, mesh: Mesh, cells: IntArray, contacts: tuple[int, ...]
) -> tuple[tuple[IntArray, ...], list[float]]:
    """Faces inside bodies, and through the declared joints with the grid's area of each; others do not conduct."""
    f = mesh.faces
    a, b = mesh.region[f.cell_a], mesh.region[f.cell_b]
    own = a == b
    graph.faces(cells[f.cell_a[own]], cells[f.cell_b[own]], f.area[own], f.shape_a[own], f.shape_b[own])
    added, areas = [], []
    for contact, number in zip(model.contacts, contacts, strict=True):
        at = _between(a, b, contact)
        if not at.any():
            names = [model.bodies[n].name for n in contact.bodies]
            raise GeometryError(
                f'"{names[0]}" and "{names[1]}" do not touch in a section through the assembly; check sizes and depth, '
                'or choose fidelity = "network"',
                part=contact.name,
            )
        areas.append(float(f.area[at].sum()))
        scale = contact.area / areas[-1]
        one, other = cells[f.cell_a[at]], cells[f.cell_b[at]]
        area, shape_a, shape_b = (v[at] * scale for v in (f.area, f.shape_a, f.shape_b))
        added.append(graph.faces(one, other, area, shape_a, shape_b, number))
    return tuple(added), areas


def _between(a: IntArray, b: IntArray, contact: Contact) -> NDArray[np.bool_]:
    one, other = contact.bodies
    return np.asarray(((a == one) & (b == other)) | ((a == other) & (b == one)))


def _expose_all(model: ThermalModel, layout: Layout, mesh: Mesh, cells: IntArray, expose: Expose) -> FloatArray:
    """Boundary faces of every body, scaled to its exact exposed area; returns what the grid itself has."""
    outer = mesh.outer
    inside = (outer.axis == 0) & (outer.side == 0) & (outer.centre[:, 0] < 1e-12) & (layout.kind != "stack")
    cell, area, shape = outer.cell[~inside], outer.area[~inside], outer.shape[~inside]
    up = 0 if layout.kind == "stack" else 1
    height = outer.centre[~inside, up]
    down = (outer.axis[~inside] == up) & (outer.side[~inside] == 0) & (height < height.min() + LEVEL)
    sideways = (outer.axis[~inside] != up) & (outer.side[~inside] == 1)  # the low side is that of a bore
    if layout.kind != "axisymmetric":
        # The sides that the section lies between; heat spreads across the whole depth at once.
        side = _sides(layout, mesh)
        cell = np.concatenate([cell, np.arange(side.size)])
        area, shape = np.concatenate([area, side]), np.concatenate([shape, np.full(side.size, np.inf)])
        down = np.concatenate([down, np.zeros(side.size, bool)])
        sideways = np.concatenate([sideways, np.ones(side.size, bool)])
    body = mesh.region[cell]
    found = _total(body, area, len(model.bodies))
    for i, b in enumerate(model.bodies):
        at = body == i
        if b.exposed_area > 0.0 and at.any():
            scale = b.exposed_area / found[i]
            expose(i, cells[cell[at]], area[at] * scale, shape[at] * scale, down=down[at], side=sideways[at])
    return found


def _sides(layout: Layout, mesh: Mesh) -> FloatArray:
    """Area of the sides of each cell of a plane section or a stack [m2]."""
    depth = np.array([_depth(layout.regions, int(b)) for b in mesh.region])
    if layout.kind == "plane":
        # Half the section with twice the depth: the two sides of the whole are two of the half, doubled by it.
        return np.asarray(2.0 * 2.0 * mesh.volume / depth)
    return np.asarray(4.0 * mesh.volume / np.sqrt(depth))
