"""What the parts of a solid see of each other, and walls that are thin beside the grid."""

import numpy as np
import pytest

from brazesoak.bridge import solid
from brazesoak.bridge.placement import Placement
from brazesoak.errors import GeometryError
from brazesoak_solvers.sections import Body, Disc, Layer

OUTER, LENGTH = 0.030, 0.100


def tube(wall: float) -> Placement:
    """One tube about the z axis, standing free; a quarter stands for it."""
    layer = Layer(0.0, LENGTH, Disc(0.0, 0.0, OUTER), (Disc(0.0, 0.0, OUTER - wall),))
    return Placement((Body(2, (layer,)),), (True, True, False), "a tube")


def disc_to_disc(radius: float, distance: float) -> float:
    """View factor of two equal coaxial discs. Source: Incropera and DeWitt, Table 13.2 (recalled)."""
    s = 2.0 + (distance / radius) ** 2
    return 0.5 * (s - np.sqrt(s * s - 4.0))


@pytest.mark.parametrize("wall", [0.010, 0.004])
def test_a_bore_sees_the_chamber_through_its_ends_only(wall: float) -> None:
    """F(bore, outside) = 2 A_end (1 - F_end,end) / A_bore, exactly; 0.01 on the default grid."""
    sight = solid._sight(tube(wall), 2, None)
    radius = OUTER - wall
    exact = 2.0 * np.pi * radius**2 * (1.0 - disc_to_disc(radius, LENGTH)) / (2.0 * np.pi * radius * LENGTH)
    g = solid.geometry(tube(wall), 2)
    inside = np.unique(sight.curved[0][g.bodies[0].round_normal[:, :2].sum(axis=1) < 0.0])
    F, area = sight.view_factors, sight.area
    share = float((area[inside] * F[inside, -1]).sum() / area[inside].sum())
    assert share == pytest.approx(exact, abs=0.01)
    assert sight.shown >= solid.SHOWN


@pytest.mark.parametrize("wall", [0.002, 0.001])
def test_a_wall_too_thin_for_the_rays_is_refused(wall: float) -> None:
    """Such a wall would let the rays through: its bore would see the chamber two or three times too much."""
    with pytest.raises(GeometryError, match="so thin") as refused:
        solid._sight(tube(wall), 2, None)
    assert "network" in str(refused.value)
