"""Builders for cut cells: a body on the grid as a problem of the core, and the staircase that it replaces."""

from collections.abc import Sequence

import numpy as np
from brazesoak.placement import Placement
from brazesoak.solid import grid_edges
from brazesoak_solvers import Graph, Problem, material, structured
from brazesoak_solvers.cutcells import Body, CutBody, Disc, cut
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
FINENESS = 2
"""Of the default grid."""


def edges_of(body: Body, fineness: int = FINENESS, symmetric: Sequence[bool] = (True, True, True)) -> Sequence[FloatArray]:
    """The tool's own grid for one body; its part above 0 along the symmetric axes."""
    placement = Placement((body,), tuple(symmetric), "alone")  # type: ignore[arg-type]
    return grid_edges(placement, fineness)


def heated(
    part: CutBody, *, k: float, capacity: float, gas: float, start: float, film: float, ends: bool = True
) -> Problem:
    """An eighth of a body in gas of constant temperature [K]; its flat ends insulated where `ends` is False."""
    graph = Graph()
    cells = graph.cells(part.volume, graph.material(material(capacity, k)))
    graph.faces(cells[part.a], cells[part.b], part.area, part.shape_a, part.shape_b)
    around = graph.ambient(gas)
    graph.boundary(cells[part.round_cell], part.round_area, part.round_shape, gas=around, film=film)
    if ends:
        end = part.flat_side == 1  # the low side is the plane of symmetry
        graph.boundary(
            cells[part.flat_cell[end]], part.flat_area[end], part.flat_shape[end], gas=around, film=film
        )
    return graph.problem(start)


def staircase(
    radius: float, edges: Sequence[FloatArray], *, k: float, capacity: float, gas: float, start: float, film: float
) -> tuple[Problem, float, float]:
    """A round part about z whose cells are in or out by their centre: the problem, its volume and its side area.

    Its ends are insulated.
    """
    x, y, z = edges
    middle = [0.5 * (e[1:] + e[:-1]) for e in (x, y)]
    inside = np.hypot(middle[0][:, None], middle[1][None, :]) < radius
    region = np.repeat(np.where(inside, 0, -1)[:, :, None], z.size - 1, axis=2)
    mesh = structured([x, y, z], "cartesian", region)
    graph = Graph()
    cells = graph.mesh(mesh, [graph.material(material(capacity, k))])
    outer = mesh.outer
    on_axis = np.take_along_axis(outer.centre, outer.axis[:, None], axis=1)[:, 0] < 1e-12
    side = (outer.axis < 2) & ~on_axis
    graph.boundary(
        cells[outer.cell[side]], outer.area[side], outer.shape[side], gas=graph.ambient(gas), film=film
    )
    return graph.problem(start), float(mesh.volume.sum()), float(outer.area[side].sum())


def round_body(radius: float, height: float, axis: int = 2) -> Body:
    """A solid cylinder with its middle at the origin."""
    from brazesoak_solvers.cutcells import Layer

    return Body(axis, (Layer(-0.5 * height, 0.5 * height, Disc(0.0, 0.0, radius)),))


def on_grid(body: Body, fineness: int) -> CutBody:
    """An eighth of a body on the tool's own grid."""
    return cut(body, edges_of(body, fineness))
