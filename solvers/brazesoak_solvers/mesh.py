"""Structured grids in one, two or three dimensions as cells and faces.

One builder serves every geometry: a grid is a product of intervals along its axes, and a coordinate system
says what volume, face area and conduction shape factor an interval has. A shape factor is the conductance of
a half cell per conductivity [m]: area over distance for a flat layer, with a logarithm for a hollow cylinder,
so that steady radial conduction is exact on every grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from .arrays import FloatArray, IntArray
from .errors import ProblemError

Columns = tuple[Any, ...]
"""Arrays of one length, some of floats and some of whole numbers."""

SYSTEMS = {
    "plane": ("x", "y"),
    "cylinder": ("r",),
    "sphere": ("r",),
    "axisymmetric": ("r", "z"),
    "cartesian": ("x", "y", "z"),
}
"""Coordinate systems and their axes; ``plane`` takes one or two."""


@dataclass(frozen=True, slots=True)
class Faces:
    """Faces between two cells.

    cell_a, cell_b : int64[n]      cells on the low and the high side
    area : float64[n]              [m2]
    shape_a, shape_b : float64[n]  shape factor from cell centre to face [m]; infinite for a lumped cell
    axis : int64[n]                number of the axis that the face is normal to
    """

    cell_a: IntArray
    cell_b: IntArray
    area: FloatArray
    shape_a: FloatArray
    shape_b: FloatArray
    axis: IntArray


@dataclass(frozen=True, slots=True)
class OuterFaces:
    """Faces between a cell and the outside, or a hole.

    cell : int64[n];  area : float64[n] [m2];  shape : float64[n] [m]
    axis : int64[n], side : int64[n]   0 = low side of the cell, 1 = high side
    centre : float64[n, n_axis]        centre of the face [m]
    """

    cell: IntArray
    area: FloatArray
    shape: FloatArray
    axis: IntArray
    side: IntArray
    centre: FloatArray


@dataclass(frozen=True, slots=True)
class Mesh:
    """Cells of a structured grid, holes left out, numbered along the last axis first.

    number : int64[n_0, n_1, ...]   cell of each place of the grid, -1 for a hole
    region : int64[n_cell]          label given by the caller
    volume : float64[n_cell]        [m3]
    centre : float64[n_cell, n_axis]  middle of the cell [m]
    """

    number: IntArray
    region: IntArray
    volume: FloatArray
    centre: FloatArray
    faces: Faces
    outer: OuterFaces


def _flat_axis(edges: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Volume, area at each edge, and shape factors to the low and high edge, all per unit across."""
    width = np.diff(edges)
    return width, np.ones_like(edges), 2.0 / width, 2.0 / width


def _round_axis(edges: FloatArray, power: int) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """As `_flat_axis` for the radius of a cylinder per radian and metre (power 1) or a sphere per steradian (2)."""
    low, high = edges[:-1], edges[1:]
    middle = 0.5 * (low + high)
    volume = (high ** (power + 1) - low ** (power + 1)) / (power + 1)
    if low[0] == 0.0:
        # Round an axis the exact steady rule is the worse one: it is singular there, and heat comes from within.
        half = 0.5 * (high - low)
        return volume, edges**power, low**power / half, high**power / half
    if power == 1:
        return volume, edges, 1.0 / np.log(middle / low), 1.0 / np.log(high / middle)
    return volume, edges**2, 1.0 / (1.0 / low - 1.0 / middle), 1.0 / (1.0 / middle - 1.0 / high)


def _axes(edges: Sequence[FloatArray], system: str) -> tuple[list[tuple[FloatArray, ...]], float]:
    """Metrics of every axis and the factor of the directions that the grid does not resolve."""
    if system == "plane" or system == "cartesian":
        return [_flat_axis(e) for e in edges], 1.0
    power = 2 if system == "sphere" else 1
    factor = 4.0 * np.pi if system == "sphere" else 2.0 * np.pi
    return [_round_axis(edges[0], power), *(_flat_axis(e) for e in edges[1:])], factor


def structured(
    edges: Sequence[FloatArray],
    system: str,
    region: IntArray | None = None,
    depth: float | FloatArray = 1.0,
) -> Mesh:
    """A grid of cells between `edges`.

    Parameters
    ----------
    edges : (float64[n_0 + 1], ...)   edges along each axis [m], strictly increasing, one array an axis
    system : str                      a key of `SYSTEMS`
    region : int64[n_0, ...] or None  label of each place; negative for a hole; None: all 0
    depth : float or float64[n_0, ...]   extent across the grid [m]: height of a cylinder, depth of a 2-D
        plane, cross-section [m2] of a 1-D plane; 1 for the systems that fill space. Given by place, a
        face between two places has the smaller depth of the two.

    Raises
    ------
    ProblemError    wrong number of axes, edges that do not increase, a negative radius, no cell at all
    """
    edges = [np.asarray(e, float) for e in edges]
    _check(edges, system)
    shape = tuple(e.size - 1 for e in edges)
    region = np.zeros(shape, np.int64) if region is None else np.asarray(region, np.int64)
    if region.shape != shape:
        raise ProblemError(f"region has shape {region.shape}; the edges ask for {shape}")
    solid = region >= 0
    if not solid.any():
        raise ProblemError("the grid has no cell: every place is a hole")
    number = np.full(shape, -1, np.int64)
    number[solid] = np.arange(int(solid.sum()))
    across = np.broadcast_to(np.asarray(depth, float), shape)
    axes, factor = _axes(edges, system)
    volume = factor * across * _product([a[0] for a in axes], range(len(shape)))
    middle = np.meshgrid(*[0.5 * (e[1:] + e[:-1]) for e in edges], indexing="ij")
    centre = np.stack([m[solid] for m in middle], axis=1)
    inner, outer = _collect(edges, axes, factor, across, number)
    return Mesh(number, region[solid], volume[solid], centre, inner, outer)


def _check(edges: Sequence[FloatArray], system: str) -> None:
    if system not in SYSTEMS:
        raise ProblemError(f'unknown coordinate system "{system}"; one of {", ".join(SYSTEMS)}')
    allowed = (1, 2) if system == "plane" else (len(SYSTEMS[system]),)
    if len(edges) not in allowed:
        raise ProblemError(f"{system} takes {' or '.join(map(str, allowed))} arrays of edges, not {len(edges)}")
    for name, e in zip(SYSTEMS[system], edges, strict=False):
        if e.ndim != 1 or e.size < 2 or not np.all(np.diff(e) > 0.0):
            raise ProblemError(f"edges along {name} must be at least two and strictly increasing")
    if SYSTEMS[system][0] == "r" and edges[0][0] < 0.0:
        raise ProblemError("a radius cannot be negative")


def _product(parts: Sequence[FloatArray], axes: Sequence[int]) -> FloatArray:
    """Outer product of one array an axis, in the order of the axes."""
    result = np.ones((1,) * len(parts))
    for axis, part in zip(axes, parts, strict=True):
        result = result * part.reshape([-1 if i == axis else 1 for i in range(len(parts))])
    return result


def _collect(
    edges: Sequence[FloatArray],
    axes: Sequence[tuple[FloatArray, ...]],
    factor: float,
    across: FloatArray,
    number: IntArray,
) -> tuple[Faces, OuterFaces]:
    inner: list[Columns] = []
    outer: list[Columns] = []
    for axis in range(number.ndim):
        between, outside = _faces_of_axis(axis, edges, axes, factor, across, number)
        inner.append(between)
        outer.extend(outside)
    joined = [np.concatenate(column) for column in zip(*inner, strict=True)]
    open_ = [np.concatenate(column) for column in zip(*outer, strict=True)]
    return Faces(*joined), OuterFaces(*open_)


def _faces_of_axis(
    axis: int,
    edges: Sequence[FloatArray],
    axes: Sequence[tuple[FloatArray, ...]],
    factor: float,
    across: FloatArray,
    number: IntArray,
) -> tuple[Columns, list[Columns]]:
    """Faces normal to one axis: those between two cells, and those on either side that are open."""
    n = number.ndim
    _, edge_area, to_low, to_high = axes[axis]
    # An axis's face lies across the others, whose extent is the width; a radius counts by its volume per length.
    others = _product([np.ones(1) if i == axis else axes[i][0] for i in range(n)], range(n))
    column = [-1 if i == axis else 1 for i in range(n)]
    scale = factor * np.broadcast_to(others, number.shape)
    shape_low, shape_high = scale * to_low.reshape(column), scale * to_high.reshape(column)
    area_low, area_high = scale * edge_area[:-1].reshape(column), scale * edge_area[1:].reshape(column)

    low_side = tuple(slice(None, -1) if i == axis else slice(None) for i in range(n))
    high_side = tuple(slice(1, None) if i == axis else slice(None) for i in range(n))
    a, b = number[low_side], number[high_side]
    depth = np.minimum(across[low_side], across[high_side])
    both = (a >= 0) & (b >= 0)
    between = (
        a[both],
        b[both],
        (area_high[low_side] * depth)[both],
        (shape_high[low_side] * depth)[both],
        (shape_low[high_side] * depth)[both],
        np.full(int(both.sum()), axis),
    )
    outside = []
    for side, area, shape in ((0, area_low, shape_low), (1, area_high, shape_high)):
        covered = np.zeros(number.shape)
        covered[high_side if side == 0 else low_side] = np.where(both, depth, 0.0)
        # A deeper place beside a shallower one is open over the rest of its depth.
        open_depth = np.where(number >= 0, across - covered, 0.0)
        open_depth[open_depth < 1e-12 * across] = 0.0
        at = (open_depth > 0.0) & (area > 0.0)
        middles = [0.5 * (e[1:] + e[:-1]) for e in edges]
        middles[axis] = edges[axis][:-1] if side == 0 else edges[axis][1:]
        centre = np.stack([m[at] for m in np.meshgrid(*middles, indexing="ij")], axis=1)
        count = int(at.sum())
        outside.append(
            (
                number[at],
                (area * open_depth)[at],
                (shape * open_depth)[at],
                np.full(count, axis),
                np.full(count, side),
                centre,
            )
        )
    return between, outside


def graded_edges(
    breaks: Sequence[float] | FloatArray, size: float, smallest: float | None = None, ratio: float = 1.3
) -> FloatArray:
    """Edges through all `breaks`, no wider than `size`, and down to `smallest` beside each break.

    Parameters
    ----------
    breaks : (float, ...)   places that must be edges [m], increasing
    size : float            widest cell [m]
    smallest : float        cell beside a break [m]; None: uniform cells in each interval
    ratio : float           growth from cell to cell away from a break
    """
    edges = [float(breaks[0])]
    for low, high in pairwise(breaks):
        edges.extend(low + (high - low) * _fractions(high - low, size, smallest, ratio)[1:])
    return np.array(edges)


def _fractions(length: float, size: float, smallest: float | None, ratio: float) -> FloatArray:
    """Edges between 0 and 1 of an interval, mirrored about its middle."""
    if smallest is None or smallest >= size:
        return np.linspace(0.0, 1.0, max(1, round(np.ceil(length / size - 1e-9))) + 1)
    widths = []
    width, total = smallest, 0.0
    while total < 0.5 * length:
        widths.append(width)
        total += width
        width = min(width * ratio, size)
    half = np.concatenate([[0.0], np.cumsum(widths)]) * 0.5 / total
    return np.concatenate([half, 1.0 - half[-2::-1]])
