"""The catalogue's cases on the furnace that plans are made with: its chamber, lining, controller and load."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import expm

from brazesoak.analysis.chambers import library_chamber
from brazesoak.bridge import chamber as bridge
from brazesoak.bridge.chamber import add_furnace, follow_program, initial
from brazesoak.bridge.discretise import discretise
from brazesoak.bridge.lining import add_lining
from brazesoak.bridge.simulate import simulate
from brazesoak.thermal.control import Controller, proportional
from brazesoak.thermal.furnace import Chamber, FloatArray, Layer, Lining, Profile, Surroundings
from brazesoak.thermal.layout import Layout, Region
from brazesoak.thermal.model import Body, Contact, ThermalModel
from brazesoak.trade.library import Library
from brazesoak_solvers import Graph, March, Options, Probe, Watch, material, steps
from brazesoak_solvers.kernels.control import DERIVATIVE_GAIN

from .build import kelvin
from .exact import half_space_film, half_space_flux, plane_in_ramp, plane_with_flux

ROOM = kelvin(20.0)


def flat(value: float) -> tuple[FloatArray, FloatArray]:
    return np.array([250.0, 1500.0]), np.full(2, value)


def load(mass: float, area: float, emissivity: float, specific_heat: float, target: float) -> ThermalModel:
    """Two like bodies that share mass and surface, in perfect contact; surroundings are to be put in."""
    half = Body(
        "half", flat(8000.0 * specific_heat), flat(40.0), flat(emissivity), 0.5 * mass / 8000.0, 0.5 * area, 0.01
    )
    joint = Contact("joint", (0, 1), 0.1 * area, flat(1e9), flat(1e9), target - 30.0, target - 20.0, target)
    return ThermalModel((half, half), (joint,), still(ROOM), ROOM, None)


def still(at: float, film: float = 1e-12, chamber: Chamber | None = None) -> Surroundings:
    """A furnace that stands at a temperature [K] when the load goes in."""
    return Surroundings(Profile(np.zeros(1), np.array([at])), film, chamber, 5.0, ROOM)


def lump(**figures: float) -> Chamber:
    """A chamber of one temperature."""
    given = {"power": 1.0, "heat_capacity": 1e13, "loss_conductance": 0.0, "wall_area": 6.0, "wall_emissivity": 0.4}
    return Chamber(**(given | {"sensor_time_constant": 1e-3, "control_band": 1e-2} | figures))


def test_chamber_and_load_with_limited_power(record, monkeypatch):
    """A8. Chamber 4e5 J/K, load 1.2e6 J/K, 900 W/K between, 25 W/K to 20 degC; 60 kW until the chamber is at 1050 degC,
    then held there by the furnace's own controller. Linear, by matrix exponential: 0.01 K, 1e-5 of the times, and 5 W
    of 34750, since the power of steps is interpolated. The controller is at full power to the edge of its band of 1 mK.
    The room is made larger: the 500 MJ lost here, hundreds of times a kiln's, would warm its 1e10 J/K by 0.05 K.
    """
    monkeypatch.setattr(bridge, "ROOM_CAPACITY", 1e14)
    c = lump(power=60e3, heat_capacity=4e5, loss_conductance=25.0, control_band=1e-3)
    program = Profile(np.array([0.0, 1.0]), np.full(2, kelvin(1050.0)))
    s = Surroundings(program, 0.0, c, 5.0, ROOM)
    graph = Graph()
    f = add_furnace(graph, s, ROOM, 0.0)
    follow_program(graph, f, s, heating=True)
    cell = graph.cells(1.2e6, graph.material(material(1.0, 1.0)))
    graph.faces(cell, f.heated, 1.0, contact=graph.contact(900.0))
    start = np.append(initial(f), ROOM)
    problem = graph.problem(start)
    top, later = kelvin(1050.0) - 1e-3, kelvin(1040.0)
    watch = Watch(problem, [Probe((f.heated,)), Probe((int(cell[0]),))], [(0, top), (1, later)])
    at, power = {}, {}
    for step in steps(problem, 37e3, Options(tolerance=1e-4)):
        watch.see(step)
        power[0.5 * (step.start + step.end)] = step.heat / (step.end - step.start)
        for t in (600.0, 3600.0, 7200.0):
            if step.start < t <= step.end:
                at[t] = step.temperature(t)[[f.heated, int(cell[0])]] - kelvin(0.0)
    source = "matrix exponential"
    for t, exact in (
        (600.0, (73.01264816, 31.94103786)), (3600.0, (184.5878317, 137.7775721)), (7200.0, (305.0205097, 260.731331))
    ):  # fmt: skip
        for name, wanted, found in zip(("chamber", "load"), exact, at[t], strict=True):
            record(f"A8 {name} {t:g} s", source, wanted, found, "degC", tolerance=0.01)
    record("A8 chamber at 1050", source, 35427.47254, watch.first(0, top), "s", tolerance=1e-5 * 35427.0)
    reached = watch.first(1, later)
    record("A8 load at 1040", source, 36832.70041, reached, "s", tolerance=1e-5 * 36833.0)
    given = np.interp(reached, list(power), list(power.values()))
    record("A8 power then", "25 x 1030 + 900 x 10 W", 34750.0, given, "W", tolerance=5.0)
    assert watch.balance_error < 1e-9


def test_slab_in_a_furnace_that_ramps(record):
    """B5 as a plan computes it: two slabs of 30 mm brazed together, so that their joint is the middle of one of 60 mm;
    Bi 0.5, alpha 1e-5, in a chamber whose controller follows 10 K/min from 20 degC. Duhamel's integral; the joint
    passes 900 degC at 5505 s. 1e-4 relative, 0.05 s, as the case asks; the sides of the stack take 1e-5 of the heat.
    """
    half, area, h, ramp = 0.03, 1e8, 0.5 * 40.0 / 0.03, 10.0 / 60.0
    m = load(2.0 * half * area * 8000.0, 2.0 * area, 1e-9, 500.0, kelvin(900.0))
    m = replace(m, contacts=(replace(m.contacts[0], area=area),))
    slabs = tuple(Region(i, 0.0, 1.0, i * half, (i + 1) * half, area) for i in range(2))
    program = Profile(np.array([0.0, 6000.0]), np.array([ROOM, ROOM + 1000.0]))
    outside = Surroundings(program, h, lump(power=1e16, heat_capacity=1e10), 5.0, ROOM)
    m = replace(m, surroundings=outside, layout=Layout("stack", slabs, "of one footprint"))
    run = simulate(m, "section", lambda clock, last: max(clock, last), fineness=8, every=2.0)
    for t, exact in ((120.0, 23.7921150457), (600.0, 84.6864214964), (3600.0, 582.500001451)):
        assert 20.0 + ramp * half**2 / 1e-5 * plane_in_ramp(0.5, 1e-5 * t / half**2, 0.0) == pytest.approx(exact)
        found = float(np.interp(t, run.time, run.joint[0])) - kelvin(0.0)
        record(f"B5 joint {t:g} s", "Duhamel's integral", exact, found, "degC", tolerance=1e-4 * exact)
    record("B5 joint at 900 degC", "Duhamel's integral", 5505.0, run.joints[0].target, "s", tolerance=0.05)


def plane_lining(thickness: float, capacity: float, k: float) -> tuple[Graph, Lining, FloatArray]:
    """A lining so wide that its edges count for 1e-7 of it, cold all through, of one layer, its case insulated."""
    at = np.array([300.0])
    layer = Layer(thickness, (at, np.array([capacity])), (at, np.array([k])))
    lining = Lining(1e6, (layer,), 1e-30, 1e-3)
    graph = Graph()
    room = int(graph.cells(1e20, graph.material(material(1.0, 1.0)))[0])
    return graph, lining, add_lining(graph, lining, room, ROOM, ROOM).cells


def faces_at(graph: Graph, cells: FloatArray, times: tuple[float, ...]) -> list[FloatArray]:
    """Rise of hot face and case at each time [K]."""
    problem = graph.problem(ROOM)
    found, wanted = [], list(times)
    for step in steps(problem, wanted[-1], Options(tolerance=1e-3)):
        while wanted and step.end >= wanted[0] * (1.0 - 1e-12):
            found.append(step.temperature(wanted.pop(0))[[cells[0], cells[-1]]] - ROOM)
    return found


def test_lining_heated_by_a_constant_flux(record):
    """B4. What elements at constant power do to 100 mm of brick, its case insulated: k dT / (q L) at both faces. 3e-3:
    14 cells, of which the case asks 40 and 2e-4."""
    L, capacity, k, q = 0.1, 560.0 * 979.0, 0.16, 1e3
    graph, lining, cells = plane_lining(L, capacity, k)
    graph.source([cells[0]], q * lining.hot_face)
    fourier = (0.05, 0.2, 1.0)
    times = tuple(Fo * L**2 * capacity / k for Fo in fourier)
    for Fo, rise in zip(fourier, faces_at(graph, cells, times), strict=True):
        for place, x, found in zip(("hot face", "case"), (1.0, 0.0), rise, strict=True):
            record(
                f"B4 lining Fo {Fo:g} {place}", "Carslaw & Jaeger, sec. 3.8 (recalled)", plane_with_flux(Fo, x),
                k * found / (q * L), tolerance=3e-3,
            )  # fmt: skip


def test_lining_in_a_chamber_that_ramps(record):
    """B5. Bi 0.5, alpha 1e-5, half thickness 30 mm: hot face and insulated case of a lining whose air ramps.
    0.02 K: 14 cells."""
    half, k = 0.03, 40.0
    graph, lining, cells = plane_lining(half, k / 1e-5, k)
    air = graph.ambient(([0.0, 3600.0], [ROOM, ROOM + 600.0]))
    graph.boundary(cells[0], lining.hot_face, gas=air, film=0.5 * k / half)
    times = (120.0, 600.0, 3600.0)
    for t, rise in zip(times, faces_at(graph, cells, times), strict=True):
        for place, x, found in zip(("hot face", "case"), (1.0, 0.0), rise, strict=True):
            exact = half**2 / 1e-5 / 6.0 * plane_in_ramp(0.5, 1e-5 * t / half**2, x)
            record(f"B5 lining {t:g} s {place}", "Duhamel's integral", exact, found, "K", tolerance=0.02)


def test_lining_as_a_half_space(record):
    """C2, C3. Hot face of 0.5 m with k 45, alpha 1.2e-5 after 300 s: a flux of 2e5 W/m2; a film of 500 to 1000 degC.
    0.6 %: the first of the 14 cells is 8 mm thick where the heat has come 60 mm far, as in a kiln's brick after some
    minutes.
    """
    k, alpha, t = 45.0, 1.2e-5, 300.0
    graph, lining, cells = plane_lining(0.5, k / alpha, k)
    graph.source([cells[0]], 2e5 * lining.hot_face)
    ((rise, _),) = faces_at(graph, cells, (t,))
    exact = half_space_flux(0.0, t, k, alpha, 2e5)
    record("C2 lining 300 s", "Carslaw & Jaeger, sec. 2.9 (recalled)", exact, rise, "K", tolerance=0.006 * exact)
    graph, lining, cells = plane_lining(0.5, k / alpha, k)
    graph.boundary(cells[0], lining.hot_face, gas=graph.ambient(kelvin(1000.0)), film=500.0)
    ((rise, _),) = faces_at(graph, cells, (t,))
    exact = 980.0 * half_space_film(0.0, t, k, alpha, 500.0)
    assert exact == pytest.approx(471.50128023 - 20.0)
    record("C3 lining 300 s", "Carslaw & Jaeger, sec. 2.7 (recalled)", exact, rise, "K", tolerance=0.006 * exact)


GREY = {"mass": 100.0, "area": 1.0, "emissivity": 0.8, "specific_heat": 600.0}


def test_radiation_to_a_load_in_its_chamber(record):
    """J5. 1 m2 of emissivity 0.8 at 600 degC in walls of 6 m2 of 0.4 at 1000 degC: 77348.15 W. 3e-6: in the second
    looked at, the load, here of 100 t, warms by 1 mK and takes up 2e-6 less."""
    m = load(**(GREY | {"mass": 1e5}), target=kelvin(900.0))
    m = replace(m, surroundings=still(kelvin(1000.0), chamber=lump()), start=kelvin(600.0))
    d = discretise(m, "network")
    watch = Watch(d.problem, (Probe((0,)),))
    March(d.problem, Options(tolerance=1e-6)).run(1.0, watch)
    found = watch.energy_gain(np.concatenate(d.cells))
    record("J5 load in chamber", "Incropera sec. 13.3 (recalled)", 77348.1522943, found, "W", tolerance=0.23)


def test_load_in_the_grey_enclosure_of_its_chamber(record):
    """J7. 100 kg, 600 J/(kg K), surfaces as J5: from 20 to 900 degC in 723.874 s. 1e-5."""
    m = replace(load(**GREY, target=kelvin(900.0)), surroundings=still(kelvin(1000.0), chamber=lump()))
    run = simulate(m, "network", lambda clock, last: last)
    record("J7 load in chamber", "quadrature", 723.874287354, run.joints[0].target, "s", tolerance=1e-5 * 724.0)


LAG, BAND, CAPACITY, LOSS, POWER = 30.0, 40.0, 15e3, 1.5, 2500.0
CONTROLLERS = {
    "proportional": proportional(BAND, LAG),
    "pid": Controller("pid", BAND, 480.0, 60.0, 3.0, None, "wall", None, LAG),
}


@pytest.mark.parametrize("name", CONTROLLERS)
def test_controller_on_a_furnace_of_the_first_order(name, record):
    """The furnace's own controller, its sensor 30 s late, on a chamber C T' = u - g (T - T0): from rest at 300 degC the
    program steps up by 8 K. Chamber, sensor, integral and filtered measurement are linear while the power keeps clear
    of its limits: matrix exponential. 1e-4 of the step.
    """
    control = CONTROLLERS[name]
    c = replace(lump(power=POWER, heat_capacity=CAPACITY, loss_conductance=LOSS), control=control)
    target, step = kelvin(308.0), 8.0
    s = Surroundings(Profile(np.array([0.0, 1e5]), np.full(2, target)), 0.0, c, 5.0, ROOM)
    graph = Graph()
    f = add_furnace(graph, s, target - step, 0.0)
    follow_program(graph, f, s, heating=True)
    problem = graph.problem(initial(f))
    K, filtered = POWER / BAND, name == "pid"
    n = DERIVATIVE_GAIN / 60.0
    gain = K * (1.0 + (DERIVATIVE_GAIN if filtered else 0.0))
    # Of chamber x and sensor y above the target, integral z, filtered measurement m, and 1.
    constant = -LOSS * (target - ROOM) / CAPACITY if filtered else 0.0  # without the feed, which holds the furnace
    matrix = np.array([
        [-LOSS / CAPACITY, -gain / CAPACITY, K / CAPACITY, (gain - K) / CAPACITY, constant],
        [1.0 / LAG, -1.0 / LAG, 0.0, 0.0, 0.0],
        [0.0, -1.0 / control.integral_time, 0.0, 0.0, 0.0],
        [0.0, n, 0.0, -n, 0.0],
        np.zeros(5),
    ])  # fmt: skip
    start = np.array([-step, -step, 0.0, -step, 1.0])
    times = [30.0, 120.0, 600.0, 1800.0]
    for step_ in steps(problem, times[-1], Options(tolerance=1e-4)):
        while times and step_.end >= times[0] * (1.0 - 1e-12):
            t = times.pop(0)
            exact = (expm(matrix * t) @ start)[0]
            found = step_.temperature(t)[f.heated] - target
            record(f"{name}, chamber {t:g} s", "matrix exponential", exact, found, "K", tolerance=1e-4 * step)


@pytest.mark.parametrize("name", ["bench-kiln-10l", "fan-furnace-30l"])
def test_energy_in_is_energy_stored_and_lost(name, record):
    """Heat of the heaters against the enthalpies of load, chamber, shelf, lining and room at the end: 1e-6 of it."""
    (furnace,) = (f for f in Library().furnaces if f.id == name)
    m = load(5.0, 0.06, 0.5, 600.0, kelvin(682.0))
    program = Profile(np.array([0.0, 4200.0]), np.array([ROOM, kelvin(730.0)]))
    m = replace(m, surroundings=Surroundings(program, furnace.film.use, library_chamber(furnace), 5.0, ROOM))
    run = simulate(m, "network", lambda clock, last: max(clock, last) + 600.0)
    parts = run.load_heat + run.chamber_heat + run.shelf_heat + run.lining_heat + run.loss_heat
    assert min(run.load_heat, run.lining_heat, run.loss_heat) > 0.01 * parts
    record(f"energy, {name}", "stored + lost", run.heater_heat, parts, "J", tolerance=1e-6 * parts)
