"""Small builders for the cases in two and three dimensions, and how to read a value between cell centres."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers import Graph, Mesh, Options, Problem, steps
from brazesoak_solvers.constants import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

PEAK_T = np.arange(680.0, 921.0, 2.0) + ZERO_CELSIUS
PEAK_C = 7850.0 * (
    600.0 + 80000.0 / (15.0 * np.sqrt(2.0 * np.pi)) * np.exp(-0.5 * ((PEAK_T - 800.0 - ZERO_CELSIUS) / 15.0) ** 2)
)
"""A steel-like heat capacity [J/(m3 K)] against temperature [K]: 80 kJ/kg about 800 degC, deviation 15 K."""


def sides(
    graph: Graph,
    mesh: Mesh,
    cells: NDArray[np.int64],
    which: Sequence[tuple[int, int]],
    among: Any = True,
    **law: Any,
) -> None:
    """Put a boundary law on the outer faces of the (axis, side) pairs in `which`, where `among` is true."""
    outer = mesh.outer
    for axis, side in which:
        at = (outer.axis == axis) & (outer.side == side) & among
        graph.boundary(cells[outer.cell[at]], outer.area[at], outer.shape[at], **law)


def with_edges(T: FloatArray, gas: float, half_cell_biot: Sequence[float]) -> FloatArray:
    """Add the values on the low side (symmetry, uniform cells) and on the high side (film to `gas`) of every
    axis.

    Low: an even parabola through the first two cells. High: the film in series with half a cell, whose Biot
    number is h w / (2 k); infinite for a prescribed surface.
    """
    for axis, biot in enumerate(half_cell_biot):
        first, second, last = (np.take(T, [i], axis) for i in (0, 1, -1))
        T = np.concatenate([(9.0 * first - second) / 8.0, T, gas + (last - gas) / (1.0 + biot)], axis)
    return T


def at_vertex(T: FloatArray, *place: int) -> float:
    """Value at the vertex whose high side has these cell numbers: a cubic through four cells of every axis.

    Needs uniform cells, two of them on either side. A plain mean would add its own error, h2/8 times the
    second derivative, as large as that of the scheme under test.
    """
    for i in place:
        T = np.tensordot(np.array([-1.0, 9.0, 9.0, -1.0]) / 16.0, T[i - 2 : i + 2], 1)
    return float(T)


def last(problem: Problem, end: float, options: Options) -> FloatArray:
    """Temperature of every cell [K] at `end` [s]."""
    *_, step = steps(problem, end, options)
    return step.T
