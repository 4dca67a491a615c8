"""What the load stands on: a shelf that it touches, or props above it. SI."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from .joints import Gas, jump_length

FloatArray = NDArray[np.float64]

ON_SHELF, ON_PROPS = "shelf", "props"
GAPS = {ON_SHELF: 0.2e-3, ON_PROPS: 20e-3}
"""Mean distance of the underside from the shelf [m]: rough ceramic and a part that is not quite flat, contact at few
points, from memory; props of 20 mm, common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Support:
    """A shelf below the load.

    kind : ``shelf`` or ``props``
    undersides : (float, ...)       area of each body that looks down at the shelf [m2]
    view : float                    share of what leaves the underside that falls on the shelf below it
    film : (float64[n] [K], float64[n])     through the air between [W/(m2 K)]
    """

    kind: str
    undersides: tuple[float, ...]
    view: float
    film: tuple[FloatArray, FloatArray]

    @property
    def footprint(self) -> float:
        """Of all bodies [m2]."""
        return sum(self.undersides)


def support(kind: str, undersides: tuple[float, ...], gas: Gas) -> Support | None:
    """The support of a load with these undersides [m2]; None where nothing looks down at a shelf."""
    footprint = sum(undersides)
    if kind not in GAPS or footprint <= 0.0:
        return None
    gap, side = GAPS[kind], sqrt(footprint)
    T = np.asarray(gas.temperature, float)
    film = np.asarray(gas.conductivity, float) / (gap + jump_length(T))
    return Support(kind, undersides, parallel_rectangles(side, side, gap), (T, film))


def parallel_rectangles(a: float, b: float, distance: float) -> float:
    """View factor between two equal rectangles face to face. Source: Incropera and DeWitt, table 13.2 (recalled)."""
    X, Y = a / distance, b / distance
    x, y = sqrt(1.0 + X * X), sqrt(1.0 + Y * Y)
    total = 0.5 * log(x * x * y * y / (1.0 + X * X + Y * Y))
    total += X * y * atan(X / y) + Y * x * atan(Y / x) - X * atan(X) - Y * atan(Y)
    return 2.0 * total / (pi * X * Y)
