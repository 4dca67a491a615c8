"""Thin walls beside bores: how fine the grid that the rays cross must be where they are. Lengths in metres.

Flat walls end on planes of the grid and are exact on any; a wall between two circles, or between a bore and a side,
runs aslant through the cells, and lets rays through where they are wider than it.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from brazesoak_solvers.sections import Body, Disc, Layer, Rectangle

CELLS_IN_WALL = 1.5
"""Cells across a wall at least: a cell half full counts as full, so no ray slips through along its diagonal."""


def finest_cells(bodies: tuple[Body, ...]) -> tuple[list[tuple[float, float, float]], ...]:
    """For each axis, stretches (low, high) with thin walls and the widest cell that they bear."""
    found: tuple[list[tuple[float, float, float]], ...] = ([], [], [])
    for body in bodies:
        for layer in body.layers:
            for middle, reach, wall in _walls(layer):
                size = max(wall, 1e-6) / CELLS_IN_WALL
                for way, at in zip((1, 2), middle, strict=True):
                    found[(body.axis + way) % 3].append((at - reach, at + reach, size))
    return found


def _walls(layer: Layer) -> list[tuple[tuple[float, float], float, float]]:
    """Middle and half width of the stretch that each wall beside a hole lies in, and its thickness."""
    walls = []
    for hole in layer.holes:
        out = layer.outline
        if isinstance(out, Disc):
            thickness = out.radius - hole.radius - float(np.hypot(hole.u - out.u, hole.v - out.v))
            walls.append(((out.u, out.v), out.radius, thickness))
        else:
            thickness = _to_side(hole, out)
            walls.append(((hole.u, hole.v), hole.radius + thickness, thickness))
    for one, other in combinations(layer.holes, 2):
        thickness = float(np.hypot(one.u - other.u, one.v - other.v)) - one.radius - other.radius
        middle = (0.5 * (one.u + other.u), 0.5 * (one.v + other.v))
        walls.append((middle, thickness + one.radius + other.radius, thickness))
    return walls


def _to_side(hole: Disc, outline: Rectangle) -> float:
    """Least distance from a hole to a side of a rectangle."""
    return min(hole.u - outline.u0, outline.u1 - hole.u, hole.v - outline.v0, outline.v1 - hole.v) - hole.radius
