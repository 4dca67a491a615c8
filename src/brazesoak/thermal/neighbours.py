"""Several copies of a load in one heat: how they stand, and what their sides see of each other. SI.

Copies are all alike and equally warm, so that a side neither gains from its neighbour nor loses to it: of what the
side sees, the neighbours' share is lost to it. The copy with the most neighbours stands for all.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, isinf

from .support import parallel_rectangles

Extents = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Neighbours:
    """Copies beside the load, as the load feels them.

    copies : int            of the load in the heat, itself among them
    sides : (float, ...)    area of each body that looks sideways [m2]
    view : float            share of what the sides see that the neighbours take
    """

    copies: int
    sides: tuple[float, ...]
    view: float

    @property
    def hidden(self) -> float:
        """Area of one load that sees its neighbours instead of the furnace [m2]."""
        return self.view * sum(self.sides)


@dataclass(frozen=True, slots=True)
class Grid:
    """Copies in columns along x and rows along y, the last row perhaps not full; spacing [m] clear between them."""

    copies: int
    columns: int
    rows: int
    spacing: float

    def size(self, extents: Extents) -> tuple[float, float]:
        """Length along x and y of all copies together [m]."""
        return _length(self.columns, extents[0], self.spacing), _length(self.rows, extents[1], self.spacing)

    def beside(self, n: int) -> tuple[int, int]:
        """Neighbours of copy `n` along x and along y."""
        column = n % self.columns
        along_x = (column > 0) + (column < self.columns - 1 and n + 1 < self.copies)
        return along_x, (n >= self.columns) + (n + self.columns < self.copies)


def arranged(copies: int, extents: Extents, spacing: float) -> Grid:
    """The grid of copies nearest to a square; of like ones that with the fewest empty places."""

    def squareness(columns: int) -> tuple[float, int]:
        rows = ceil(copies / columns)
        sides = (_length(n, e, spacing) for n, e in ((columns, extents[0]), (rows, extents[1])))
        return round(max(sides), 9), columns * rows

    columns = min(range(1, copies + 1), key=squareness)
    return Grid(copies, columns, ceil(copies / columns), spacing)


def most_copies(side: float, extents: Extents, spacing: float) -> int:
    """How many copies stand beside each other in a space of `side` each way [m]; 0 where not even one does."""
    if extents[2] > side:
        return 0
    along = [int((side + spacing) / (e + spacing) + 1e-9) for e in extents[:2]]
    return along[0] * along[1]


def seen_of_neighbours(grid: Grid, extents: Extents) -> float:
    """Share of what the sides see that is taken by neighbours, of the copy that has the most of them.

    Sides are those of the box around the load, each facing the like side of the next copy; copies further off or
    across a corner are left out.
    """
    if isinf(grid.spacing):
        return 0.0
    x, y, z = extents
    towards_x = y * z * max(parallel_rectangles(y, z, grid.spacing), 0.0)
    towards_y = x * z * max(parallel_rectangles(x, z, grid.spacing), 0.0)
    most = max(a * towards_x + b * towards_y for a, b in map(grid.beside, range(grid.copies)))
    return most / (2.0 * (x + y) * z)


def _length(n: int, each: float, spacing: float) -> float:
    return n * each + (n - 1) * spacing if n > 1 else each
