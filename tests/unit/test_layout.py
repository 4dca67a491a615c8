from math import isclose, pi, sqrt

import pytest

from brazesoak.thermal.layout import Layout, NoLayout, Region, find_layout

from .jobs import assembly, bar, boss, joint, lump, plate, tube

ROUNDING = 1e-9
"""Relative: lengths go through unit conversion."""


def layout_of(*parts: str) -> Layout:
    found = find_layout(assembly(*parts))
    assert isinstance(found, Layout), found
    return found


def reason_of(*parts: str) -> str:
    found = find_layout(assembly(*parts))
    assert isinstance(found, NoLayout), found
    return found.reason


def box(region: Region) -> tuple[float, float, float, float]:
    return (region.x0, region.x1, region.y0, region.y1)


def volume(layout: Layout, body: int) -> float:
    """Volume of a body in its section: of revolution, half a plane section, or a stack one metre wide."""
    total = 0.0
    for r in layout.regions:
        if r.body == body:
            across = pi * (r.x1**2 - r.x0**2) if layout.kind == "axisymmetric" else (r.x1 - r.x0) * r.depth
            total += across * (r.y1 - r.y0)
    return total


def test_boss_on_plate_is_axisymmetric_with_the_plate_as_a_disc_of_its_area() -> None:
    layout = layout_of(plate(), boss(), joint("boss", "plate"))
    assert layout.kind == "axisymmetric"
    low, high = layout.regions
    assert box(low) == pytest.approx((0.0, sqrt(0.12 * 0.09 / pi), 0.0, 0.006), rel=ROUNDING)
    assert box(high) == pytest.approx((0.0, 0.02, 0.006, 0.036), rel=ROUNDING)
    assert "plate as a disc" in layout.reason


def test_plug_in_a_blind_hole() -> None:
    a = assembly(plate(thickness="20 mm"), boss(), joint("boss", "plate", fit="plug", depth="15 mm"))
    layout = find_layout(a)
    assert isinstance(layout, Layout)
    assert [volume(layout, i) for i in (0, 1)] == pytest.approx([s.volume for s in a.segments], rel=ROUNDING)
    boss_region = next(r for r in layout.regions if r.body == 1)
    assert box(boss_region) == pytest.approx((0.0, 0.02, 0.005, 0.035), rel=ROUNDING)


def test_sleeve_in_a_ring() -> None:
    layout = layout_of(
        tube("ring", inner_diameter="40.2 mm"),
        tube("sleeve", outer_diameter="40 mm", inner_diameter="34 mm", length="70 mm"),
        joint("sleeve", "ring", fit="plug", depth="50 mm"),
    )
    ring, sleeve = layout.regions
    assert layout.kind == "axisymmetric"
    assert ring.x0 == pytest.approx(sleeve.x1)  # the gap is in the contact, not in the grid
    assert (sleeve.y0, sleeve.y1) == pytest.approx((0.0, 0.07))


def test_crossed_bars_are_a_plane_section() -> None:
    layout = layout_of(bar("low"), bar("high", width="25 mm"), joint("low", "high", fit="crossed"))
    assert layout.kind == "plane"
    sizes = {(round(2 * r.x1, 9), round(r.depth / 2, 9)) for r in layout.regions}
    # One lies along the section and the other across it.
    assert sizes in ({(0.1, 0.03), (0.025, 0.1)}, {(0.03, 0.1), (0.1, 0.025)})
    assert [isclose(volume(layout, i), 0.1 * w * 0.02, rel_tol=ROUNDING) for i, w in ((0, 0.03), (1, 0.025))] == [
        True
    ] * 2


def test_plates_of_one_footprint_are_a_stack() -> None:
    layout = layout_of(plate("a"), plate("b", thickness="10 mm"), joint("a", "b"))
    assert layout.kind == "stack"
    assert [isclose(volume(layout, i), 0.12 * 0.09 * t, rel_tol=ROUNDING) for i, t in ((0, 0.006), (1, 0.01))] == [
        True
    ] * 2


def test_a_pile_of_three_stands_in_order() -> None:
    layout = layout_of(plate("a"), plate("b"), plate("c"), joint("a", "b", name="1"), joint("b", "c", name="2"))
    at = {r.body: (r.y0, r.y1) for r in layout.regions}
    assert [at[i] for i in (0, 1, 2)] == [pytest.approx((0.006 * i, 0.006 * (i + 1))) for i in (0, 1, 2)]


def test_bosses_too_wide_to_stand_side_by_side_stand_on_opposite_faces() -> None:
    layout = layout_of(
        plate(length="100 mm", width="80 mm"),
        boss("upper", diameter="60 mm"),
        boss("lower", diameter="60 mm"),
        joint("upper", "plate", name="1"),
        joint("lower", "plate", name="2"),
    )
    heights = {r.body: (r.y0, r.y1) for r in layout.regions}
    assert heights[1][0] == pytest.approx(heights[0][1])
    assert heights[2][1] == pytest.approx(heights[0][0])


def test_beside_a_plug_there_is_no_room_on_its_side_of_the_host() -> None:
    """The other part goes underneath, whichever joint comes first."""
    parts = plate(thickness="20 mm"), boss("plug", diameter="50 mm"), boss("foot", diameter="85 mm")
    joints = joint("plug", "plate", "1", fit="plug", depth="10 mm"), joint("foot", "plate", "2")
    for order in (joints, joints[::-1]):
        layout = layout_of(*parts, *order)
        foot = next(r for r in layout.regions if r.body == 2)
        assert foot.y1 == pytest.approx(min(r.y0 for r in layout.regions if r.body == 0))


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        (  # found by trying jobs at random: the boss was put inside the plug
            (plate(thickness="20 mm"), tube("plug", outer_diameter="50 mm"), boss("boss", diameter="39 mm"),
             joint("plug", "plate", name="1", fit="plug", depth="10 mm"),
             joint("boss", "plate", name="2", fit="crossed")),
            "side by side",
        ),
        (
            (plate(), boss("a"), boss("b"), joint("a", "plate", name="1"), joint("b", "plate", name="2")),
            "side by side",
        ),
        (
            (plate(), *(boss(n) for n in "abc"), *(joint(n, "plate", name=n) for n in "abc")),
            "more than two others",
        ),
        ((lump("a"), boss(), joint("a", "boss", area="5 cm2")), "mass and area only"),
        ((plate(width="50 mm"), boss(), joint("boss", "plate")), "too long for its width"),
        ((bar("a"), bar("b"), joint("a", "b", name="1"), joint("a", "b", name="2")), "single pile"),
        (
            (plate(thickness="20 mm"), *(boss(n) for n in "ab"),
             *(joint(n, "plate", name=n, fit="plug", depth="10 mm") for n in "ab")),
            "two plugs share one host",
        ),
        (
            (plate(), plate("rib"), boss(), joint("rib", "plate", name="1", faces=["edge", "face"]),
             joint("boss", "rib", name="2", faces=["end", "face"])),
            "right angles",
        ),
        (  # the hole goes in at the bar's side, and the plate lies on its top
            (bar("block", width="40 mm", height="40 mm"), tube("bush", outer_diameter="30 mm", inner_diameter="20 mm"),
             plate(), joint("bush", "block", name="1", fit="plug", depth="40 mm"),
             joint("block", "plate", name="2", faces=["top", "face"])),
            "right angles",
        ),
    ],
)  # fmt: skip
def test_where_there_is_no_section_the_reason_is_given(parts: tuple[str, ...], words: str) -> None:
    assert words in reason_of(*parts)
