"""Blocks and round parts on one rectilinear grid, by the fractions of cells and faces that they fill.

A body is a pile of layers along one axis, each with a cross-section: a rectangle or a disc, less discs. Cells
that its outline cuts keep their true volume, and faces their true open part, so that mass, surface and contact
area converge with the grid. A staircase would not: its side of a round boss is 4/pi too large on every grid.
Curved surface lies inside cut cells; its area follows from what the cell's faces leave open (closed surfaces).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .arrays import FloatArray, IntArray
from .errors import ProblemError
from .mesh import Columns
from .sections import Body, Disc, Section, cross_section

SLIVER = 1e-5
"""Cells filled less than this are left out. A sliver may be as long as its cell, and its surface as large as a
cell's: with a limit of a thousandth a thin sleeve lost a hundredth of its side on some grids."""
NO_CELL = "a body has no cell on the grid: it is thinner than the grid, or lies outside it"


@dataclass(frozen=True, slots=True)
class CutBody:
    """A body on the grid.

    place : int64[n, 3]                 grid place of each cell
    volume, place_volume : float64[n]   of each cell and of the whole place it lies in [m3]
    a, b : int64[m], area, shape_a, shape_b : float64[m]     faces between its own cells [m2], [m]
    axis : int64[m]
    flat_cell, flat_axis, flat_side : int64[f], flat_area, flat_shape : float64[f]   open faces on the grid's planes;
        side 0 = low, 1 = high
    round_cell : int64[r], round_area : float64[r]      curved surface, and the cut cell that it lies in [m2]
    round_owner : int64[r], round_shape : float64[r]    the cell that it heats, and the shape factor from the middle of
        that cell's place: where the middle lies outside the body, the surface is that of the cell behind
    round_normal : float64[r, 3]        outward unit normal
    round_circle : float64[r, 4]        axis, u, v and radius of the circle that the surface belongs to
    """

    place: IntArray
    volume: FloatArray
    place_volume: FloatArray
    a: IntArray
    b: IntArray
    area: FloatArray
    shape_a: FloatArray
    shape_b: FloatArray
    axis: IntArray
    flat_cell: IntArray
    flat_axis: IntArray
    flat_side: IntArray
    flat_area: FloatArray
    flat_shape: FloatArray
    round_cell: IntArray
    round_area: FloatArray
    round_owner: IntArray
    round_shape: FloatArray
    round_normal: FloatArray
    round_circle: FloatArray


def cut(body: Body, edges: Sequence[FloatArray]) -> CutBody:
    """A body on the grid with these edges along x, y and z [m].

    Raises
    ------
    ProblemError    the body has no cell: it lies off the grid, or vanishes on it
    """
    axis = body.axis
    order = (axis, (axis + 1) % 3, (axis + 2) % 3)
    windows = [_window(np.asarray(edges[i], float), *span) for i, span in zip(order, _spans(body), strict=True)]
    w, u, v = (edges_of for _, edges_of in windows)
    middle = 0.5 * (w[1:] + w[:-1])
    which = np.array([next((n for n, s in enumerate(body.layers) if s.low < m < s.high), -1) for m in middle])
    sections = [cross_section(layer, u, v) for layer in body.layers]
    filled = np.zeros((w.size - 1, u.size - 1, v.size - 1))
    for n, section in enumerate(sections):
        filled[which == n] = section.area
    cell_area = np.diff(u)[:, None] * np.diff(v)[None, :]
    filled[filled < SLIVER * cell_area] = 0.0
    number = np.full(filled.shape, -1)
    number[filled > 0.0] = np.arange(int((filled > 0.0).sum()))
    if not (number >= 0).any():
        raise ProblemError(NO_CELL)
    middles = 0.5 * (u[1:] + u[:-1]), 0.5 * (v[1:] + v[:-1])
    parts = _Parts(np.diff(w), np.diff(u), np.diff(v), *middles, filled, number, which, sections)
    place = (np.argwhere(number >= 0) + np.array([first for first, _ in windows], np.int64))[:, np.argsort(order)]
    inner, flat, curved = parts.inner(), parts.flat(), parts.curved()
    owner, shape = parts.felt(*curved)
    turn = np.array(order)
    normal = np.zeros((curved[0].size, 3))
    normal[:, turn[1]], normal[:, turn[2]] = curved[2], curved[3]
    return CutBody(
        place,
        (filled * np.diff(w)[:, None, None])[number >= 0],
        np.broadcast_to(cell_area * np.diff(w)[:, None, None], filled.shape)[number >= 0],
        inner[0],
        inner[1],
        inner[2],
        inner[3],
        inner[4],
        turn[inner[5]],
        flat[0],
        turn[flat[1]],
        flat[2],
        flat[3],
        flat[4],
        curved[0],
        curved[1],
        owner,
        shape,
        normal,
        np.column_stack([np.full(curved[0].size, float(axis)), *curved[4:]]),
    )


def _spans(body: Body) -> list[tuple[float, float]]:
    """Lowest and highest place of a body along its axis and the two after it [m]."""
    outlines = [layer.outline for layer in body.layers]
    u = [(o.u - o.radius, o.u + o.radius) if isinstance(o, Disc) else (o.u0, o.u1) for o in outlines]
    v = [(o.v - o.radius, o.v + o.radius) if isinstance(o, Disc) else (o.v0, o.v1) for o in outlines]
    w = [(layer.low, layer.high) for layer in body.layers]
    return [(min(low for low, _ in x), max(high for _, high in x)) for x in (w, u, v)]


def _window(edges: FloatArray, low: float, high: float) -> tuple[int, FloatArray]:
    """The edges round a span, with a cell more on either side where there is one, and the number of the first."""
    first = max(int(np.searchsorted(edges, low, "right")) - 2, 0)
    last = int(np.searchsorted(edges, high, "left")) + 2
    if edges[first:last].size < 2:
        raise ProblemError(NO_CELL)
    return first, edges[first:last]


@dataclass(frozen=True, slots=True)
class _Parts:
    """A body being taken apart: layers along w, cross-sections in u and v, whose cells have their middles there."""

    dw: FloatArray
    du: FloatArray
    dv: FloatArray
    u: FloatArray
    v: FloatArray
    filled: FloatArray
    number: IntArray
    which: IntArray
    sections: list[Section]

    def inner(self) -> Columns:
        """Faces between own cells: a, b, area, shape_a, shape_b, axis of (w, u, v)."""
        through = np.minimum(self.filled[:-1], self.filled[1:])
        found = [self._between(through, self.number[:-1], self.number[1:], self.dw[:, None, None], 0)]
        across_u, across_v = self._lines()
        found.append(
            self._between(across_u[:, 1:-1], self.number[:, :-1], self.number[:, 1:], self.du[None, :, None], 1)
        )
        found.append(
            self._between(
                across_v[:, :, 1:-1], self.number[:, :, :-1], self.number[:, :, 1:], self.dv[None, None, :], 2
            )
        )
        return tuple(np.concatenate(column) for column in zip(*found, strict=True))

    def _lines(self) -> tuple[FloatArray, FloatArray]:
        """Open area of every plane between cells across u and across v, layer by layer."""
        nw, nu, nv = self.filled.shape
        across_u, across_v = np.zeros((nw, nu + 1, nv)), np.zeros((nw, nu, nv + 1))
        for n, section in enumerate(self.sections):
            at = self.which == n
            across_u[at] = section.across_u
            across_v[at] = section.across_v
        return across_u * self.dw[:, None, None], across_v * self.dw[:, None, None]

    def _between(self, area: FloatArray, low: IntArray, high: IntArray, width: FloatArray, axis: int) -> Columns:
        at = (area > 0.0) & (low >= 0) & (high >= 0)
        size = np.broadcast_to(width, self.filled.shape)
        cut_low = tuple(slice(0, -1) if i == axis else slice(None) for i in range(3))
        cut_high = tuple(slice(1, None) if i == axis else slice(None) for i in range(3))
        return (
            low[at],
            high[at],
            area[at],
            area[at] / (0.5 * size[cut_low][at]),
            area[at] / (0.5 * size[cut_high][at]),
            np.full(int(at.sum()), axis),
        )

    def flat(self) -> Columns:
        """Open faces on planes of the grid: cell, axis of (w, u, v), side, area, shape."""
        padded = np.pad(self.filled, ((1, 1), (0, 0), (0, 0)))
        through = np.minimum(padded[:-1], padded[1:])
        found = []
        for side in (0, 1):
            area = np.maximum(self.filled - (through[:-1] if side == 0 else through[1:]), 0.0)
            area[area < SLIVER * self.filled] = 0.0
            found.append(self._open(area, self.dw[:, None, None], 0, side))
            found.extend(self._open_sides(side))
        return tuple(np.concatenate(column) for column in zip(*found, strict=True))

    def _open_sides(self, side: int) -> list[Columns]:
        """Where a rectangle ends on a grid line and nothing of the body lies beyond."""
        nw, nu, nv = self.filled.shape
        open_u, open_v = np.zeros((nw, nu, nv)), np.zeros((nw, nu, nv))
        beyond = slice(None, -1) if side == 0 else slice(1, None)
        for n, section in enumerate(self.sections):
            at = self.which == n
            open_u[at] = section.ends_u[beyond]
            open_v[at] = section.ends_v[:, beyond]
        dw = self.dw[:, None, None]
        solid = self.number >= 0
        return [
            self._open(open_u * dw * solid, self.du[None, :, None], 1, side),
            self._open(open_v * dw * solid, self.dv[None, None, :], 2, side),
        ]

    def _open(self, area: FloatArray, width: FloatArray, axis: int, side: int) -> Columns:
        at = area > 0.0
        size = np.broadcast_to(width, area.shape)
        count = int(at.sum())
        return (
            self.number[at],
            np.full(count, axis),
            np.full(count, side),
            area[at],
            area[at] / (0.5 * size[at]),
        )

    def curved(self) -> Columns:
        """Curved surface: cell, area, normal along u and v, and centre and radius of its circle."""
        found: list[Columns] = []
        dw = np.broadcast_to(self.dw[:, None, None], self.filled.shape)
        for n, section in enumerate(self.sections):
            for disc, length, nu, nv in section.curved:
                at = (self.which == n)[:, None, None] & (length > 0.0)[None] & (self.number >= 0)
                area = (np.broadcast_to(length, self.filled.shape) * dw)[at]
                normals = (np.broadcast_to(x, self.filled.shape)[at] for x in (nu, nv))
                circle = (np.full(area.size, x) for x in (disc.u, disc.v, disc.radius))
                found.append((self.number[at], area, *normals, *circle))
        if not found:
            none = np.zeros(0)
            return none.astype(np.int64), *(none,) * 6
        return tuple(np.concatenate(column) for column in zip(*found, strict=True))

    def felt(
        self,
        cell: IntArray,
        area: FloatArray,
        nu: FloatArray,
        nv: FloatArray,
        at_u: FloatArray,
        at_v: FloatArray,
        radius: FloatArray,
    ) -> tuple[IntArray, FloatArray]:
        """Cell that each piece of curved surface heats, and its shape factor from there [m].

        Where a circle touches a line of the grid, the middles of its cut cells all lie on one side of it: taken for
        points of the surface, they made the body too warm by h^1.5. Neither may the way to them be negative, so that
        where the middle lies outside, the surface is given to the cell behind.
        """
        layer, i, j = np.argwhere(self.number >= 0)[cell].T
        x, y = self.u[i] - at_u, self.v[j] - at_v
        depth = np.sign(nu * x + nv * y) * (radius - np.hypot(x, y))
        along_u = abs(nu) >= abs(nv)
        behind_i = np.clip(i - np.where(along_u, np.sign(nu), 0.0).astype(int), 0, self.u.size - 1)
        behind_j = np.clip(j - np.where(along_u, 0.0, np.sign(nv)).astype(int), 0, self.v.size - 1)
        behind = self.number[layer, behind_i, behind_j]
        way = abs((self.u[i] - self.u[behind_i]) * nu + (self.v[j] - self.v[behind_j]) * nv)
        outside = (depth < 0.0) & (behind >= 0) & (way > 0.0)
        owner = np.where(outside, behind, cell)
        depth = np.where(outside, depth + way, depth)
        volume = (self.filled * self.dw[:, None, None])[self.number >= 0]
        depth = np.minimum(depth, volume[owner] / area)  # a wall thinner than its cell is no deeper than thick
        with np.errstate(divide="ignore"):
            return owner, np.where(depth > 0.0, area / np.maximum(depth, 1e-300), np.inf)
