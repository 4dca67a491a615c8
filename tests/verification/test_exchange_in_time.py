"""Patches that radiate to each other and to walls while they heat, against the same equations by scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from brazesoak_solvers import Graph, Options, Probe, Watch, material, steady, steps
from brazesoak_solvers.constants import STEFAN_BOLTZMANN
from brazesoak_solvers.exchange import total_exchange

AREA = np.array([0.08, 0.04])
WALL = 0.5
EPS = np.array([0.6, 0.3])
WALL_EPS = 0.8
CAPACITY = np.array([3000.0, 1500.0])
FILM = 7.0


def view_factors() -> np.ndarray:
    """Two patches that see each other, one of them also itself, inside walls; closed and reciprocal."""
    F = np.zeros((3, 3))
    F[0] = 0.0, 0.1, 0.9
    F[1] = 0.2, 0.05, 0.75
    F[2, :2] = AREA * F[:2, 2] / WALL
    F[2, 2] = 1.0 - F[2, :2].sum()
    return F


def problem(chamber: bool):  # type: ignore[no-untyped-def]
    graph = Graph()
    unit = graph.material(material(1.0, 1.0))
    cells = graph.cells(CAPACITY, unit)
    if chamber:
        box = graph.cells(8000.0, unit)
        walls = graph.surroundings(int(box[0]))
        graph.boundary(box, 1.0, gas=graph.ambient(293.15), film=1.2)
        graph.source(box, 3000.0)
    else:
        walls = graph.ambient(1033.0)
    patches = graph.exchange(view_factors(), walls, (1.0 - WALL_EPS) / WALL_EPS * (1.0 - view_factors()[2, 2]))
    for i in range(2):
        graph.boundary(cells[i], AREA[i], gas=walls, walls=int(patches[i]), film=FILM, emissivity=float(EPS[i]))
    return graph.problem([293.15, 293.15, 900.0] if chamber else 293.15)


@pytest.mark.parametrize("chamber", [False, True])
def test_patches_heat_as_their_equations_say(chamber: bool) -> None:
    """C_i dT_i/dt = sum_j S_ij sigma (T_j^4 - T_i^4) + h A_i (T_w - T_i), walls held or heated; 5e-3 K after 3000 s.

    Total exchange areas: Hottel and Sarofim, Radiative Transfer, ch. 3 (recalled); integration: scipy LSODA.
    """
    S = total_exchange(view_factors(), np.append(AREA, WALL), np.append(EPS, WALL_EPS))

    def rate(t: float, y: np.ndarray) -> np.ndarray:
        T = y if chamber else np.append(y, 1033.0)
        heat = STEFAN_BOLTZMANN * (S @ T**4 - S.sum(axis=1) * T**4)[:2] + FILM * AREA * (T[2] - T[:2])
        if not chamber:
            return heat / CAPACITY
        return np.append(heat / CAPACITY, (3000.0 - heat.sum() - 1.2 * (T[2] - 293.15)) / 8000.0)

    p = problem(chamber)
    exact = solve_ivp(rate, (0.0, 3000.0), p.initial, rtol=1e-10, atol=1e-9, method="LSODA").y[:, -1]
    watch = Watch(p, [Probe((0,))])
    for step in steps(p, 3000.0, Options(tolerance=1e-3)):
        watch.see(step)
    assert pytest.approx(exact, abs=5e-3) == step.T
    assert watch.balance_error < 1e-12


def test_at_rest_everything_has_the_walls_temperature() -> None:
    """Second law: with walls held and no other heat, every patch ends at the temperature of the walls; 1e-6 K."""
    assert steady(problem(chamber=False)) == pytest.approx(1033.0, abs=1e-6)
