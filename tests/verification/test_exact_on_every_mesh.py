"""Properties with an exact answer whatever the mesh: conservation, consistency, symmetry, bounds, limits.

Nothing here has an outside source; each answer follows from the equations (cases M1 to M6 of the catalogue).
"""

import numpy as np
import pytest

from brazesoak_solvers import Graph, Options, Probe, Watch, material, steps, structured
from brazesoak_solvers.constants import ZERO_CELSIUS

from .build_2d import PEAK_C, PEAK_T, last, sides

COLD, HOT = 20.0 + ZERO_CELSIUS, 1000.0 + ZERO_CELSIUS
SAME_STEPS = Options(tolerance=1e-8, fixed=5.0)
"""Identical steps and a Newton iteration to round-off, so that two runs can be compared cell by cell."""


# --- M1 energy ----------------------------------------------------------------------------------------------


def _content(T: np.ndarray) -> np.ndarray:
    """Heat content [J/m3] of the solid with the peak above `COLD`: exact integral of its linear pieces."""

    def from_first(T):
        whole = np.concatenate([[0.0], np.cumsum(0.5 * (PEAK_C[1:] + PEAK_C[:-1]) * np.diff(PEAK_T))])
        i = np.clip(np.searchsorted(PEAK_T, T) - 1, 0, PEAK_T.size - 2)
        inside = np.clip(T, PEAK_T[0], PEAK_T[-1])
        c = np.interp(inside, PEAK_T, PEAK_C)
        part = whole[i] + 0.5 * (PEAK_C[i] + c) * (inside - PEAK_T[i])
        return part + PEAK_C[0] * np.minimum(T - PEAK_T[0], 0.0) + PEAK_C[-1] * np.maximum(T - PEAK_T[-1], 0.0)

    return from_first(T) - from_first(np.full_like(T, COLD))


@pytest.mark.parametrize(("system", "n"), [("plane", 20), ("axisymmetric", 8), ("cartesian", 6)])
def test_energy_audit(system, n, record):
    """M1. Heat in = heat taken up to 1e-8 of the heat exchanged, with a peak of the heat capacity and
    radiation.

    The heat taken up is integrated here from the final temperatures and the table of the heat capacity, not
    taken from the solver's own books.
    """
    axes = {"plane": 1, "axisymmetric": 2, "cartesian": 3}[system]
    mesh = structured([np.linspace(0.0, 0.02 + 0.01 * i, n + 1) for i in range(axes)], system)
    graph = Graph()
    cells = graph.mesh(mesh, [graph.material(material(PEAK_C, 30.0, PEAK_T))])
    sides(graph, mesh, cells, [(i, 1) for i in range(axes)], gas=graph.ambient(HOT), film=15.0, emissivity=0.8)
    problem = graph.problem(COLD)
    watch = Watch(problem, [Probe((0,))])
    for step in steps(problem, 1200.0, Options(tolerance=1e-3)):
        watch.see(step)
    assert step.T.max() > 800.0 + ZERO_CELSIUS, "the peak must have been passed"
    taken_up = float(mesh.volume @ _content(step.T))
    assert watch.balance_error <= 1e-8
    error = (watch.heat - taken_up) / watch.exchanged
    record(f"M1 {system}", "conservation of energy", 0.0, error, "of heat", tolerance=1e-8)


# --- M2 dimensions ------------------------------------------------------------------------------------------

ACROSS = (np.array([0.0, 0.01, 0.04]), np.array([0.0, 0.02, 0.03, 0.09]))
"""Uneven cells across the direction in which heat flows."""


def _layers(kind: str, dimension: int):
    """Case B1 (film), K1 (film and radiation) or D1 (two metals and a contact) along x, insulated across."""
    if kind == "D1":
        edges = np.concatenate([np.linspace(0.0, 0.02, 9), np.linspace(0.02, 0.03, 5)[1:]])
        metals = [material(7900.0 * 480.0, 15.0), material(8960.0 * 385.0, 398.0)]
        law = {"film": 300.0}
    else:
        edges = np.linspace(0.0, 0.025, 11)
        metals = [material(7850.0 * 650.0, 30.0)]
        law = {"film": 1200.0} if kind == "B1" else {"film": 15.0, "emissivity": 0.8}
    axes = [edges, *ACROSS[: dimension - 1]]
    shape = tuple(e.size - 1 for e in axes)
    region = np.zeros(shape, np.int64)
    if kind == "D1":
        region[8:] = 1
    mesh = structured(axes, "cartesian" if dimension == 3 else "plane", region)
    graph = Graph()
    solids = [graph.material(m) for m in metals]
    contacts = {(0, 1): graph.contact(2000.0)} if kind == "D1" else None
    cells = graph.mesh(mesh, solids, contacts)
    sides(graph, mesh, cells, [(0, 1)], gas=graph.ambient(HOT), **law)
    return graph.problem(COLD), mesh


@pytest.mark.parametrize("kind", ["B1", "K1", "D1"])
@pytest.mark.parametrize("dimension", [2, 3])
def test_dimensions_agree(kind, dimension, record):
    """M2. The same layers in 1, 2 and 3 dimensions: equal cell by cell to 1e-9 K."""
    problem, _ = _layers(kind, 1)
    line = last(problem, 300.0, SAME_STEPS)
    problem, mesh = _layers(kind, dimension)
    field = last(problem, 300.0, SAME_STEPS)[mesh.number]
    difference = np.max(np.abs(field - line.reshape((-1,) + (1,) * (dimension - 1))))
    record(f"M2 {kind} in {dimension}-D", "same equations", 0.0, difference, "K", tolerance=1e-9)


# --- M3 symmetry --------------------------------------------------------------------------------------------


def _brick(halves: tuple[float, ...], counts: tuple[int, ...], whole: bool) -> np.ndarray:
    """Temperatures of a bar (2-D) or brick (3-D) at 60 s, the first octant or the whole body."""
    edges = [
        np.linspace(-h if whole else 0.0, h, (2 if whole else 1) * n + 1) for h, n in zip(halves, counts, strict=True)
    ]
    mesh = structured(edges, "cartesian" if len(halves) == 3 else "plane")
    graph = Graph()
    cells = graph.mesh(mesh, [graph.material(material(4e6, 40.0))])
    where = [(i, s) for i in range(len(halves)) for s in ((0, 1) if whole else (1,))]
    sides(graph, mesh, cells, where, gas=graph.ambient(HOT), film=250.0, emissivity=0.5)
    return last(graph.problem(COLD), 60.0, SAME_STEPS)[mesh.number]


@pytest.mark.parametrize(
    ("halves", "counts"), [((0.03, 0.05), (6, 8)), ((0.02, 0.03, 0.05), (4, 5, 6))], ids=["bar", "brick"]
)
def test_rotation_and_reflection(halves, counts, record):
    """M3. Axes permuted, and the whole body against its first octant: 1e-9 K (bar E2 and brick E3, with
    radiation).
    """
    dimension = len(halves)
    octant = _brick(halves, counts, whole=False)
    turned = _brick(halves[::-1], counts[::-1], whole=False)
    difference = np.max(np.abs(turned.transpose(range(dimension)[::-1]) - octant))
    record(f"M3 rotation {dimension}-D", "symmetry", 0.0, difference, "K", tolerance=1e-9)
    whole = _brick(halves, counts, whole=True)
    mirrored = whole[tuple(slice(n, None) for n in counts)]
    record(f"M3 octant {dimension}-D", "symmetry", 0.0, np.max(np.abs(mirrored - octant)), "K", tolerance=1e-9)
    for axis in range(dimension):
        assert np.max(np.abs(np.flip(whole, axis) - whole)) <= 1e-9


# --- M4 bounds ----------------------------------------------------------------------------------------------


def _stepped_wall(options: Options, end: float) -> np.ndarray:
    """How far each step goes below 20 and above 1000 degC [K] when the surface of case C1 is stepped to 1000
    degC.
    """
    graph = Graph()
    mesh = structured([np.linspace(0.0, 0.1, 101)], "plane")
    cells = graph.mesh(mesh, [graph.material(material(45.0 / 1.2e-5, 45.0))])
    sides(graph, mesh, cells, [(0, 0)], gas=graph.ambient(HOT), fixed=True)
    problem = graph.problem(COLD)
    return np.array([(COLD - step.T.min(), step.T.max() - HOT) for step in steps(problem, end, options)])


@pytest.mark.parametrize("tolerance", [0.5, 0.05, 0.005])
def test_maximum_principle_with_error_control(tolerance, record):
    """M4. Steps that the controller picks: no temperature leaves [20, 1000] degC by more than the error
    allowed in one.
    """
    beyond = max(0.0, float(_stepped_wall(Options(tolerance=tolerance), 30.0).max()))
    record(f"M4 allowed error {tolerance:g} K", "maximum principle", 0.0, beyond, "K", tolerance=tolerance)


@pytest.mark.parametrize("fourier", [0.1, 1.0])
def test_maximum_principle_with_fixed_steps(fourier, record):
    """M4. Fixed steps up to a Fourier number alpha dt / dx2 of 1 stay in [20, 1000] degC to 1e-6 K."""
    dt = fourier * 1e-6 / 1.2e-5
    beyond = max(0.0, float(_stepped_wall(Options(tolerance=1e-6, fixed=dt), 50.0 * dt).max()))
    record(f"M4 Fourier number {fourier:g}", "maximum principle", 0.0, beyond, "K", tolerance=1e-6)


@pytest.mark.parametrize("fourier", [10.0, 1000.0])
def test_limit_of_the_maximum_principle(fourier, record):
    """M4, the limit: TR-BDF2 is L-stable but keeps no bounds at huge fixed steps after a jump.

    Its stability function (1 + (1 - 2 d) z) / (1 - d z)2, d = 1 - 1/sqrt 2, falls to -0.207, so the first
    step may overshoot by 21 % of the jump (Crank-Nicolson: 100 %, and it rings). From the second step on all
    is in bounds.
    """
    d, z = 1.0 - np.sqrt(0.5), -np.logspace(0.0, 2.0, 100_001)
    least = float(np.min((1.0 + (1.0 - 2.0 * d) * z) / (1.0 - d * z) ** 2))
    assert least == pytest.approx(-0.5 * (np.sqrt(2.0) - 1.0), abs=1e-6)
    dt = fourier * 1e-6 / 1.2e-5
    beyond = _stepped_wall(Options(tolerance=1e-6, fixed=dt), 50.0 * dt)
    record(
        f"M4 Fourier number {fourier:g}",
        "stability function",
        0.0,
        beyond[0].max(),
        "K",
        tolerance=-least * 980.0,
    )
    assert beyond[1:].max() <= 1e-6


# --- M5 rest ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fixed", [None, 1000.0])
def test_no_heat_no_change(fixed, record):
    """M5. Uniform 500 degC, all surroundings at 500 degC, with film, radiation, a contact and a chamber: 1e-9
    K in 1e5 s.
    """
    rest = 500.0 + ZERO_CELSIUS
    mesh = structured(
        [np.linspace(0.0, 0.03, 5), np.linspace(0.0, 0.05, 6)],
        "axisymmetric",
        np.repeat([[0], [0], [1], [1]], 5, 1),
    )
    graph = Graph()
    solids = [
        graph.material(material(4e6, 40.0)),
        graph.material(material(3e6, 15.0, latent=((700.0, 800.0, 2e8),))),
    ]
    cells = graph.mesh(mesh, solids, {(0, 1): graph.contact(800.0)})
    chamber = int(graph.cells(1e-3, solids[0])[0])
    sides(
        graph,
        mesh,
        cells,
        [(0, 1), (1, 0)],
        gas=graph.surroundings(chamber),
        film=8.0,
        emissivity=0.7,
        enclosure=0.2,
    )
    sides(graph, mesh, cells, [(1, 1)], gas=graph.ambient(rest), film=8.0, emissivity=0.7)
    graph.boundary(chamber, 0.5, gas=graph.ambient(rest), film=5.0)
    drift = 0.0
    for step in steps(graph.problem(rest), 1e5, Options(fixed=fixed)):
        drift = max(drift, float(np.max(np.abs(step.T - rest))))
    record(f"M5 {'adaptive' if fixed is None else 'fixed'} steps", "equilibrium", 0.0, drift, "K", tolerance=1e-9)


# --- M6 limits ----------------------------------------------------------------------------------------------


def test_infinite_film_is_a_prescribed_surface(record):
    """M6. Film 1e12 against a prescribed surface: 1e-6 K."""
    fields = []
    for law in ({"film": 1e12}, {"fixed": True}):
        graph = Graph()
        mesh = structured([np.linspace(0.0, 0.03, 11), np.linspace(0.0, 0.05, 11)], "axisymmetric")
        cells = graph.mesh(mesh, [graph.material(material(4e6, 40.0))])
        sides(graph, mesh, cells, [(0, 1), (1, 1)], gas=graph.ambient(HOT), **law)
        fields.append(last(graph.problem(COLD), 60.0, SAME_STEPS))
    record("M6 film 1e12", "limit", 0.0, np.max(np.abs(fields[0] - fields[1])), "K", tolerance=1e-6)


def _two_layers(conductance: float | None) -> np.ndarray:
    graph = Graph()
    solids = [graph.material(material(7900.0 * 480.0, 15.0)), graph.material(material(8960.0 * 385.0, 398.0))]
    edges = np.concatenate([np.linspace(0.0, 0.02, 21), np.linspace(0.02, 0.03, 11)[1:]])
    mesh = structured([edges], "plane", np.repeat([0, 1], [20, 10]))
    contacts = None if conductance is None else {(0, 1): graph.contact(conductance)}
    cells = graph.mesh(mesh, solids, contacts)
    sides(graph, mesh, cells, [(0, 1)], gas=graph.ambient(HOT), film=300.0)
    return last(graph.problem(COLD), 300.0, SAME_STEPS)


def test_infinite_and_no_contact(record):
    """M6. Contact 1e12 against bonded layers (case D1): 1e-6 K. Contact 0: the inner layer never feels the
    heat.
    """
    difference = np.max(np.abs(_two_layers(1e12) - _two_layers(None)))
    record("M6 contact 1e12", "limit", 0.0, difference, "K", tolerance=1e-6)
    apart = _two_layers(0.0)
    record("M6 contact 0", "limit", COLD, apart[:20].max(), "K", tolerance=1e-9)
    assert apart[20:].min() > 900.0
