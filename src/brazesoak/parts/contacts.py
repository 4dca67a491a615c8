"""Where two shapes are joined: faces, depth and area of each joint, and whether a face has room for all of its joints.

What does not fit is a `GeometryError` whose message names the segments; the joint or segment it is about is its `part`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi
from typing import TYPE_CHECKING

from ..errors import GeometryError
from . import shapes
from .shapes import RectangularFace, Shape

if TYPE_CHECKING:
    from ..jobfile import schema
    from .assembly import Joint

DEFAULT_FACE = {"plate": "face", "bar": "side", "boss": "end", "tube": "end", "ring": "end"}
"""The face that is joined where the job names none."""
CLOSE = 1e-6
"""Lengths that differ by less than this are the same [m]."""
OFF_BY = 0.5e-3
"""A plug may be this much looser or tighter in a bore than the gap of its joint says [m]: turning is that exact."""
TIMES = 3.0
"""Or looser or tighter by this factor, whichever allows more."""


def contact(
    joint: schema.Joint, gap: float, one: Shape, other: Shape, entry: str | None = None
) -> tuple[tuple[str, str], float, float]:
    """Faces, depth [m] and area [m2] of a joint with a gap [m] between two shapes.

    entry : face of the host that a plug goes in at; None where no places say it: its `DEFAULT_FACE`

    Raises
    ------
    GeometryError   the shapes do not meet there
    """
    if "lump" in (one.kind, other.kind):
        if joint.area is None:
            raise GeometryError(
                'joins a lump, whose shape does not tell the contact area; write area = "... cm2"', part=joint.name
            )
        return ("", ""), joint.depth or 0.0, joint.area
    if joint.fit == "plug":
        entry = entry or DEFAULT_FACE[other.kind]
        area, depth = _plug(joint, gap, one, other, entry)
        return ("", entry), depth, joint.area or area
    names = joint.faces or (DEFAULT_FACE[one.kind], DEFAULT_FACE[other.kind])
    for name, shape, segment in zip(names, (one, other), joint.between, strict=True):
        if name not in shape.faces:
            known = ", ".join(shape.faces)
            raise GeometryError(
                f'"{segment}" is a {shape.kind} and has no face "{name}"; write one of {known}', part=joint.name
            )
    return (names[0], names[1]), 0.0, _flat_area(joint, one.faces[names[0]], other.faces[names[1]])


def _flat_area(joint: schema.Joint, one: shapes.Face, other: shapes.Face) -> float:
    area = shapes.overlap_area(one, other, joint.fit == "crossed")
    if area <= 0.0:
        raise GeometryError(
            f'the faces of "{joint.between[0]}" and "{joint.between[1]}" laid centre on centre do not meet; correct '
            "the sizes or name other faces",
            part=joint.name,
        )
    if joint.area is not None and joint.area > min(one.area, other.area) * (1.0 + CLOSE):
        raise GeometryError(
            f"area {joint.area * 1e4:.4g} cm2 is more than the smaller of the two faces has; leave area out and it is "
            "computed",
            part=joint.name,
        )
    return joint.area or area


def _plug(joint: schema.Joint, gap: float, plug: Shape, host: Shape, face: str) -> tuple[float, float]:
    """Area and depth of a round plug in a hole."""
    name = joint.between
    if not plug.is_round:
        raise GeometryError(
            f'a plug must be round, and "{name[0]}" is a {plug.kind}; write a round part first in between, or leave '
            'out fit = "plug"',
            part=joint.name,
        )
    across = f'"{name[0]}", {plug.diameter * 1e3:.4g} mm across,'
    entry = host.faces[face]
    room = entry.width if isinstance(entry, RectangularFace) else entry.outer
    if plug.diameter >= room:
        raise GeometryError(
            f'{across} does not go into "{name[1]}", {room * 1e3:.4g} mm across; correct the sizes, or '
            "write the inner segment first in between",
            part=joint.name,
        )
    if host.bore and plug.diameter > host.bore + CLOSE:
        raise GeometryError(
            f'{across} is larger than the bore of "{name[1]}", {host.bore * 1e3:.4g} mm; correct one of the two',
            part=joint.name,
        )
    if host.bore:
        _check_gap(joint, gap, plug, host)
    depth = joint.depth or 0.0
    most = min(plug.heights["end"], host.heights[face])
    if depth > most + CLOSE:
        raise GeometryError(
            f"depth {depth * 1e3:.4g} mm is more than plug and host allow, {most * 1e3:.4g} mm; correct it, or the "
            f'length of "{name[0]}" or the thickness of "{name[1]}" there',
            part=joint.name,
        )
    return pi * plug.diameter * depth, depth


def _check_gap(joint: schema.Joint, gap: float, plug: Shape, host: Shape) -> None:
    """Bore and diameter say what the gap all round is; it must be about the one that the job gives."""
    found = max(0.5 * (host.bore - plug.diameter), 0.0)
    if abs(found - gap) <= OFF_BY or gap / TIMES <= found <= gap * TIMES:
        return
    raise GeometryError(
        f'"{joint.between[0]}", {plug.diameter * 1e3:.4g} mm across, in the bore of "{joint.between[1]}", '
        f"{host.bore * 1e3:.4g} mm, leaves {found * 1e3:.3g} mm all round, and the gap is given as {gap * 1e3:.3g} mm; "
        "correct the diameter, the bore or the gap",
        part=joint.name,
    )


def through(host: Shape, joint: Joint) -> float:
    """Length of a hole right through a host along the plug of a joint [m]."""
    return host.heights[joint.faces[1]]


def check_faces(i: int, name: str, shape: Shape, joints: Sequence[Joint], shaped: Sequence[Shape]) -> None:
    """Whether the faces of segment `i` have room for all that is joined to them; each name stands for two faces.

    Raises
    ------
    GeometryError   in no distribution over the two faces do the areas fit
    """
    for face, of_one in shape.faces.items():
        areas, bored = _joined(i, face, shape, joints, shaped), _through_holes(i, face, shape, joints, shaped)
        room = of_one.area - bored
        if not _fits_on_two(areas, room):
            holes = f", less the {bored * 1e4:.3g} cm2 of the holes through it" if bored else ""
            listed = " + ".join(f"{a * 1e4:.3g}" for a in areas)
            raise GeometryError(
                f'the joints of "{name}" on its face "{face}" take {listed} cm2, and each of the two such faces has '
                f"{max(room, 0.0) * 1e4:.3g} cm2{holes}: they do not all go on; check the sizes, write the area of the "
                "joints, or name other faces",
                part=name,
            )


def _joined(i: int, face: str, shape: Shape, joints: Sequence[Joint], shaped: Sequence[Shape]) -> list[float]:
    """Areas that joints and blind holes take from the faces of one name of a segment [m2]."""
    areas = []
    for j in joints:
        if i in j.segments and j.fit != "plug" and j.faces[j.segments.index(i)] == face:
            areas.append(j.area)
        elif _is_hole(i, face, shape, j, shaped) and j.depth < through(shape, j) - CLOSE:
            areas.append(0.25 * pi * shaped[j.segments[0]].diameter ** 2)
    return areas


def _through_holes(i: int, face: str, shape: Shape, joints: Sequence[Joint], shaped: Sequence[Shape]) -> float:
    """What holes right through take from both faces [m2]."""
    found = [j for j in joints if _is_hole(i, face, shape, j, shaped) and j.depth >= through(shape, j) - CLOSE]
    return sum(0.25 * pi * shaped[j.segments[0]].diameter ** 2 for j in found)


def _is_hole(i: int, face: str, shape: Shape, joint: Joint, shaped: Sequence[Shape]) -> bool:
    """Whether a joint is a plug in a hole that is cut into this face for it."""
    is_host = joint.fit == "plug" and joint.segments[1] == i and shape.bore == 0.0
    return is_host and shaped[joint.segments[0]].is_round and face == joint.faces[1]


def _fits_on_two(areas: Sequence[float], room: float) -> bool:
    """Whether areas can be shared out over two faces of `room` each [m2]; counted in whole square millimetres."""
    if not areas:
        return True
    limit = int(room * (1.0 + CLOSE) * 1e6) + len(areas)
    whole = [int(a * 1e6) for a in areas]
    sums = {0}
    for a in whole:
        sums |= {s + a for s in sums if s + a <= limit}
    return sum(whole) - max(sums) <= limit
