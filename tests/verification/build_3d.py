"""Builders for cut cells: a round body on the tool's own grid, and the staircase that cut cells replace."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from brazesoak.bridge.placement import Placement
from brazesoak.bridge.solid_grid import grid_edges
from brazesoak_solvers import Graph, Problem, material, structured
from brazesoak_solvers.cutcells import CutBody, cut
from brazesoak_solvers.sections import Body, Disc, Layer

FloatArray = NDArray[np.float64]


def round_body(radius: float, height: float) -> Body:
    """A solid cylinder about z with its middle at the origin [m]."""
    return Body(2, (Layer(-0.5 * height, 0.5 * height, Disc(0.0, 0.0, radius)),))


def eighth(body: Body, fineness: int) -> Sequence[FloatArray]:
    """The tool's own grid for one body that is symmetric about all three planes; 2 is the default fineness."""
    return grid_edges(Placement((body,), (True, True, True), "alone"), fineness)


def heated(part: CutBody, *, k: float, capacity: float, gas: float, start: float, film: float, ends: bool) -> Problem:
    """An eighth of a body in gas of constant temperature [K]; its flat ends insulated where `ends` is False."""
    graph = Graph()
    cells = graph.cells(part.volume, graph.material(material(capacity, k)))
    graph.faces(cells[part.a], cells[part.b], part.area, part.shape_a, part.shape_b)
    around = graph.ambient(gas)
    graph.boundary(cells[part.round_owner], part.round_area, part.round_shape, gas=around, film=film)
    if ends:
        end = part.flat_side == 1  # the low side is the plane of symmetry
        graph.boundary(cells[part.flat_cell[end]], part.flat_area[end], part.flat_shape[end], gas=around, film=film)
    return graph.problem(start)


def cut_cylinder(radius: float, height: float, fineness: int, **law: float | bool) -> Problem:
    """An eighth of a solid cylinder of cut cells."""
    body = round_body(radius, height)
    return heated(cut(body, eighth(body, fineness)), **law)  # type: ignore[arg-type]


def staircase(
    radius: float, height: float, fineness: int, *, k: float, capacity: float, gas: float, start: float, film: float
) -> tuple[Problem, float]:
    """The same grid with cells in or out by their centre, ends insulated: the problem and its side area [m2]."""
    x, y, z = eighth(round_body(radius, height), fineness)
    middle = [0.5 * (e[1:] + e[:-1]) for e in (x, y)]
    inside = np.hypot(middle[0][:, None], middle[1][None, :]) < radius
    region = np.repeat(np.where(inside, 0, -1)[:, :, None], z.size - 1, axis=2)
    mesh = structured([x, y, z], "cartesian", region)
    graph = Graph()
    cells = graph.mesh(mesh, [graph.material(material(capacity, k))])
    outer = mesh.outer
    place = np.take_along_axis(outer.centre, outer.axis[:, None], axis=1)[:, 0]
    side = (outer.axis < 2) & (place > 1e-12)
    area, shape = outer.area[side], outer.shape[side]
    graph.boundary(cells[outer.cell[side]], area, shape, gas=graph.ambient(gas), film=film)
    return graph.problem(start), float(area.sum())
