"""Where every segment lies in space, as bodies of the core's cut cells. Part of the bridge; lengths in metres.

Either every segment says its place, or the joints make a single pile and it is built up along z, centre on centre.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from brazesoak_solvers import ProblemError, graded_edges
from brazesoak_solvers.cutcells import CutBody, cut
from brazesoak_solvers.sections import Body, Disc, Layer, Rectangle, breaks
from brazesoak_solvers.touching import touching

from ..errors import GeometryError
from ..parts.assembly import Assembly, Joint, Segment
from ..parts.shapes import RectangularFace
from ..thermal.layout import NoLayout, pile
from .cells import FloatArray

AXES = "xyz"
Box = tuple[tuple[float, ...], tuple[float, ...]]
"""Lowest and highest corner [m]."""
CLOSE = 1e-9
SHARED = 2e-3
"""Share of a part that may lie in another before it is called a fault: round parts that touch are cut by the grid."""
CHECKED_ACROSS = 48
"""Cells across the longest side of the grid on which contact and exposed areas are measured."""


@dataclass(frozen=True, slots=True)
class Placement:
    """Bodies in space, one a segment.

    symmetric : (bool, bool, bool)      whether the assembly is its own mirror image about x = 0, y = 0, z = 0
    undeclared : ((int, int, float), ...)   pairs that touch without a joint, and the area [m2]
    names : (str, ...)                  of the segments, for messages
    """

    bodies: tuple[Body, ...]
    symmetric: tuple[bool, bool, bool]
    reason: str
    undeclared: tuple[tuple[int, int, float], ...] = ()
    names: tuple[str, ...] = ()

    @property
    def boxes(self) -> tuple[Box, ...]:
        """The box around every body."""
        return tuple(_box(b) for b in self.bodies)

    @property
    def extents(self) -> tuple[float, ...]:
        """Of the whole assembly along x, y and z [m]."""
        return tuple(float(b[-1] - b[0]) for b in breaks(self.bodies))

    @property
    def is_curved(self) -> bool:
        """Whether any body is round, so that a rectangular grid cuts it."""
        return any(isinstance(layer.outline, Disc) for b in self.bodies for layer in b.layers)

    @property
    def is_pile(self) -> bool:
        """Whether the parts lie centre on centre, as a section supposes."""
        return any(self.symmetric)


def _box(body: Body) -> Box:
    o = body.layers[0].outline
    if isinstance(o, Disc):
        u, v = (o.u - o.radius, o.u + o.radius), (o.v - o.radius, o.v + o.radius)
    else:
        u, v = (o.u0, o.u1), (o.v0, o.v1)
    spans = ((body.layers[0].low, body.layers[-1].high), u, v)  # along its axis and the two after it
    low, high = zip(*(spans[(k - body.axis) % 3] for k in range(3)), strict=True)
    return tuple(low), tuple(high)


def normal(one: Box, other: Box) -> int:
    """Axis across which two boxes that touch lie nearest to each other."""
    apart = [max(other[0][k] - one[1][k], one[0][k] - other[1][k]) for k in range(3)]
    return max(range(3), key=lambda k: apart[k])


def find_placement(assembly: Assembly) -> Placement | NoLayout:
    """Bodies of every segment, or the reason why there are none."""
    if any(s.shape.kind == "lump" for s in assembly.segments):
        return NoLayout("a segment is given by its mass and area only")
    names = tuple(s.name for s in assembly.segments)
    if all(s.place is not None for s in assembly.segments):
        bodies = tuple(_placed(s) for s in assembly.segments)
        reason = "every segment has its place"
        return Placement(_with_holes(assembly, bodies), (False, False, False), reason, names=names)
    found = pile(assembly)
    if isinstance(found, NoLayout):
        return found
    bodies = tuple(
        Body(2, (Layer(low, high, _outline(s, found.turned[i], found.faces[i]), _bore(s, 0.0, 0.0)),))
        for i, (s, (low, high)) in enumerate(zip(assembly.segments, found.levels, strict=True))
    )
    reason = "the parts lie centre on centre"
    return Placement(_with_holes(assembly, bodies), (True, True, False), reason, names=names)


def measured(assembly: Assembly, placement: Placement) -> tuple[Assembly, Placement]:
    """The assembly with the contact and exposed areas that the places of its segments give.

    Raises
    ------
    GeometryError   two segments share space, those of a joint do not touch, or a plug is not as deep as its joint says
    """
    found = breaks(placement.bodies)
    size = max(b[-1] - b[0] for b in found) / CHECKED_ACROSS
    edges = tuple(graded_edges(b, size) for b in found)
    shape = tuple(e.size - 1 for e in edges)
    cuts = cut_all(placement, edges)
    exposed = [float(c.flat_area.sum() + c.round_area.sum()) for c in cuts]
    areas, boxes = dict[tuple[int, int], float](), placement.boxes
    walls: dict[tuple[int, int], float] = {}
    for j in range(len(cuts)):
        for i in range(j):
            areas[i, j] = walls[i, j] = 0.0
            if not near(boxes[i], boxes[j]):
                continue
            _check_apart(assembly, cuts, i, j, shape)
            flat, curved = (float(t.area.sum()) for t in touching(cuts[i], cuts[j], shape))
            areas[i, j], walls[i, j] = flat + curved, curved
            exposed[i], exposed[j] = exposed[i] - areas[i, j], exposed[j] - areas[i, j]
    for s, c in zip(assembly.segments, cuts, strict=True):
        _check_volume(s, float(c.volume.sum()))
    # A plug is joined by its side; the bottom of its hole is covered, but no joint.
    joints = tuple(
        replace(j, area=_touch(assembly, placement, j, walls if j.fit == "plug" else areas)) for j in assembly.joints
    )
    segments = tuple(replace(s, exposed_area=e) for s, e in zip(assembly.segments, exposed, strict=True))
    declared = {tuple(sorted(j.segments)) for j in assembly.joints}
    undeclared = tuple((*pair, area) for pair, area in areas.items() if area > 0.0 and pair not in declared)
    return replace(assembly, segments=segments, joints=joints), replace(placement, undeclared=undeclared)


def near(one: Box, other: Box) -> bool:
    """Whether two boxes touch or overlap."""
    return all(max(one[0][k], other[0][k]) <= min(one[1][k], other[1][k]) + CLOSE for k in range(3))


def cut_all(placement: Placement, edges: tuple[FloatArray, ...]) -> tuple[CutBody, ...]:
    """Every body on a grid.

    Raises
    ------
    GeometryError   a body vanishes on it
    """
    cuts = []
    for n, body in enumerate(placement.bodies):
        try:
            cuts.append(cut(body, edges))
        except ProblemError as error:
            name = placement.names[n] if placement.names else ""
            who = f'"{name}"' if name else "a segment"
            raise GeometryError(
                f"{who} vanishes on the solid grid: it is too thin beside the whole assembly; choose "
                'fidelity = "section" or "network"',
                part=name,
            ) from error
    return tuple(cuts)


def _touch(assembly: Assembly, placement: Placement, joint: Joint, areas: dict[tuple[int, int], float]) -> float:
    a, b = sorted(joint.segments)
    if areas[a, b] <= 0.0:
        names = [assembly.segments[i].name for i in joint.segments]
        raise GeometryError(
            f'joint "{joint.name}": "{names[0]}" and "{names[1]}" do not touch as placed'
            f"{_way_to_touch(*(placement.boxes[i] for i in (a, b)))}",
            part=joint.name,
        )
    return areas[a, b]


def _way_to_touch(one: Box, other: Box) -> str:
    """What to move and how far; by the gap, if places were given with it."""
    apart = [max(other[0][k] - one[1][k], one[0][k] - other[1][k]) for k in range(3)]
    along = int(np.argmax(apart))
    how = f"are {apart[along] * 1e3:.4g} mm apart" if apart[along] > 0.0 else f"overlap by {-apart[along] * 1e3:.4g} mm"
    if abs(apart[along]) < CLOSE or min(apart[k] for k in range(3) if k != along) > 0.0:
        return '; check "at" of both'
    return (
        f': along {AXES[along]} they {how}; move one of them by that with "at". Places are without the gap of '
        'the joint, which "gap" says'
    )


def _check_volume(segment: Segment, placed: float) -> None:
    """The hole that a plug has where it lies must be the one that its joint tells of."""
    if abs(placed - segment.volume) > SHARED * segment.volume:
        raise GeometryError(
            f'"{segment.name}" has {placed * 1e6:.4g} cm3 as placed, but {segment.volume * 1e6:.4g} cm3 by the depth '
            'of its plugs; correct "depth", or "at" of the plug',
            part=segment.name,
        )


def _check_apart(assembly: Assembly, cuts: tuple[CutBody, ...], i: int, j: int, shape: tuple[int, ...]) -> None:
    """No place of the grid may be filled twice over."""
    one, other = (np.ravel_multi_index(tuple(cuts[n].place.T), shape) for n in (i, j))
    _, a, b = np.intersect1d(one, other, return_indices=True)
    # In a cell that both cut, the two together may fill it; the excess is what they share.
    excess = float(np.maximum(cuts[i].volume[a] + cuts[j].volume[b] - cuts[i].place_volume[a], 0.0).sum())
    if excess > SHARED * min(cuts[i].volume.sum(), cuts[j].volume.sum()):
        names = assembly.segments[i].name, assembly.segments[j].name
        raise GeometryError(
            f'"{names[0]}" and "{names[1]}" share {excess * 1e6:.3g} cm3 of space as placed; move one of them, or '
            'write their joint with fit = "plug"',
            part=names[0],
        )


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
        result[host] = _bored_along(assembly, joint, result[plug].axis, result[host])
        low, high = result[plug].layers[0].low, result[plug].layers[-1].high
        result[host] = Body(
            result[host].axis,
            tuple(part for layer in result[host].layers for part in _drilled(layer, low, high, outline)),
        )
    return tuple(result)


def _bored_along(assembly: Assembly, joint: Joint, axis: int, host: Body) -> Body:
    """A host with layers along the axis of its plug. Any box has them; one with other holes or a round one does not.

    Raises
    ------
    GeometryError   the host cannot be bored along this axis
    """
    if host.axis == axis:
        return host
    plain = len(host.layers) == 1 and not host.layers[0].holes and isinstance(host.layers[0].outline, Rectangle)
    if not plain:
        names = [assembly.segments[i].name for i in joint.segments]
        raise GeometryError(
            f'joint "{joint.name}": "{names[0]}" lies along {AXES[axis]}, across "{names[1]}" or another hole in it, '
            'which cannot be computed; correct "axis", or give "' + names[1] + '" as a lump',
            part=joint.name,
        )
    low, high = _box(host)
    u, v = (axis + 1) % 3, (axis + 2) % 3
    return Body(axis, (Layer(low[axis], high[axis], Rectangle(low[u], high[u], low[v], high[v])),))


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
