"""Whether a section represents the assembly, and how its segments lie in it.

A section needs a single pile: every segment joined flat to at most one other on either side, all centre on
centre, with plugs only in round hosts. Round parts (and plates not far from square, as discs of the same
area) make an axisymmetric section; rectangular parts a plane section, each with its own depth across the
plane; rectangular parts of one footprint a stack, which is one-dimensional. Lengths in metres.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log, pi, sqrt
from typing import TYPE_CHECKING

from ..parts.shapes import RectangularFace, RoundFace, Shape

if TYPE_CHECKING:
    from ..parts.assembly import Assembly, Joint

MOST_ASPECT = 2.0
"""A plate up to this ratio of length to width may stand in as a disc of the same area."""
SAME = 1e-9
_OPPOSITE = {"top": "bottom", "bottom": "top"}


@dataclass(frozen=True, slots=True)
class Region:
    """A rectangle of one body in the section: x is the radius or lies across the pile, y goes up the pile [m]."""

    body: int
    x0: float
    x1: float
    y0: float
    y1: float
    depth: float = 1.0


@dataclass(frozen=True, slots=True)
class Layout:
    """A section: ``axisymmetric``, ``plane`` (half of it, from its middle) or ``stack``."""

    kind: str
    regions: tuple[Region, ...]
    reason: str
    is_exact: bool = False
    """Whether the section is as good as a solid: round parts are. A stack feeds its whole depth by its sides at once,
    and is quick by some hundredths of the time; parts that cross have gradients in the third direction."""


@dataclass(frozen=True, slots=True)
class NoLayout:
    """Why no section represents the assembly."""

    reason: str


@dataclass(frozen=True, slots=True)
class Pile:
    """Segments one on the other, centre on centre.

    levels : ((bottom, top), ...)       of each segment [m]
    turned : (bool, ...)                long side at right angles to that of the first segment
    faces : (RectangularFace or None, ...)  face that lies in the pile; None of a round segment
    """

    levels: tuple[tuple[float, float], ...]
    turned: tuple[bool, ...]
    faces: tuple[RectangularFace | None, ...]


class _NoPileError(Exception):
    """Raised inside this module with the reason; never leaves it."""


def find_layout(assembly: Assembly) -> Layout | NoLayout:
    """The section that represents an assembly, or the reason why there is none."""
    try:
        if any(s.shape.kind == "lump" for s in assembly.segments):
            raise _NoPileError("a segment is given by its mass and area only")
        if len(assembly.segments) == 1 or len(assembly.joints) != len(assembly.segments) - 1:
            raise _NoPileError("the joints do not make a single pile of segments")
        round_parts = [s for s in assembly.segments if s.shape.is_round]
        return _axisymmetric(assembly) if round_parts else _plane(assembly)
    except _NoPileError as reason:
        return NoLayout(str(reason))


def pile(assembly: Assembly) -> Pile | NoLayout:
    """The pile that the joints make, or the reason why they make none."""
    try:
        if len(assembly.segments) == 1 or len(assembly.joints) != len(assembly.segments) - 1:
            raise _NoPileError("the joints do not make a single pile of segments")
        levels = _levels(assembly)
        hosts = [j.segments[1] for j in assembly.joints if j.fit == "plug"]
        if len(set(hosts)) < len(hosts):
            raise _NoPileError("two plugs share one host")
    except _NoPileError as reason:
        return NoLayout(str(reason))
    faces = tuple(None if s.shape.is_round else _joined_face(assembly, i) for i, s in enumerate(assembly.segments))
    return Pile(tuple(levels), tuple(_turned(assembly)), faces)


def _levels(assembly: Assembly) -> list[tuple[float, float]]:
    """Bottom and top of every segment, found by walking the joints from the first segment."""
    place: dict[int, tuple[float, float]] = {}
    # A plug goes in from the top of its host; nothing else has room there, centre on centre.
    plugs = [j for j in assembly.joints if j.fit == "plug"]
    used = {end for j in plugs for end in ((j.segments[0], "bottom"), (j.segments[1], "top"))}
    todo = list(assembly.joints)
    place[0] = (0.0, _height(assembly, 0))
    while todo:
        joint = next((j for j in todo if (j.segments[0] in place) != (j.segments[1] in place)), None)
        if joint is None:
            raise _NoPileError("the joints do not make a single pile of segments")
        todo.remove(joint)
        known, new = joint.segments if joint.segments[0] in place else joint.segments[::-1]
        if joint.fit == "plug":
            place[new] = _plugged(assembly, joint, known, new, place[known])
        else:
            place[new] = _stacked(assembly, known, new, place[known], used)
    return [place[i] for i in range(len(assembly.segments))]


def _height(assembly: Assembly, i: int) -> float:
    """Extent of a segment along the pile."""
    names = {j.faces[j.segments.index(i)] for j in assembly.joints if j.fit != "plug" and i in j.segments}
    shape = assembly.segments[i].shape
    names |= {j.faces[1] for j in assembly.joints if j.fit == "plug" and j.segments[1] == i}
    if len(names) > 1:
        raise _NoPileError(f'segment "{assembly.segments[i].name}" is joined on faces at right angles')
    heights = shape.heights
    return heights[names.pop()] if names else next(iter(heights.values()))


def _stacked(
    assembly: Assembly, known: int, new: int, at: tuple[float, float], used: set[tuple[int, str]]
) -> tuple[float, float]:
    _check_opposite(assembly, known)
    height = _height(assembly, new)
    free = [s for s in ("top", "bottom") if (known, s) not in used and (new, _OPPOSITE[s]) not in used]
    if not free:
        raise _NoPileError(f'segment "{assembly.segments[known].name}" is joined to more than two others')
    used.update({(known, free[0]), (new, _OPPOSITE[free[0]])})
    return (at[1], at[1] + height) if free[0] == "top" else (at[0] - height, at[0])


def _check_opposite(assembly: Assembly, i: int) -> None:
    """Two parts that have room beside each other on one face need not lie on opposite faces; the job does not say."""
    shape = assembly.segments[i].shape
    flat = [j for j in assembly.joints if j.fit != "plug" and i in j.segments]
    plugs = [j for j in assembly.joints if j.fit == "plug" and i == j.segments[1] and shape.bore == 0.0]
    if not flat or len(flat) + len(plugs) != 2:
        return
    face = shape.faces[flat[0].faces[flat[0].segments.index(i)]]
    holes = [assembly.segments[j.segments[0]].shape.diameter for j in plugs]
    across, area = sum(holes), sum(j.area for j in flat) + sum(0.25 * pi * d * d for d in holes)
    for joint in flat:
        k = 1 - joint.segments.index(i)
        other = assembly.segments[joint.segments[k]].shape.faces[joint.faces[k]]
        across += other.width if isinstance(other, RectangularFace) else other.outer
    longest = face.length if isinstance(face, RectangularFace) else face.outer
    if across <= longest and area <= face.area:
        raise _NoPileError(f'the two parts on "{assembly.segments[i].name}" may lie side by side on one face')


def _plugged(assembly: Assembly, joint: Joint, known: int, new: int, at: tuple[float, float]) -> tuple[float, float]:
    height = _height(assembly, new)
    if known == joint.segments[1]:  # the host stands; the plug goes in from the top
        bottom = at[1] - joint.depth
        return bottom, bottom + height
    top = at[0] + joint.depth
    return top - height, top


def _axisymmetric(assembly: Assembly) -> Layout:
    levels = _levels(assembly)
    radii = [_radii(assembly, i) for i in range(len(assembly.segments))]
    holes: dict[int, tuple[float, float]] = {}
    for joint in assembly.joints:
        if joint.fit == "plug":
            plug, host = joint.segments
            if host in holes:
                raise _NoPileError("two plugs share one host")
            radius = radii[plug][1]
            holes[host] = (radius, joint.depth)
            if radii[host][0] > 0.0:  # the gap is in the contact, not in the grid
                radii[host] = (radius, radii[host][1])
    regions: list[Region] = []
    for i, ((low, high), (inner, outer)) in enumerate(zip(levels, radii, strict=True)):
        hole, depth = holes.get(i, (0.0, 0.0))
        if hole <= inner + SAME:
            regions.append(Region(i, inner, outer, low, high))
            continue
        regions.append(Region(i, hole, outer, low, high))
        if high - depth > low + SAME:
            regions.append(Region(i, inner, hole, low, high - depth))
    _check_apart(assembly, regions)
    discs = [s.name for s in assembly.segments if not s.shape.is_round]
    stand_in = f"; {', '.join(discs)} as a disc of the same area" if discs else ""
    return Layout("axisymmetric", tuple(regions), f"the parts are round about one axis{stand_in}", True)


def _radii(assembly: Assembly, i: int) -> tuple[float, float]:
    shape = assembly.segments[i].shape
    if shape.is_round:
        return 0.5 * shape.bore, 0.5 * shape.diameter
    face = _joined_face(assembly, i)
    if face.length > MOST_ASPECT * face.width:
        raise _NoPileError(f'"{assembly.segments[i].name}" is too long for its width to stand in as a disc')
    return 0.0, sqrt(face.area / pi)


def _joined_face(assembly: Assembly, i: int) -> RectangularFace:
    shape: Shape = assembly.segments[i].shape
    names = [j.faces[j.segments.index(i)] for j in assembly.joints if j.fit != "plug" and i in j.segments]
    face = shape.faces[names[0] if names else next(iter(shape.faces))]
    assert not isinstance(face, RoundFace)
    return face


def _plane(assembly: Assembly) -> Layout:
    if any(j.fit == "plug" for j in assembly.joints):
        raise _NoPileError("a plug needs a round host for a section")
    levels = _levels(assembly)
    n = len(assembly.segments)
    faces = [_joined_face(assembly, i) for i in range(n)]
    turned = _turned(assembly)
    # Of the two planes, the one in which the parts differ more has the gradients.
    best = max((False, True), key=lambda long_in_x: _difference(assembly, faces, turned, long_in_x))
    sizes = [_x_and_depth(f, t != best) for f, t in zip(faces, turned, strict=True)]
    regions = [
        Region(i, 0.0, 0.5 * x, low, high, 2.0 * depth)
        for i, ((low, high), (x, depth)) in enumerate(zip(levels, sizes, strict=True))
    ]
    x0, depth0 = sizes[0]
    if all(abs(x - x0) < 0.02 * x0 and abs(d - depth0) < 0.02 * depth0 for x, d in sizes):
        flat = [replace(r, x1=1.0, depth=2.0 * r.x1 * 0.5 * r.depth) for r in regions]
        return Layout("stack", tuple(flat), "the parts are rectangular and of one footprint")
    return Layout("plane", tuple(regions), "the parts are rectangular and lie centre on centre")


def _turned(assembly: Assembly) -> list[bool]:
    """Whether the long side of each segment's face is at right angles to that of the first segment."""
    turned: dict[int, bool] = {0: False}
    while len(turned) < len(assembly.segments):
        for j in assembly.joints:
            a, b = j.segments
            if (a in turned) != (b in turned):
                known, new = (a, b) if a in turned else (b, a)
                turned[new] = turned[known] != (j.fit == "crossed")
    return [turned[i] for i in range(len(assembly.segments))]


def _x_and_depth(face: RectangularFace, long_in_x: bool) -> tuple[float, float]:
    return (face.length, face.width) if long_in_x else (face.width, face.length)


def _difference(assembly: Assembly, faces: list[RectangularFace], turned: list[bool], long_in_x: bool) -> float:
    x = [_x_and_depth(f, t != long_in_x)[0] for f, t in zip(faces, turned, strict=True)]
    return sum(abs(log(x[j.segments[0]] / x[j.segments[1]])) for j in assembly.joints)


def _check_apart(assembly: Assembly, regions: list[Region]) -> None:
    for k, one in enumerate(regions):
        for other in regions[:k]:
            x = min(one.x1, other.x1) - max(one.x0, other.x0)
            y = min(one.y1, other.y1) - max(one.y0, other.y0)
            if x > SAME and y > SAME:
                names = assembly.segments[one.body].name, assembly.segments[other.body].name
                raise _NoPileError(f'"{names[0]}" and "{names[1]}" would take the same place in a section')
