"""Where fillets form along a joint, and what filler they hold. SI throughout.

A fillet forms in a corner. Where both parts end alike they are flush, and the filler has no corner to stay in.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import TYPE_CHECKING

from ..bridge.placement import AXES, normal
from ..parts.contacts import CLOSE, through
from ..parts.shapes import FLUSH, corner_edge, overlap_area

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ..bridge.placement import Box
    from ..parts.assembly import Assembly, Joint

FILLET = 1.0e-3
"""Radius of the hollow fillet along every corner of a joint [m]. Common practice, no source."""


def fillet_area(radius: float) -> float:
    """Cross-section of a hollow fillet in a right-angled corner [m2]: a square less a quarter of a circle."""
    return (1.0 - 0.25 * pi) * radius**2


def edge_length(assembly: Assembly, joint: Joint, boxes: Sequence[Box] | None = None) -> float:
    """Length of the corners of a joint, along which fillets form [m].

    Of a contact with an area of its own the length is that of the shapes, to scale; of a lump that around a square.

    boxes : lowest and highest corner of every segment [m], where their places are known
    """
    one, other = (assembly.segments[i].shape for i in joint.segments)
    if "lump" in (one.kind, other.kind):
        return 4.0 * sqrt(joint.area)
    placed = None if boxes is None else (boxes[joint.segments[0]], boxes[joint.segments[1]])
    if joint.fit == "plug":
        place = assembly.segments[joint.segments[0]].place
        axis = AXES.index(place.axis) if place else 2  # a pile stands along z
        ends = _ends(assembly, joint) if placed is None else _placed_ends(*placed, axis, other.bore > 0.0)
        return ends * pi * one.diameter
    if placed is not None and not (one.is_round or other.is_round):
        return _box_corners(*placed)
    faces = one.faces[joint.faces[0]], other.faces[joint.faces[1]]
    crossed = joint.fit == "crossed"
    return corner_edge(*faces, crossed) * sqrt(joint.area / overlap_area(*faces, crossed))


def _box_corners(one: Box, other: Box) -> float:
    """Around the rectangle that two boxes have in common: each side on which one of them goes on is a corner."""
    u, v = (k for k in range(3) if k != normal(one, other))
    length = 0.0
    for across, along in ((u, v), (v, u)):
        shared = max(min(one[1][along], other[1][along]) - max(one[0][along], other[0][along]), 0.0)
        length += shared * sum(abs(one[end][across] - other[end][across]) > FLUSH for end in (0, 1))
    return length


def _placed_ends(plug: Box, host: Box, axis: int, has_bore: bool) -> int:
    """Ends of a plug with a corner: where it stands out, or ends within a bore of its host."""
    # How far the plug stands out of its host below and above.
    out = host[0][axis] - plug[0][axis], plug[1][axis] - host[1][axis]
    return sum(far > FLUSH or (has_bore and far < -FLUSH) for far in out)


def _ends(assembly: Assembly, joint: Joint) -> int:
    """The same of a plug without a place; one longer than its host is taken to stand out at both ends."""
    plug, host = (assembly.segments[i].shape for i in joint.segments)
    stands_out = plug.heights["end"] > joint.depth + CLOSE
    if joint.depth >= through(host, joint) - CLOSE:
        return 2 if stands_out else 0
    return stands_out + (host.bore > 0.0)
