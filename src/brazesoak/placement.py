"""Where every segment lies in space, as bodies of the core's cut cells. Part of the bridge; lengths in metres.

Either every segment says its place, or the joints make a single pile and it is built up along z, centre on centre.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from brazesoak_solvers.cutcells import Body, Disc, Layer, Rectangle

from .assembly import Assembly, Segment
from .layout import NoLayout, pile
from .shapes import RectangularFace

AXES = "xyz"
CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Placement:
    """Bodies in space, one a segment.

    symmetric : (bool, bool, bool)      whether the assembly is its own mirror image about x = 0, y = 0, z = 0
    """

    bodies: tuple[Body, ...]
    symmetric: tuple[bool, bool, bool]
    reason: str


def find_placement(assembly: Assembly) -> Placement | NoLayout:
    """Bodies of every segment, or the reason why there are none."""
    if any(s.shape.kind == "lump" for s in assembly.segments):
        return NoLayout("a segment is given by its mass and area only")
    if all(s.place is not None for s in assembly.segments):
        bodies = tuple(_placed(s) for s in assembly.segments)
        return Placement(_with_holes(assembly, bodies), (False, False, False), "every segment has its place")
    found = pile(assembly)
    if isinstance(found, NoLayout):
        return found
    bodies = tuple(
        Body(2, (Layer(low, high, _outline(s, found.turned[i], found.faces[i]), _bore(s, 0.0, 0.0)),))
        for i, (s, (low, high)) in enumerate(zip(assembly.segments, found.levels, strict=True))
    )
    return Placement(_with_holes(assembly, bodies), (True, True, False), "the parts lie centre on centre")


def _outline(s: Segment, turned: bool, face: RectangularFace | None) -> Rectangle | Disc:
    """Outline of a segment of a pile about the z axis."""
    if s.shape.is_round:
        return Disc(0.0, 0.0, 0.5 * s.shape.diameter)
    assert face is not None
    x, y = (face.width, face.length) if turned else (face.length, face.width)
    return Rectangle(-0.5 * x, 0.5 * x, -0.5 * y, 0.5 * y)


def _bore(s: Segment, u: float, v: float) -> tuple[Disc, ...]:
    return (Disc(u, v, 0.5 * s.shape.bore),) if s.shape.bore else ()


def _placed(s: Segment) -> Body:
    """Body of a segment that says where it lies: `at` is the middle of its low face along its axis."""
    assert s.place is not None
    axis = AXES.index(s.place.axis)
    u, v = (axis + 1) % 3, (axis + 2) % 3
    at = s.place.at
    sizes = s.shape.sizes
    low, high = at[axis], at[axis] + sizes[2]
    if s.shape.is_round:
        return Body(axis, (Layer(low, high, Disc(at[u], at[v], 0.5 * sizes[0]), _bore(s, at[u], at[v])),))
    along = AXES.index(s.place.along)
    half_u, half_v = (0.5 * sizes[0], 0.5 * sizes[1]) if along == u else (0.5 * sizes[1], 0.5 * sizes[0])
    outline = Rectangle(at[u] - half_u, at[u] + half_u, at[v] - half_v, at[v] + half_v)
    return Body(axis, (Layer(low, high, outline),))


def _with_holes(assembly: Assembly, bodies: tuple[Body, ...]) -> tuple[Body, ...]:
    """The bodies with the holes that their plugs need; the gap is in the joint, not in the grid."""
    result = list(bodies)
    for joint in assembly.joints:
        if joint.fit != "plug":
            continue
        plug, host = joint.segments
        outline = result[plug].layers[0].outline
        assert isinstance(outline, Disc)
        low, high = result[plug].layers[0].low, result[plug].layers[-1].high
        result[host] = Body(
            result[host].axis, tuple(part for layer in result[host].layers for part in _drilled(layer, low, high, outline))
        )
    return tuple(result)


def _drilled(layer: Layer, low: float, high: float, hole: Disc) -> list[Layer]:
    """A layer with a hole between two heights; a bore about the same axis takes the hole's size there."""
    low, high = max(low, layer.low), min(high, layer.high)
    if high <= low + CLOSE:
        return [layer]
    others = tuple(h for h in layer.holes if abs(h.u - hole.u) > CLOSE or abs(h.v - hole.v) > CLOSE)
    parts = [
        replace(layer, high=low),
        replace(layer, low=low, high=high, holes=(*others, hole)),
        replace(layer, low=high),
    ]
    return [p for p in parts if p.high > p.low + CLOSE]
