"""Surroundings that jump: the step that ends at the jump belongs to what was before it."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest

from brazesoak_solvers import Graph, Options, material, steps

TIME_CONSTANT = 500.0
JUMP, END = 100.0, 200.0


def final(**options: float) -> float:
    """Temperature at the end of one lump in gas that jumps from 300 K to 1000 K at a breakpoint."""
    graph = Graph()
    cell = graph.cells(TIME_CONSTANT, graph.material(material(1.0, 1.0)))
    graph.boundary(cell, 1.0, gas=graph.ambient(lambda t: 300.0 if t < JUMP else 1000.0), film=1.0)
    *_, last = steps(graph.problem(300.0, [JUMP]), END, Options(**options))
    return float(last.T[0])


EXACT = 1000.0 - 700.0 * exp(-(END - JUMP) / TIME_CONSTANT)


def test_a_jump_is_not_felt_before_it_happens() -> None:
    """T = 1000 - 700 exp(-(t - 100)/tau), closed form of a lump; fixed steps stay of second order across the jump."""
    errors = [abs(final(fixed=dt) - EXACT) for dt in (20.0, 10.0, 5.0)]
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert errors[0] < 0.05
    assert orders.min() >= 1.9


def test_adaptive_steps_across_a_jump() -> None:
    assert final(tolerance=1e-3) == pytest.approx(EXACT, abs=0.01)
