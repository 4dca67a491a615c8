"""The bridge in three dimensions: bodies in space become cut cells of one graded grid and the joints between them.

Contacts are found from the geometry; only declared joints conduct, and other touching faces neither conduct nor
see the furnace. Where the assembly is its own mirror image, a half or a quarter stands for the whole.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from brazesoak_solvers import Graph, ProblemError
from brazesoak_solvers.cutcells import CutBody, Touching, breaks, cut, touching
from numpy.typing import NDArray

from .errors import GeometryError
from .model import ThermalModel
from .placement import Placement
from .sight import find_sight

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

Expose = Callable[[int, IntArray, FloatArray, FloatArray, int], None]
"""(body, cells, areas, shape factors, surroundings for radiation) -> None"""
MOST_CELLS = 3_000_000
"""A grid of more places than this would not fit in the memory of a small computer."""
CELLS_ACROSS = 12
"""Cells of a solid at fineness 1 across its longest side."""


@dataclass(frozen=True, slots=True)
class SolidCells:
    """What became of each body.

    cells : (int64[...], ...)       cells of each body;  faces : (int64[...], ...)  faces of each joint
    edges : (float64, float64, float64)     of the grid [m]
    bodies : (CutBody, ...)
    """

    cells: tuple[IntArray, ...]
    faces: tuple[IntArray, ...]
    edges: tuple[FloatArray, FloatArray, FloatArray]
    bodies: tuple[CutBody, ...]


def grid_edges(placement: Placement, fineness: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Edges through every face of every part, at most a share of the longest side apart.

    Every interval has a multiple of `fineness` cells, so that a coarser grid is nested in a finer one.

    Raises
    ------
    GeometryError   the grid would not fit in memory
    """
    found = breaks(placement.bodies)
    size = max(b[-1] - b[0] for b in found) / CELLS_ACROSS
    edges = []
    for b, symmetric in zip(found, placement.symmetric, strict=True):
        kept = np.unique(np.concatenate([[0.0], b[b > 0.0]])) if symmetric else b
        parts = [kept[:1]]
        for low, high in zip(kept[:-1], kept[1:], strict=True):
            count = fineness * max(1, round(np.ceil((high - low) / size - 1e-9)))
            parts.append(np.linspace(low, high, count + 1)[1:])
        edges.append(np.concatenate(parts))
    places = np.prod([e.size - 1 for e in edges])
    if places > MOST_CELLS:
        raise GeometryError(
            f"a solid grid of this assembly has {places:.2g} places, more than {MOST_CELLS:.0e}: parts of very "
            'different size, or many of them; choose fidelity = "section" or "network"',
            part="",
        )
    x, y, z = edges
    return x, y, z


def add_solid(
    graph: Graph,
    model: ThermalModel,
    materials: list[int],
    contacts: tuple[int, ...],
    fineness: int,
    expose: Expose,
    walls: int,
) -> SolidCells:
    """Add every body to the graph; `expose(body, cells, area, shape, walls)` takes the open faces.

    Raises
    ------
    GeometryError   a body vanishes on the grid
    """
    placement = model.placement
    assert placement is not None
    edges = grid_edges(placement, fineness)
    shape = tuple(e.size - 1 for e in edges)
    bodies = tuple(_cut(model, i, edges) for i in range(len(model.bodies)))
    fold = float(2 ** sum(placement.symmetric))
    cells = []
    for body, material, b in zip(bodies, materials, model.bodies, strict=True):
        scale = b.volume / (fold * body.volume.sum())
        own = graph.cells(body.volume * fold * scale, material)
        graph.faces(own[body.a], own[body.b], body.area * fold, body.shape_a * fold, body.shape_b * fold)
        cells.append(own)
    open_flat = [b.flat_area.copy() for b in bodies]
    open_round = [b.round_area.copy() for b in bodies]
    faces = _contacts(graph, model, contacts, bodies, cells, shape, fold, open_flat, open_round)
    _hide_planes_of_symmetry(placement, edges, bodies, open_flat)
    if model.shade:
        _expose_patches(graph, model, edges, bodies, cells, fold, open_flat, open_round, expose, walls)
    else:
        _expose_all(model, bodies, cells, open_flat, open_round, expose, walls)
    return SolidCells(tuple(cells), faces, edges, bodies)


def _cut(model: ThermalModel, i: int, edges: tuple[FloatArray, ...]) -> CutBody:
    assert model.placement is not None
    try:
        return cut(model.placement.bodies[i], edges)
    except ProblemError as error:
        name = model.bodies[i].name
        raise GeometryError(
            f'"{name}" vanishes on the grid: it is too thin beside the whole assembly; choose fidelity = "section" '
            'or "network"',
            part=name,
        ) from error


def _contacts(  # type: ignore[no-untyped-def]
    graph, model, contacts, bodies, cells, shape, fold, open_flat, open_round
) -> tuple[IntArray, ...]:
    """Faces of every joint; what touches, with a joint or without one, is no longer open."""
    declared = {tuple(sorted(c.bodies)): n for n, c in enumerate(model.contacts)}
    faces: dict[int, IntArray] = {}
    for j in range(len(bodies)):
        for i in range(j):
            flat, curved = touching(bodies[i], bodies[j], shape)
            for t, open_area in ((flat, open_flat), (curved, open_round)):
                open_area[i][t.one] -= t.area
                open_area[j][t.other] -= t.area
            n = declared.get((i, j))
            if n is None:
                continue
            a, b, A, sa, sb = _joint_faces(bodies[i], bodies[j], flat, curved)
            scale = model.contacts[n].area / A.sum()  # holds the fold of a symmetric assembly, too
            faces[n] = graph.faces(cells[i][a], cells[j][b], A * scale, sa * scale, sb * scale, contacts[n])
    return tuple(faces[n] for n in range(len(model.contacts)))


def _joint_faces(one: CutBody, other: CutBody, flat: Touching, curved: Touching) -> tuple[NDArray[np.generic], ...]:
    """Cells on both sides, area and shape factors of what two bodies share."""
    shared_one, shared_other = flat.area / one.flat_area[flat.one], flat.area / other.flat_area[flat.other]
    round_one, round_other = curved.area / one.round_area[curved.one], curved.area / other.round_area[curved.other]
    return (
        np.concatenate([one.flat_cell[flat.one], one.round_cell[curved.one]]),
        np.concatenate([other.flat_cell[flat.other], other.round_cell[curved.other]]),
        np.concatenate([flat.area, curved.area]),
        np.concatenate([one.flat_shape[flat.one] * shared_one, one.round_shape[curved.one] * round_one]),
        np.concatenate([other.flat_shape[flat.other] * shared_other, other.round_shape[curved.other] * round_other]),
    )


def _hide_planes_of_symmetry(
    placement: Placement, edges: tuple[FloatArray, ...], bodies: tuple[CutBody, ...], open_flat: list[FloatArray]
) -> None:
    """A plane of symmetry is no surface."""
    for body, flat in zip(bodies, open_flat, strict=True):
        for axis, symmetric in enumerate(placement.symmetric):
            if symmetric:
                low = (body.flat_axis == axis) & (body.flat_side == 0)
                flat[low & (edges[axis][body.place[body.flat_cell, axis]] < 1e-12)] = 0.0


def _open_faces(
    body: CutBody, flat: FloatArray, curved: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray, NDArray[np.bool_], NDArray[np.bool_]]:
    """Cell, area and shape factor of the faces of a body that are still open, and which of its faces they are."""
    at, on = flat > 1e-6 * body.flat_area, curved > 1e-6 * body.round_area
    shape = np.concatenate(
        [body.flat_shape[at] * flat[at] / body.flat_area[at], body.round_shape[on] * curved[on] / body.round_area[on]]
    )
    cell = np.concatenate([body.flat_cell[at], body.round_cell[on]])
    return cell, np.concatenate([flat[at], curved[on]]), shape, at, on


def _expose_all(
    model: ThermalModel,
    bodies: tuple[CutBody, ...],
    cells: list[IntArray],
    open_flat: list[FloatArray],
    open_round: list[FloatArray],
    expose: Expose,
    walls: int,
) -> None:
    """Every open face sees the chamber; areas scaled to the exact exposed area of each body."""
    for i, (body, own) in enumerate(zip(bodies, cells, strict=True)):
        cell, area, shape, _, _ = _open_faces(body, open_flat[i], open_round[i])
        if area.size and model.bodies[i].exposed_area > 0.0:
            scale = model.bodies[i].exposed_area / area.sum()
            expose(i, own[cell], area * scale, shape * scale, walls)


def _expose_patches(
    graph: Graph,
    model: ThermalModel,
    edges: tuple[FloatArray, ...],
    bodies: tuple[CutBody, ...],
    cells: list[IntArray],
    fold: float,
    open_flat: list[FloatArray],
    open_round: list[FloatArray],
    expose: Expose,
    walls: int,
) -> None:
    """Open faces see each other and the chamber, by patches; their areas are those of the geometry."""
    assert model.placement is not None
    chamber = model.surroundings.chamber
    side = None if chamber is None else float(np.sqrt(chamber.wall_area / 6.0))
    sight = find_sight(model.placement, edges, bodies, open_flat, open_round, side)
    env = graph.exchange(sight.view_factors, walls, 1.0 if chamber is None else chamber.wall_emissivity)
    for i, (body, own) in enumerate(zip(bodies, cells, strict=True)):
        cell, area, shape, at, on = _open_faces(body, open_flat[i], open_round[i])
        patch = np.concatenate([sight.flat[i][at], sight.curved[i][on]])
        for p in np.unique(patch):
            mine = patch == p
            expose(i, own[cell[mine]], area[mine] * fold, shape[mine] * fold, int(env[p]))
