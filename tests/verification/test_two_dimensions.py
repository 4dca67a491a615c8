"""Short cylinder, bar, tube, composite tube and fin against exact solutions (two dimensions, and their 1-D
kin).
"""

import numpy as np
import pytest

from brazesoak_solvers import Graph, Options, material, steady, steps, structured
from brazesoak_solvers.constants import ZERO_CELSIUS

from .build import history
from .build_2d import sides, with_edges
from .exact import theta
from .exact_2d import fin, fin_base_flow, hollow_cylinder

K, ALPHA, FILM = 40.0, 1e-5, 250.0  # the steel of cases E1 to E5
START, GAS = 20.0, 1000.0  # degC
PRODUCT = "product of series, Carslaw & Jaeger 2nd ed. sec. 1.15 (recalled)"


def celsius(ratio: float) -> float:
    return GAS + (START - GAS) * ratio


def test_short_cylinder(record):
    """E1. D 80 x H 120 mm, film all round: T = plane(z) x cylinder(r). 40 x 40 cells on a quarter.

    Source: Carslaw & Jaeger sec. 1.15, Incropera sec. 5.6 (recalled); numbers of the catalogue from the
    series. Tolerance 0.1 K (case E1).
    """
    radius, half = 0.04, 0.06
    graph = Graph()
    solid = graph.material(material(K / ALPHA, K))
    mesh = structured([np.linspace(0.0, radius, 41), np.linspace(0.0, half, 41)], "axisymmetric")
    cells = graph.mesh(mesh, [solid])
    sides(graph, mesh, cells, [(0, 1), (1, 1)], gas=graph.ambient(GAS + ZERO_CELSIUS), film=FILM)
    catalogue = {
        60.0: (141.2774599, 238.915633, 261.6258053, 345.5801725),
        180.0: (453.4145031, 515.7800764, 541.4116342, 593.7367078),
        600.0: (891.9776901, 904.3030696, 909.4436439, 919.7761526),
    }
    half_cells = [FILM * radius / 80.0 / K, FILM * half / 80.0 / K]
    found = history(graph.problem(START + ZERO_CELSIUS), list(catalogue), tolerance=0.02)
    for (time, numbers), T in zip(catalogue.items(), found, strict=True):
        T = with_edges(T[mesh.number], GAS + ZERO_CELSIUS, half_cells) - ZERO_CELSIUS
        r = [theta("cylinder", FILM * radius / K, ALPHA * time / radius**2, x) for x in (0.0, 1.0)]
        z = [theta("plane", FILM * half / K, ALPHA * time / half**2, x) for x in (0.0, 1.0)]
        for place, i, j, number in zip(
            ("centre", "side", "end", "rim"), (0, -1, 0, -1), (0, 0, -1, -1), numbers, strict=True
        ):
            exact = celsius(r[i] * z[j])
            assert exact == pytest.approx(number, abs=1e-6)
            record(f"E1 {place} {time:g} s", PRODUCT, exact, T[i, j], "degC", tolerance=0.1)


def test_rectangular_bar(record):
    """E2. 60 x 100 mm, film all round: T = plane(x) x plane(y). 40 x 40 cells on a quarter.

    Source: as E1. Tolerance 0.1 K (case E2).
    """
    halves = (0.03, 0.05)
    graph = Graph()
    solid = graph.material(material(K / ALPHA, K))
    mesh = structured([np.linspace(0.0, h, 41) for h in halves], "plane")
    cells = graph.mesh(mesh, [solid])
    sides(graph, mesh, cells, [(0, 1), (1, 1)], gas=graph.ambient(GAS + ZERO_CELSIUS), film=FILM)
    catalogue = {
        60.0: (127.0403397, 202.816582, 239.7157451, 305.7113306),
        300.0: (582.1000945, 618.4093751, 639.752248, 671.0524148),
    }
    half_cells = [FILM * h / 80.0 / K for h in halves]
    found = history(graph.problem(START + ZERO_CELSIUS), list(catalogue), tolerance=0.02)
    for (time, numbers), T in zip(catalogue.items(), found, strict=True):
        T = with_edges(T[mesh.number], GAS + ZERO_CELSIUS, half_cells) - ZERO_CELSIUS
        x, y = ([theta("plane", FILM * h / K, ALPHA * time / h**2, at) for at in (0.0, 1.0)] for h in halves)
        for place, i, j, number in zip(
            ("centre", "x face", "y face", "edge"), (0, -1, 0, -1), (0, 0, -1, -1), numbers, strict=True
        ):
            exact = celsius(x[i] * y[j])
            assert exact == pytest.approx(number, abs=1e-6)
            record(f"E2 {place} {time:g} s", PRODUCT, exact, T[i, j], "degC", tolerance=0.1)


def test_hollow_cylinder(record):
    """E5. Tube 20 to 60 mm, bore insulated, film outside. 40 cells.

    Source: Laplace inversion, computed here and in the catalogue. Tolerance 0.05 K (case E5).
    """
    inner, outer = 0.02, 0.06
    graph = Graph()
    solid = graph.material(material(K / ALPHA, K))
    mesh = structured([np.linspace(inner, outer, 41)], "cylinder")
    cells = graph.mesh(mesh, [solid])
    sides(graph, mesh, cells, [(0, 1)], gas=graph.ambient(GAS + ZERO_CELSIUS), film=FILM)
    problem = graph.problem(START + ZERO_CELSIUS)
    through = K * mesh.outer.shape[-1] / (FILM * mesh.outer.area[-1])  # half cell over film
    catalogue = {60.0: (93.15154462, 202.965746), 300.0: (461.1132971, 527.2816883)}
    found = history(problem, list(catalogue), tolerance=0.01)
    for (time, numbers), T in zip(catalogue.items(), found, strict=True):
        T = T - ZERO_CELSIUS
        computed = ((9.0 * T[0] - T[1]) / 8.0, (GAS + through * T[-1]) / (1.0 + through))
        for place, r, number, value in zip(("bore", "outside"), (inner, outer), numbers, computed, strict=True):
            exact = celsius(1.0 - hollow_cylinder(r, time, inner, outer, K, ALPHA, FILM))
            assert exact == pytest.approx(number, abs=1e-5)
            record(f"E5 {place} {time:g} s", "Laplace inversion (Talbot)", exact, value, "degC", tolerance=0.05)


@pytest.mark.parametrize("cells_per_layer", [1, 7])
def test_composite_cylinder(cells_per_layer, record):
    """E6. Steady tube of two layers with a joint and a film: resistances in series, logarithms for the
    layers.

    The grid's radial shape factors carry the logarithm, so the answer is exact on every grid: 1e-9 (case E6).
    """
    r = (0.02, 0.03, 0.05)
    graph = Graph()
    solids = [graph.material(material(4e6, k)) for k in (15.0, 398.0)]
    edges = np.concatenate(
        [np.linspace(r[0], r[1], cells_per_layer + 1), np.linspace(r[1], r[2], cells_per_layer + 1)[1:]]
    )
    mesh = structured([edges], "cylinder", np.repeat([0, 1], cells_per_layer))
    cells = graph.mesh(mesh, solids, {(0, 1): graph.contact(3000.0)})
    bore, room = graph.ambient(900.0 + ZERO_CELSIUS), graph.ambient(20.0 + ZERO_CELSIUS)
    sides(graph, mesh, cells, [(0, 0)], gas=bore, fixed=True)
    sides(graph, mesh, cells, [(0, 1)], gas=room, film=100.0)
    T = steady(graph.problem(500.0), tolerance=1e-14)
    at_bore = mesh.outer.side == 0
    flow = 15.0 * mesh.outer.shape[at_bore] @ (900.0 + ZERO_CELSIUS - T[mesh.outer.cell[at_bore]])
    parts = (np.log(1.5) / 15.0, 1.0 / (3000.0 * 0.03), np.log(5.0 / 3.0) / 398.0, 1.0 / (100.0 * 0.05))
    exact = 880.0 * 2.0 * np.pi / sum(parts)
    assert exact == pytest.approx(23093.61687, rel=1e-9)
    record(f"E6 {2 * cells_per_layer} cells", "resistances in series", exact, flow, "W/m", tolerance=1e-9 * exact)


@pytest.mark.parametrize(
    ("biot", "tip_middle", "tip_side"),
    [(0.1, 0.09041000024, 0.08607139265), (0.01, 0.6499531818, 0.6467169089)],
)
def test_fin(biot, tip_middle, tip_side, record):
    """E7. Fin of half thickness 1 and length 10, base at 1, tip adiabatic, film on the side; 20 x 80 cells.

    The 2-D series is the reference; the 1-D formula (Incropera Table 3.4, recalled) is 7 % off at Bi 0.1.
    Tolerance 2e-4 (case E7), for the base flow too although the corner of base and side is singular.
    """
    graph = Graph()
    solid = graph.material(material(1.0, 1.0))
    mesh = structured([np.linspace(0.0, 10.0, 81), np.linspace(0.0, 1.0, 21)], "plane")
    cells = graph.mesh(mesh, [solid])
    sides(graph, mesh, cells, [(0, 0)], gas=graph.ambient(2000.0), fixed=True)
    sides(graph, mesh, cells, [(1, 1)], gas=graph.ambient(1000.0), film=biot)
    T = (steady(graph.problem(1500.0))[mesh.number] - 1000.0) / 1000.0
    tip = (9.0 * T[-1] - T[-2]) / 8.0
    computed = ((9.0 * tip[0] - tip[1]) / 8.0, tip[-1] / (1.0 + biot / 40.0))
    for place, y, number, value in zip(("mid-line", "side"), (0.0, 1.0), (tip_middle, tip_side), computed, strict=True):
        exact = fin(biot, 10.0, 10.0, y)
        assert exact == pytest.approx(number, abs=1e-9)
        record(f"E7 Bi {biot:g} tip {place}", "2-D series", exact, value, "", tolerance=2e-4)
    flow = float(np.sum((1.0 - T[0]) * 16.0 * 0.05))
    exact = fin_base_flow(biot, 10.0)
    if biot == 0.1:
        assert exact == pytest.approx(0.310502, abs=5e-7)
        one_dimensional = np.sqrt(biot) * np.tanh(10.0 * np.sqrt(biot))
        assert abs(one_dimensional - exact) > 4e-3
    record(f"E7 Bi {biot:g} base flow", "2-D series", exact, flow, "", tolerance=2e-4)


def test_short_cylinder_with_insulated_ends_is_a_long_one():
    """M2, axisymmetric: with insulated ends every layer equals the 1-D cylinder, cell by cell, to 1e-9 K."""
    edges = np.linspace(0.0, 0.04, 21)
    fields = []
    for system, axes in (
        ("cylinder", [edges]),
        ("axisymmetric", [edges, np.array([0.0, 0.01, 0.035, 0.06])]),
    ):
        graph = Graph()
        solid = graph.material(material(K / ALPHA, K))
        mesh = structured(axes, system)
        cells = graph.mesh(mesh, [solid])
        sides(graph, mesh, cells, [(0, 1)], gas=graph.ambient(GAS + ZERO_CELSIUS), film=FILM)
        *_, last = steps(graph.problem(START + ZERO_CELSIUS), 60.0, Options(tolerance=1e-8, fixed=2.0))
        fields.append(last.T[mesh.number])
    long, short = fields
    assert np.max(np.abs(short - long[:, None])) <= 1e-9
