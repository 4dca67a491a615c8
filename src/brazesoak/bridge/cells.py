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


def furthest(scales: Iterable[float]) -> float:
    """The factor furthest from 1 among those with which volumes and areas were made exact; 1 of none."""
    return max((s for s in scales if s > 0.0), key=lambda s: abs(log(s)), default=1.0)
