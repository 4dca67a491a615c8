"""What is bare of the walls of bores and what is open of their ends, from the areas of discs."""

from math import isclose, pi

import pytest

from .jobs import assembly, bar, boss, joint, lump, plate, segment, tube

HOLE, WALL = pi * 0.02**2, pi * 0.04 * 0.05
"""End and wall of the 40 mm bore of the tube, 50 mm long [m2]."""
FLANGE, CAP = boss("flange", diameter="80 mm"), boss("cap", diameter="80 mm")
NECK = segment("neck", shape="ring", outer_diameter="60 mm", inner_diameter="10 mm", height="20 mm")
SLEEVES = tuple(tube(n, outer_diameter="39.8 mm", inner_diameter="30 mm", length="30 mm") for n in ("low", "high"))
BLOCK = plate(thickness="30 mm", length="150 mm", width="150 mm")


def seated(one: str, other: str, name: str, depth: str = "10 mm") -> str:
    return joint(one, other, name=name, fit="plug", depth=depth)


CASES = {
    "flat on a flange": ((tube(), FLANGE, joint("tube", "flange")), 1.0, 1.0),
    "between two flanges": (
        (tube(), FLANGE, CAP, joint("tube", "flange", name="1"), joint("cap", "tube", name="2")), 1.0, 0.0,
    ),
    "a solid plug": ((tube(), boss(diameter="39.8 mm"), seated("boss", "tube", "1", "20 mm")), 0.6, 1.0),
    "a ring with a smaller hole": ((tube(), NECK, joint("tube", "neck")), 1.0, 1.0 + 0.25**2),
    "a bar narrower than the bore": (  # the strip of a disc of 20 mm radius between two chords 10 mm from its middle
        (tube(), bar("bar", width="20 mm", length="120 mm"), joint("tube", "bar")),
        1.0,
        2.0 - (2.0 * 0.01 * (0.02**2 - 0.01**2) ** 0.5 + 2.0 * 0.02**2 * pi / 6.0) / HOLE,
    ),
    "in a blind hole": ((tube(), BLOCK, seated("tube", "plate", "1")), 1.0, 1.0),
    "right through a plate": ((tube(), BLOCK, seated("tube", "plate", "1", "30 mm")), 1.0, 2.0),
    "two hollow plugs": (
        (tube(), *SLEEVES, seated("low", "tube", "1"), seated("high", "tube", "2")), 0.6, 2.0 * 0.75**2,
    ),
    "joined to a lump": ((tube(), lump("hub"), joint("tube", "hub", area="5 cm2")), 1.0, 1.0),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_what_is_open_of_a_bore(case: str) -> None:
    parts, wall, ends = CASES[case]
    found = assembly(*parts).segments[0]
    assert isclose(found.bore_area, wall * WALL, rel_tol=1e-9)
    assert found.bore_opening == pytest.approx(ends * HOLE, abs=1e-12)


def test_a_cavity_of_two_bores_is_closed_where_neither_leads_outside() -> None:
    """A tube on a flange with a sleeve in its other end: open while the sleeve is, closed with a cap on it."""
    parts = (tube(), FLANGE, SLEEVES[0], joint("tube", "flange", name="1"), seated("low", "tube", "2"))
    with_cap = assembly(*parts, CAP, joint("cap", "low", name="3")).segments
    assert all(s.bore_opening > 0.0 for s in assembly(*parts).segments if s.bore_area > 0.0)
    assert [s.bore_opening for s in with_cap if s.bore_area > 0.0] == [0.0, 0.0]
