"""Blocks and round parts on a grid: volumes and areas against closed forms, on the default grid and coarser ones.

Areas of cells and lengths of grid lines are closed forms themselves and the arcs follow from them, so that the
sums are exact but for rounding; only slivers, filled less than a hundred-thousandth, are left out.
"""

from collections.abc import Sequence
from dataclasses import fields

import numpy as np
import pytest

from brazesoak_solvers import ProblemError, graded_edges
from brazesoak_solvers.cutcells import SLIVER, CutBody, cut
from brazesoak_solvers.sections import Body, Disc, Layer, Rectangle, breaks
from brazesoak_solvers.touching import Touching, touching

EXACT = 1e-7
"""Relative; edges are rounded to a nanometre, and an arc near a quarter of a circle feels that most."""
R, H = 0.03, 0.055
BOSS = Body(2, (Layer(0.0, H, Disc(0.01, 0.02, R)),))
PLATE = Body(2, (Layer(-0.008, 0.0, Rectangle(-0.12, 0.12, -0.08, 0.08)),))
TUBE = Body(1, (Layer(0.0, 0.05, Disc(0.0, 0.0, 0.03), (Disc(0.0, 0.0, 0.028),)),))
DRILLED = Body(
    0,
    (
        Layer(0.0, 0.02, Rectangle(-0.04, 0.04, -0.03, 0.03)),
        Layer(0.02, 0.04, Rectangle(-0.04, 0.04, -0.03, 0.03), (Disc(0.015, 0.0, 0.01), Disc(-0.02, 0.01, 0.008))),
    ),
)
"""A block with two blind holes."""
CLOSED_FORMS = {  # volume, flat area, curved area
    "boss": (BOSS, np.pi * R**2 * H, 2.0 * np.pi * R**2, 2.0 * np.pi * R * H),
    "plate": (PLATE, 0.24 * 0.16 * 0.008, 2.0 * (0.24 * 0.16 + 0.24 * 0.008 + 0.16 * 0.008), 0.0),
    "tube": (
        TUBE,
        np.pi * (0.03**2 - 0.028**2) * 0.05,
        2.0 * np.pi * (0.03**2 - 0.028**2),
        2.0 * np.pi * (0.03 + 0.028) * 0.05,
    ),
    "drilled block": (
        DRILLED,
        0.08 * 0.06 * 0.04 - np.pi * (0.01**2 + 0.008**2) * 0.02,
        2.0 * (0.08 * 0.06 + 0.08 * 0.04 + 0.06 * 0.04),  # each hole's floor is as large as its mouth
        2.0 * np.pi * (0.01 + 0.008) * 0.02,
    ),
}


def grid(bodies: Sequence[Body], across: int) -> list[np.ndarray]:
    """Edges with at least so many cells across the longest side of all."""
    found = breaks(bodies)
    size = max(b[-1] - b[0] for b in found) / across
    return [graded_edges(b, size) for b in found]


def touch(one: Body, other: Body, across: int, *more: Body) -> tuple[Touching, Touching]:
    edges = grid([one, other, *more], across)
    return touching(cut(one, edges), cut(other, edges), tuple(e.size - 1 for e in edges))


def turned(body: Body, axis: int) -> Body:
    return Body(axis, body.layers)


def closure(c: CutBody) -> np.ndarray:
    """Sum of the area vectors of each cell, which a closed surface has none of [m2]."""
    total = np.zeros((c.volume.size, 3))
    np.add.at(total, (c.a, c.axis), c.area)
    np.add.at(total, (c.b, c.axis), -c.area)
    np.add.at(total, (c.flat_cell, c.flat_axis), np.where(c.flat_side == 1, c.flat_area, -c.flat_area))
    np.add.at(total, c.round_cell, c.round_area[:, None] * c.round_normal)
    return total


@pytest.mark.parametrize("across", [3, 6, 12, 24, 48])
@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_volume_and_areas_are_those_of_the_body(name: str, across: int) -> None:
    body, volume, flat, curved = CLOSED_FORMS[name]
    c = cut(body, grid([body, PLATE], across))
    assert c.volume.sum() == pytest.approx(volume, rel=EXACT)
    assert c.flat_area.sum() == pytest.approx(flat, rel=EXACT)
    assert c.round_area.sum() == pytest.approx(curved, rel=EXACT)


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_a_turned_body_has_the_same_cells(axis: int) -> None:
    body = turned(BOSS, axis)
    c, straight = cut(body, grid([body], 12)), cut(BOSS, grid([BOSS], 12))
    assert np.sort(c.volume) == pytest.approx(np.sort(straight.volume), rel=EXACT)
    assert c.area.sum() == pytest.approx(straight.area.sum(), rel=EXACT)
    assert set(c.flat_axis) == {axis}
    assert np.abs(c.round_normal[:, axis]).max() == 0.0


def test_a_part_smaller_than_the_cells_keeps_its_side() -> None:
    """A pin of 4 mm on a plate of 240 mm and cells of 20 mm: one cell wide but for the plane through its middle."""
    pin = Body(2, (Layer(0.0, 0.02, Disc(0.05, 0.03, 0.002)),))
    c = cut(pin, grid([pin, PLATE], 12))
    assert c.volume.size == 4
    assert c.round_area.sum() == pytest.approx(2.0 * np.pi * 0.002 * 0.02, rel=1e-6)  # edges are rounded to 1 nm


def test_what_is_left_out_of_an_uneven_grid_is_less_than_a_sliver_a_cell() -> None:
    rng = np.random.default_rng(3)
    edges = [np.unique(np.concatenate([b, rng.uniform(b[0], b[-1], 40)])) for b in breaks([BOSS])]
    c = cut(BOSS, edges)
    lost = np.pi * R**2 * H - c.volume.sum()
    along = np.diff(edges[0])[:, None] * np.diff(edges[1])[None, :]
    assert 0.0 <= lost + 1e-15 <= SLIVER * along.max() * H * 4 * 40  # cells that an outline of 4 x 40 lines can cut


@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_area_vectors_of_each_cell_close_to_second_order(name: str) -> None:
    """What is over is the difference of arc and chord: with the half angle a that a cell sees, a - sin a."""
    body = CLOSED_FORMS[name][0]
    coarse = grid([body], 12)
    worst = []
    for n in (1, 2, 4):
        edges = [np.interp(np.arange(n * (e.size - 1) + 1) / n, np.arange(e.size), e) for e in coarse]
        c = cut(body, edges)
        height = np.diff(edges[body.axis])[c.place[c.round_cell, body.axis]]
        radius = c.round_circle[:, 3]
        half_angle = 0.5 * c.round_area / height / radius
        allowed = np.bincount(c.round_cell, 2.0 * radius * height * (half_angle - np.sin(half_angle)), c.volume.size)
        left = np.linalg.norm(closure(c), axis=1)
        assert (left <= allowed + 1e-6 * c.area.max()).all()
        worst.append(left.max() / c.area.max())
    assert worst[2] <= worst[0] / 8.0 + 1e-6  # 16 in theory; the arc in the worst cell varies


@pytest.mark.parametrize("across", [6, 12, 24, 48])
def test_contact_of_a_boss_on_a_plate_is_its_end(across: int) -> None:
    flat, curved = touch(BOSS, PLATE, across)
    assert flat.area.sum() == pytest.approx(np.pi * R**2, rel=EXACT)
    assert curved.area.size == 0


@pytest.mark.parametrize("across", [6, 12, 24, 48])
def test_contact_of_a_boss_over_an_edge_is_its_segment_of_a_circle(across: int) -> None:
    """Half of the boss stands over the edge of the plate."""
    boss = Body(2, (Layer(0.0, H, Disc(0.12, 0.0, R)),))
    flat, _ = touch(boss, PLATE, across)
    assert flat.area.sum() == pytest.approx(0.5 * np.pi * R**2, rel=EXACT)


@pytest.mark.parametrize("across", [6, 12, 24, 48])
def test_contact_of_a_plug_is_the_side_and_the_floor_of_its_hole(across: int) -> None:
    plug = Body(0, (Layer(0.02, 0.07, Disc(0.015, 0.0, 0.01)),))
    flat, curved = touch(plug, DRILLED, across)
    assert flat.area.sum() == pytest.approx(np.pi * 0.01**2, rel=EXACT)
    assert curved.area.sum() == pytest.approx(2.0 * np.pi * 0.01 * 0.02, rel=EXACT)


@pytest.mark.parametrize("across", [6, 12, 24, 48])
def test_contact_of_a_thin_sleeve_is_its_outside_though_one_cell_holds_both_its_sides(across: int) -> None:
    host = Body(1, (Layer(0.01, 0.03, Disc(0.0, 0.0, 0.06), (Disc(0.0, 0.0, 0.03),)),))
    flat, curved = touch(TUBE, host, across)
    assert flat.area.size == 0
    assert curved.area.sum() == pytest.approx(2.0 * np.pi * 0.03 * 0.02, rel=EXACT)


@pytest.mark.parametrize("across", [6, 12, 24, 48])
@pytest.mark.parametrize("which", ["aslant", "in a ring"])
def test_round_parts_with_a_gap_do_not_touch_though_one_cell_holds_both(which: str, across: int) -> None:
    one = Body(2, (Layer(0.0, 0.05, Disc(0.0, 0.0, 0.02)),))
    other = {
        "aslant": Layer(0.0, 0.05, Disc(0.029, 0.029, 0.02)),  # 1 mm apart
        "in a ring": Layer(0.0, 0.03, Disc(0.0, 0.0, 0.04), (Disc(0.0, 0.0, 0.0225),)),
    }[which]
    flat, curved = touch(one, Body(2, (other,)), across, PLATE)
    assert flat.area.sum() + curved.area.sum() == 0.0


def test_bodies_that_share_a_plane_but_no_place_do_not_touch() -> None:
    beside = Body(2, (Layer(0.0, 0.01, Rectangle(0.13, 0.15, 0.0, 0.02)),))
    flat, curved = touch(PLATE, beside, 12)
    assert flat.area.size + curved.area.size == 0


@pytest.mark.parametrize("across", [1, 2])
def test_every_cell_of_every_place_joins_its_neighbours(across: int) -> None:
    """A block of several cells: 3 n1 n2 n3 - n2 n3 - n1 n3 - n1 n2 faces between them."""
    block = Body(2, (Layer(0.0, 0.03, Rectangle(0.0, 0.03, 0.0, 0.03)),))
    edges = [np.linspace(0.0, 0.03, n * across + 1) for n in (2, 3, 4)]
    c = cut(block, edges)
    n = [e.size - 1 for e in edges]
    assert c.a.size == 3 * np.prod(n) - n[1] * n[2] - n[0] * n[2] - n[0] * n[1]
    width = np.array([np.diff(edges[i])[0] for i in c.axis])
    assert c.shape_a == pytest.approx(c.area / (0.5 * width), rel=1e-12)


def way_to_surface(c: CutBody, edges: Sequence[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    """Way from the cell that each piece of curved surface heats, by its shape factor, and how far the middle of the
    cell's place is from the circle, both positive inside the metal [m]."""
    middle = [0.5 * (e[1:] + e[:-1]) for e in edges]
    axes = [(int(c.round_circle[0, 0]) + k) % 3 for k in (1, 2)]
    x, y = (middle[a][c.place[c.round_owner, a]] - c.round_circle[:, k] for k, a in zip((1, 2), axes, strict=True))
    outline = np.sign(c.round_normal[:, axes[0]] * x + c.round_normal[:, axes[1]] * y)
    return c.round_area / c.round_shape, outline * (c.round_circle[:, 3] - np.hypot(x, y))


@pytest.mark.parametrize("across", [6, 12, 24])
@pytest.mark.parametrize("name", ["boss", "drilled block"])
def test_curved_surface_is_as_far_from_the_cell_that_it_heats_as_it_is(name: str, across: int) -> None:
    """To second order, of the cell over the least radius; and never behind it."""
    body = CLOSED_FORMS[name][0]
    edges = grid([body], across)
    c = cut(body, edges)
    way, true = way_to_surface(c, edges)
    h = max(float(np.diff(e).max()) for e in edges)
    least = c.round_circle[:, 3].min()
    assert (way >= 0.0).all()
    assert np.abs(way - true).max() < max(1.5 * h * h / least, 1e-12)
    assert (c.round_owner != c.round_cell).any()


def test_a_wall_thinner_than_its_cell_is_no_deeper_than_thick() -> None:
    """A tube of 2 mm in cells of 5 mm: half a cell would be deeper than the wall."""
    c = cut(TUBE, grid([TUBE], 12))
    assert (c.round_area / c.round_shape <= (c.volume[c.round_owner] / c.round_area) * (1.0 + 1e-12)).all()


@pytest.mark.parametrize("name", CLOSED_FORMS)
def test_a_body_is_cut_the_same_in_however_large_a_grid(name: str) -> None:
    body = CLOSED_FORMS[name][0]
    edges = grid([body], 12)
    small = cut(body, edges)
    large = cut(body, [np.concatenate([e[0] - [0.3, 0.2, 0.1], e, e[-1] + [0.1, 0.2]]) for e in edges])
    assert (large.place - 3 == small.place).all()
    for field in fields(CutBody):
        if field.name != "place":
            assert np.array_equal(getattr(small, field.name), getattr(large, field.name)), field.name


@pytest.mark.parametrize(
    "layer",
    [
        Layer(0.2, 0.3, Disc(0.0, 0.0, 0.01)),
        Layer(0.0, 0.05, Disc(5.0, 0.0, 0.01)),
        Layer(0.0, 0.05, Rectangle(1.0, 2.0, 0.0, 0.01)),
        Layer(0.01, 0.01, Disc(0.0, 0.0, 0.01)),
        Layer(0.0, 0.05, Disc(0.0, 0.0, 0.01), (Disc(0.0, 0.0, 0.01),)),
    ],
)
def test_a_body_off_the_grid_or_of_nothing_is_refused(layer: Layer) -> None:
    with pytest.raises(ProblemError, match="no cell on the grid"):
        cut(Body(2, (layer,)), grid([BOSS], 12))
