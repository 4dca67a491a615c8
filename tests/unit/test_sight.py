"""What the parts of a solid see of each other, and walls that are thin beside the grid."""

import numpy as np
import pytest

from brazesoak.bridge import solid
from brazesoak.bridge.placement import Placement
from brazesoak.bridge.sight import WANTED, Sight, find_sight
from brazesoak.bridge.solid_grid import geometry
from brazesoak.bridge.thin import CELLS_IN_WALL, finest_cells
from brazesoak.errors import GeometryError
from brazesoak_solvers.sections import Body, Disc, Layer, Rectangle

OUTER, LENGTH = 0.030, 0.100


def tube(wall: float) -> Placement:
    """One tube about the z axis, standing free; a quarter stands for it."""
    layer = Layer(0.0, LENGTH, Disc(0.0, 0.0, OUTER), (Disc(0.0, 0.0, OUTER - wall),))
    return Placement((Body(2, (layer,)),), (True, True, False), "a tube")


def disc_to_disc(radius: float, distance: float) -> float:
    """View factor of two equal coaxial discs. Source: Incropera and DeWitt, Table 13.2 (recalled)."""
    s = 2.0 + (distance / radius) ** 2
    return 0.5 * (s - np.sqrt(s * s - 4.0))


@pytest.mark.parametrize("wall", [0.010, 0.004, 0.002, 0.001, 0.0005])
def test_a_bore_sees_the_chamber_through_its_ends_only(wall: float) -> None:
    """F(bore, outside) = 2 A_end (1 - F_end,end) / A_bore, exactly; 0.005 on the default grid, as told."""
    sight = solid._sight(tube(wall), 2, None)
    radius = OUTER - wall
    exact = 2.0 * np.pi * radius**2 * (1.0 - disc_to_disc(radius, LENGTH)) / (2.0 * np.pi * radius * LENGTH)
    g = geometry(tube(wall), 2)
    bore = g.bodies[0].round_normal[:, :2].sum(axis=1) < 0.0
    inside = np.unique(sight.curved[0][bore])
    assert not np.intersect1d(inside, sight.curved[0][~bore]).size  # one cell may hold both sides of the wall
    F, area = sight.view_factors, sight.area
    share = float((area[inside] * F[inside, -1]).sum() / area[inside].sum())
    assert share == pytest.approx(exact, abs=WANTED)
    assert sight.error <= WANTED
    assert sight.shown >= solid.SHOWN


def test_a_thin_tube_on_a_long_bed_sees_as_it_does_on_a_short_one() -> None:
    """The wall, 3 of 600 mm, is held by the grid of the rays however large the rest: F as on a bed of 120 mm.

    The bore, open at the top, sees the chamber through that end only, so the bed around the tube does not count.
    """
    shares = []
    for length in (0.120, 0.600):
        bed = Body(2, (Layer(0.0, 0.008, Rectangle(-0.5 * length, 0.5 * length, -0.06, 0.06)),))
        layer = Layer(0.008, 0.068, Disc(0.0, 0.0, OUTER), (Disc(0.0, 0.0, OUTER - 0.003),))
        placement = Placement((bed, Body(2, (layer,))), (True, True, False), "a tube on a bed")
        sight = solid._sight(placement, 2, None)
        bore = geometry(placement, 2).bodies[1].round_normal[:, :2].sum(axis=1) < 0.0
        inside = np.unique(sight.curved[1][bore])
        F, area = sight.view_factors, sight.area
        shares.append(float((area[inside] * F[inside, -1]).sum() / area[inside].sum()))
    radius, depth = OUTER - 0.003, 0.060
    exact = np.pi * radius**2 * (1.0 - disc_to_disc(radius, depth)) / (2.0 * np.pi * radius * depth)
    assert shares == pytest.approx([exact, exact], abs=0.01)


BESIDE = Placement(
    (
        Body(2, (Layer(0.0, 0.008, Rectangle(-0.09, 0.09, -0.06, 0.06)),)),
        Body(2, (Layer(0.008, 0.060, Disc(0.0, 0.0, 0.025)),)),
        Body(2, (Layer(0.008, 0.048, Rectangle(0.031, 0.037, -0.045, 0.045)),)),
    ),
    (False, False, False),
    "a rib close to a boss",
)


def test_view_factors_are_made_as_sure_as_is_wanted() -> None:
    """A rib close beside a round boss, where a coarse grid's steps make the two sides of an exchange differ most."""
    rung = geometry(BESIDE, 4, for_rays=True)
    g = geometry(BESIDE, 2)
    least = find_sight(BESIDE, g.edges, g.bodies, g.open_flat, g.open_round, None, (rung.edges, rung.bodies), 4096)
    assert least.error > WANTED
    assert solid._sight(BESIDE, 2, None).error <= WANTED


def test_where_it_cannot_be_reached_the_best_of_all_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solid, "GRIDS_AND_RAYS", ((1, 256), (2, 4096), (1, 128)))
    solid._sight.cache_clear()
    best = solid._sight(BESIDE, 2, None)
    solid._sight.cache_clear()
    monkeypatch.setattr(solid, "GRIDS_AND_RAYS", ((1, 256),))
    assert best.error < solid._sight(BESIDE, 2, None).error
    solid._sight.cache_clear()


@pytest.mark.parametrize(
    ("layer", "axis", "low", "high", "wall"),
    [
        (Layer(0.0, 1.0, Disc(0.0, 0.0, 0.03), (Disc(0.001, 0.0, 0.027),)), 0, -0.03, 0.03, 0.002),
        (Layer(0.0, 1.0, Rectangle(0.0, 0.1, 0.0, 0.05), (Disc(0.05, 0.012, 0.01),)), 1, 0.0, 0.024, 0.002),
        (
            Layer(0.0, 1.0, Rectangle(0.0, 0.1, 0.0, 0.1), (Disc(0.03, 0.05, 0.01), Disc(0.053, 0.05, 0.01))),
            0,
            0.0185,
            0.0645,
            0.003,
        ),
    ],
    ids=["ring off its middle", "hole near a side", "two holes"],
)
def test_walls_beside_holes_are_found(layer: Layer, axis: int, low: float, high: float, wall: float) -> None:
    """Where each lies and how thick it is, by hand."""
    stretches = finest_cells((Body(2, (layer,)),))[axis]
    assert [(low, high, wall / CELLS_IN_WALL)] == [
        pytest.approx(s) for s in stretches if s[2] == pytest.approx(wall / CELLS_IN_WALL)
    ]


def test_a_wall_too_thin_for_the_rays_is_refused() -> None:
    """Its cells would not fit in memory, and wider ones let rays through: the bore would see the chamber too much."""
    with pytest.raises(GeometryError, match="so thin") as refused:
        solid._sight(tube(2e-5), 2, None)
    assert "network" in str(refused.value)


def test_what_a_body_sees_is_the_mean_over_its_patches_by_area() -> None:
    """Body 0: 3 m2 that see all of the chamber and 1 m2 that see half; body 1: 2 m2 that see a quarter."""
    F = np.zeros((4, 4))
    F[:, -1] = 1.0, 0.5, 0.25, 0.0
    flat, curved = (np.array([0, 0, 1]), np.array([2])), (np.array([], dtype=int), np.array([2, 2]))
    assert Sight(F, flat, curved, np.array([3.0, 1.0, 2.0]), 0.0, 1.0).seen == pytest.approx((0.875, 0.25))
