"""The direct solver in a band against numpy.linalg.solve."""

import numpy as np
import pytest

from brazesoak_solvers import Graph, linear, material
from brazesoak_solvers._jit import lean
from brazesoak_solvers.kernels.implicit import prepare_matrix, solve_interior

MATERIAL = material(4e6, 40.0)


@lean
def _solved(V, border, fa, fb, S, a, c, D, Gf, diagonal, rhs, x):
    prepare_matrix(V, border, fa, fb, S, a, c, D, Gf, diagonal)
    solve_interior(S, rhs, x, 1e-12)


@pytest.mark.parametrize("cells", [1, 2, 3, 7, 20, 61])
@pytest.mark.parametrize("reach", [1, 2, 4, 5, 9])
def test_band_gives_the_answer_of_a_dense_solver(cells, reach):
    """Every cell coupled to those up to `reach` after it, in no order: widths and numbers odd and even, 1e-12."""
    rng = np.random.default_rng(cells + 100 * reach)
    name = rng.permutation(cells)
    pairs = [(i, j) for i in range(cells) for j in range(i + 1, min(i + reach + 1, cells))]
    graph = Graph()
    graph.cells(rng.uniform(1e-6, 2e-6, cells), graph.material(MATERIAL))
    if pairs:
        graph.faces(name[[i for i, _ in pairs]], name[[j for _, j in pairs]], 1.0, 1.0, 1.0)
    problem = graph.problem(300.0)
    P, G = problem.arrays, rng.uniform(0.5, 2.0, len(pairs))
    S = linear.choose(problem, G, band_work=10**9)
    assert S.width >= 0
    c, D, rhs, x = np.full(cells, 4e6), rng.uniform(0.0, 1.0, cells), rng.normal(size=cells), np.zeros(cells)
    A = np.diag(P.V * c + 0.3 * D)
    for a, b, g in zip(P.f.a, P.f.b, 0.3 * G, strict=True):
        A[[a, b], [a, b]] += g
        A[[a, b], [b, a]] -= g
    _solved(P.V, P.border, P.f.a, P.f.b, S, 0.3, c, D, G, np.empty(cells), rhs, x)
    assert x == pytest.approx(np.linalg.solve(A, rhs), rel=1e-12, abs=1e-13)
