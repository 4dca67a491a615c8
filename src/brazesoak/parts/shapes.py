"""Plain shapes: volume, surface, thickest section, and the flat faces that can be joined. Lengths in metres."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, pi, sqrt

from ..errors import GeometryError

FLUSH = 1e-6
"""Sizes that differ by less than this are the same [m]."""


@dataclass(frozen=True, slots=True)
class RoundFace:
    """A disc, or a ring-shaped face."""

    outer: float
    """Diameter [m]."""
    inner: float = 0.0

    @property
    def area(self) -> float:
        """[m2]"""
        return 0.25 * pi * (self.outer**2 - self.inner**2)


@dataclass(frozen=True, slots=True)
class RectangularFace:
    """A rectangle, the longer side first."""

    length: float
    width: float

    @property
    def area(self) -> float:
        """[m2]"""
        return self.length * self.width


Face = RoundFace | RectangularFace


@dataclass(frozen=True, slots=True)
class Shape:
    """What is known of a segment's geometry.

    Attributes
    ----------
    kind : str             ``plate``, ``bar``, ``boss``, ``tube``, ``ring`` or ``lump``
    volume : float or None     [m3]; None for a lump, whose mass is given
    surface : float        whole outer surface [m2]; for a lump the exposed area as given
    thickest_section : float   [m]
    faces : {str: Face}    faces that may be joined flat
    heights : {str: float}     extent normal to each of these faces [m]
    bore : float           diameter of its own hole [m], 0 for none
    sizes : (float, float, float)   length, width and height as given, or diameter twice and height [m]
    """

    kind: str
    volume: float | None
    surface: float
    thickest_section: float
    faces: dict[str, Face]
    heights: dict[str, float]
    bore: float = 0.0
    sizes: tuple[float, float, float] = (0.0, 0.0, 0.0)

    @property
    def is_round(self) -> bool:
        """Whether it has an axis."""
        return self.kind in ("boss", "tube", "ring")

    @property
    def diameter(self) -> float:
        """Outer diameter of a round shape [m]."""
        face = self.faces["end"]
        assert isinstance(face, RoundFace)
        return face.outer


def block(kind: str, length: float, width: float, height: float, names: tuple[str, str, str]) -> Shape:
    """A rectangular block; `names` of the faces length x width, length x height and width x height."""
    pairs = ((length, width, height), (length, height, width), (width, height, length))
    return Shape(
        kind,
        length * width * height,
        2.0 * (length * width + length * height + width * height),
        sorted((length, width, height))[0],
        {n: RectangularFace(max(a, b), min(a, b)) for n, (a, b, _) in zip(names, pairs, strict=True)},
        {n: h for n, (_, _, h) in zip(names, pairs, strict=True)},
        sizes=(length, width, height),
    )


def plate(length: float, width: float, thickness: float) -> Shape:
    """A plate; its faces are ``face``, ``edge`` (along the length) and ``end``."""
    return block("plate", length, width, thickness, ("face", "edge", "end"))


def bar(length: float, width: float, height: float) -> Shape:
    """A bar; its faces are ``side`` (length x width), ``top`` (length x height) and ``end``."""
    return block("bar", length, width, height, ("side", "top", "end"))


def cylinder(kind: str, outer: float, inner: float, height: float) -> Shape:
    """A boss (inner 0), tube or ring; its one flat face is ``end``."""
    area = 0.25 * pi * (outer**2 - inner**2)
    thickest = min(outer if inner == 0.0 else 0.5 * (outer - inner), height)
    return Shape(
        kind,
        area * height,
        2.0 * area + pi * (outer + inner) * height,
        thickest,
        {"end": RoundFace(outer, inner)},
        {"end": height},
        inner,
        (outer, outer, height),
    )


def lump(exposed_area: float, thickest_section: float) -> Shape:
    """A segment without geometry."""
    return Shape("lump", None, exposed_area, thickest_section, {}, {})


def overlap_area(one: Face, other: Face, crossed: bool = False) -> float:
    """Area in common of two faces laid centre on centre [m2].

    Rectangles lie with their long sides parallel, or at right angles when `crossed`.
    """
    if isinstance(one, RectangularFace) and isinstance(other, RectangularFace):
        along, across = (other.width, other.length) if crossed else (other.length, other.width)
        return min(one.length, along) * min(one.width, across)
    if isinstance(one, RoundFace) and isinstance(other, RoundFace):
        outer, inner = min(one.outer, other.outer), max(one.inner, other.inner)
        if inner >= outer:
            raise GeometryError(
                "the two round faces do not meet: one lies inside the other's bore; correct the diameters, or write "
                'fit = "plug" for one inside the other',
                part="",
            )
        return 0.25 * pi * (outer**2 - inner**2)
    disc, rectangle = (one, other) if isinstance(one, RoundFace) else (other, one)
    assert isinstance(disc, RoundFace)
    assert isinstance(rectangle, RectangularFace)
    return _disc_on_rectangle(disc.outer, rectangle) - _disc_on_rectangle(disc.inner, rectangle)


def corner_edge(one: Face, other: Face, crossed: bool = False) -> float:
    """Length of the edge along which two faces laid centre on centre make a corner, outside and inside [m].

    Where both end alike they are flush, and there is no corner.
    """
    if isinstance(one, RectangularFace) and isinstance(other, RectangularFace):
        along, across = (other.width, other.length) if crossed else (other.length, other.width)
        return rectangle_corners((one.length, one.width), (along, across))
    if isinstance(one, RoundFace) and isinstance(other, RoundFace):
        outer = 0.0 if _alike(one.outer, other.outer) else min(one.outer, other.outer)
        inner = 0.0 if _alike(one.inner, other.inner) else max(one.inner, other.inner)
        return pi * (outer + inner)
    disc, rectangle = (one, other) if isinstance(one, RoundFace) else (other, one)
    assert isinstance(disc, RoundFace)
    assert isinstance(rectangle, RectangularFace)
    outside, inside = (_disc_edges(d, rectangle) for d in (disc.outer, disc.inner))
    # Over a bore that reaches the rectangle's edge there is no metal, hence no corner.
    return sum(outside) + inside[0] - inside[1]


def rectangle_corners(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Length of the corners between two rectangles laid centre on centre, sides parallel [m]; sizes along x and y."""
    (x1, y1), (x2, y2) = one, other
    ends = 0.0 if _alike(x1, x2) else 2.0 * min(y1, y2)
    sides = 0.0 if _alike(y1, y2) else 2.0 * min(x1, x2)
    return ends + sides


def _alike(one: float, other: float) -> bool:
    return abs(one - other) < FLUSH


def _disc_edges(diameter: float, rectangle: RectangularFace) -> tuple[float, float]:
    """Length of a centred disc's arcs within a rectangle, and of the rectangle's sides within the disc [m]."""
    r, x, y = 0.5 * diameter, 0.5 * rectangle.length, 0.5 * rectangle.width
    if r * r >= x * x + y * y:
        return 0.0, 4.0 * (x + y)
    beyond_x, beyond_y = (acos(min(h / r, 1.0)) if r > 0.0 else 0.0 for h in (x, y))
    arcs = 4.0 * r * (0.5 * pi - beyond_x - beyond_y)
    return arcs, 4.0 * sum(sqrt(max(r * r - h * h, 0.0)) for h in (x, y))


def _disc_on_rectangle(diameter: float, rectangle: RectangularFace) -> float:
    """Area of a disc centred on a rectangle that lies within it [m2]: integral of the chord, in closed form."""
    r, x_end, y_end = 0.5 * diameter, 0.5 * rectangle.length, 0.5 * rectangle.width
    if r == 0.0:
        return 0.0
    x_end, y_end = min(x_end, r), min(y_end, r)
    corner = sqrt(r * r - y_end * y_end)  # up to here the chord is longer than the rectangle is wide
    if corner >= x_end:
        return 4.0 * x_end * y_end

    def under_arc(x: float) -> float:
        return 0.5 * (x * sqrt(max(r * r - x * x, 0.0)) - r * r * acos(x / r))

    return 4.0 * (corner * y_end + under_arc(x_end) - under_arc(corner))
