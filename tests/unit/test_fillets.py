"""Fillets along the corners of joints, by hand and by integration. Sizes invented."""

from math import acos, pi, sqrt

import numpy as np
import pytest

from brazesoak.analysis.fillets import edge_length, fillet_area
from brazesoak.bridge.placement import Placement
from brazesoak.parts.assembly import Assembly
from brazesoak.parts.shapes import RectangularFace, RoundFace, corner_edge

from .jobs import assembly, bar, boss, joint, plate, prepared, tube


def length(*parts: str) -> float:
    """Of the corners of the only joint, without places."""
    found: Assembly = assembly(*parts)
    return edge_length(found, found.joints[0])


def placed(*parts: str) -> float:
    """Of the corners of the first joint, with the places that the job or its pile gives."""
    found = prepared(*parts)
    assert isinstance(found.placement, Placement)
    return edge_length(found.assembly, found.assembly.joints[0], found.placement.boxes)


def at(x: float, y: float, z: float) -> list[str]:
    return [f"{x} mm", f"{y} mm", f"{z} mm"]


def test_a_fillet_is_a_square_less_a_quarter_circle() -> None:
    """By integration of the hollow profile y = r - sqrt(r^2 - (r - x)^2) over 0..r."""
    from scipy.integrate import quad

    r = 1.7e-3
    profile, _ = quad(lambda x: r - sqrt(r * r - (r - x) ** 2), 0.0, r, epsabs=1e-16)
    assert fillet_area(r) == pytest.approx(profile, rel=1e-6)


def test_edges_by_hand() -> None:
    """Boss 40 mm: pi x 40. Bars 30 mm wide crossed: 4 x 30. A blind plug 25 mm across that stands out: pi x 25. A boss
    whose area is given as a sixteenth of its end's: a quarter of the edge."""
    assert length(plate(), boss(), joint("boss", "plate")) == pytest.approx(pi * 0.04)
    assert length(bar("a"), bar("b"), joint("a", "b", fit="crossed")) == pytest.approx(0.12)
    blind = plate(thickness="20 mm"), boss(diameter="25 mm"), joint("boss", "plate", fit="plug", depth="9 mm")
    assert length(*blind) == pytest.approx(pi * 0.025)
    small = joint("boss", "plate", area=f"{25.0 * pi:.9f} mm2")
    assert length(plate(), boss(), small) == pytest.approx(pi * 0.01)


def test_flush_edges_have_no_fillet() -> None:
    """Bars of one width and of 100 and 60 mm: corners only at the two ends, 2 x 30. Two alike: none. A boss on a boss
    as wide: none; on one with a bore of 10 mm: pi x 10, inside."""
    two = bar("a"), bar("b", length="60 mm"), joint("a", "b")
    assert length(*two) == pytest.approx(0.06)
    assert placed(*two) == pytest.approx(0.06)
    assert length(bar("a"), bar("b"), joint("a", "b")) == 0.0
    assert length(boss("a"), boss("b"), joint("a", "b")) == 0.0
    bored = tube("b", outer_diameter="40 mm", inner_diameter="10 mm")
    assert length(boss("a"), bored, joint("a", "b")) == pytest.approx(pi * 0.01)


def test_parts_off_the_middle_are_flush_where_they_end_alike() -> None:
    """A bar 30 x 60 mm at the left end of a plate 120 x 90 mm: flush at the left, corners 30 + 2 x 60."""
    corner = bar("bar", length="60 mm", at=at(-30, 0, 6))
    parts = plate(at=at(0, 0, 0)), corner, joint("bar", "plate")
    assert placed(*parts) == pytest.approx(0.03 + 2.0 * 0.06)
    assert placed(parts[0], bar("bar", length="60 mm", at=at(-29, 0, 6)), parts[2]) == pytest.approx(0.18)


def test_ends_of_a_plug() -> None:
    """25 mm across in a ring 20 mm high: 24 mm long it stands out above, 20 mm long it is flush, 16 mm long it ends
    within the bore of the ring."""

    def parts(long: float, depth: float) -> tuple[str, ...]:
        return (
            tube("ring", outer_diameter="45 mm", inner_diameter="25.2 mm", length="20 mm"),
            boss("plug", diameter="25 mm", height=f"{long} mm"),
            joint("plug", "ring", fit="plug", depth=f"{depth} mm"),
        )

    once = pi * 0.025
    assert [placed(*parts(n, min(n, 20.0))) for n in (24.0, 20.0, 16.0)] == pytest.approx([once, 0.0, once])
    assert length(*parts(20.0, 20.0)) == 0.0
    assert length(*parts(24.0, 20.0)) == pytest.approx(2.0 * once)  # at one end or both: enough for both
    assert length(*parts(24.0, 16.0)) == pytest.approx(2.0 * once)  # stands out, and ends in the bore


@pytest.mark.parametrize("diameter", [0.03, 0.05, 0.06, 0.1])
def test_a_disc_that_hangs_over_a_rectangle(diameter: float) -> None:
    """Rectangle 80 x 40 mm: the border of what both have in common, traced in 200 000 steps of angle."""
    angle = (np.arange(200_001) / 200_000) * 2.0 * pi
    to_side = 1.0 / np.maximum(np.abs(np.cos(angle)) / 0.04, np.abs(np.sin(angle)) / 0.02)
    r = np.minimum(0.5 * diameter, to_side)
    x, y = r * np.cos(angle), r * np.sin(angle)
    traced = float(np.hypot(np.diff(x), np.diff(y)).sum())
    assert corner_edge(RoundFace(diameter), RectangularFace(0.08, 0.04)) == pytest.approx(traced, rel=1e-4)


def test_a_bore_that_reaches_the_side_leaves_no_corner_there() -> None:
    """Ring 60/50 mm on a strip 200 x 40 mm, by hand: arcs of both circles within, sides between the two."""
    arcs = sum(4.0 * r * (0.5 * pi - acos(0.02 / r)) for r in (0.03, 0.025))
    sides = 4.0 * (sqrt(0.03**2 - 0.02**2) - sqrt(0.025**2 - 0.02**2))
    assert corner_edge(RoundFace(0.06, 0.05), RectangularFace(0.2, 0.04)) == pytest.approx(arcs + sides)
