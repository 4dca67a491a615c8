"""Layers, joints and conductivities that depend on temperature (cases D1 to D8; D9 is in test_lumped.py)."""

import numpy as np
import pytest
from scipy.optimize import brentq

from brazesoak_solvers import Graph, Mesh, Options, Probe, Watch, material, steady, steps, structured

from .build import between, history, kelvin, middle, side, surface, watch
from .exact import LayeredWall

STEEL, COPPER = (15.0, 7900.0 * 480.0), (398.0, 8960.0 * 385.0)  # k [W/(m K)], rho c [J/(m3 K)]
LAPLACE = "Laplace inversion (Talbot)"


def layers(thickness, cells):
    """Edges and region of each cell of a wall with as many uniform `cells` in each layer."""
    ends = np.concatenate([[0.0], np.cumsum(thickness)])
    edges = [np.linspace(a, b, n + 1)[1:] for a, b, n in zip(ends[:-1], ends[1:], cells, strict=True)]
    return np.concatenate([[0.0], *edges]), np.repeat(np.arange(len(cells)), cells)


def two_layers(contact, film, cells=20):
    """D1: steel 20 mm, insulated behind, joint, copper 10 mm, film to 1000 degC; and its grid."""
    graph = Graph()
    edges, region = layers((0.02, 0.01), (cells, cells))
    mesh = structured([edges], "plane", region)
    solids = [graph.material(material(c, k)) for k, c in (STEEL, COPPER)]
    joints = {(0, 1): graph.contact(contact)} if contact is not None else None
    side(graph, mesh, graph.mesh(mesh, solids, joints), 1, gas=graph.ambient(kelvin(1000.0)), film=film)
    return graph.problem(kelvin(20.0)), mesh


def joint_sides(problem, face):
    """Reads the colder and the warmer side of a face."""
    seen = Watch(problem, [Probe((face,), "cold side"), Probe((face,), "warm side")])
    *_, step = steps(problem, 1e-3)
    return lambda T: seen.value(T, step)


D1 = {
    60.0: (80.02644335, 176.7961339, 251.2562082, 255.9318375),
    300.0: (474.2125913, 535.9186209, 581.2710519, 583.9789419),
    900.0: (873.017751, 887.9203978, 898.8734503, 899.5274299),
}


def test_two_layers_with_joint(record):
    """D1. Steel 20 mm | joint 2000 W/(m2 K) | copper 10 mm | h 300 to 1000 degC: four faces, and a crossing.

    Laplace inversion; the catalogue has an eigenfunction expansion beside it, which agrees to 1e-23 K, and
    its eigenvalues must be zeros of the helper's characteristic function. 20 cells a layer, 0.06 K (case
    D1); the crossing at 0.37 K/s within 0.15 s. Problem class: de Monte, Int. J. Thermal Sci. 45 (2006)
    882-892.
    """
    film = 300.0
    wall = LayeredWall([(0.02, *STEEL), (0.01, *COPPER)], [2000.0], film)
    for beta in (0.04866296075, 0.2060113389, 0.3944421647, 0.6668716792, 0.9651115352, 1.270479378):
        near = [wall.characteristic(beta * (1.0 + d)) for d in (-1e-9, 1e-9)]
        assert near[0] * near[1] < 0.0
    problem, _ = two_layers(2000.0, film)
    sides = joint_sides(problem, 19)
    places = {
        "back": (0, 0.0),
        "steel at joint": (0, 0.02),
        "copper at joint": (1, 0.0),
        "copper outside": (1, 0.01),
    }
    half = film * 0.01 / 20.0 / 2.0 / COPPER[0]
    for (time, numbers), T in zip(D1.items(), history(problem, list(D1), tolerance=5e-3), strict=True):
        computed = (middle(T), *sides(T), surface(T, kelvin(1000.0), half))
        for (place, at), number, value in zip(places.items(), numbers, computed, strict=True):
            exact = 20.0 + 980.0 * wall.step_response(time, *at)
            assert exact == pytest.approx(number, abs=1e-5)
            record(f"D1 {place} {time:g} s", LAPLACE, exact, value - kelvin(0.0), "degC", tolerance=0.06)
    exact = brentq(lambda t: 20.0 + 980.0 * wall.step_response(t, 0, 0.02) - 800.0, 300.0, 1000.0, xtol=1e-9)
    assert exact == pytest.approx(655.4529, abs=1e-4)
    seen = watch(problem, 700.0, [Probe((19,), "cold side")], [(0, kelvin(800.0))], tolerance=5e-3)
    record("D1 steel at joint 800 degC", LAPLACE, exact, seen.passings[0].time, "s", tolerance=0.15)


def test_two_layers_bonded(record):
    """D1, perfect contact: back, interface, outside; also as a joint of 1e12 W/(m2 K). 0.06 K."""
    film = 300.0
    wall = LayeredWall([(0.02, *STEEL), (0.01, *COPPER)], [np.inf], film)
    catalogue = {
        60.0: (101.2472857, 209.8552019, 214.8617042),
        300.0: (509.751607, 571.3193911, 574.0604736),
        900.0: (893.0562883, 906.4868023, 907.0847473),
    }
    places = {"back": (0, 0.0), "interface": (0, 0.02), "copper outside": (1, 0.01)}
    half = film * 0.01 / 20.0 / 2.0 / COPPER[0]
    bonded, _ = two_layers(None, film)
    joined, _ = two_layers(1e12, film)
    sides = joint_sides(bonded, 19)
    found = [history(p, list(catalogue), tolerance=5e-3) for p in (bonded, joined)]
    for (time, numbers), T, same in zip(catalogue.items(), *found, strict=True):
        assert same == pytest.approx(T, abs=1e-4)
        computed = (middle(T), sides(T)[0], surface(T, kelvin(1000.0), half))
        for (place, at), number, value in zip(places.items(), numbers, computed, strict=True):
            exact = 20.0 + 980.0 * wall.step_response(time, *at)
            assert exact == pytest.approx(number, abs=1e-5)
            record(f"D1 bonded {place} {time:g} s", LAPLACE, exact, value - kelvin(0.0), "degC", tolerance=0.06)


def test_two_layers_with_stepped_wall(record):
    """D2. 50 mm (k 16) | 1000 W/(m2 K) | 50 mm (k 50), outer wall stepped: back and both sides of the joint.

    Laplace inversion. 40 cells a layer, 2e-4 (case D2).
    """
    pair = ((16.0, 8000.0 * 500.0), (50.0, 7850.0 * 470.0))
    wall = LayeredWall([(0.05, *pair[0]), (0.05, *pair[1])], [1000.0], np.inf)
    graph = Graph()
    edges, region = layers((0.05, 0.05), (40, 40))
    mesh = structured([edges], "plane", region)
    solids = [graph.material(material(c, k)) for k, c in pair]
    cells = graph.mesh(mesh, solids, {(0, 1): graph.contact(1000.0)})
    side(graph, mesh, cells, 1, gas=graph.ambient(2000.0), fixed=True)
    problem = graph.problem(1000.0)
    sides = joint_sides(problem, 39)
    catalogue = {
        100.0: (0.007513957729, 0.2644001839, 0.5127443958),
        500.0: (0.40538355, 0.67042712, 0.8265502024),
    }
    places = {"back": (0, 0.0), "cold side": (0, 0.05), "warm side": (1, 0.0)}
    for (time, numbers), T in zip(catalogue.items(), history(problem, list(catalogue), tolerance=5e-3), strict=True):
        computed = (np.array([middle(T), *sides(T)]) - 1000.0) / 1000.0
        for (place, at), number, value in zip(places.items(), numbers, computed, strict=True):
            exact = wall.step_response(time, *at)
            assert exact == pytest.approx(number, abs=2e-8)
            record(f"D2 {place} {time:g} s", LAPLACE, exact, value, tolerance=2e-4)


def flow_in(mesh: Mesh, T, k, wall) -> float:
    """Heat through the low end, whose surface is at `wall` [K]: conductivity times half-cell gradient [W]."""
    outer = mesh.outer
    at = (outer.axis == 0) & (outer.side == 0)
    return float(k * outer.shape[at] @ (wall - T[outer.cell[at]]))


@pytest.mark.parametrize("cells", [(1, 1, 1), (2, 5, 3), (40, 40, 40)])
def test_steady_series(cells, record):
    """D3. 20 degC | 100 mm k 15 | 5000 | 30 mm k 398 | 2000 | 50 mm k 50 | h 100 to 1000 degC, steady.

    Resistances in series: 53139.4472248 W/m2 and five faces. 1e-9 relative on any grid (case D3).
    """
    resistance = np.array([0.1 / 15.0, 1.0 / 5000.0, 0.03 / 398.0, 1.0 / 2000.0, 0.05 / 50.0, 1.0 / 100.0])
    exact = 980.0 / resistance.sum()
    assert exact == pytest.approx(53139.4472248, rel=1e-11)
    faces = 20.0 + exact * np.cumsum(resistance)[:-1]
    assert faces == pytest.approx([374.2629815, 384.8908709, 388.8963569, 415.4660805, 468.6055278], abs=1e-7)
    graph = Graph()
    edges, region = layers((0.1, 0.03, 0.05), cells)
    mesh = structured([edges], "plane", region)
    solids = [graph.material(material(4e6, k)) for k in (15.0, 398.0, 50.0)]
    joined = graph.mesh(mesh, solids, {(0, 1): graph.contact(5000.0), (1, 2): graph.contact(2000.0)})
    side(graph, mesh, joined, 0, gas=graph.ambient(kelvin(20.0)), fixed=True)
    side(graph, mesh, joined, 1, gas=graph.ambient(kelvin(1000.0)), film=100.0)
    problem = graph.problem(kelvin(500.0))
    T = steady(problem, tolerance=1e-14)
    name, source = f"D3 {'+'.join(map(str, cells))} cells", "resistances in series"
    flux = -flow_in(mesh, T, 15.0, kelvin(20.0))
    record(f"{name} flux", source, exact, flux, "W/m2", tolerance=1e-9 * exact)
    joints = (cells[0] - 1, cells[0] + cells[1] - 1)
    outside = surface(T, kelvin(1000.0), 100.0 * 0.05 / cells[2] / 2.0 / 50.0)
    found = np.array([*joint_sides(problem, joints[0])(T), *joint_sides(problem, joints[1])(T), outside])
    for i, (expected, value) in enumerate(zip(faces, found - kelvin(0.0), strict=True)):
        record(f"{name} face {i + 1}", source, expected, value, "degC", tolerance=1e-9 * expected)


@pytest.mark.parametrize("cells", [(1, 1), (3, 8)])
def test_joint_conductance_follows_temperature(cells, record):
    """D4. 900 degC | 20 mm k 20 | hc = 500 (1 + 0.004 (Tm - 300)) | 30 mm k 50 | 100 degC, steady.

    Tm is the mean of both faces [degC]: a quadratic equation. 1e-7 relative on any grid (case D4).
    """

    def faces(q: float) -> tuple[float, float]:
        return 900.0 - q * 0.02 / 20.0, 100.0 + q * 0.03 / 50.0

    def conductance(T: float) -> float:
        return 500.0 * (1.0 + 0.004 * (T - 300.0))

    exact = brentq(lambda q: q - conductance(np.mean(faces(q))) * -np.diff(faces(q))[0], 1e5, 5e5, xtol=1e-8)
    assert [exact, *faces(exact)] == pytest.approx([278907.713016, 621.092286984, 267.344627809], rel=1e-10)
    graph = Graph()
    edges, region = layers((0.02, 0.03), cells)
    mesh = structured([edges], "plane", region)
    solids = [graph.material(material(4e6, k)) for k in (20.0, 50.0)]
    curve = ([kelvin(100.0), kelvin(900.0)], [conductance(100.0), conductance(900.0)])
    joined = graph.mesh(mesh, solids, {(0, 1): graph.contact(curve)})
    for which, wall in ((0, 900.0), (1, 100.0)):
        side(graph, mesh, joined, which, gas=graph.ambient(kelvin(wall)), fixed=True)
    problem = graph.problem(kelvin(500.0))
    T = steady(problem, tolerance=1e-14)
    name = f"D4 {'+'.join(map(str, cells))} cells"
    record(
        f"{name} flux",
        "quadratic equation",
        exact,
        flow_in(mesh, T, 20.0, kelvin(900.0)),
        "W/m2",
        tolerance=1e-7 * exact,
    )
    cold, warm = joint_sides(problem, cells[0] - 1)(T) - kelvin(0.0)
    for place, expected, value in zip(("warm", "cold"), faces(exact), (warm, cold), strict=True):
        record(f"{name} {place} face", "quadratic equation", expected, value, "degC", tolerance=1e-7 * expected)


def test_steady_slab_with_conductivity_linear_in_temperature(record):
    """D5. k = 14 (1 + 0.001 T degC), 50 mm from 1000 to 100 degC: 390600 W/m2, 614.001239157 degC midway.

    Source: Kirchhoff transform, Carslaw & Jaeger, 2nd ed., sec. 1.6 (recalled). 20 cells, 1e-3 K (case D5).
    """
    graph = Graph()
    table = np.array([kelvin(0.0), kelvin(1100.0)])
    solid = material(4e6, 14.0 * (1.0 + 0.001 * np.array([0.0, 1100.0])), conductivity_temperature=table)
    mesh = structured([np.linspace(0.0, 0.05, 21)], "plane")
    cells = graph.mesh(mesh, [graph.material(solid)])
    for which, wall in ((0, 1000.0), (1, 100.0)):
        side(graph, mesh, cells, which, gas=graph.ambient(kelvin(wall)), fixed=True)
    T = steady(graph.problem(kelvin(500.0)), tolerance=1e-14) - kelvin(0.0)

    def integral(T: float) -> float:
        return 14.0 * (T + 0.0005 * T * T)

    flux = (integral(1000.0) - integral(100.0)) / 0.05
    assert flux == pytest.approx(390600.0, rel=1e-12)
    exact = brentq(lambda T: 2.0 * integral(T) - integral(1000.0) - integral(100.0), 100.0, 1000.0, xtol=1e-12)
    assert exact == pytest.approx(614.001239157, abs=1e-8)
    k = 14.0 * (1.0 + 0.0005 * (1000.0 + T[0]))
    record("D5 middle", "Kirchhoff transform", exact, between(mesh, T, 0.025), "degC", tolerance=1e-3)
    record("D5 flux", "Kirchhoff transform", flux, flow_in(mesh, T, k, 1000.0), "W/m2", tolerance=1e-6 * flux)


# D6: k = 20 T/1000, rho c = 4e6: T = 1000 - 4000 x + 0.08 t solves the equation without a source.
D6_LENGTH, D6_END, D6_MATERIAL = (
    0.05,
    200.0,
    material(4e6, [10.0, 24.0], conductivity_temperature=[500.0, 1200.0]),
)


def sliding(x, t):
    return 1000.0 - 4000.0 * x + 0.08 * t


def sliding_slab(n: int, prescribed: str):
    """D6 on n cells with its surface temperatures or its surface fluxes prescribed; and its grid."""
    graph = Graph()
    mesh = structured([np.linspace(0.0, D6_LENGTH, n + 1)], "plane")
    cells = graph.mesh(mesh, [graph.material(D6_MATERIAL)])
    for which, x, cell, sign in ((0, 0.0, cells[0], 1.0), (1, D6_LENGTH, cells[-1], -1.0)):
        if prescribed == "temperatures":
            side(graph, mesh, cells, which, gas=graph.ambient(lambda t, x=x: sliding(x, t)), fixed=True)
        else:
            graph.source(cell, lambda t, x=x, s=sign: s * 4000.0 * 20.0 * sliding(x, t) / 1000.0)
    return graph.problem(sliding(mesh.centre[:, 0], 0.0)), mesh


@pytest.mark.parametrize("n", [1, 3, 40])
def test_sliding_profile_from_fluxes(n, record):
    """D6. k proportional to T, linear profile sliding upwards at 0.08 K/s, its fluxes imposed at both ends.

    Linear in x and in t, so exact at every cell and time: 1e-8 K (case D6).
    """
    problem, mesh = sliding_slab(n, "fluxes")
    worst, at = 0.0, 0.0
    for step in steps(problem, D6_END, Options(tolerance=1e-6)):
        worst = max(worst, np.max(np.abs(step.T - sliding(mesh.centre[:, 0], step.end))))
        at = step.end
    assert at == D6_END
    record(f"D6 fluxes {n} cells", "exact solution", 0.0, worst, "K", tolerance=1e-8)


def test_sliding_profile_between_walls(record):
    """D6, surface temperatures imposed: a half cell has k midway to its centre, so second order only.

    The flux through a half cell belongs to its middle, a quarter cell from the wall: an error of k' G2 dx /
    4 in the balance of the end cells, k' G2 dx2 / (8 k) in temperature: 2.5e-3 K with 1 mm, 4 times less
    for 0.5 mm.
    """
    worst = []
    for n in (50, 100):
        problem, mesh = sliding_slab(n, "temperatures")
        (T,) = history(problem, [D6_END], tolerance=1e-5)
        worst.append(np.max(np.abs(T - sliding(mesh.centre[:, 0], D6_END))))
    assert worst[0] / worst[1] >= 3.8
    record("D6 walls 50 cells", "exact solution", 0.0, worst[0], "K", tolerance=2.6e-3)


def test_equilibrium_of_two_bodies(record):
    """D7a. 2 kg of c 500 at 900 degC and 5 kg of c 400 at 20 degC, insulated: 313.333 degC. 1e-6 K."""
    graph = Graph()
    cells = graph.cells([2.0, 5.0], [graph.material(material(c, 1.0)) for c in (500.0, 400.0)])
    graph.faces(cells[0], cells[1], 1.0, contact=graph.contact(10.0))
    *_, last = steps(graph.problem([kelvin(900.0), kelvin(20.0)]), 5000.0, Options(tolerance=1e-4))
    for i in (0, 1):
        record(f"D7a body {i + 1}", "heat balance", 940.0 / 3.0, last.T[i] - kelvin(0.0), "degC", tolerance=1e-6)


PATCH_WALLS = (500.0, 1500.0)  # [K]: a thousand of the 1 K of the catalogue, so that 1e-9 is above round-off


def stretched(length: float, n: int) -> np.ndarray:
    """Edges whose widths grow by 1.5 from one end to the other."""
    widths = 1.5 ** np.arange(n)
    return length * np.concatenate([[0.0], np.cumsum(widths) / widths.sum()])


def patch(system: str, axis: int) -> tuple[Graph, Mesh, np.ndarray]:
    """Two bonded 50 mm layers along `axis`, cells growing to the bond; random widths across."""
    along = np.concatenate([stretched(0.05, 12), 0.1 - stretched(0.05, 12)[-2::-1]])
    rng = np.random.default_rng(8)
    across = [np.concatenate([[0.0], np.cumsum(rng.uniform(0.1, 1.0, 3))]) * size for size in (1e-3, 0.3)]
    axes = across[: {"cartesian": 2, "axisymmetric": 1, "plane": 0}[system]]
    axes.insert(axis, along)
    shape = [e.size - 1 for e in axes]
    region = np.broadcast_to(np.repeat([0, 1], 12).reshape([-1 if i == axis else 1 for i in range(len(shape))]), shape)
    graph = Graph()
    mesh = structured(axes, system, region)
    cells = graph.mesh(mesh, [graph.material(material(4e6, k)) for k in (15.0, 398.0)])
    return graph, mesh, cells


@pytest.mark.parametrize(
    ("system", "axis"),
    [("plane", 0), ("cartesian", 0), ("cartesian", 1), ("cartesian", 2), ("axisymmetric", 1)],
)
def test_patch(system, axis, record):
    """D8. Layers k 15 and 398 between walls on a grid stretched up to 1000:1: one-dimensional, exactly.

    Interface 0.963680387409 and flux 289.104116223 W/m2 for each kelvin between the walls; no flow across.
    1e-9 relative (case D8).
    """
    graph, mesh, cells = patch(system, axis)
    outer, faces = mesh.outer, mesh.faces
    ends = [(outer.axis == axis) & (outer.side == s) for s in (0, 1)]
    for end, wall in zip(ends, PATCH_WALLS, strict=True):
        graph.boundary(cells[outer.cell[end]], outer.area[end], outer.shape[end], gas=graph.ambient(wall), fixed=True)
    problem = graph.problem(1000.0)
    T = steady(problem, tolerance=1e-14)
    flux = 1.0 / (0.05 / 15.0 + 0.05 / 398.0)
    assert [flux, flux * 0.05 / 15.0] == pytest.approx([289.104116223, 0.963680387409], rel=1e-11)
    span, name = PATCH_WALLS[1] - PATCH_WALLS[0], f"D8 {system} axis {axis}"
    for s, (end, k, wall, sign) in enumerate(zip(ends, (15.0, 398.0), PATCH_WALLS, (1.0, -1.0), strict=True)):
        through = sign * k * outer.shape[end] @ (T[outer.cell[end]] - wall) / (outer.area[end].sum() * span)
        record(f"{name} flux {s}", "resistances in series", flux, through, "W/m2", tolerance=1e-9 * flux)
    bond = np.flatnonzero((faces.axis == axis) & (mesh.region[faces.cell_a] != mesh.region[faces.cell_b]))
    interface = (joint_sides(problem, int(bond[0]))(T)[0] - PATCH_WALLS[0]) / span
    record(f"{name} interface", "resistances in series", flux * 0.05 / 15.0, interface, tolerance=1e-9)
    if system != "plane":
        beside = faces.axis != axis
        k = np.array([15.0, 398.0])[mesh.region[faces.cell_a[beside]]]
        G = k / (1.0 / faces.shape_a[beside] + 1.0 / faces.shape_b[beside])
        lateral = np.max(np.abs(G * (T[faces.cell_a[beside]] - T[faces.cell_b[beside]])))
        record(
            f"{name} across",
            "no flow",
            0.0,
            lateral / (flux * span * outer.area[ends[0]].sum()),
            tolerance=1e-9,
        )
