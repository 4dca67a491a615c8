"""Radiation between grey surfaces that enclose each other, and chambers that are cells of the graph."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from brazesoak_solvers import Graph, Options, Probe, Watch, material, steady, steps
from brazesoak_solvers.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS
from brazesoak_solvers.kernels.implicit import evaluate
from brazesoak_solvers.kernels.properties import initial_state
from brazesoak_solvers.stepping import make_work

from .build import history

COLD, HOT = 600.0 + ZERO_CELSIUS, 1000.0 + ZERO_CELSIUS
DRIVE = STEFAN_BOLTZMANN * (HOT**4 - COLD**4)


def test_load_inside_a_grey_enclosure(record):
    """J5a. 1 m2 of emissivity 0.8 at 600 degC inside 6 m2 of 0.4 at 1000 degC: 77348.1522943 W.

    sigma (T2^4 - T1^4) / [(1 - e2)/(e2 A2) + 1/A1 + (1 - e1)/(e1 A1)]: effective emissivity 2/3. Source:
    Incropera sec. 13.3 (recalled). Tolerance 1e-9 (case J5). Once with prescribed walls, once with walls that
    are a cell, which must lose what the load gains.
    """
    exact = DRIVE / (0.6 / (0.4 * 6.0) + 1.0 + 0.2 / 0.8)
    assert exact == pytest.approx(77348.1522943, rel=1e-11)
    graph = Graph()
    load, walls = graph.cells([1.0, 1.0], graph.material(material(1e6, 1.0)))
    lone = graph.cells(1.0, 0)
    inside = {"emissivity": 0.8, "enclosure": 0.6 / 0.4 / 6.0}
    graph.boundary(load, 1.0, gas=graph.surroundings(walls), **inside)
    graph.boundary(lone, 1.0, gas=graph.ambient(HOT), **inside)
    first = next(steps(graph.problem([COLD, HOT, COLD]), 1e-3, Options(fixed=1e-3)))
    for name, value in zip(("walls a cell", "prescribed walls"), first.rate0[[0, 2]], strict=True):
        record(f"J5a {name}", "Incropera sec. 13.3", exact, value, "W", tolerance=1e-9 * exact)
    assert first.rate0[1] == pytest.approx(-exact, rel=1e-9)


def test_parallel_plates_and_a_shield(record):
    """J5b. Infinite plates, emissivities 0.8 and 0.4: 42189.9012514 W/m2; with a shield of 0.1:
    5334.35533064.

    1 / (1/e1 + 1/e2 - 1), and a shield adds 2/es - 1 (Incropera sec. 13.3, recalled). Tolerance 1e-9 (case
    J5). The shield is a cell that floats between both plates.
    """
    exact = DRIVE / (1.0 / 0.8 + 1.0 / 0.4 - 1.0)
    shielded = DRIVE / (1.0 / 0.8 + 1.0 / 0.4 - 1.0 + 2.0 / 0.1 - 1.0)
    assert exact == pytest.approx(42189.9012514, rel=1e-11)
    assert shielded == pytest.approx(5334.35533064, rel=1e-11)

    graph = Graph()
    plate = graph.cells(1.0, graph.material(material(1e6, 1.0)))
    graph.boundary(plate, 1.0, gas=graph.ambient(HOT), emissivity=0.8, enclosure=1.0 / 0.4 - 1.0)
    first = next(steps(graph.problem(COLD), 1e-3, Options(fixed=1e-3)))
    record("J5b two plates", "Incropera sec. 13.3", exact, first.rate0[0], "W/m2", tolerance=1e-9 * exact)

    graph = Graph()
    shield = graph.cells(1.0, graph.material(material(1e6, 1.0)))
    for temperature, emissivity in ((COLD, 0.8), (HOT, 0.4)):
        enclosure = 1.0 / emissivity - 1.0
        graph.boundary(shield, 1.0, gas=graph.ambient(temperature), emissivity=0.1, enclosure=enclosure)
    (T,) = steady(graph.problem(1000.0), tolerance=1e-14)
    flow = STEFAN_BOLTZMANN * (HOT**4 - T**4) / (1.0 / 0.1 + 1.0 / 0.4 - 1.0)
    record("J5b with a shield", "Incropera sec. 13.3", shielded, flow, "W/m2", tolerance=1e-9 * shielded)


@pytest.mark.parametrize("walls_are_a_cell", [False, True])
def test_time_to_heat_a_load_in_a_grey_enclosure(walls_are_a_cell, record):
    """J7. 100 kg, c 600, surface of J5a, walls held at 1000 degC, from 20 to 900 degC: 723.874287354 s.

    Closed form with ln and atan (Bejan & Kraus, Heat Transfer Handbook, eq. 3.283). Tolerance 1e-5 (case J7).
    A cell of immense heat content stands for the held walls in the second run.
    """
    end, start = 900.0 + ZERO_CELSIUS, 20.0 + ZERO_CELSIUS
    graph = Graph()
    solid = graph.material(material(100.0 * 600.0, 1.0))
    graph.cells(1.0, solid)
    walls = graph.surroundings(int(graph.cells(1e14, solid)[0])) if walls_are_a_cell else graph.ambient(HOT)
    graph.boundary(0, 1.0, gas=walls, emissivity=0.8, enclosure=0.25)
    problem = graph.problem([start, HOT] if walls_are_a_cell else start)
    watch = Watch(problem, [Probe((0,))], [(0, end)])
    for step in steps(problem, 800.0, Options(tolerance=1e-4)):
        watch.see(step)
    rate = STEFAN_BOLTZMANN / 1.5 / (100.0 * 600.0)

    def age(T: float) -> float:
        return (np.log((HOT + T) / (HOT - T)) + 2.0 * np.arctan(T / HOT)) / (4.0 * rate * HOT**3)

    exact = age(end) - age(start)
    assert exact == pytest.approx(723.874287354, rel=1e-11)
    name = "J7 walls a cell" if walls_are_a_cell else "J7 prescribed walls"
    record(name, "Heat Transfer Handbook eq. 3.283", exact, watch.first(0, end), "s", tolerance=1e-5 * exact)


# A furnace of lumped cells: gas and walls are cells, so every flow between them and the loads is two-sided.
GAS, WALL, LUMP, FRONT, BACK = range(5)
CAPACITY = np.array([2e3, 6e4, 4e3, 2.5e3, 1.5e3])  # J/K
WALL_LOSS, WALL_TO_GAS, ROOM = 4.0 * 0.6, 8.0 * 0.5, 293.15  # W/K, W/K, K
THROUGH, BETWEEN = 2.0 * 8.0, 300.0 * 0.04  # half cell of the slab, contact in its middle [W/K]


def _power(t: float) -> float:
    return 3000.0 * np.exp(-t / 5000.0)


def _furnace() -> Graph:
    graph = Graph()
    solid = graph.material(material(1.0, 2.0))
    graph.cells(CAPACITY, solid)
    gas, wall, room = graph.surroundings(GAS), graph.surroundings(WALL), graph.ambient(ROOM)
    graph.boundary(WALL, 0.6, gas=room, film=4.0)
    graph.boundary(WALL, 0.5, gas=gas, film=8.0)
    graph.boundary(LUMP, 0.05, gas=gas, walls=wall, film=10.0, emissivity=0.8, enclosure=0.25)
    graph.boundary(FRONT, 0.04, 8.0, gas=gas, walls=wall, film=12.0, emissivity=0.6, enclosure=0.4)
    graph.boundary(BACK, 0.03, 8.0, gas=wall, film=5.0, emissivity=0.9, enclosure=0.1)
    graph.faces(FRONT, BACK, 0.04, contact=graph.contact(300.0))
    graph.source(WALL, _power)
    return graph


def _into_surface(cell: float, gas: float, wall: float, hA: float, eA: float) -> tuple[float, float]:
    """Convection and radiation [W] into a surface that half a cell parts from `cell`, by root finding."""

    def left(s: float) -> float:
        return hA * (gas - s) + eA * STEFAN_BOLTZMANN * (wall**4 - s**4) - THROUGH * (s - cell)

    s = brentq(left, 100.0, 3000.0, xtol=1e-12, rtol=1e-15)
    return hA * (gas - s), eA * STEFAN_BOLTZMANN * (wall**4 - s**4)


def _rate(t: float, T: np.ndarray) -> np.ndarray:
    """The same furnace as ordinary differential equations, written out by hand."""
    q = np.zeros(5)
    q[WALL] = _power(t) - WALL_LOSS * (T[WALL] - ROOM) - WALL_TO_GAS * (T[WALL] - T[GAS])
    q[GAS] = WALL_TO_GAS * (T[WALL] - T[GAS])
    conv = 0.5 * (T[GAS] - T[LUMP])
    rad = 0.05 * STEFAN_BOLTZMANN / (1.0 / 0.8 + 0.25) * (T[WALL] ** 4 - T[LUMP] ** 4)
    q[[LUMP, GAS, WALL]] += (conv + rad, -conv, -rad)
    conv, rad = _into_surface(T[FRONT], T[GAS], T[WALL], 0.48, 0.04 / (1.0 / 0.6 + 0.4))
    q[[FRONT, GAS, WALL]] += (conv + rad, -conv, -rad)
    conv, rad = _into_surface(T[BACK], T[WALL], T[WALL], 0.15, 0.03 / (1.0 / 0.9 + 0.1))
    q[[BACK, WALL]] += (conv + rad, -conv - rad)
    joint = BETWEEN * (T[FRONT] - T[BACK])
    q[[FRONT, BACK]] += (-joint, joint)
    return q / CAPACITY


def test_chamber_of_cells_against_an_ode_solver(record):
    """A chamber whose gas and walls are cells, radiating to three loads, against scipy's Radau at 1e-11.

    Two loads have a resolved surface, so gas and walls are coupled through it. No published source: both
    sides are written from the heat balances. Tolerance 2e-3 K, with an allowed error of 1e-4 K a step.
    """
    times = [300.0, 1200.0, 3600.0, 7200.0]
    start = np.array([700.0, 900.0, 300.0, 310.0, 290.0])
    run = solve_ivp(_rate, (0.0, times[-1]), start, method="Radau", rtol=1e-11, atol=1e-8, t_eval=times)
    found = history(_furnace().problem(start), times, tolerance=1e-4)
    names = ("gas", "wall", "lump", "front", "back")
    for i, (time, T) in enumerate(zip(times, found, strict=True)):
        for name, expected, value in zip(names, run.y[:, i], T, strict=True):
            record(f"network {name} {time:g} s", "scipy Radau, rtol 1e-11", expected, value, "K", tolerance=2e-3)


def test_heat_given_off_inside_the_chamber_stays_inside():
    """Cells that are each other's surroundings exchange heat without loss: 1e-8 of the heat exchanged."""
    problem = _furnace().problem([700.0, 900.0, 300.0, 310.0, 290.0])
    watch = Watch(problem, [Probe((LUMP,))])
    for step in steps(problem, 7200.0, Options(tolerance=1e-3)):
        watch.see(step)
    assert watch.balance_error <= 1e-8
    gained = CAPACITY @ (step.T - problem.initial)
    assert watch.heat == pytest.approx(gained, abs=1e-8 * watch.exchanged)


@pytest.mark.parametrize("law", ["P", "PID", "PID near its limit", "held back"])
def test_jacobian_of_a_chamber_of_cells_is_the_derivative_of_its_flows(law):
    """The five blocks of the Jacobian against central differences of the flows: 1e-6 of a row's largest.

    Properties are constant here, as the Jacobian leaves out the slopes of films, emissivities and
    conductivities. The memory of a controller counts as cells, its rates as flows.
    """
    graph = _furnace()
    # With memory: 1e5 + 50 (880 - 740 + 25 - 10 (740 - 728)) = 102250 W, 1.7 % below a limit of 1.04e5 W.
    more = {"P": {}, "PID": {}, "PID near its limit": {"maximum": 1.04e5}, "held back": {"holdback": 139.9}}[law]
    if law != "P":
        more |= {"integral_time": 200.0, "derivative_time": 30.0, "target": ([0.0, 100.0], [880.0, 900.0])}
    graph.controller(WALL, GAS, **({"gain": 50.0, "maximum": 1e6, "target": 900.0, "feed": 1e5} | more))
    T0 = np.array([740.0, 930.0, 420.0, 510.0, 460.0])
    problem = graph.problem(T0)
    T0 = problem.initial
    if law != "P":
        T0[5:7] = 25.0, 728.0
    P, n = problem.arrays, problem.n_cell
    W, _ = make_work(P, T0)
    H, where, T = np.empty(n), np.zeros(n, np.int64), T0.copy()
    initial_state(P.m, P.mat, T0, H, where)

    def flows(change: np.ndarray) -> np.ndarray:
        evaluate(P, problem.contact_states, H + change, where, T, W, *problem.signals(100.0))
        return W.F.copy()

    step = 1e-3  # capacity per volume is 1, so a change of enthalpy is one of temperature
    differences = np.stack([(flows(step * e) - flows(-step * e)) / (2.0 * step) for e in np.eye(n)], axis=1)
    flows(np.zeros(n))
    J = np.zeros((n, n))
    for a, b, G in zip(P.f.a, P.f.b, W.Gf, strict=True):
        J[[a, b, a, b], [a, b, b, a]] += (-G, -G, G, G)
    inner = P.border < 0
    J[inner, inner] -= W.D[inner]
    J[np.ix_(P.rim, P.bcell)] += W.B
    J[np.ix_(P.bcell, P.rim)] += W.C
    J[np.ix_(P.bcell, P.bcell)] += W.E
    worst = np.max(np.abs(J - differences), axis=1)
    assert np.all(worst <= 1e-6 * np.max(np.abs(differences), axis=1))
