"""The bridge in three dimensions: bodies on their grid become cells of the graph, and joints between them.

Only declared joints conduct; other touching faces neither conduct nor see the furnace.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers import Graph
from brazesoak_solvers.cutcells import CutBody
from brazesoak_solvers.touching import Touching

from ..errors import GeometryError
from ..thermal.model import ThermalModel
from .cells import Expose, FloatArray, IntArray, OnGrid
from .furnace_cells import Furnace
from .placement import Placement
from .sight import WANTED, Sight, find_sight
from .solid_grid import Geometry, geometry

SHOWN = 0.97
"""Share of every part's surface that the grid of the rays must show: thinner walls are transparent to them."""
GRIDS_AND_RAYS = ((2, 16_384), (6, 32_768), (6, 131_072), (3, 65_536), (1, 16_384))
"""Until the view factors are sure: how many times as fine as the cells the grid of the rays is, and how many rays each
patch sends. What does not fit in memory is left out, and the last is for where nothing else fits."""


@dataclass(frozen=True, slots=True)
class SolidCells:
    """Cells of each body, faces of each joint, their geometry, what the grid has, and what they see if shaded."""

    cells: tuple[IntArray, ...]
    faces: tuple[IntArray, ...]
    geometry: Geometry
    on_grid: OnGrid
    sight: Sight | None


@lru_cache(maxsize=8)
def _sight(placement: Placement, fineness: int, chamber_side: float | None) -> Sight:
    """What the patches see, by rays through a grid fine enough to hold every wall and, where that can be, to be exact.

    Rays are seldom what is wanting: beside a round part it is the grid, whose steps stand for the curve.

    Raises
    ------
    GeometryError   a wall is too thin for any grid that fits in memory
    """
    g = geometry(placement, fineness)
    best: Sight | None = None
    tried = 0
    for finer, rays in GRIDS_AND_RAYS:
        if finer < tried:
            break
        try:
            room = geometry(placement, finer * fineness, for_rays=True)
        except GeometryError:
            continue
        tried, grid = finer, (room.edges, room.bodies)
        sight = find_sight(placement, g.edges, g.bodies, g.open_flat, g.open_round, chamber_side, grid, rays)
        if sight.shown >= SHOWN and (best is None or sight.error < best.error):
            best = sight
        if best is not None and best.error <= WANTED:
            break
    if best is not None:
        return best
    raise GeometryError(
        "a wall is so thin beside the whole assembly that radiation between the parts cannot be computed in three "
        'dimensions; choose fidelity = "section" or "network"',
        part="",
    )


def add_solid(
    graph: Graph,
    model: ThermalModel,
    materials: list[int],
    contacts: tuple[int, ...],
    fineness: int,
    expose: Expose,
    furnace: Furnace,
) -> SolidCells:
    """Add every body to the graph; `expose(body, cells, area, shape, walls)` takes the open faces.

    Raises
    ------
    GeometryError   see `geometry`
    """
    assert model.placement is not None
    g = geometry(model.placement, fineness)
    cells, volumes = [], []
    for body, material, b in zip(g.bodies, materials, model.bodies, strict=True):
        volume = float(body.volume.sum())
        full = b.volume / volume  # holds the fold of a symmetric assembly, too
        own = graph.cells(body.volume * full, material)
        graph.faces(own[body.a], own[body.b], body.area * g.fold, body.shape_a * g.fold, body.shape_b * g.fold)
        cells.append(own)
        volumes.append((volume * g.fold, b.volume))
    faces, joined = _join(graph, model, contacts, g, cells)
    if model.shade:
        sight: Sight | None = _expose_patches(graph, model, g, fineness, cells, expose, furnace)
    else:
        sight = None
        _expose_all(model, g, cells, expose, furnace.walls)
    exposed = tuple(
        (g.fold * float(flat.sum() + curved.sum()), b.exposed_area)
        for flat, curved, b in zip(g.open_flat, g.open_round, model.bodies, strict=True)
    )
    on_grid = OnGrid(tuple(volumes), exposed, tuple(joined), model.shade)
    return SolidCells(tuple(cells), faces, g, on_grid, sight)


def _join(
    graph: Graph, model: ThermalModel, contacts: tuple[int, ...], g: Geometry, cells: list[IntArray]
) -> tuple[tuple[IntArray, ...], list[tuple[float, float]]]:
    """Faces through the declared joints, and the area of each by the grid and of the parts."""
    faces, areas = [], []
    for contact, number in zip(model.contacts, contacts, strict=True):
        i, j = sorted(contact.bodies)
        one, other, area, shape_one, shape_other = _joint_faces(g.bodies[i], g.bodies[j], *g.touches[i, j])
        if area.size == 0:
            names = [model.bodies[n].name for n in contact.bodies]
            raise GeometryError(
                f'"{names[0]}" and "{names[1]}" do not touch where the joints put them; check sizes and depth, or give '
                'every segment its place with "at"',
                part=contact.name,
            )
        scale = contact.area / float(area.sum())
        ends = cells[i][one], cells[j][other]
        faces.append(graph.faces(*ends, area * scale, shape_one * scale, shape_other * scale, number))
        areas.append((float(area.sum()) * g.fold, contact.area))
    return tuple(faces), areas


def _joint_faces(
    one: CutBody, other: CutBody, flat: Touching, curved: Touching
) -> tuple[IntArray, IntArray, FloatArray, FloatArray, FloatArray]:
    """Cells on both sides, area and shape factors of what two bodies share."""
    # Cells on both sides of a curved joint lie in one place: the ways d from its middle to the surface cancel where
    # both metals conduct alike. Else d (1/k - 1/k') is lost of a resistance, small beside that of the joint.
    parts = []
    for body, f, c in ((one, flat.one, curved.one), (other, flat.other, curved.other)):
        cell = np.concatenate([body.flat_cell[f], body.round_cell[c]])
        per_area = np.concatenate([body.flat_shape[f] / body.flat_area[f], np.full(c.size, np.inf)])
        parts.append((cell, per_area))
    area = np.concatenate([flat.area, curved.area])
    return parts[0][0], parts[1][0], area, parts[0][1] * area, parts[1][1] * area


def _open_faces(g: Geometry, i: int) -> tuple[IntArray, FloatArray, FloatArray, IntArray, IntArray]:
    """Cell, area and shape factor of the open faces of a body, and the numbers of its flat and its curved ones."""
    body, flat, curved = g.bodies[i], g.open_flat[i], g.open_round[i]
    at, on = np.flatnonzero(flat > 0.0), np.flatnonzero(curved > 0.0)
    cell = np.concatenate([body.flat_cell[at], body.round_owner[on]])
    area = np.concatenate([flat[at], curved[on]])
    per_area = np.concatenate([body.flat_shape[at] / body.flat_area[at], body.round_shape[on] / body.round_area[on]])
    return cell, area, per_area * area, at, on


def _down(g: Geometry, i: int, at: IntArray, curved: int) -> NDArray[np.bool_]:
    """Which of the open faces of a body, flat ones `at` and then some curved ones, look down at the lowest level."""
    body, z = g.bodies[i], g.edges[2]
    floor = min(int(b.place[:, 2].min()) for b in g.bodies)
    height = body.place[body.flat_cell[at], 2]
    down = (body.flat_axis[at] == 2) & (body.flat_side[at] == 0) & (z[height] < z[floor] + 1e-9)
    return np.concatenate([down, np.zeros(curved, bool)])


def _side(g: Geometry, i: int, at: IntArray, on: IntArray) -> NDArray[np.bool_]:
    """Which of the open faces of a body, flat ones `at` and then curved ones `on`, look sideways from it, not into a
    bore."""
    body = g.bodies[i]
    normal, circle = body.round_normal[on], body.round_circle[on]
    place = body.place[body.round_cell[on]]
    outwards = np.zeros(on.size)
    for axis, edge in enumerate(g.edges):
        middle = 0.5 * (edge[1:] + edge[:-1])[place[:, axis]]
        for k in (1, 2):
            mine = (circle[:, 0].astype(int) + k) % 3 == axis
            outwards += np.where(mine, normal[:, axis] * (middle - circle[:, k]), 0.0)
    steep = abs(normal[:, 2]) < np.sqrt(0.5)
    return np.concatenate([body.flat_axis[at] != 2, steep & (outwards > 0.0)])


def _expose_all(model: ThermalModel, g: Geometry, cells: list[IntArray], expose: Expose, walls: int) -> None:
    """Every open face sees the chamber; areas scaled to the exact exposed area of each body."""
    for i, own in enumerate(cells):
        cell, area, shape, at, on = _open_faces(g, i)
        if area.size and model.bodies[i].exposed_area > 0.0:
            scale = model.bodies[i].exposed_area / float(area.sum())
            expose(i, own[cell], area * scale, shape * scale, walls, _down(g, i, at, on.size), _side(g, i, at, on))


def _expose_patches(
    graph: Graph,
    model: ThermalModel,
    g: Geometry,
    fineness: int,
    cells: list[IntArray],
    expose: Expose,
    furnace: Furnace,
) -> Sight:
    """Open faces see each other and the chamber, by patches, with the geometry's areas; returns what they see."""
    assert model.placement is not None
    chamber = model.surroundings.chamber
    side = None if chamber is None else float(np.sqrt(chamber.wall_area / (6.0 * model.copies)))  # each has its share
    sight = _sight(model.placement, fineness, side)
    # The furnace's enclosure is referred to all that is open; of hollow parts the walls see less.
    share = sight.to_walls / sum(b.exposed_area for b in model.bodies)
    env = graph.exchange(sight.view_factors, furnace.walls, furnace.enclosure * share)
    for i, own in enumerate(cells):
        cell, area, shape, at, on = _open_faces(g, i)
        patch = np.concatenate([sight.flat[i][at], sight.curved[i][on]])
        down, beside = _down(g, i, at, on.size), _side(g, i, at, on)
        for p in np.unique(patch):
            mine = patch == p
            some, full, inner = own[cell[mine]], area[mine] * g.fold, shape[mine] * g.fold
            expose(i, some, full, inner, int(env[p]), down[mine], beside[mine])
    return sight
