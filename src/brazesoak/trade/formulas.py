"""Published formulas of properties against temperature, by clause, and their sampling into tables.

Temperatures in this module are in degrees Celsius, as the standards write them; `properties` shifts the zero.
A formula is a list of pieces between breaks; at a break the piece above holds, as "600 <= T < 735" says.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Piece = Callable[[FloatArray], FloatArray]

BOW = 1e-4
"""Largest relative difference between formula and chord, before the middle node is shifted."""
WIDTH = 0.5
"""The difference is smaller in proportion where an interval is wider than this [K], for the area's sake."""
JUMP_WIDTH = 1e-3
"""Half the width over which a jump of a formula is drawn as a slope [K]; keeps the area under it."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A property as pieces of T [degC].

    name : str                  designation and clause, the key in data files
    breaks : (float, ...)       ends of the pieces [degC], one more than pieces
    pieces : (function, ...)    float64[n] [degC] -> float64[n] in SI
    """

    name: str
    breaks: tuple[float, ...]
    pieces: tuple[Piece, ...]

    def at(self, T: FloatArray) -> FloatArray:
        """Values at T [degC], which must lie between the first and the last break."""
        which = np.clip(np.searchsorted(self.breaks, T, side="right") - 1, 0, len(self.pieces) - 1)
        return np.asarray(np.choose(which, [piece(T) for piece in self.pieces]))


def _steel_specific_heat_rise(T: FloatArray) -> FloatArray:
    return 666.0 + 13002.0 / (738.0 - np.minimum(T, 735.0))


def _steel_specific_heat_fall(T: FloatArray) -> FloatArray:
    return 545.0 + 17820.0 / (np.maximum(T, 735.0) - 731.0)


# Mean expansion from 20 degC is elongation over T - 20; where the standard's elongation has the factor
# (T - 20), or passes through zero at 20, it is divided out so that 20 degC itself is no exception.
FORMULAS = {
    f.name: f
    for f in (
        Formula(
            "EN 1993-1-2:2005 3.4.1.1",
            (20.0, 750.0, 860.0, 1200.0),
            (
                lambda T: 0.4e-8 * (T + 3020.0),
                lambda T: 1.1e-2 / (np.maximum(T, 750.0) - 20.0),
                lambda T: (2e-5 * T - 6.2e-3) / (np.maximum(T, 750.0) - 20.0),
            ),
        ),
        Formula(
            "EN 1993-1-2:2005 3.4.1.2",
            (20.0, 600.0, 735.0, 900.0, 1200.0),
            (
                lambda T: 425.0 + 7.73e-1 * T - 1.69e-3 * T**2 + 2.22e-6 * T**3,
                _steel_specific_heat_rise,
                _steel_specific_heat_fall,
                lambda T: np.full_like(T, 650.0),
            ),
        ),
        Formula(
            "EN 1993-1-2:2005 3.4.1.3",
            (20.0, 800.0, 1200.0),
            (lambda T: 54.0 - 3.33e-2 * T, lambda T: np.full_like(T, 27.3)),
        ),
        Formula(
            "EN 1993-1-2:2005 C.3.1",
            (20.0, 1200.0),
            (lambda T: (16.0 + 4.79e-3 * T - 1.243e-6 * T**2) * 1e-6,),
        ),
        Formula(
            "EN 1993-1-2:2005 C.3.2",
            (20.0, 1200.0),
            (lambda T: 450.0 + 0.280 * T - 2.91e-4 * T**2 + 1.34e-7 * T**3,),
        ),
        Formula("EN 1993-1-2:2005 C.3.3", (20.0, 1200.0), (lambda T: 14.6 + 1.27e-2 * T,)),
    )
}
"""By name. Source: EN 1993-1-2:2005, the clause in the name. 3.4.1.x carbon steel, C.3.x stainless;
.1 mean expansion from 20 degC [1/K], .2 specific heat [J/(kg K)], .3 conductivity [W/(m K)]."""


@cache
def sampled(name: str) -> tuple[FloatArray, FloatArray]:
    """Nodes whose chords follow a formula closely and enclose the same area.

    Chords of plain samples bulge out of a convex curve; here every second node is moved a little (at most a
    third of `BOW`) so that the trapezoid rule over its two neighbours gives the integral of the formula.
    The trapezoid integral is then right to better than 1e-7 with a quarter of the nodes plain sampling needs.

    Returns
    -------
    (float64[n], float64[n])    temperature [degC], strictly increasing, and value
    """
    formula = FORMULAS[name]
    nodes: list[tuple[float, float]] = []
    for piece, low, high in zip(formula.pieces, formula.breaks, formula.breaks[1:], strict=False):
        inner_low = low + JUMP_WIDTH if nodes and not np.isclose(nodes[-1][1], _value(piece, low)) else low
        if inner_low > low:  # a jump: end the piece below a little earlier
            nodes[-1] = (low - JUMP_WIDTH, nodes[-1][1])
            nodes.append((inner_low, _value(piece, inner_low)))
        elif not nodes:
            nodes.append((low, _value(piece, low)))
        _refine(piece, inner_low, high, nodes)
    T, value = np.array(nodes).T
    return np.ascontiguousarray(T), np.ascontiguousarray(value)


def _refine(piece: Piece, low: float, high: float, nodes: list[tuple[float, float]]) -> None:
    """Append the nodes of (low, high], halving until the chord is within `BOW`."""
    inside = np.linspace(low, high, 5)
    value = piece(inside)
    chord = np.linspace(value[0], value[-1], 5)
    if np.any(np.abs(chord - value) > BOW * min(1.0, WIDTH / (high - low)) * np.abs(value)):
        _refine(piece, low, float(inside[2]), nodes)
        _refine(piece, float(inside[2]), high, nodes)
        return
    mean = _mean(piece, low, high)
    nodes += [(float(inside[2]), float(2.0 * mean - 0.5 * (value[0] + value[-1]))), (high, float(value[-1]))]


def _value(piece: Piece, T: float) -> float:
    return float(piece(np.array([T]))[0])


def _mean(piece: Piece, low: float, high: float) -> float:
    """Mean over [low, high] by Gauss-Legendre with four points, exact for the cubics among the formulas."""
    x, w = _gauss_points()
    return float(0.5 * w @ piece(0.5 * (low + high) + 0.5 * (high - low) * x))


@cache
def _gauss_points() -> tuple[FloatArray, FloatArray]:
    """Points and weights of four-point Gauss-Legendre on [-1, 1]."""
    return np.polynomial.legendre.leggauss(4)
