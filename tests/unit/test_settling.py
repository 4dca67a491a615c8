"""What is found by iteration inside an evaluation settles, or ends the step: surfaces, sides of contacts, patches."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from brazesoak_solvers import (
    ConvergenceError,
    Graph,
    March,
    Options,
    Probe,
    Problem,
    Watch,
    material,
    pack_probes,
    structured,
)
from brazesoak_solvers.kernels.probes import probe_values

START, HOT = 300.0, 1000.0
LENGTH, CELLS = 0.05, 5
CLIFF = np.nextafter(600.0, 700.0)
"""The least above 600 K: what changes from there to here has no value in between, and may have no root."""


def step(width: float, low: float, high: float) -> tuple[np.ndarray, np.ndarray]:
    """A curve that goes from `low` to `high` over so many kelvin from 600 K on."""
    end = CLIFF if width == 0.0 else 600.0 + width
    return np.array([300.0, 600.0, end, 2000.0]), np.array([low, low, high, high])


def wall(film, k: float) -> Problem:  # type: ignore[no-untyped-def]
    """A slab that is held at 300 K at its low side and heated by a film at its high side."""
    graph = Graph()
    mesh = structured([np.linspace(0.0, LENGTH, CELLS + 1)], "plane")
    cells = graph.mesh(mesh, [graph.material(material(2e6, k))])
    outer, cold, hot = mesh.outer, graph.ambient(START), graph.ambient(HOT)
    for side, keywords in ((0, {"gas": cold, "fixed": True}), (1, {"gas": hot, "film": film})):
        at = np.flatnonzero(outer.side == side)
        graph.boundary(cells[outer.cell[at]], outer.area[at], outer.shape[at], **keywords)
    return graph.problem(START)


@pytest.mark.parametrize("width", [50.0, 1.0, 1e-3])
@pytest.mark.parametrize(("low", "high"), [(200.0, 2.0), (2.0, 200.0)])
def test_a_surface_settles_however_steep_its_film(width: float, low: float, high: float) -> None:
    """At rest k (Ts - T0)/L = h(Ts) (Tg - Ts), 0.01 K; plain iteration swings for ever where h falls by 200 W/(m2 K)
    within a few kelvin. Where it rises, the surface stays below, where it comes from."""
    k, film = 5.0, step(width, low, high)
    watch = Watch(wall(film, k), [Probe((CELLS - 1,))])
    March(watch.problem, Options(tolerance=0.01)).run(5e4, watch)

    def balance(Ts: float) -> float:
        return float(np.interp(Ts, *film)) * (HOT - Ts) - k / LENGTH * (Ts - START)

    Ts = brentq(balance, START, 599.0 if low < high else HOT)
    assert watch.reading[-1][0] == pytest.approx(START + (Ts - START) * (1.0 - 0.5 / CELLS), abs=0.01)


def test_a_surface_without_a_root_ends_the_march_with_time_place_and_residual() -> None:
    """The film falls from 200 to 2 W/(m2 K) between two numbers: no surface temperature balances from there on.

    The step is tried down to the shortest; what was computed until then is kept.
    """
    k = 10.0
    watch = Watch(wall(step(0.0, 200.0, 2.0), k), [Probe((CELLS - 1,))])
    with pytest.raises(ConvergenceError) as error:
        March(watch.problem, Options(tolerance=0.01)).run(5e4, watch)
    assert error.value.cell == CELLS - 1
    assert error.value.step < 1e-6
    assert error.value.residual > 0.9e-6 * 600.0  # what a surface must settle to
    assert watch.time[-1] == error.value.time > 10.0
    # Its cell is then as far below 600 K as the heat of 200 W/(m2 K) x 400 K makes in the half cell: 40 K.
    assert watch.reading[-1][0] == pytest.approx(560.0, abs=0.3)


def test_what_does_not_settle_at_the_start_is_told_by_the_first_call() -> None:
    """k 1: the outer surface is at the cliff at once."""
    problem = wall(step(0.0, 200.0, 2.0), 1.0)
    march = March(problem)
    with pytest.raises(ConvergenceError) as error:
        march.run(10.0, Watch(problem, []))
    assert (error.value.time, error.value.cell) == (0.0, CELLS - 1)
    assert error.value.residual > 1.0


@pytest.mark.parametrize("width", [50.0, 1.0, 0.0])
@pytest.mark.parametrize(("low", "high"), [(2000.0, 20.0), (20.0, 2000.0)])
def test_sides_of_a_contact_settle_however_steep_its_conductance(width: float, low: float, high: float) -> None:
    """Two cells of k 1 and 50 held at 1200 and 300 K: q = h(Tm) (T1 - T2), Tm between the sides, 1e-6 of q.

    A contact whose conductance steps has its mean temperature on the step itself, if neither side of it balances.
    """
    graph = Graph()
    mesh = structured([np.linspace(0.0, 0.02, 3)], "plane", np.array([0, 1]))
    curve = step(width, low, high)
    metals = [graph.material(material(1e6, k)) for k in (1.0, 50.0)]
    graph.mesh(mesh, metals, {(0, 1): graph.contact(curve)})
    problem = graph.problem([1200.0, 300.0])
    ra, rb = 0.005 / 1.0, 0.005 / 50.0
    P, sides, found = (
        problem.arrays,
        pack_probes(problem, [Probe((0,), "cold side"), Probe((0,), "warm side")]),
        np.empty(2),
    )
    probe_values(P.m, P.f, P.u, P.mat, sides, problem.contact_states, problem.initial, found)
    cold, warm = found
    q = (1200.0 - warm) / ra
    assert (cold - 300.0) / rb == pytest.approx(q, rel=1e-6)
    h, mean = q / (warm - cold), 0.5 * (warm + cold)
    if width == 0.0 and mean == pytest.approx(600.0, abs=1e-6):
        assert min(low, high) <= h <= max(low, high)
    else:
        assert h == pytest.approx(float(np.interp(mean, *curve)), rel=1e-5)


def shields(emissivity) -> Problem:  # type: ignore[no-untyped-def]
    """Two lumps close together in walls of 1100 K, that see little but each other; both darken as they warm."""
    graph = Graph()
    cells = graph.cells([1e-4, 2e-4], graph.material(material(4e6, 40.0)))
    walls = graph.ambient(1100.0)
    F = np.array([[0.0, 0.98, 0.02], [0.98, 0.0, 0.02], [0.002, 0.002, 0.996]])
    patches = graph.exchange(F, walls, 0.8)
    for i in range(2):
        graph.boundary(cells[i], 0.05, gas=walls, walls=int(patches[i]), film=10.0, emissivity=emissivity)
    return graph.problem(START)


def test_patches_that_darken_within_a_kelvin_are_followed() -> None:
    """Both come to the walls' temperature, the balance closes."""
    watch = Watch(shields(step(1.0, 0.01, 0.9)), [Probe((0,)), Probe((1,))])
    March(watch.problem, Options(tolerance=0.01)).run(5e4, watch)
    assert watch.reading[-1] == pytest.approx([1100.0, 1100.0], abs=0.1)
    assert watch.balance_error < 1e-12


def test_patches_that_do_not_settle_end_the_march() -> None:
    """From 0.01 to 0.9 between two numbers: the exchange of a step that begins at 0.01 has no answer at 0.9."""
    watch = Watch(shields(step(0.0, 0.01, 0.9)), [Probe((0,))])
    with pytest.raises(ConvergenceError) as error:
        March(watch.problem, Options(tolerance=0.01)).run(5e4, watch)
    assert (error.value.cell, watch.time[-1]) == (0, error.value.time)
    assert error.value.step < 1e-6
    assert error.value.residual > 1e-3
    assert watch.reading[-1][0] == pytest.approx(600.0, abs=1e-3)


@pytest.mark.parametrize("sick", [0, 1])
def test_what_is_not_a_number_in_one_cell_is_not_lost_among_others(sick: int) -> None:
    """Two lumps that do not touch, one of them in a gas that is not a number after 50 s."""
    graph = Graph()
    cells = graph.cells([1e-4, 1e-4], graph.material(material(4e6, 40.0)))
    for i in range(2):
        gas = graph.ambient((lambda t: np.nan if t > 50.0 else 600.0) if i == sick else 600.0)
        graph.boundary(cells[i], 0.05, gas=gas, film=30.0)
    watch = Watch(graph.problem(START), [Probe((i,)) for i in range(2)])
    with pytest.raises(ConvergenceError) as error:
        March(watch.problem).run(200.0, watch)
    assert error.value.cell == sick
    assert 40.0 < error.value.time <= 50.0
    assert np.isfinite(watch.reading).all()
