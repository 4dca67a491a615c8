from math import isclose, pi

import numpy as np
import pytest
from numpy.typing import NDArray

from brazesoak.errors import GeometryError
from brazesoak.parts.shapes import RectangularFace, RoundFace, bar, cylinder, lump, overlap_area, plate

ROUNDING = 1e-12
"""Closed forms against closed forms: only round-off, relative."""


def close(found: float, wanted: float) -> bool:
    return isclose(found, wanted, rel_tol=ROUNDING)


@pytest.mark.parametrize(("make", "names"), [(plate, ("face", "edge", "end")), (bar, ("side", "top", "end"))])
def test_block(make, names) -> None:  # type: ignore[no-untyped-def]
    a, b, c = 0.12, 0.09, 0.006
    shape = make(a, b, c)
    assert shape.volume is not None
    assert close(shape.volume, a * b * c)
    assert close(shape.surface, 2.0 * (a * b + a * c + b * c))
    assert shape.thickest_section == c
    assert [close(shape.faces[n].area, area) for n, area in zip(names, (a * b, a * c, b * c), strict=True)] == [
        True
    ] * 3
    assert [shape.heights[n] for n in names] == [c, b, a]
    assert not shape.is_round


def test_a_face_has_its_longer_side_first_however_it_is_written() -> None:
    face = plate(0.05, 0.2, 0.01).faces["face"]
    assert isinstance(face, RectangularFace)
    assert (face.length, face.width) == (0.2, 0.05)


def test_boss() -> None:
    shape = cylinder("boss", 0.06, 0.0, 0.055)
    assert shape.volume is not None
    assert close(shape.volume, pi * 0.03**2 * 0.055)
    assert close(shape.surface, 2.0 * pi * 0.03**2 + pi * 0.06 * 0.055)
    assert shape.thickest_section == 0.055
    assert (shape.diameter, shape.bore, shape.is_round) == (0.06, 0.0, True)


@pytest.mark.parametrize("kind", ["tube", "ring"])
def test_hollow_cylinder(kind: str) -> None:
    shape = cylinder(kind, 0.06, 0.04, 0.05)
    ring = pi * (0.03**2 - 0.02**2)
    assert shape.volume is not None
    assert close(shape.volume, ring * 0.05)
    # Both ends, the outside and the bore.
    assert close(shape.surface, 2.0 * ring + 2.0 * pi * (0.03 + 0.02) * 0.05)
    assert close(shape.thickest_section, 0.01)
    assert shape.bore == 0.04


def test_lump_keeps_what_it_is_told() -> None:
    shape = lump(0.02, 0.03)
    assert (shape.volume, shape.surface, shape.thickest_section, dict(shape.faces)) == (None, 0.02, 0.03, {})


def numeric_overlap(diameter: float, length: float, width: float) -> float:
    """Area of a disc within a rectangle by the midpoint rule on the chord."""
    r, x_end = 0.5 * diameter, 0.5 * min(length, diameter)
    x: NDArray[np.float64] = (np.arange(400_000) + 0.5) * (x_end / 400_000)
    half_chord = np.minimum(np.sqrt(np.maximum(r * r - x * x, 0.0)), 0.5 * width)
    return float(4.0 * half_chord.sum() * (x_end / 400_000))


@pytest.mark.parametrize(
    ("diameter", "length", "width"),
    [
        (0.06, 0.12, 0.09),  # lies within
        (0.06, 0.12, 0.05),  # overhangs two sides
        (0.06, 0.055, 0.05),  # overhangs all four, corners of the rectangle inside the disc's box
        (0.06, 0.043, 0.042),  # corners just outside the disc
        (0.06, 0.04, 0.03),  # covers the rectangle altogether
        (0.06, 0.06, 0.06),  # touches
        (0.06, 0.5, 0.001),  # a strip
    ],
)
def test_disc_on_rectangle(diameter: float, length: float, width: float) -> None:
    found = overlap_area(RoundFace(diameter), RectangularFace(length, width))
    # The midpoint rule with 400 000 strips is good to about 1e-8 where the chord ends upright.
    assert isclose(found, numeric_overlap(diameter, length, width), rel_tol=1e-7)
    assert found <= min(pi * 0.25 * diameter**2, length * width) * (1.0 + ROUNDING)
    assert found == overlap_area(RectangularFace(length, width), RoundFace(diameter))


def test_ring_on_rectangle_is_the_difference_of_two_discs() -> None:
    rectangle = RectangularFace(0.055, 0.05)
    found = overlap_area(RoundFace(0.06, 0.04), rectangle)
    wanted = numeric_overlap(0.06, 0.055, 0.05) - pi * 0.02**2
    assert isclose(found, wanted, rel_tol=1e-6)


def test_round_on_round() -> None:
    assert close(overlap_area(RoundFace(0.06), RoundFace(0.04)), pi * 0.02**2)
    assert close(overlap_area(RoundFace(0.06, 0.02), RoundFace(0.05, 0.03)), pi * (0.025**2 - 0.015**2))


def test_a_disc_inside_a_bore_meets_nothing() -> None:
    with pytest.raises(GeometryError, match="do not meet"):
        overlap_area(RoundFace(0.2, 0.1), RoundFace(0.05))


def test_rectangles_parallel_and_crossed() -> None:
    long, short = RectangularFace(0.12, 0.03), RectangularFace(0.08, 0.02)
    assert close(overlap_area(long, short), 0.08 * 0.02)
    assert close(overlap_area(long, short, crossed=True), 0.03 * 0.02)
    assert close(overlap_area(RectangularFace(0.12, 0.03), RectangularFace(0.02, 0.01), crossed=True), 0.02 * 0.01)
