"""View factors by ray casting, against closed forms and against what must hold in any enclosure."""

from dataclasses import replace

import numpy as np
import pytest

from brazesoak_solvers.view_factors import ViewFactors, view_factors_by_rays

from .rooms import (
    HIGH,
    INCROPERA,
    LOW,
    boss_to_annulus,
    box,
    discs,
    is_wall,
    parallel,
    perpendicular,
    unequal_squares,
    wall,
)

TARGET = 0.005  # 0.5 % of the factor, the goal for the default number of rays
FEW = 16_384


def check(record, case: str, source: str, exact: float, found: ViewFactors, i: int = 1, j: int = 2, shape=0.0):
    """0.5 % at most, and within three standard errors; `shape` is what the outline may add [relative]."""
    value, error = found.F[i, j], found.standard_error[i, j]
    record(case, source, exact, value, "", tolerance=TARGET * exact)
    assert abs(value - exact) <= 3.0 * error + shape * exact
    assert error <= TARGET / 3.0 * exact, "the default number of rays must show that it reaches the goal"


def _walls(x, y, z):
    """A box with patch 1 the floor, 2 the ceiling, 3 the wall at low x, 0 the other walls."""
    edges, region, facets = box(x, y, z)
    patch = np.zeros(len(facets), np.int64)
    for number, (axis, end) in enumerate(((2, LOW), (2, HIGH), (0, LOW)), start=1):
        patch[wall(facets, region, axis, end)] = number
    return edges, region, facets, patch


def _even_outline(*radii: float) -> np.ndarray:
    """Edges of a square grid on which discs of these radii, by the middles of cells, have their areas."""

    def worst(cells: int) -> float:
        middle = half * (2.0 * (np.arange(cells) + 0.5) / cells - 1.0)
        r = np.hypot(middle[:, None], middle[None, :])
        size = (2.0 * half / cells) ** 2
        return max(abs(np.sum(r < R) * size / (np.pi * R**2) - 1.0) for R in radii)

    half = 1.02 * max(radii)
    cells = min(range(180, 220), key=worst)
    assert worst(cells) < 5e-4
    return np.linspace(-half, half, cells + 1)


@pytest.mark.parametrize(
    ("r1", "r2", "gap", "stated"),
    [
        (1.0, 1.0, 1.0, 0.38196601125),
        (1.0, 2.0, 1.0, 0.7639320225),
        (2.0, 1.0, 1.0, 0.190983005625),
        (1.0, 1.0, 2.0, 0.171572875254),
        (0.5, 0.5, 0.1, 0.819002487578),
    ],
)
def test_coaxial_discs(r1, r2, gap, stated, record):
    """J1. F12 = [S - sqrt(S2 - 4 (r2/r1)2)]/2, S = 1 + (1 + R2^2)/R1^2, Ri = ri/gap. Tolerance 0.5 %.

    Incropera table 13.2, Howell C-41 (recalled). The discs lie on floor and ceiling of a box, cut out
    of about 200 by 200 facets; their outlines have the area of a circle to 0.05 %.
    """
    exact = discs(r1, r2, gap)
    assert exact == pytest.approx(stated, rel=1e-10)
    edge = _even_outline(r1, r2)
    edges, region, facets = box(edge, edge, [0.0, gap])
    radius = np.hypot(facets.centre[:, 0], facets.centre[:, 1])
    patch = np.zeros(len(facets), np.int64)
    patch[wall(facets, region, 2, LOW) & (radius < r1)] = 1
    patch[wall(facets, region, 2, HIGH) & (radius < r2)] = 2
    found = view_factors_by_rays(edges, region, facets, patch)
    check(record, f"J1 {r1:g} {r2:g} {gap:g}", INCROPERA, exact, found, shape=1e-3)


@pytest.mark.parametrize(
    ("h", "w", "stated"),
    [
        (1.0, 1.0, 0.200043776075),
        (1.0, 2.0, 0.116426301398),
        (2.0, 1.0, 0.232852602795),
        (0.5, 1.0, 0.146186679106),
        (1.0, 0.5, 0.292373358211),
    ],
)
def test_perpendicular_rectangles(h, w, stated, record):
    """J2. Common edge of 1, from the one w wide to the one h high. Tolerance 0.5 %.

    Incropera table 13.1, Howell C-14 (recalled). Floor and wall of a box on a grid that is graded.
    """
    exact = perpendicular(h, w)
    assert exact == pytest.approx(stated, rel=1e-10)
    part = np.array([0.0, 0.05, 0.15, 0.4, 0.7, 1.0])
    found = view_factors_by_rays(*_walls(w * part, part, h * part))
    check(record, f"J2 {h:g} {w:g}", INCROPERA, exact, found, 1, 3)


@pytest.mark.parametrize(
    ("x", "y", "stated"),
    [
        (1.0, 1.0, 0.199824895698),
        (1.0, 2.0, 0.285875384851),
        (2.0, 2.0, 0.415253283577),
        (0.5, 0.5, 0.0685895888186),
        (10.0, 10.0, 0.826994522397),
    ],
)
def test_parallel_rectangles(x, y, stated, record):
    """J3. Aligned, x by y, 1 apart. Incropera table 13.1, Howell C-11 (recalled). Tolerance 0.5 %."""
    exact = parallel(x, y)
    assert exact == pytest.approx(stated, rel=1e-10)
    part = np.linspace(0.0, 1.0, 9)
    found = view_factors_by_rays(*_walls(x * part, y * part, part))
    check(record, f"J3 {x:g} {y:g}", INCROPERA, exact, found)


@pytest.mark.parametrize(("a", "b", "gap", "stated"), [(1.0, 2.0, 1.0, 0.51765307952), (0.4, 1.0, 0.5, 0.53075951338)])
def test_unequal_squares(a, b, gap, stated, record):
    """J4. Coaxial parallel squares, from side a to side b: quadrature of the kernel. Tolerance 0.5 %."""
    exact = unequal_squares(a, b, gap)
    assert exact == pytest.approx(stated, rel=1e-8)
    edge = np.array([-b, -a, a, b]) / 2.0
    edges, region, facets, patch = _walls(edge, edge, [0.0, gap])
    patch[(patch == 1) & (np.max(np.abs(facets.centre[:, :2]), axis=1) > a / 2.0)] = 0
    patch[patch == 3] = 0
    found = view_factors_by_rays(edges, region, facets, patch)
    check(record, f"J4 {a:g} {b:g} {gap:g}", "quadrature", exact, found)


def test_a_cube_closes_and_is_reciprocal(record):
    """Six walls of a cube: opposite 0.1998, adjacent 0.2000, itself nothing; closed and reciprocal.

    0.1998 and 0.2000: Incropera tables 13.1-13.2. Tolerance 0.5 %.
    """
    assert parallel(1.0, 1.0) + 4.0 * perpendicular(1.0, 1.0) == pytest.approx(1.0, abs=1e-14)
    edges, region, facets = box(*3 * [np.linspace(0.0, 1.0, 6)])
    patch = 2 * facets.axis + facets.side
    found = view_factors_by_rays(edges, region, facets, patch)
    i, j = np.indices((6, 6))
    assert np.all(found.F[i == j] == 0.0)
    for name, exact, pairs in (
        ("opposite", parallel(1.0, 1.0), (i // 2 == j // 2) & (i != j)),
        ("adjacent", perpendicular(1.0, 1.0), i // 2 != j // 2),
    ):
        worst = max(found.F[pairs], key=lambda value, exact=exact: abs(value - exact))
        record(f"cube, worst {name}", INCROPERA, exact, worst, "", tolerance=TARGET * exact)
    _holds(found)
    assert 0.0 < found.correction < 0.005  # sampling noise, of the order of a few standard errors


def _holds(found: ViewFactors) -> None:
    """What holds in any enclosure, to round-off."""
    X = found.area[:, None] * found.F
    assert np.max(np.abs(found.F.sum(axis=1) - 1.0)) <= 1e-12
    assert np.max(np.abs(X - X.T)) <= 1e-14 * found.area.max()
    assert found.F.min() >= 0.0


def test_a_full_plate_hides_the_wall_behind_it(record):
    """A shield across a box (the geometry of J5b): floor and ceiling see nothing of each other.

    The floor sees the shield as an aligned rectangle: closed form J3 at the distance between them, 0.5 %.
    """
    edge = np.linspace(0.0, 1.0, 11)
    edges, region, facets = box(edge, edge, edge, solid=lambda x, y, z: np.where(abs(z - 0.55) < 0.05, 0, -1))
    patch = np.select(
        [
            wall(facets, region, 2, LOW),
            wall(facets, region, 2, HIGH),
            ~is_wall(facets, region) & (facets.side == 0),
        ],
        [1, 2, 3],
        np.where(is_wall(facets, region), np.where(facets.centre[:, 2] < 0.55, 0, 5), 4),
    )
    found = view_factors_by_rays(edges, region, facets, patch)
    below, above = [0, 1, 3], [2, 4, 5]
    assert np.all(found.F[np.ix_(below, above)] == 0.0)
    assert np.all(found.standard_error[np.ix_(below, above)] == 0.0)
    check(record, "J5b geometry", INCROPERA, parallel(2.0, 2.0), found, 1, 3)
    _holds(found)


def test_a_block_inside_a_box_sees_only_the_box():
    """A convex body sees nothing of itself: F = 1 to the walls, and A1/A2 back (exact, from reciprocity)."""
    edge = np.linspace(0.0, 1.0, 9)

    def block(x, y, z):
        return np.where(np.maximum(np.maximum(abs(x - 0.5), abs(y - 0.5)), abs(z - 0.5)) < 0.25, 0, -1)

    edges, region, facets = box(edge, edge, edge, solid=block)
    found = view_factors_by_rays(edges, region, facets, is_wall(facets, region), rays=FEW)
    assert np.max(np.abs(found.F - [[0.0, 1.0], [0.25, 0.75]])) <= 1e-13
    assert found.standard_error == pytest.approx(np.zeros((2, 2)), abs=1e-13)


def _boss_on_plate(cells: int, smooth: bool = True):
    """A boss, radius 20 mm, height 40 mm, on a plate: 0 side, 1 end, 2 annulus to 45 mm, 3 and 4 the rest."""
    edge = np.linspace(-0.05, 0.05, cells + 1)

    def solid(x, y, z):
        return np.where(z < 0.02, 1, np.where((np.hypot(x, y) < 0.02) & (z < 0.06), 0, -1))

    edges, region, facets = box(edge, edge, np.linspace(0.0, 0.1, cells + 1), solid=solid)
    radius = np.hypot(facets.centre[:, 0], facets.centre[:, 1])
    inside = ~is_wall(facets, region)
    of_boss = inside & (facets.centre[:, 2] > 0.0201)
    side = of_boss & (facets.axis < 2)
    plate = inside & ~of_boss
    patch = np.select([side, of_boss, plate & (radius < 0.045), plate], [0, 1, 2, 3], 4)
    if smooth:
        outward = facets.centre[side] * [1.0, 1.0, 0.0]
        facets = facets.smooth(side, outward, height=radius[side] - 0.02)
        # A caller knows the area of a cylinder; that of the staircase, projected, is near it.
        exact = 2.0 * np.pi * 0.02 * 0.04
        assert facets.area[side].sum() == pytest.approx(exact, rel=0.02)
        facets = replace(facets, area=np.where(side, facets.area * exact / facets.area[side].sum(), facets.area))
    return edges, region, facets, patch


@pytest.mark.parametrize("cells", [20, 40])
def test_a_round_boss_on_a_plate(cells, record):
    """The side of a boss sees itself nowhere, and the annulus of plate around its foot as a cylinder does.

    Exact: quadrature of the kernel over height and annulus, to the radius that gives the annulus of facets
    its area. Steps of the staircase, 8 or 16 across the boss, stand for the cylinder. Tolerance 0.5 %.
    """
    edges, region, facets, patch = _boss_on_plate(cells)
    outer = np.sqrt(facets.area[patch == 2].sum() / np.pi + 0.02**2)
    exact = boss_to_annulus(0.02, outer, 0.04)
    found = view_factors_by_rays(edges, region, facets, patch)
    record(f"boss to annulus, {cells}", "quadrature", exact, found.F[0, 2], "", tolerance=TARGET * exact)
    assert found.F[0, 0] == 0.0
    assert found.F[0, 1] == 0.0
    _holds(found)


def test_a_staircase_left_as_it_is_sees_itself():
    """Without smoothing the side of the boss is 4/pi too large and sees its own steps; both stay closed."""
    found = view_factors_by_rays(*_boss_on_plate(20, smooth=False), rays=FEW)
    assert found.area[0] == pytest.approx(8.0 * 0.02 * 0.04, rel=1e-12)
    assert found.F[0, 0] > 0.1
    _holds(found)


def test_a_ball_over_a_disc(record):
    """From a sphere to a coaxial disc: (1 - 1 / sqrt(1 + (r/h)2)) / 2, whatever its size.

    Howell C-128 (recalled). Tolerance 0.5 % on 16 cells across the ball. Each wall gets a sixth, by symmetry.
    """
    edge = np.linspace(-1.0, 1.0, 33)
    edges, region, facets = box(edge, edge, edge, solid=lambda x, y, z: np.where(x**2 + y**2 + z**2 < 0.25, 0, -1))
    ball = ~is_wall(facets, region)
    floor = wall(facets, region, 2, LOW)
    disc = floor & (np.hypot(facets.centre[:, 0], facets.centre[:, 1]) < 0.8)
    radius2 = facets.area[disc].sum() / np.pi
    round_ = facets.smooth(ball, facets.centre[ball], height=np.linalg.norm(facets.centre[ball], axis=1) - 0.5)
    patch = np.select([ball, disc, floor], [0, 1, 2], 3)
    found = view_factors_by_rays(edges, region, round_, patch)
    exact = 0.5 * (1.0 - 1.0 / np.sqrt(1.0 + radius2))
    record("ball to disc", "Howell C-128", exact, found.F[0, 1], "", tolerance=TARGET * exact)
    record("ball to floor", "symmetry", 1.0 / 6.0, found.F[0, 1] + found.F[0, 2], "", tolerance=TARGET / 6.0)
    assert found.F[0, 0] == 0.0
    _holds(found)


def test_error_falls_faster_than_the_root_of_the_rays():
    """Evenly spread points: root-mean-square error over the walls of a cube falls with order 0.55 or more.

    Independent rays would give 0.5 at best. 30 factors by 6 seeds, 64 times as many rays.
    """
    edges, region, facets = box(*3 * [[0.0, 1.0]])
    patch = 2 * facets.axis + facets.side
    i, j = np.indices((6, 6))
    exact = np.where(i == j, 0.0, np.where(i // 2 == j // 2, parallel(1.0, 1.0), perpendicular(1.0, 1.0)))

    def rms(rays: int) -> float:
        runs = [view_factors_by_rays(edges, region, facets, patch, rays=rays, seed=s) for s in range(6)]
        return float(np.sqrt(np.mean([(run.F - exact) ** 2 for run in runs])))

    order = np.log(rms(4096) / rms(262_144)) / np.log(64.0)
    assert order >= 0.55


def test_standard_error_says_how_far_off_a_factor_is():
    """Over 40 seeds and three factors the error is below two standard errors as often as it should be.

    Student's t with 15 degrees of freedom: 94 % below 2, 99.1 % below 3. Allowed: 88 % and 97 %.
    """
    room = _walls([0.0, 1.0], [0.0, 1.0], [0.0, 0.5])
    exact = {
        (1, 2): parallel(2.0, 2.0),
        (1, 3): perpendicular(0.5, 1.0),
        (3, 1): 2.0 * perpendicular(0.5, 1.0),
    }
    off = []
    for seed in range(40):
        found = view_factors_by_rays(*room, rays=FEW, seed=seed)
        off += [abs(found.F[at] - value) / found.standard_error[at] for at, value in exact.items()]
    assert np.mean(np.array(off) < 2.0) >= 0.88
    assert np.mean(np.array(off) < 3.0) >= 0.97


def test_the_seed_decides_the_factors():
    room = _walls([0.0, 1.0], [0.0, 1.0], [0.0, 1.0])
    one, same, other = (view_factors_by_rays(*room, rays=FEW, seed=s) for s in (7, 7, 8))
    assert np.array_equal(one.F, same.F)
    assert np.array_equal(one.standard_error, same.standard_error)
    assert not np.array_equal(one.F, other.F)


def test_turning_the_axes_turns_the_factors():
    """The same room with its axes in another order: the same factors within their standard errors."""
    edges, region, facets, patch = _boss_on_plate(20)
    found = view_factors_by_rays(edges, region, facets, patch, rays=65_536)
    turned, label = (
        np.moveaxis(region, 2, 0),
        {tuple(p): i for p, i in zip(_key(facets), range(len(facets)), strict=True)},
    )
    x = [edges[2], edges[0], edges[1]]
    _, _, other = box(*x, solid=lambda *_: turned)
    at = [label[tuple(k)] for k in _key(replace(other, centre=other.centre[:, [1, 2, 0]]))]
    other = replace(other, area=facets.area[at], normal=facets.normal[at][:, [2, 0, 1]], height=facets.height[at])
    again = view_factors_by_rays(x, turned, other, patch[at], rays=65_536, seed=1)
    error = np.hypot(found.standard_error, again.standard_error)
    assert np.all(np.abs(found.F - again.F) <= 4.0 * error + 1e-15)


def _key(facets) -> np.ndarray:
    return np.round(facets.centre * 1e6).astype(np.int64)


def test_a_chamber_may_only_catch():
    """A patch without rays: its factors follow from the others; a block in a box has them exactly."""
    edge = np.linspace(0.0, 1.0, 9)
    edges, region, facets = box(
        edge, edge, edge, solid=lambda x, y, z: np.where((abs(x - 0.5) < 0.25) & (z < 0.5), 0, -1)
    )
    patch = np.where(is_wall(facets, region), 2, np.where(facets.axis == 2, 1, 0))
    caught = view_factors_by_rays(edges, region, facets, patch, rays=[FEW, FEW, 0])
    sent = view_factors_by_rays(edges, region, facets, patch, rays=FEW)
    _holds(caught)
    assert caught.rays[2] == 0
    error = np.hypot(caught.standard_error, sent.standard_error)
    assert np.all(np.abs(caught.F - sent.F) <= 4.0 * error + 1e-12)
