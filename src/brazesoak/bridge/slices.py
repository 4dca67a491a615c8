"""Planes through a solid for pictures: one through the middle of each joint. Lengths in metres."""

from __future__ import annotations

import numpy as np

from ..thermal.model import ThermalModel
from .cells import Grid
from .solid import SolidCells


def slices(solid: SolidCells, model: ThermalModel) -> tuple[Grid, ...]:
    """For each joint the plane across y through its middle; through the middle of all where that is a plane of
    symmetry."""
    found: dict[int, Grid] = {}
    layers = [_layer(solid, min(c.bodies), max(c.bodies)) for c in model.contacts]
    for layer in layers:
        if layer not in found:
            found[layer] = _slice(solid, layer)
    return tuple(found[layer] for layer in layers)


def _layer(solid: SolidCells, i: int, j: int) -> int:
    """The layer of cells across y in which the middle of what two bodies share lies."""
    y, body = solid.geometry.edges[1], solid.geometry.bodies[i]
    if y[0] == 0.0:
        return 0
    flat, curved = solid.geometry.touches[i, j]
    cells = np.concatenate([body.flat_cell[flat.one], body.round_cell[curved.one]])
    reached = body.place[cells, 1]
    middle = 0.5 * (y[reached.min()] + y[reached.max() + 1])
    return int(np.searchsorted(y, middle, side="right")) - 1


def _slice(solid: SolidCells, layer: int) -> Grid:
    """The plane across y through a layer of cells."""
    x, _, z = solid.geometry.edges
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
