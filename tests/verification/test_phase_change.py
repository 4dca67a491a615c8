"""Melting and freezing of half-spaces: isothermal and over a range (cases H1 to H3)."""

import numpy as np
import pytest

from brazesoak_solvers import Graph, material, structured

from .build import between, history, kelvin, side
from .exact import melting_range, neumann, stefan

SHARP = 0.02  # [K] over which an isothermal latent heat is spread


def slab(solid, edges, start, wall):
    """A slab whose low end is brought to `wall` [K] at once."""
    graph = Graph()
    mesh = structured([edges], "plane")
    cells = graph.mesh(mesh, [graph.material(solid)])
    side(graph, mesh, cells, 0, gas=graph.ambient(wall), fixed=True)
    return graph.problem(start), mesh


@pytest.mark.parametrize(
    ("number", "catalogue"),
    [(0.1, 0.220016272743), (0.5, 0.464785920646), (1.0, 0.620062633313595), (2.0, 0.800601362806)],
)
def test_one_phase_front(number, catalogue, record):
    """H1. Solid at its melting point, hotter wall: front 2 l sqrt(alpha t), l exp(l2) erf(l) = Ste/sqrt(pi).

    Source: Carslaw & Jaeger, 2nd ed., sec. 11.2 (recalled); Crank, Free and Moving Boundary Problems, ch. 3.
    100 cells, 1 % of the front (case H1); isothermal latent heat spread over 0.02 K of the 500 K difference.
    The front is where the melted volume ends, read when it should have passed 30, 60 and 90 cells.
    """
    melting, difference, capacity = 1000.0, 500.0, 1e6
    l_exact = stefan(number)
    assert l_exact == pytest.approx(catalogue, abs=1e-12)
    solid = material(
        np.full(2, capacity),
        1.0,
        capacity_temperature=[300.0, 2000.0],
        latent=((melting, melting + SHARP, capacity * difference / number),),
    )
    problem, mesh = slab(solid, np.linspace(0.0, 1.0, 101), melting, melting + difference)
    fronts = np.array([0.3, 0.6, 0.9])
    times = (fronts / (2.0 * l_exact)) ** 2 * capacity
    for front, T in zip(fronts, history(problem, list(times), tolerance=0.5), strict=True):
        melted = float(mesh.volume @ np.clip((T - melting) / SHARP, 0.0, 1.0))
        name = f"H1 Ste {number:g} front {front:g}"
        record(name, "Carslaw & Jaeger, 2nd ed., sec. 11.2 (recalled)", front, melted, tolerance=0.01 * front)


def test_two_phase_freezing(record):
    """H2. Copper-like liquid at 1150 degC, wall 800, freezing 1083: Neumann's solution; k and c jump.

    Closed form. Cells of 1 mm; front half a cell, temperatures 1 % of 350 K (case H2).
    """
    freezing, wall, start = 1083.0, 800.0, 1150.0
    k, capacity = (330.0, 160.0), (8500.0 * 470.0, 8500.0 * 500.0)
    l_exact, profile = neumann(
        k=k, capacity=capacity, latent=8500.0 * 205e3, below=freezing - wall, above=start - freezing
    )
    assert l_exact == pytest.approx(0.472324436428, abs=1e-11)
    point = kelvin(freezing)
    copper = material(
        [capacity[0], capacity[0], capacity[1], capacity[1]],
        [k[0], k[1]],
        capacity_temperature=[300.0, point, point, 2000.0],
        conductivity_temperature=[point - SHARP, point],
        latent=((point - SHARP, point, 8500.0 * 205e3),),
    )
    problem, mesh = slab(copper, np.linspace(0.0, 0.4, 401), kelvin(start), kelvin(wall))
    catalogue = {
        2.0: {0.02: 1128.56832},
        10.0: {0.02: 1015.353382},
        60.0: {0.02: 890.8673088, 0.05: 1019.436887},
    }
    fronts = {10.0: 27.14994717e-3, 60.0: 66.50351711e-3}
    for (time, points), T in zip(catalogue.items(), history(problem, list(catalogue), tolerance=0.1), strict=True):
        if time in fronts:
            exact = 2.0 * l_exact * np.sqrt(k[0] / capacity[0] * time)
            assert exact == pytest.approx(fronts[time], abs=1e-11)
            frozen = float(mesh.volume @ np.clip((point - T) / SHARP, 0.0, 1.0))
            record(f"H2 front {time:g} s", "Neumann's solution", 1e3 * exact, 1e3 * frozen, "mm", tolerance=0.5)
        for x, number in points.items():
            exact = freezing + profile(x, time)
            assert exact == pytest.approx(number, abs=1e-6)
            found = between(mesh, T, x) - kelvin(0.0)
            record(f"H2 {1e3 * x:g} mm {time:g} s", "Neumann's solution", exact, found, "degC", tolerance=3.5)


def test_melting_over_a_range(record):
    """H3. 80 kJ/kg evenly over 780 to 820 degC, start 20, wall 1000: three regions, a similarity solution.

    Closed form, cross-checked in the catalogue by a run in enthalpy. Cells of 1 mm: rms 0.2 K over the slab,
    fronts 0.1 mm (case H3).
    """
    k, density = 40.0, 7850.0
    a, b, profile = melting_range(
        k=k,
        capacity=density * 600.0,
        latent=density * 80e3,
        wall=1000.0,
        liquidus=820.0,
        solidus=780.0,
        start=20.0,
    )
    assert (a, b) == pytest.approx((0.000462039699755, 0.000569323453317), rel=1e-10)
    alloy = material(
        np.full(2, density * 600.0),
        k,
        capacity_temperature=[kelvin(0.0), kelvin(1200.0)],
        latent=((kelvin(780.0), kelvin(820.0), density * 80e3),),
    )
    problem, mesh = slab(alloy, np.linspace(0.0, 0.2, 201), kelvin(20.0), kelvin(1000.0))
    x = mesh.centre[:, 0]
    catalogue = {
        30.0: (822.147589, 658.989937, 384.894868, 94.2132533),
        120.0: (910.528991, 822.147589, 658.989937, 384.894868),
    }
    fronts = {30.0: (5.06139132, 6.236625958), 120.0: (10.12278264, 12.47325192)}
    for (time, numbers), T in zip(catalogue.items(), history(problem, list(catalogue), tolerance=0.01), strict=True):
        T = T - kelvin(0.0)
        for at, number in zip((0.005, 0.01, 0.02, 0.04), numbers, strict=True):
            assert profile(at / (2.0 * np.sqrt(time))) == pytest.approx(number, abs=1e-6)
        exact = np.array([profile(at / (2.0 * np.sqrt(time))) for at in x])
        record(
            f"H3 rms {time:g} s",
            "similarity solution",
            0.0,
            np.sqrt(np.mean((T - exact) ** 2)),
            "K",
            tolerance=0.2,
        )
        for name, level, c, number in zip(("liquidus", "solidus"), (820.0, 780.0), (a, b), fronts[time], strict=True):
            front = 2e3 * c * np.sqrt(time)
            assert front == pytest.approx(number, abs=1e-7)
            found = 1e3 * float(np.interp(-level, -T, x))  # T falls with x
            record(f"H3 {name} {time:g} s", "similarity solution", front, found, "mm", tolerance=0.1)
