"""What of the load looks sideways, and the box around it: what copies beside it see of each other. SI."""

from __future__ import annotations

from math import pi, sqrt

from brazesoak_solvers.sections import Body, Disc

from ..parts.assembly import Assembly
from ..thermal.layout import NoLayout
from ..thermal.neighbours import Extents
from .placement import Placement

LUMP = 4.0 / 6.0
"""Share of its surface that looks sideways of a part that has no place: a cube's. An assumption."""


def sides(assembly: Assembly, placement: Placement | NoLayout) -> tuple[float, ...]:
    """Area of each segment that looks sideways [m2]: the round of its outline, bores left out."""
    if isinstance(placement, NoLayout):
        return tuple(LUMP * s.exposed_area for s in assembly.segments)
    return tuple(min(_sides(b), s.exposed_area) for b, s in zip(placement.bodies, assembly.segments, strict=True))


def box(assembly: Assembly, placement: Placement | NoLayout) -> Extents:
    """Length of the load along x, y and z [m]; where no places are known, of a cube with its surface."""
    if isinstance(placement, NoLayout):
        edge = sqrt(sum(s.exposed_area for s in assembly.segments) / 6.0)
        return edge, edge, edge
    x, y, z = placement.extents
    return x, y, z


def _sides(body: Body) -> float:
    area = 0.0
    for n, layer in enumerate(body.layers):
        o, length = layer.outline, layer.high - layer.low
        ends = (n == 0) + (n == len(body.layers) - 1)
        holes = sum(pi * h.radius**2 for h in layer.holes)
        if isinstance(o, Disc):
            # Of a round lying on its side, the half that looks less up or down than sideways; and its ends.
            around = 2.0 * pi * o.radius * length
            area += around if body.axis == 2 else 0.5 * around + ends * (pi * o.radius**2 - holes)
            continue
        u, v = o.u1 - o.u0, o.v1 - o.v0
        if body.axis == 2:
            area += 2.0 * (u + v) * length
        else:
            upright = u if body.axis == 1 else v  # z is the axis after y, and the second after x
            area += 2.0 * upright * length + ends * (u * v - holes)
    return area
