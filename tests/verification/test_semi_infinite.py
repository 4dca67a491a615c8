"""Half-spaces: stepped surface, constant flux, film, and two in contact (cases C1 to C4)."""

import numpy as np
import pytest

from brazesoak_solvers import Graph, Probe, Watch, material, steps, structured
from brazesoak_solvers.stepping import Options

from .build import between, body, history, kelvin
from .exact import half_space_film, half_space_flux, half_space_wall

K, ALPHA = 45.0, 1.2e-5
START, GAS = 20.0, 1000.0  # degC
POINTS = {10.0: 0.01, 60.0: 0.02, 300.0: 0.05}  # time [s]: depth [m]
DEPTH = 0.5  # 8.3 sqrt(alpha t) at 300 s, where nothing has arrived
CELL = 1e-3
EDGES = np.linspace(0.0, DEPTH, 501)
BOOK = "Carslaw & Jaeger, 2nd ed., sec. {} (recalled)"


def profiles(edges=EDGES, **law):
    """Grid and temperatures [degC] at the three times of a wall whose surface is at x = DEPTH."""
    problem, mesh = body("plane", edges, K / ALPHA, K, kelvin(START), kelvin(GAS), **law)
    return mesh, [T - kelvin(0.0) for T in history(problem, list(POINTS), tolerance=5e-3)]


def test_stepped_surface(record):
    """C1. T = 1000 - 980 erf(x / (2 sqrt(alpha t))). 0.1 K (case C1), with cells of half a millimetre.

    With 1 mm, cell-centred volumes marched without any error in time are 0.25 K off at 10 s.
    Source: Carslaw & Jaeger, 2nd ed., sec. 2.4; Incropera & DeWitt sec. 5.7 (recalled).
    """
    catalogue = (528.2329161, 606.19822363, 564.57599448)
    mesh, found = profiles(np.linspace(0.0, DEPTH, 1001), fixed=True)
    for (time, x), number, T in zip(POINTS.items(), catalogue, found, strict=True):
        exact = START + (GAS - START) * half_space_wall(x, time, ALPHA)
        assert exact == pytest.approx(number, abs=1e-7)
        record(f"C1 {time:g} s", BOOK.format("2.4"), exact, between(mesh, T, DEPTH - x), "degC", tolerance=0.1)


def test_constant_flux(record):
    """C2. 2e5 W/m2 into the surface: depth points and surface, 2 q sqrt(alpha t / pi) / k. 0.05 K (case C2).

    Source: Carslaw & Jaeger, 2nd ed., sec. 2.9 (recalled).
    """
    flux = 2e5
    catalogue = ((41.556052845, 74.936775399), (83.94713952, 154.56706784), (149.45799843, 320.90111123))
    mesh, found = profiles(flux=flux)
    for (time, x), numbers, T in zip(POINTS.items(), catalogue, found, strict=True):
        outside = float((9.0 * T[-1] - T[-2] + 3.0 * flux * CELL / K) / 8.0)  # parabola with the imposed slope
        for place, at, number, value in zip(
            ("inside", "surface"), (x, 0.0), numbers, (between(mesh, T, DEPTH - x), outside), strict=True
        ):
            exact = START + half_space_flux(at, time, K, ALPHA, flux)
            assert exact == pytest.approx(number, abs=1e-7)
            record(f"C2 {place} {time:g} s", BOOK.format("2.9"), exact, value, "degC", tolerance=0.05)


def test_published_flux_example(record):
    """C2, published: 3.2e5 W/m2, alpha 1.4e-5, k 45, from 35 degC; 25 mm deep after 30 s.

    Source: Holman, Heat Transfer, Example 4-2: 79.3 degC, quoted beside 79.25 of a finite-element run. Exact
    79.3141588 degC; 0.05 K, and its rounding against the book.
    """
    problem, mesh = body("plane", EDGES, K / 1.4e-5, K, kelvin(35.0), kelvin(35.0), flux=3.2e5)
    (T,) = history(problem, [30.0], tolerance=5e-3)
    exact = 35.0 + half_space_flux(0.025, 30.0, K, 1.4e-5, 3.2e5)
    assert exact == pytest.approx(79.3141588, abs=1e-7)
    found = between(mesh, T, DEPTH - 0.025) - kelvin(0.0)
    record("C2 Example 4-2", "Holman, Ex. 4-2", exact, found, "degC", tolerance=0.05)
    record("C2 Example 4-2 book", "Holman, Ex. 4-2", 79.3, found, "degC", tolerance=0.05)


def test_film(record):
    """C3. h = 500 to 1000 degC: depth points and surface, by erfc and exp erfc. 0.05 K (case C3).

    Source: Carslaw & Jaeger, 2nd ed., sec. 2.7 (recalled).
    """
    film = 500.0
    catalogue = ((68.545553978, 141.30574888), (147.67899098, 278.83908563), (230.23727303, 471.50128023))
    mesh, found = profiles(film=film)
    g = film * CELL / K
    for (time, x), numbers, T in zip(POINTS.items(), catalogue, found, strict=True):
        outside = float((9.0 * T[-1] - T[-2] + 3.0 * g * GAS) / (8.0 + 3.0 * g))  # parabola with the film's slope
        for place, at, number, value in zip(
            ("inside", "surface"), (x, 0.0), numbers, (between(mesh, T, DEPTH - x), outside), strict=True
        ):
            exact = START + (GAS - START) * half_space_film(at, time, K, ALPHA, film)
            assert exact == pytest.approx(number, abs=1e-7)
            record(f"C3 {place} {time:g} s", BOOK.format("2.7"), exact, value, "degC", tolerance=0.05)


@pytest.mark.parametrize("matched", [True, False])
def test_two_half_spaces(matched, record):
    """C4. Copper at 900 degC meets stainless steel at 20: interface at the effusivity-weighted mean.

    Matched cells (equal dx / sqrt(alpha)) keep it from the first step on: 0.5 K (case C4) becomes 1e-6 K.
    Cells of 1 mm on both sides forget the start by 5 s, some time of dx2 / alpha later. Source: Carslaw &
    Jaeger, 2nd ed., sec. 2.9 (recalled).
    """
    copper, steel = (398.0, 8960.0 * 385.0), (15.0, 7900.0 * 480.0)
    root = [np.sqrt(k / c) for k, c in (copper, steel)]
    widths = [1e-3, 1e-3 * root[1] / root[0] if matched else 1e-3]
    edges = np.concatenate([widths[0] * np.arange(-200.0, 1.0), widths[1] * np.arange(1.0, 201.0)])
    graph = Graph()
    mesh = structured([edges], "plane", np.repeat([0, 1], 200))
    graph.mesh(mesh, [graph.material(material(c, k)) for k, c in (copper, steel)])
    problem = graph.problem(np.repeat([kelvin(900.0), kelvin(20.0)], 200))
    effusivity = [np.sqrt(k * c) for k, c in (copper, steel)]
    exact = (effusivity[0] * 900.0 + effusivity[1] * 20.0) / sum(effusivity)
    assert exact == pytest.approx(751.175190541, abs=1e-8)
    watch = Watch(problem, [Probe((199,), "warm side"), Probe((199,), "cold side")])
    for step in steps(problem, 5.0, Options(tolerance=0.05)):
        watch.see(step)
    assert watch.steps > 20
    after = np.array(watch.reading[1 if matched else -1 :]) - kelvin(0.0)
    assert np.ptp(after, axis=1) == pytest.approx(0.0, abs=1e-9)  # bonded: both sides are one
    worst = after[np.argmax(np.abs(after[:, 0] - exact)), 0]
    name = f"C4 {'matched' if matched else 'equal'} cells"
    record(name, BOOK.format("2.9"), exact, worst, "degC", tolerance=1e-6)
