"""What the builders of cells have in common: the open faces they hand over, the grid kept for pictures, the scale."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import log
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
FINENESS = 2
"""Fineness of the plan's grid, see `discretise`."""


class Expose(Protocol):
    """Takes open faces of a body: their cells, areas [m2], shape factors, and surroundings other than the furnace."""

    def __call__(
        self,
        body: int,
        cell: IntArray,
        area: FloatArray,
        shape: FloatArray,
        walls: int | None = None,
        down: NDArray[np.bool_] | None = None,
        side: NDArray[np.bool_] | None = None,
    ) -> None:
        """Take them; `down` marks those that look down at the lowest level, `side` those that look sideways."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A plane through the cells, kept for pictures.

    x_edges, y_edges : float64 [m];  number : int64[nx, ny] cell of each place, -1 for none
    body : int64[nx, ny]
    """

    kind: str
    x_edges: FloatArray
    y_edges: FloatArray
    number: IntArray
    body: IntArray


Beside = tuple[tuple[float, float], ...]
"""What the grid has and what the parts have, one pair each."""


@dataclass(frozen=True, slots=True)
class OnGrid:
    """What the grid itself has beside what the parts have, to which it is then scaled.

    volume, exposed : of each body [m3], [m2];  joint : area of each joint [m2]
    shaded : bool       exposed areas are not scaled: what one surface sees of another goes with the grid's own
    """

    volume: Beside
    exposed: Beside
    joint: Beside
    shaded: bool = False

    @property
    def scale(self) -> float:
        """The factor furthest from 1 with which something was made exact."""
        return _furthest([*self.volume, *self.joint, *(() if self.shaded else self.exposed)])

    @property
    def kept(self) -> float | None:
        """The factor furthest from 1 by which an exposed area would have to be scaled and is not."""
        return _furthest(self.exposed) if self.shaded else None


def _furthest(pairs: Iterable[tuple[float, float]]) -> float:
    """The factor from what is had to what is wanted that is furthest from 1; 1 of none."""
    scales = (wanted / had for had, wanted in pairs if had > 0.0 and wanted > 0.0)
    return max(scales, key=lambda s: abs(log(s)), default=1.0)
