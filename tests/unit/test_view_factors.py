from dataclasses import replace

import numpy as np
import pytest
from scipy.stats.qmc import Sobol

from brazesoak_solvers.closure import balance
from brazesoak_solvers.errors import ProblemError
from brazesoak_solvers.facets import exposed_facets
from brazesoak_solvers.kernels.rays import cosine_direction, next_point
from brazesoak_solvers.view_factors import direction_numbers, view_factors_by_rays

EDGES = [np.array([0.0, 1.0, 3.0]), np.array([0.0, 2.0, 3.0, 4.0]), np.array([0.0, 0.5, 1.0])]


def _one_solid():
    region = np.full((2, 3, 2), -1)
    region[0, 1, 0] = 4
    return region


def test_facets_are_the_faces_between_solid_and_empty():
    """One solid place in the corner of floor and wall: four facets, and one less on either."""
    facets = exposed_facets(EDGES, _one_solid())
    own = np.all(facets.place == [0, 1, 0], axis=1)
    assert sorted(zip(facets.axis[own], facets.side[own], facets.area[own], strict=True)) == [
        (0, 1, 0.5),
        (1, 0, 0.5),
        (1, 1, 0.5),
        (2, 1, 1.0),
    ]
    box = 2.0 * (3.0 * 4.0 + 3.0 * 1.0 + 4.0 * 1.0)
    assert facets.area[~own].sum() == pytest.approx(box - 1.0 - 0.5)
    assert np.sum(facets.area[:, None] * facets.normal, axis=0) == pytest.approx(np.zeros(3), abs=1e-14)
    assert np.sum(facets.area * np.sum(facets.normal * facets.centre, axis=1)) == pytest.approx(-3.0 * (12.0 - 0.5))


def test_smooth_facets_have_the_area_of_the_projection():
    facets = exposed_facets(EDGES, _one_solid())
    own = np.flatnonzero(np.all(facets.place == [0, 1, 0], axis=1) & (facets.axis == 0))
    tilted = facets.smooth(own, [[3.0, 4.0, 0.0]], height=0.1)
    assert tilted.area[own] == pytest.approx([0.5 * 0.6])
    assert tilted.normal[own] == pytest.approx(np.array([[0.6, 0.8, 0.0]]))
    assert facets.area[own] == pytest.approx([0.5])
    with pytest.raises(ProblemError):
        facets.smooth(own, [[-1.0, 0.1, 0.0]])
    with pytest.raises(ProblemError):
        facets.smooth(own, [[0.0, 0.0, 0.0]])


def test_points_are_those_of_a_sobol_sequence():
    v, s, points = direction_numbers(), np.zeros(4, np.int64), []
    for index in range(512):
        points.append(s * 2.0**-32)
        next_point(v, index, s)
    assert np.array_equal(points, Sobol(4, scramble=False, bits=32).random(512))


@pytest.mark.parametrize("normal", [(0.0, 0.0, 1.0), (0.0, 0.0, -1.0), (1.0, 0.0, 0.0), (0.36, -0.48, -0.8)])
def test_directions_have_cosine_density(normal):
    """The mean of a direction with density cosine / pi over the hemisphere is 2/3 n; it has unit length."""
    u, w = np.meshgrid((np.arange(64) + 0.5) / 64, (np.arange(64) + 0.5) / 64)
    d = np.array([cosine_direction(*normal, a, b) for a, b in zip(u.ravel(), w.ravel(), strict=True)])
    assert np.linalg.norm(d, axis=1) == pytest.approx(np.ones(4096), abs=1e-14)
    assert d.mean(axis=0) == pytest.approx(np.array(normal) * 2.0 / 3.0, abs=2e-4)
    assert (d @ normal).min() > 0.0


def test_balance_leaves_exact_factors_alone():
    F = np.array([[0.0, 1.0], [0.25, 0.75]])
    balanced = balance(np.stack([F, F]), np.array([1.0, 4.0]), np.array([64, 64]))
    assert balanced == pytest.approx(np.stack([F, F]), abs=1e-15)


def test_balance_trusts_the_patch_that_sees_less_by_chance():
    """A small body in a large box: its own rays know the exchange, those of the box hardly."""
    sampled = np.array([[[0.0, 1.0], [0.02, 0.98]], [[0.0, 1.0], [0.004, 0.996]]])
    balanced = balance(sampled, np.array([1.0, 100.0]), np.array([64, 64])).mean(axis=0)
    assert balanced == pytest.approx(np.array([[0.0, 1.0], [0.01, 0.99]]), abs=1e-12)


def test_balance_keeps_unseen_pairs_at_zero_and_nothing_negative():
    rng = np.random.default_rng(0)
    X = np.triu(rng.random((6, 6)) * (rng.random((6, 6)) < 0.6)) + np.eye(6)
    X = X + X.T
    area = X.sum(axis=1) * 10.0 ** rng.uniform(-2, 2, 6)  # no reciprocity is left
    hits = np.stack([[rng.multinomial(20, row / row.sum()) for row in X] for _ in range(4)]) / 20.0
    balanced = balance(hits, area, np.full(6, 80)).mean(axis=0)
    exchange = area[:, None] * balanced
    assert np.all(balanced >= 0.0)
    assert np.all(balanced[X == 0.0] == 0.0)
    assert exchange == pytest.approx(exchange.T, rel=1e-12)


def test_what_is_no_enclosure_is_refused():
    region = _one_solid()
    facets = exposed_facets(EDGES, region)
    patch = np.zeros(len(facets), np.int64)

    def refused(facets=facets, patch=patch, **options):
        with pytest.raises(ProblemError) as caught:
            view_factors_by_rays(EDGES, region, facets, patch, **options)
        return str(caught.value)

    missing = replace(facets, **{n: getattr(facets, n)[1:] for n in facets.__slots__})
    assert "no facet" in refused(missing, patch[1:])
    assert "patch must name" in refused(patch=patch[1:])
    assert "patch must name" in refused(patch=patch - 1)
    assert "no area" in refused(patch=patch + 1)
    assert "negative" in refused(replace(facets, area=-facets.area))
    assert "outside" in refused(replace(facets, place=facets.place + 9))
    assert "replicates" in refused(replicates=1)
    assert "rays" in refused(rays=-1)
    with pytest.raises(ProblemError, match="strictly increasing"):
        exposed_facets([EDGES[0], EDGES[1], np.array([0.0, 0.0, 1.0])], region)
    with pytest.raises(ProblemError, match="shape"):
        exposed_facets(EDGES, region[:1])
    with pytest.raises(ProblemError, match="every place is solid"):
        exposed_facets(EDGES, np.zeros_like(region))


@pytest.mark.parametrize("seed", range(12))
def test_any_grid_with_any_smooth_normals_closes(seed):
    """Random solids and tilted facets: every ray ends on a facet, rows close, exchanges are reciprocal."""
    rng = np.random.default_rng(seed)
    shape = rng.integers(1, 7, 3)
    edges = [np.cumsum(rng.uniform(0.01, 1.0, n + 1)) + rng.uniform(-5.0, 1e3) for n in shape]
    region = np.where(rng.random(shape) < 0.4, rng.integers(0, 3, shape), -1)
    region[0, 0, 0] = -1
    facets = exposed_facets(edges, region)
    tilted = np.flatnonzero(rng.random(len(facets)) < 0.5)
    normal = facets.normal[tilted] + rng.normal(size=(tilted.size, 3))
    normal *= np.where(np.sum(normal * facets.normal[tilted], axis=1) < 0.0, -1.0, 1.0)[:, None]
    facets = facets.smooth(tilted, normal, height=rng.normal(size=tilted.size) * 0.3)
    patch = np.arange(len(facets)) % 3
    found = view_factors_by_rays(edges, region, facets, patch, rays=256, replicates=4)
    exchange = found.area[:, None] * found.F
    assert found.F.sum(axis=1) == pytest.approx(np.ones(3), abs=1e-10)
    assert exchange == pytest.approx(exchange.T, abs=1e-12 * found.area.max())
