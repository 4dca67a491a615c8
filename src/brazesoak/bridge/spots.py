"""Places on the skin of the load where a thermocouple can be fixed. Part of the bridge; lengths in metres.

A network has one place a body. A section and a solid have a few named ones: beside each joint, on top, on the side, at
the outer edge. What faces downwards or into a bore is left out: it stands on something, or no hand comes to it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from .cells import FloatArray, Grid, IntArray

if TYPE_CHECKING:
    from .solid import SolidCells

_STEEP = 0.7
"""Vertical part of the normal from which a curved face looks up or down."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place that a thermocouple can be fixed to.

    kind : ``anywhere``, ``beside`` (a joint), ``top``, ``side``, ``edge``
    contact : int or None   number of the joint it is beside
    cell : int              of the problem
    """

    body: int
    kind: str
    contact: int | None
    cell: int

    @property
    def key(self) -> tuple[int, str, int | None]:
        """The same place on any grid."""
        return self.body, self.kind, self.contact


@dataclass(frozen=True, slots=True)
class Skin:
    """Open faces that a hand can come to, and where every cell lies.

    body, cell : int64[n];  at : float64[n, 3] middle of each face, z upwards [m];  upwards : bool[n]
    middle : float64[n_cell, 3]     of every cell of the load, by its number less the first [m]
    first : int                     number of the first of these cells
    mirrored : (bool, bool)         whether x = 0 and y = 0 are planes of symmetry, or the axis
    """

    body: IntArray
    cell: IntArray
    at: FloatArray
    upwards: NDArray[np.bool_]
    middle: FloatArray
    first: int
    mirrored: tuple[bool, bool]


def network_spots(cells: tuple[IntArray, ...]) -> tuple[Spot, ...]:
    """One place a body."""
    return tuple(Spot(i, "anywhere", None, int(own[0])) for i, own in enumerate(cells))


def find_spots(
    skin: Skin, contacts: tuple[tuple[int, int], ...], sides: tuple[tuple[IntArray, IntArray], ...]
) -> tuple[Spot, ...]:
    """The named places, by body; on a coarse grid two may be of one cell.

    Parameters
    ----------
    contacts : ((int, int), ...)        bodies of each joint
    sides : ((int64[m], int64[m]), ...) cells on both sides of each joint's faces
    """
    found = []
    for body in range(int(skin.body.max(initial=-1)) + 1):
        own = np.flatnonzero(skin.body == body)
        if not own.size:
            continue
        named = [
            ("beside", n, own[_nearest(skin, own, np.concatenate(sides[n]))])
            for n, pair in enumerate(contacts)
            if body in pair
        ]
        for kind, contact, face in (*named, *_outermost(skin, own)):
            found.append(Spot(body, kind, contact, int(skin.cell[face])))
    return tuple(found)


def _nearest(skin: Skin, own: IntArray, cells: IntArray) -> int:
    """Which of the faces `own` lies nearest to any of these cells."""
    from scipy.spatial import KDTree

    distance, _ = KDTree(skin.middle[cells - skin.first]).query(skin.at[own])
    return int(np.argmin(distance))


def _outermost(skin: Skin, own: IntArray) -> list[tuple[str, None, int]]:
    """Middle of the top, middle of a side, and the place furthest out, of the faces `own` of a body."""
    at = skin.at[own]
    low, high = at.min(axis=0), at.max(axis=0)
    middle = np.where([*skin.mirrored, False], 0.0, 0.5 * (low + high))
    across = np.hypot(*(at[:, :2] - middle[:2]).T)
    off = np.abs(at[:, 2] - middle[2])
    top = skin.upwards[own]
    picks = [
        ("top", np.where(top, across, np.inf)),
        ("side", np.where(top, np.inf, off + 1e-3 * across)),  # of a long side the middle
        ("edge", -(across + 1e-3 * at[:, 2])),
    ]
    return [(kind, None, int(own[np.argmin(far)])) for kind, far in picks if np.isfinite(far).any()]


def section_skin(grid: Grid) -> Skin:
    """Open faces of a section: those to its right and above, next to no body."""
    nx, ny = grid.body.shape
    across = np.zeros(nx) if grid.kind == "stack" else 0.5 * (grid.x_edges[1:] + grid.x_edges[:-1])
    up = 0.5 * (grid.y_edges[1:] + grid.y_edges[:-1])
    room = np.pad(grid.body, ((0, 1), (0, 1)), constant_values=-1)
    parts = []
    for di, dj in ((1, 0), (0, 1)):
        i, j = np.nonzero((grid.body >= 0) & (room[di : di + nx, dj : dj + ny] < 0))
        x = grid.x_edges[i + 1] if di and grid.kind != "stack" else across[i]
        at = np.column_stack([x, np.zeros(i.size), grid.y_edges[j + 1] if dj else up[j]])
        parts.append((grid.body[i, j], grid.number[i, j], at, np.full(i.size, dj == 1)))
    i, j = np.nonzero(grid.number >= 0)
    first = int(grid.number[i, j].min())
    middle = np.empty((i.size, 3))
    middle[grid.number[i, j] - first] = np.column_stack([across[i], np.zeros(i.size), up[j]])
    body, cell, face, upwards = _joined(parts)
    return Skin(body, cell, face, upwards, middle, first, (True, True))


def solid_skin(solid: SolidCells, mirrored: tuple[bool, bool]) -> Skin:
    """Open faces of a solid."""
    g = solid.geometry
    centres = [0.5 * (e[1:] + e[:-1]) for e in g.edges]
    parts, middles = [], []
    for n, (b, own) in enumerate(zip(g.bodies, solid.cells, strict=True)):
        middle = np.column_stack([c[b.place[:, k]] for k, c in enumerate(centres)])
        middles.append(middle)
        flat = np.flatnonzero((g.open_flat[n] > 0.0) & ~((b.flat_axis == 2) & (b.flat_side == 0)))
        cell, axis = b.flat_cell[flat], b.flat_axis[flat]
        at = middle[cell]
        for k, edges in enumerate(g.edges):
            across = axis == k
            at[across, k] = edges[b.place[cell[across], k] + b.flat_side[flat[across]]]
        parts.append((np.full(flat.size, n), own[cell], at, axis == 2))
        out = np.flatnonzero((g.open_round[n] > 0.0) & _outwards(b.round_normal, b.round_circle, middle[b.round_cell]))
        cell = b.round_cell[out]
        parts.append((np.full(out.size, n), own[cell], middle[cell], b.round_normal[out, 2] > _STEEP))
    first = int(min(c[0] for c in solid.cells))
    body, cell, face, upwards = _joined(parts)
    return Skin(body, cell, face, upwards, np.concatenate(middles), first, mirrored)


def _joined(parts: list[Any]) -> Any:
    return [np.concatenate([p[k] for p in parts]) for k in range(4)]


def _outwards(normal: FloatArray, circle: FloatArray, at: FloatArray) -> NDArray[np.bool_]:
    """Whether curved faces look away from the axis of their circle, and not down."""
    axis = circle[:, 0].astype(int)
    rows = np.arange(axis.size)
    u, v = (axis + 1) % 3, (axis + 2) % 3
    along = normal[rows, u] * (at[rows, u] - circle[:, 1]) + normal[rows, v] * (at[rows, v] - circle[:, 2])
    return np.asarray((along > 0.0) & (normal[:, 2] > -_STEEP))
