"""What of the load looks down at the shelf: faces at the lowest level, z (or the height of a pile) upwards. SI."""

from __future__ import annotations

from math import pi

from brazesoak_solvers.sections import Body, Disc

from ..parts.assembly import Assembly
from ..thermal.layout import NoLayout
from .placement import Placement

LEVEL = 1e-6
"""Faces this close to the lowest one are at its level [m]."""
LUMP = 1.0 / 6.0
"""Share of the surface of the largest part taken as underside where no part has a place: a cube's. An assumption."""


def undersides(assembly: Assembly, placement: Placement | NoLayout) -> tuple[float, ...]:
    """Area of each segment that looks down at the lowest level [m2]; a round part on its side has a line only, 0."""
    if isinstance(placement, NoLayout):
        areas = [s.exposed_area for s in assembly.segments]
        largest = max(range(len(areas)), key=areas.__getitem__)
        return tuple(LUMP * a if i == largest else 0.0 for i, a in enumerate(areas))
    floor = min(_lowest(b) for b in placement.bodies)
    found = [_underside(b) if _lowest(b) < floor + LEVEL else 0.0 for b in placement.bodies]
    return tuple(min(a, s.exposed_area) for a, s in zip(found, assembly.segments, strict=True))


def _lowest(body: Body) -> float:
    if body.axis == 2:
        return min(layer.low for layer in body.layers)
    outlines = [layer.outline for layer in body.layers]
    # Axes across are (axis + 1) % 3 and (axis + 2) % 3: z is the second of an x axis and the first of a y axis.
    second = body.axis == 0
    low = []
    for o in outlines:
        if isinstance(o, Disc):
            low.append((o.v if second else o.u) - o.radius)
        else:
            low.append(o.v0 if second else o.u0)
    return min(low)


def _underside(body: Body) -> float:
    if body.axis != 2:
        area = 0.0
        for layer in body.layers:
            if not isinstance(layer.outline, Disc):
                width = layer.outline.u1 - layer.outline.u0 if body.axis == 0 else layer.outline.v1 - layer.outline.v0
                area += width * (layer.high - layer.low)
        return area
    layer = min(body.layers, key=lambda y: y.low)
    o = layer.outline
    full = pi * o.radius**2 if isinstance(o, Disc) else (o.u1 - o.u0) * (o.v1 - o.v0)
    return max(full - sum(pi * h.radius**2 for h in layer.holes), 0.0)
