"""Where segments lie in space: piles, turned bars, plugs, places of their own, and places that cannot be."""

from math import pi

import numpy as np
import pytest

from brazesoak.bridge import placement
from brazesoak.bridge.placement import Placement, find_placement, measured
from brazesoak.errors import GeometryError, JobFileError
from brazesoak.parts.assembly import Assembly
from brazesoak.thermal.layout import NoLayout
from brazesoak_solvers.cutcells import CutBody
from brazesoak_solvers.sections import Disc, Rectangle
from brazesoak_solvers.touching import Touching, touching

from .jobs import assembly, bar, boss, joint, lump, plate, prepared, tube

MM = 1e-3
CM2 = 1e-4
EXACT = 1e-6
"""Relative; edges of the grid are rounded to a nanometre."""


def placed(*parts: str) -> Placement:
    found = find_placement(assembly(*parts))
    assert isinstance(found, Placement)
    return found


def measured_of(*parts: str) -> tuple[Assembly, Placement]:
    a = assembly(*parts)
    found = find_placement(a)
    assert isinstance(found, Placement)
    return measured(a, found)


def at(x: float, y: float, z: float) -> list[str]:
    return [f"{x} mm", f"{y} mm", f"{z} mm"]


def test_a_pile_is_built_up_along_z_centre_on_centre() -> None:
    p = placed(plate(), boss(), joint("boss", "plate"))
    low, high = (b.layers[0] for b in p.bodies)
    assert [b.axis for b in p.bodies] == [2, 2]
    assert (low.low, low.high, high.low) == pytest.approx((0.0, 6 * MM, 6 * MM))
    assert low.outline == Rectangle(-60 * MM, 60 * MM, -45 * MM, 45 * MM)
    assert high.outline == Disc(0.0, 0.0, 20 * MM)
    assert p.symmetric == (True, True, False)
    assert p.is_pile
    assert p.undeclared == ()


def test_a_crossed_bar_lies_across() -> None:
    """Side is length x width; across it, the length of the upper runs along y."""
    p = placed(bar("low"), bar("high", width="25 mm"), joint("low", "high", fit="crossed"))
    assert p.bodies[0].layers[0].outline == Rectangle(-50 * MM, 50 * MM, -15 * MM, 15 * MM)
    assert p.bodies[1].layers[0].outline == Rectangle(-12.5 * MM, 12.5 * MM, -50 * MM, 50 * MM)


def test_a_bar_joined_by_its_top_stands_as_high_as_it_is_wide() -> None:
    p = placed(bar("low"), bar("high"), joint("high", "low", faces=["top", "side"]))
    layer = p.bodies[1].layers[0]
    assert layer.high - layer.low == pytest.approx(30 * MM)
    assert layer.outline == Rectangle(-50 * MM, 50 * MM, -10 * MM, 10 * MM)


def test_a_host_has_a_hole_as_large_as_its_plug() -> None:
    p = placed(plate(thickness="20 mm"), boss(), joint("boss", "plate", fit="plug", depth="15 mm"))
    floor, wall = p.bodies[0].layers
    assert (floor.low, floor.high, wall.high) == pytest.approx((0.0, 5 * MM, 20 * MM))
    assert floor.holes == ()
    assert wall.holes == (Disc(0.0, 0.0, 20 * MM),)
    assert p.bodies[1].layers[0].low == pytest.approx(5 * MM)


def test_a_bore_about_the_axis_of_a_plug_becomes_its_hole_there_only() -> None:
    p = placed(
        tube("ring", inner_diameter="40.2 mm"),
        tube("sleeve", outer_diameter="40 mm", inner_diameter="34 mm", length="70 mm"),
        joint("sleeve", "ring", fit="plug", depth="30 mm"),
    )
    holes = [(layer.high - layer.low, layer.holes) for layer in p.bodies[0].layers]
    assert holes[0] == (pytest.approx(20 * MM), (Disc(0.0, 0.0, 20.1 * MM),))
    assert holes[1] == (pytest.approx(30 * MM), (Disc(0.0, 0.0, 20.0 * MM),))


@pytest.mark.parametrize(
    ("keys", "axis", "outline"),
    [
        ({}, 2, Rectangle(-49 * MM, 51 * MM, -13 * MM, 17 * MM)),
        ({"along": "y"}, 2, Rectangle(-14 * MM, 16 * MM, -48 * MM, 52 * MM)),
        ({"axis": "x"}, 0, Rectangle(-48 * MM, 52 * MM, -12 * MM, 18 * MM)),  # y, z; length along y
        ({"axis": "x", "along": "z"}, 0, Rectangle(-13 * MM, 17 * MM, -47 * MM, 53 * MM)),
        ({"axis": "y"}, 1, Rectangle(-12 * MM, 18 * MM, -49 * MM, 51 * MM)),  # z, x; length along x
        ({"axis": "y", "along": "z"}, 1, Rectangle(-47 * MM, 53 * MM, -14 * MM, 16 * MM)),
    ],
)
def test_a_bar_lies_as_axis_and_along_say(keys: dict[str, str], axis: int, outline: Rectangle) -> None:
    """100 x 30 x 20 mm with the middle of its low face at (1, 2, 3) mm."""
    p = placed(
        bar("a", at=at(1, 2, 3), **keys),
        boss(at=at(200, 0, 0)),
        joint("a", "boss"),
    )
    body = p.bodies[0]
    (layer,) = body.layers
    assert body.axis == axis
    assert layer.low == pytest.approx([1, 2, 3][axis] * MM)
    assert layer.high - layer.low == pytest.approx(20 * MM)
    assert isinstance(layer.outline, Rectangle)
    found = layer.outline
    assert (found.u0, found.u1, found.v0, found.v1) == pytest.approx((outline.u0, outline.u1, outline.v0, outline.v1))
    assert p.symmetric == (False, False, False)
    assert not p.is_pile


@pytest.mark.parametrize(("axis", "centre"), [("x", (2, 3)), ("y", (3, 1)), ("z", (1, 2))])
def test_a_round_part_lies_about_its_axis_with_its_bore(axis: str, centre: tuple[int, int]) -> None:
    p = placed(tube(at=at(1, 2, 3), axis=axis), plate(at=at(200, 0, 0)), joint("tube", "plate"))
    (layer,) = p.bodies[0].layers
    u, v = (c * MM for c in centre)
    assert layer.outline == Disc(u, v, 30 * MM)
    assert layer.holes == (Disc(u, v, 20 * MM),)


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        ((lump("a"), plate(), joint("a", "plate", area="5 cm2")), "mass and area only"),
        (
            (plate(), boss("a"), boss("b"), boss("c"), *(joint(n, "plate", name=n) for n in "abc")),
            "more than two|single pile|side by side",
        ),
    ],
)
def test_without_places_only_a_pile_has_one(parts: tuple[str, ...], why: str) -> None:
    found = find_placement(assembly(*parts))
    assert isinstance(found, NoLayout)
    assert any(w in found.reason for w in why.split("|"))


STANDING = (
    plate(at=at(0, 0, 0)),
    boss(at=at(10, -5, 6)),
    joint("boss", "plate", "seat"),
)


def test_areas_come_from_the_places() -> None:
    a, p = measured_of(*STANDING)
    end = np.pi * 20.0**2 * MM**2
    assert a.joints[0].area == pytest.approx(end, rel=EXACT)
    assert a.segments[0].exposed_area == pytest.approx(2 * (120 * 90 + 120 * 6 + 90 * 6) * MM**2 - end, rel=EXACT)
    assert a.segments[1].exposed_area == pytest.approx(end + np.pi * 40 * 30 * MM**2, rel=EXACT)
    assert p.undeclared == ()


def test_a_boss_over_an_edge_touches_less() -> None:
    """Its middle stands on the edge: half its end."""
    a, _ = measured_of(STANDING[0], boss(at=at(60, 0, 6)), STANDING[2])
    assert a.joints[0].area == pytest.approx(0.5 * np.pi * 20.0**2 * MM**2, rel=EXACT)


@pytest.mark.parametrize("depth", [15, 20])
def test_a_plug_in_its_place_is_joined_by_its_side_as_in_a_pile(depth: int) -> None:
    """Blind and right through; the floor of a blind hole is covered, but no joint."""
    parts = (
        plate(thickness="20 mm", at=at(0, 0, 0)),
        boss(at=at(0, 0, 20 - depth)),
        joint("boss", "plate", fit="plug", depth=f"{depth} mm"),
    )
    a, _ = measured_of(*parts)
    same = assembly(plate(thickness="20 mm"), boss(), parts[2])
    assert a.joints[0].area == pytest.approx(same.joints[0].area, rel=EXACT)
    for one, other in zip(a.segments, same.segments, strict=True):
        assert one.exposed_area == pytest.approx(other.exposed_area, rel=EXACT)


def test_touching_without_a_joint_is_told_and_hidden_from_the_furnace() -> None:
    """Two bars of 100 x 30 x 20 mm side by side on a plate: 100 x 20 mm."""

    def two(gap: float) -> tuple[Assembly, Placement]:
        return measured_of(
            plate(at=at(0, 0, 0)),
            bar("one", at=at(0, -15, 6)),
            bar("two", at=at(0, 15 + gap, 6)),
            joint("one", "plate", "1"),
            joint("two", "plate", "2"),
        )

    a, p = two(0.0)
    ((i, j, area),) = p.undeclared
    assert (i, j) == (1, 2)
    assert area == pytest.approx(20 * CM2, rel=EXACT)
    apart, none = two(1.0)
    assert none.undeclared == ()
    for one, other in zip(a.segments[1:], apart.segments[1:], strict=True):
        assert other.exposed_area - one.exposed_area == pytest.approx(20 * CM2, rel=EXACT)


def test_round_parts_beside_each_other_do_not_touch() -> None:
    """1 mm apart along a diagonal of the grid, much less than a cell."""
    _, p = measured_of(
        plate(length="200 mm", width="200 mm", at=at(0, 0, 0)),
        boss("one", at=at(0, 0, 6)),
        boss("two", at=at(29, 29, 6)),
        joint("one", "plate", "1"),
        joint("two", "plate", "2"),
    )
    assert p.undeclared == ()


def fault(*parts: str) -> tuple[str, int]:
    """Message and line of the one fault of a job."""
    with pytest.raises(JobFileError) as caught:
        prepared(*parts)
    (one,) = caught.value.faults
    return one.message, one.line or 0


def test_parts_that_share_space_are_a_fault_with_a_line() -> None:
    """The boss stands 1 mm deep in the plate: pi/4 x 4^2 x 0.1 = 1.26 cm3."""
    said, line = fault(STANDING[0], boss(at=at(10, -5, 5)), STANDING[2])
    assert '"plate" and "boss" share 1.26 cm3' in said
    assert "move one" in said
    assert 'fit = "plug"' in said
    assert line > 0


@pytest.mark.parametrize(("z", "how"), [(6.1, "0.1 mm apart"), (7.0, "1 mm apart"), (5.99, "overlap by 0.01 mm")])
def test_places_that_hold_the_gap_are_told_to_leave_it_out(z: float, how: str) -> None:
    """The plate is 6 mm thick and the boss stands on it; the gap is in the joint."""
    said, _ = fault(STANDING[0], boss(at=at(10, -5, z)), STANDING[2])
    assert how in said
    assert "along z" in said
    assert "without the gap" in said


@pytest.mark.parametrize("z", [6.1, 7.0, 60.0])
def test_a_joint_whose_parts_do_not_touch_is_a_fault_with_a_line(z: float) -> None:
    said, line = fault(STANDING[0], boss(at=at(10, -5, z)), STANDING[2])
    assert said.startswith('joint "seat": "boss" and "plate" do not touch as placed')
    assert '"at"' in said
    assert line > 0


@pytest.mark.parametrize(("x", "z"), [(0, 15), (60, 5)])
def test_a_plug_that_does_not_sit_as_its_joint_says_is_a_fault_with_a_line(x: float, z: float) -> None:
    """5 mm deep where the joint says 15, and half of it beyond the rim of the plate."""
    said, line = fault(
        plate(thickness="20 mm", at=at(0, 0, 0)),
        boss(at=at(x, 0, z)),
        joint("boss", "plate", fit="plug", depth="15 mm"),
    )
    assert '"plate" has' in said
    assert '"depth"' in said
    assert line > 0


def test_only_parts_whose_boxes_meet_are_compared(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nine posts on a plate make nine pairs that may touch, not 45: a job of 200 pins is checked in seconds."""
    seen: list[CutBody] = []

    def compared(one: CutBody, other: CutBody, shape: tuple[int, ...]) -> tuple[Touching, Touching]:
        seen.append(one)
        return touching(one, other, shape)

    monkeypatch.setattr(placement, "touching", compared)
    posts = [(f"post {n}", 12.0 * (n % 3 - 1), 12.0 * (n // 3 - 1)) for n in range(9)]
    parts = [boss(name, diameter="8 mm", height="30 mm", at=at(x, y, 6)) for name, x, y in posts]
    found, _ = measured_of(plate(at=at(0, 0, 0)), *parts, *(joint(name, "plate", name) for name, _, _ in posts))
    assert len(seen) == 9
    assert [j.area for j in found.joints] == pytest.approx([np.pi * (4 * MM) ** 2] * 9, rel=1e-4)


def test_errors_name_the_part_for_whoever_asks() -> None:
    a = assembly(STANDING[0], boss(at=at(10, -5, 60)), STANDING[2])
    p = find_placement(a)
    assert isinstance(p, Placement)
    with pytest.raises(GeometryError) as caught:
        measured(a, p)
    assert caught.value.part == "seat"


@pytest.mark.parametrize(
    ("parts", "key", "word"),
    [
        ((STANDING[0], boss(), STANDING[2]), "at", "every segment"),
        ((STANDING[0], lump("boss"), joint("boss", "plate", area="5 cm2")), "at", "a lump has no place"),
        ((plate(axis="x"), boss(), STANDING[2]), "axis", "without a place"),
        ((plate(along="y"), boss(), STANDING[2]), "along", "without a place"),
    ],
)
def test_places_and_directions_that_would_not_count_are_faults(parts: tuple[str, ...], key: str, word: str) -> None:
    with pytest.raises(JobFileError) as caught:
        prepared(*parts)
    (one,) = caught.value.faults
    assert one.key.endswith(f".{key}")
    assert word in one.message
    assert one.line


def test_a_block_is_bored_the_way_its_bush_lies() -> None:
    """Block 75 x 40 x 60 mm, bush 30 mm across along y: 40 mm of hole, 28.27 cm3; the wall of it is joined, pi x 30 x
    40. By hand."""
    block = bar("block", length="75 mm", width="40 mm", height="60 mm", at=at(0, 0, 0))
    bush = tube("bush", outer_diameter="30 mm", inner_diameter="20 mm", length="40 mm", at=at(0, -20, 30), axis="y")
    a, p = measured_of(block, bush, joint("bush", "block", fit="plug", depth="40 mm"))
    assert a.segments[0].volume == pytest.approx((75 * 40 * 60 - pi / 4 * 30**2 * 40) * 1e-9)
    assert a.joints[0].area == pytest.approx(pi * 30 * 40 * 1e-6, rel=1e-3)
    assert np.array(p.boxes[0]) == pytest.approx(np.array([[-0.0375, -0.02, 0.0], [0.0375, 0.02, 0.06]]))
    assert a.segments[1].bore_opening == pytest.approx(2.0 * pi / 4 * 0.02**2)


def test_a_plug_across_a_round_host_is_refused_with_the_way_out() -> None:
    said, _ = fault(
        boss("host", diameter="60 mm", height="60 mm", at=at(0, 0, 0)),
        boss("pin", diameter="10 mm", height="40 mm", at=at(0, -40, 30), axis="y"),
        joint("pin", "host", fit="plug", depth="10 mm"),
    )
    assert 'correct "axis", or give "host" as a lump' in said
