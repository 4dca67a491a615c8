"""Builders shared by the lumped and one-dimensional cases, and how their numbers are read off."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from brazesoak_solvers import Graph, Mesh, Options, Probe, Problem, Step, Switch, Watch, material, steps, structured
from brazesoak_solvers.constants import ZERO_CELSIUS

FloatArray = NDArray[np.float64]
Reading = Callable[[FloatArray], float]


def kelvin(celsius: float) -> float:
    """Absolute temperature [K]."""
    return celsius + ZERO_CELSIUS


def side(graph: Graph, mesh: Mesh, cells: NDArray[np.int64], which: int, **law: Any) -> None:
    """Put a boundary law on the low (0) or high (1) end of the first axis."""
    outer = mesh.outer
    at = (outer.axis == 0) & (outer.side == which)
    graph.boundary(cells[outer.cell[at]], outer.area[at], outer.shape[at], **law)


def body(
    system: str, edges: FloatArray, capacity: float, k: float, start: float, gas: float, **law: Any
) -> tuple[Problem, Mesh]:
    """A body of constant properties whose outer surface has a boundary law towards `gas` [K]."""
    graph = Graph()
    solid = graph.material(material(capacity, k))
    # Two layers of uneven height make sure that the second axis of the axisymmetric system does its part.
    mesh = structured([edges, np.array([0.0, 0.3, 1.0])] if system == "axisymmetric" else [edges], system)
    cells = graph.mesh(mesh, [solid])
    side(graph, mesh, cells, 1, gas=graph.ambient(gas), **law)
    return graph.problem(start), mesh


def history(problem: Problem, times: Sequence[float], **options: Any) -> list[FloatArray]:
    """Temperature of every cell [K] at each of the increasing `times` [s]."""
    wanted, found = list(times), []
    for step in steps(problem, wanted[-1], Options(**options)):
        while wanted and step.end >= wanted[0] * (1.0 - 1e-12):
            found.append(step.temperature(wanted.pop(0)))
    return found


def passing_time(step: Step, deviation: Callable[[FloatArray], float]) -> float:
    """When `deviation` of the temperatures, of other sign at both ends of a step, is zero inside it [s].

    Any function of the temperatures, by another root finder than the core's for its probes.
    """
    if deviation(step.temperature(step.start)) >= 0.0:
        return step.start
    if deviation(step.T) < 0.0:
        return step.end
    return float(brentq(lambda t: deviation(step.temperature(t)), step.start, step.end, xtol=1e-9, rtol=1e-15))


def passings(problem: Problem, readings: Sequence[tuple[Reading, float]], end: float, **options: Any) -> list[float]:
    """When each reading first passes its threshold [K], either way; the march stops at the last one [s]."""
    found = [np.nan] * len(readings)
    sign = [np.sign(threshold - read(problem.initial)) for read, threshold in readings]
    for step in steps(problem, end, Options(**options)):
        for i, (read, threshold) in enumerate(readings):
            if np.isnan(found[i]) and sign[i] * (read(step.T) - threshold) >= 0.0:
                found[i] = passing_time(step, lambda T, i=i, r=read, h=threshold: sign[i] * (r(T) - h))
        if not np.any(np.isnan(found)):
            break
    return found


def watch(
    problem: Problem,
    end: float,
    probes: Sequence[Probe],
    thresholds: Sequence[tuple[int, float]] = (),
    switches: Sequence[Switch] = (),
    **options: Any,
) -> Watch:
    """A watch that has seen the whole march, whose energy balance is closed."""
    seen = Watch(problem, probes, thresholds)
    for step in steps(problem, end, Options(**options), switches):
        seen.see(step)
    assert seen.balance_error <= 1e-8  # case M1 of the catalogue, in every case that is watched
    return seen


def middle(T: FloatArray) -> float:
    """Temperature on the plane, axis or centre of symmetry: an even parabola through two uniform cells."""
    return float((9.0 * T[0] - T[1]) / 8.0)


def surface(T: FloatArray, gas: float, half_cell_biot: float) -> float:
    """Surface temperature: the film in series with half a cell, whose Biot number is film w / (2 k)."""
    return float(gas + (T[-1] - gas) / (1.0 + half_cell_biot))


def between(mesh: Mesh, T: FloatArray, x: float) -> float:
    """Temperature at x between the cell centres of a one-dimensional grid, by a cubic spline."""
    return float(CubicSpline(mesh.centre[:, 0], T)(x))
