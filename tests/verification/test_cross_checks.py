"""The same problems in general-purpose libraries, one a dimension.

scipy's BDF marches the same equations, written out again here from the arrays of the problem; that checks the time
stepping and the coupling. scikit-fem solves the same bodies by finite elements, with nothing in common but the
figures of the body. `-m cross` runs this group alone, `-m "not cross"` the rest without it.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import eigh
from scipy.sparse import coo_matrix

from brazesoak_solvers import Graph, Problem, material, structured
from brazesoak_solvers.constants import STEFAN_BOLTZMANN

from .build import history
from .build_2d import sides
from .build_3d import cut_cylinder

K, CAPACITY, FILM = 40.0, 4e6, 250.0
GAS, START = 1293.15, 293.15
pytestmark = pytest.mark.cross
BDF, FEM = "scipy solve_ivp BDF", "scikit-fem, modes exact in time"


# ---- scipy: the same equations --------------------------------------------------------------------------------------


def by_bdf(P: Problem, k: np.ndarray, contact: float, film: float, emissivity: float, times: list[float]) -> np.ndarray:
    """Temperature of every cell at `times` [K], for constant properties k and capacity by cell."""
    A = P.arrays
    f, b = A.f, A.b
    resistance = 1.0 / (k[f.a] * f.sa) + 1.0 / (k[f.b] * f.sb) + np.where(f.contact >= 0, 1.0 / (contact * f.A), 0.0)
    heat = CAPACITY * A.V
    n = P.n_cell

    def into(T: np.ndarray) -> np.ndarray:
        """Heat through the boundary, with the surface temperature from its own balance [W]."""
        cell = T[b.cell]
        inner = k[b.cell] * b.s
        surface = cell.copy()
        for _ in range(30):  # Newton; far more than it takes
            given = b.A * (film * (GAS - surface) + emissivity * STEFAN_BOLTZMANN * (GAS**4 - surface**4))
            slope = b.A * (film + 4.0 * emissivity * STEFAN_BOLTZMANN * surface**3)
            with np.errstate(invalid="ignore"):
                surface = surface + np.where(np.isinf(inner), 0.0, (given - inner * (surface - cell)) / (slope + inner))
        return b.A * (film * (GAS - surface) + emissivity * STEFAN_BOLTZMANN * (GAS**4 - surface**4))

    def rate(_: float, T: np.ndarray) -> np.ndarray:
        flow = (T[f.b] - T[f.a]) / resistance
        total = np.bincount(f.a, flow, n) - np.bincount(f.b, flow, n) + np.bincount(b.cell, into(T), n)
        return total / heat

    rows, columns = np.concatenate([f.a, f.b, np.arange(n)]), np.concatenate([f.b, f.a, np.arange(n)])
    pattern = coo_matrix((np.ones(rows.size), (rows, columns)), (n, n)).tocsr()
    run = solve_ivp(rate, (0.0, times[-1]), P.initial, "BDF", t_eval=times, rtol=1e-8, atol=1e-5, jac_sparsity=pattern)
    assert run.success
    return run.y.T


def compare(record, name: str, P: Problem, times: list[float], reference: np.ndarray) -> None:  # type: ignore[no-untyped-def]
    """Coldest, hottest and mean within 0.05 K: five steps' worth of the tolerance of 0.01 K, over 1000 K."""
    share = P.arrays.V / P.arrays.V.sum()
    for time, mine, theirs in zip(times, history(P, times, tolerance=0.01), reference, strict=True):
        for what, read in (("coldest", np.min), ("hottest", np.max), ("mean", lambda T: float(share @ T))):
            record(f"{name} {what} {time:g} s", BDF, read(theirs), read(mine), "K", tolerance=0.05)


def test_radiating_slab(record):
    """1-D: half of a slab of 40 mm that takes up heat by film and radiation."""
    graph = Graph()
    mesh = structured([np.linspace(0.0, 0.02, 21)], "plane")
    cells = graph.mesh(mesh, [graph.material(material(CAPACITY, K))])
    sides(graph, mesh, cells, [(0, 1)], gas=graph.ambient(GAS), film=FILM, emissivity=0.8)
    P = graph.problem(START)
    times = [60.0, 300.0]
    compare(record, "BDF slab", P, times, by_bdf(P, np.full(P.n_cell, K), 1.0, FILM, 0.8, times))


def test_boss_on_plate_of_two_metals(record):
    """2-D: axisymmetric boss (k 110) on a plate (k 40), contact 1000 W/(m2 K), film all round."""
    r, z = np.linspace(0.0, 0.06, 19), np.concatenate([np.linspace(0.0, 0.008, 4), np.linspace(0.008, 0.048, 13)[1:]])
    rm, zm = 0.5 * (r[1:] + r[:-1]), 0.5 * (z[1:] + z[:-1])
    region = np.where(zm[None, :] < 0.008, 0, np.where(rm[:, None] < 0.03, 1, -1))
    graph = Graph()
    metals = [graph.material(material(CAPACITY, k)) for k in (K, 110.0)]
    mesh = structured([r, z], "axisymmetric", region)
    cells = graph.mesh(mesh, metals, {(0, 1): graph.contact(1000.0)})
    outer = mesh.outer
    on = outer.area > 0.0
    graph.boundary(cells[outer.cell[on]], outer.area[on], outer.shape[on], gas=graph.ambient(GAS), film=FILM)
    P = graph.problem(START)
    times = [60.0, 300.0]
    k = np.array([K, 110.0])[mesh.region]
    compare(record, "BDF boss on plate", P, times, by_bdf(P, k, 1000.0, FILM, 0.0, times))


def test_boss_of_cut_cells(record):
    """3-D: an eighth of a free boss of cut cells, film all round."""
    P = cut_cylinder(0.03, 0.055, 1, k=K, capacity=CAPACITY, gas=GAS, start=START, film=FILM, ends=True)
    times = [60.0, 300.0]
    compare(record, "BDF cut boss", P, times, by_bdf(P, np.full(P.n_cell, K), 1.0, FILM, 0.0, times))


# ---- scikit-fem: the same bodies ------------------------------------------------------------------------------------


def elements():  # type: ignore[no-untyped-def]
    """scikit-fem, or the test is skipped."""
    return pytest.importorskip("skfem", reason='scikit-fem is not installed: pip install -e ".[cross]"')


def mean_by_elements(basis, boundary, times: list[float]) -> np.ndarray:  # type: ignore[no-untyped-def]
    """Mean temperature of a body with a film all over `boundary` [K], by modes: no error in time."""
    from skfem import BilinearForm
    from skfem.helpers import dot, grad

    stiffness = BilinearForm(lambda u, v, w: K * dot(grad(u), grad(v))).assemble(basis)
    film = BilinearForm(lambda u, v, w: FILM * u * v).assemble(boundary)
    mass = BilinearForm(lambda u, v, w: CAPACITY * u * v).assemble(basis)
    rate, modes = eigh((stiffness + film).toarray(), mass.toarray())
    ones = np.ones(mass.shape[0])
    weight = modes.T @ (mass @ ones)
    left = np.array([np.sum(weight**2 * np.exp(-rate * t)) for t in times]) / (ones @ (mass @ ones))
    return GAS + (START - GAS) * left


def by_ours(P: Problem, times: list[float]) -> np.ndarray:
    share = P.arrays.V / P.arrays.V.sum()
    return np.array([share @ T for T in history(P, times, tolerance=0.01)])


TIMES = [60.0, 180.0, 400.0]


def test_slab_by_finite_elements(record):
    """1-D: half of a slab of 40 mm, by 16 quadratic line elements. Ours has 20 cells, second order: 0.1 K of 1000."""
    fem = elements()
    mesh = fem.MeshLine(np.linspace(0.0, 0.02, 17))
    element = fem.ElementLineP2()
    outer = mesh.facets_satisfying(lambda x: np.isclose(x[0], 0.02), True)
    reference = mean_by_elements(fem.Basis(mesh, element), fem.FacetBasis(mesh, element, facets=outer), TIMES)
    graph = Graph()
    grid = structured([np.linspace(0.0, 0.02, 21)], "plane")
    cells = graph.mesh(grid, [graph.material(material(CAPACITY, K))])
    sides(graph, grid, cells, [(0, 1)], gas=graph.ambient(GAS), film=FILM)
    for time, theirs, mine in zip(TIMES, reference, by_ours(graph.problem(START), TIMES), strict=True):
        record(f"FEM slab {time:g} s", FEM, theirs, mine, "K", tolerance=0.1)


def test_round_bar_by_finite_elements(record):
    """2-D: the cross-section of a boss whose ends are insulated, by quadratic triangles with curved sides.

    Ours are cut cells one above the other on a grid twice as fine as the default. Within 0.05 K of 1000 (0.02 found).
    """
    fem = elements()
    mesh = fem.MeshTri2.init_circle(3).scaled(0.03)
    element = fem.ElementTriP2()
    reference = mean_by_elements(fem.Basis(mesh, element), fem.FacetBasis(mesh, element), TIMES)
    P = cut_cylinder(0.03, 0.055, 4, k=K, capacity=CAPACITY, gas=GAS, start=START, film=FILM, ends=False)
    for time, theirs, mine in zip(TIMES, reference, by_ours(P, TIMES), strict=True):
        record(f"FEM round bar {time:g} s", FEM, theirs, mine, "K", tolerance=0.05)


def test_brick_by_finite_elements(record):
    """3-D: 40 x 60 x 100 mm, film all round (an octant on our side), by trilinear and quadratic bricks.

    Ours has 10 x 12 x 14 cells of an octant: second order, 0.5 K.
    """
    fem = elements()
    half = (0.02, 0.03, 0.05)
    mesh = fem.MeshHex.init_tensor(*(np.linspace(0.0, h, 4) for h in half))
    element = fem.ElementHex2()
    outer = mesh.facets_satisfying(lambda x: np.any([np.isclose(x[i], h) for i, h in enumerate(half)], axis=0), True)
    reference = mean_by_elements(fem.Basis(mesh, element), fem.FacetBasis(mesh, element, facets=outer), TIMES)
    graph = Graph()
    grid = structured([np.linspace(0.0, h, n + 1) for h, n in zip(half, (10, 12, 14), strict=True)], "cartesian")
    cells = graph.mesh(grid, [graph.material(material(CAPACITY, K))])
    sides(graph, grid, cells, [(0, 1), (1, 1), (2, 1)], gas=graph.ambient(GAS), film=FILM)
    for time, theirs, mine in zip(TIMES, reference, by_ours(graph.problem(START), TIMES), strict=True):
        record(f"FEM brick {time:g} s", FEM, theirs, mine, "K", tolerance=0.5)
