"""Brick and cube against exact solutions in three dimensions."""

import numpy as np
import pytest

from brazesoak_solvers import Graph, material, steady, structured
from brazesoak_solvers.constants import ZERO_CELSIUS

from .build import history
from .build_2d import at_vertex, sides, with_edges
from .exact import theta, theta_mean
from .exact_2d import cube


def test_brick(record):
    """E3. 40 x 60 x 100 mm, k 40, alpha 1e-5, film 250 all round, 20 into 1000 degC: product of three slabs.

    Source: Carslaw & Jaeger 2nd ed. sec. 1.15, Incropera sec. 5.6 (recalled); numbers from the series.
    Tolerance 0.3 K with 20 x 20 x 20 cells on an octant (case E3).
    """
    k, alpha, film, halves = 40.0, 1e-5, 250.0, (0.02, 0.03, 0.05)
    graph = Graph()
    solid = graph.material(material(k / alpha, k))
    mesh = structured([np.linspace(0.0, h, 21) for h in halves], "cartesian")
    cells = graph.mesh(mesh, [solid])
    gas = 1000.0 + ZERO_CELSIUS
    sides(graph, mesh, cells, [(0, 1), (1, 1), (2, 1)], gas=graph.ambient(gas), film=film)
    catalogue = {60.0: (256.257792, 443.6078551, 321.7734369), 300.0: (826.655664, 871.6556551, 842.7078321)}
    found = history(graph.problem(20.0 + ZERO_CELSIUS), list(catalogue), tolerance=0.2)
    for (time, numbers), T in zip(catalogue.items(), found, strict=True):
        field = with_edges(T[mesh.number], gas, [film * h / 40.0 / k for h in halves])
        computed = np.array([field[0, 0, 0], field[-1, -1, -1], np.average(T, weights=mesh.volume)]) - ZERO_CELSIUS
        numbers_of = [(film * h / k, alpha * time / h**2) for h in halves]
        ratios = (
            np.prod([theta("plane", *n, 0.0) for n in numbers_of]),
            np.prod([theta("plane", *n, 1.0) for n in numbers_of]),
            np.prod([theta_mean("plane", *n) for n in numbers_of]),
        )
        for place, ratio, number, value in zip(("centre", "corner", "mean"), ratios, numbers, computed, strict=True):
            exact = 1000.0 - 980.0 * ratio
            assert exact == pytest.approx(number, abs=1e-6)
            record(f"E3 {place} {time:g} s", "product of series", exact, value, "degC", tolerance=0.3)


def _cube_with_one_hot_face(n: int) -> np.ndarray:
    """Steady temperature between 0 (five faces) and 1 (the face z = 1) of n x n x n cells."""
    graph = Graph()
    solid = graph.material(material(1.0, 1.0))
    mesh = structured([np.linspace(0.0, 1.0, n + 1)] * 3, "cartesian")
    cells = graph.mesh(mesh, [solid])
    cold, hot = graph.ambient(1000.0), graph.ambient(2000.0)
    sides(graph, mesh, cells, [(0, 0), (0, 1), (1, 0), (1, 1), (2, 0)], gas=cold, fixed=True)
    sides(graph, mesh, cells, [(2, 1)], gas=hot, fixed=True)
    return (steady(graph.problem(1500.0), tolerance=1e-14)[mesh.number] - 1000.0) / 1000.0


def test_cube_with_one_hot_face(record):
    """E4. Unit cube, one face at 1, five at 0: the centre is exactly 1/6, by superposition of six such cubes.

    Any symmetric grid must give 1/6 at the middle of its middle cell: 1e-10. Other points: double Fourier
    series, 1e-3 with 24 cells an edge (the case allows it at 20) and second order from 12 to 24 (case E4).
    """
    record("E4 centre", "superposition", 1.0 / 6.0, _cube_with_one_hot_face(9)[4, 4, 4], "", tolerance=1e-10)
    coarse, fine = (_cube_with_one_hot_face(n) for n in (12, 24))
    catalogue = {(0.5, 0.5, 0.75): 0.458086814581, (0.25, 0.25, 0.75): 0.307205623239}
    for point, number in catalogue.items():
        exact = cube(*point)
        assert exact == pytest.approx(number, abs=1e-11)
        errors = [at_vertex(T, *(round(x * n) for x in point)) - exact for T, n in ((coarse, 12), (fine, 24))]
        record(f"E4 {point}", "double Fourier series", exact, exact + errors[1], "", tolerance=1e-3)
        assert np.log2(abs(errors[0] / errors[1])) >= 1.9
