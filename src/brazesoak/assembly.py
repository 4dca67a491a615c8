"""From a job and the trade data: segments with mass and exposed surface, joints with contact area. SI."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING, TypeVar

from . import shapes
from .errors import Fault, GeometryError, JobFileError, UnknownNameError
from .shapes import Shape

if TYPE_CHECKING:
    from .jobfile import schema
    from .jobfile.read import ReadJob
    from .trade.library import Library
    from .trade.records import Filler, Flux, Metal

T = TypeVar("T")
_DEFAULT_FACE = {"plate": "face", "bar": "side", "boss": "end", "tube": "end", "ring": "end"}
CLOSE = 1e-6
"""Lengths that differ by less than this are the same [m]."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a segment lies: middle of its low face along `axis` [m], and the axis that its length runs along."""

    at: tuple[float, float, float]
    axis: str
    along: str


@dataclass(frozen=True, slots=True)
class Segment:
    """A segment of the assembly.

    surface : str or float      ``bright``, ``oxidised``, ``fluxed`` or an emissivity
    volume [m3], mass [kg], exposed_area [m2]: less holes for plugs and less what the joints cover
    bore_area, bore_opening : float     exposed wall of its own bore, part of exposed_area, and what is open of its
                                        two ends [m2]
    """

    name: str
    metal: Metal
    surface: str | float
    shape: Shape
    volume: float
    mass: float
    exposed_area: float
    bore_area: float = 0.0
    bore_opening: float = 0.0
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint between two segments, by number.

    fit : ``flat``, ``crossed`` or ``plug``;  faces : joined face of each segment, empty for a plug or a lump
    depth : of a plug in its host [m], else 0;  area [m2];  gap : cold [m]
    """

    name: str
    segments: tuple[int, int]
    fit: str
    faces: tuple[str, str]
    depth: float
    area: float
    gap: float
    filler: Filler
    flux: Flux


@dataclass(frozen=True, slots=True)
class Assembly:
    """The parts of a job."""

    segments: tuple[Segment, ...]
    joints: tuple[Joint, ...]

    @property
    def mass(self) -> float:
        """Of all segments [kg]."""
        return sum(s.mass for s in self.segments)


def assemble(read: ReadJob, library: Library) -> Assembly:
    """Segments and joints of a job.

    Raises
    ------
    JobFileError    names that the library does not know (the furnace's too) and shapes that do not fit, all at once
    """
    faults: list[Fault] = []

    def attempt(location: tuple[str | int, ...], make: Callable[[], T]) -> T | None:
        try:
            return make()
        except (UnknownNameError, GeometryError) as error:
            faults.append(read.fault(location, str(error)))
            return None

    job = read.job
    attempt(("furnace", "name"), lambda: library.furnace(job.furnace.name))
    shaped = [_shape(s) for s in job.segments]
    metals = [attempt(("segment", i, "metal"), lambda s=s: library.metal(s.metal)) for i, s in enumerate(job.segments)]  # type: ignore[misc]
    index = {s.name: i for i, s in enumerate(job.segments)}
    joints: list[Joint | None] = []
    for n, joint in enumerate(job.joints):
        filler = attempt(_where(joint, n, "filler"), lambda j=joint: library.filler(j.filler or job.brazing.filler))  # type: ignore[misc]
        flux = attempt(_where(joint, n, "flux"), lambda j=joint: library.flux(j.flux or job.brazing.flux))  # type: ignore[misc]
        pair = (index[joint.between[0]], index[joint.between[1]])
        contact = attempt(("joint", n), lambda j=joint, p=pair: _contact(j, p, shaped))  # type: ignore[misc]
        if filler and flux and contact:
            gap = joint.gap if joint.gap is not None else job.brazing.gap
            joints.append(Joint(joint.name, pair, joint.fit, *contact, gap, filler, flux))
    segments = []
    for i, (s, metal) in enumerate(zip(job.segments, metals, strict=True)):
        segment = metal and attempt(
            ("segment", i), lambda i=i, s=s, m=metal: _segment(i, s, m, shaped[i], joints, shaped)
        )  # type: ignore[misc]
        if segment:
            segments.append(segment)
    if faults:
        # A name in [brazing] is looked up for every joint; it is one fault all the same.
        raise JobFileError(read.path, sorted(dict.fromkeys(faults), key=lambda f: f.line or 0))
    return Assembly(tuple(segments), tuple(j for j in joints if j))


def _where(joint: schema.Joint, n: int, key: str) -> tuple[str | int, ...]:
    """Where the user wrote it: in the joint, or for all joints."""
    return ("joint", n, key) if key in joint.model_fields_set else ("brazing", key)


def _shape(s: schema.Segment) -> Shape:
    if s.shape == "plate":
        return shapes.plate(s.length, s.width, s.thickness)
    if s.shape == "bar":
        return shapes.bar(s.length, s.width, s.height)
    if s.shape == "boss":
        return shapes.cylinder("boss", s.diameter, 0.0, s.height)
    if s.shape == "tube":
        return shapes.cylinder("tube", s.outer_diameter, s.inner_diameter, s.length)
    if s.shape == "ring":
        return shapes.cylinder("ring", s.outer_diameter, s.inner_diameter, s.height)
    return shapes.lump(s.exposed_area, s.thickest_section)


def _contact(joint: schema.Joint, pair: tuple[int, int], shaped: list[Shape]) -> tuple[tuple[str, str], float, float]:
    """Faces, depth and area of a joint."""
    one, other = (shaped[i] for i in pair)
    if "lump" in (one.kind, other.kind):
        if joint.area is None:
            raise GeometryError(
                f'joint "{joint.name}" joins a lump, whose shape does not tell the contact area; write area = "... cm2"',
                part=joint.name,
            )
        return ("", ""), joint.depth or 0.0, joint.area
    if joint.fit == "plug":
        area, depth = _plug(joint, one, other)
        return ("", ""), depth, joint.area or area
    names = joint.faces or (_DEFAULT_FACE[one.kind], _DEFAULT_FACE[other.kind])
    for name, shape, segment in zip(names, (one, other), joint.between, strict=True):
        if name not in shape.faces:
            raise GeometryError(
                f'joint "{joint.name}": "{segment}" is a {shape.kind} and has no face "{name}"; '
                f"one of {', '.join(shape.faces)}",
                part=joint.name,
            )
    area = shapes.overlap_area(one.faces[names[0]], other.faces[names[1]], joint.fit == "crossed")
    if area <= 0.0:
        raise GeometryError(
            f'joint "{joint.name}": the faces of "{joint.between[0]}" and "{joint.between[1]}" laid centre on centre do '
            "not meet; correct the sizes or name other faces",
            part=joint.name,
        )
    if joint.area is not None and joint.area > min(one.faces[names[0]].area, other.faces[names[1]].area) * (
        1.0 + CLOSE
    ):
        raise GeometryError(
            f'joint "{joint.name}": area {joint.area * 1e4:.4g} cm2 is more than the smaller of the two faces has; '
            "leave area out and it is computed",
            part=joint.name,
        )
    return (names[0], names[1]), 0.0, joint.area or area


def _plug(joint: schema.Joint, plug: Shape, host: Shape) -> tuple[float, float]:
    """Area and depth of a round plug in a hole."""
    name = joint.between[0], joint.between[1]
    if not plug.is_round:
        raise GeometryError(
            f'joint "{joint.name}": a plug must be round; "{name[0]}" is a {plug.kind}', part=joint.name
        )
    entry = host.faces[_DEFAULT_FACE[host.kind]]
    room = entry.width if isinstance(entry, shapes.RectangularFace) else entry.outer
    if plug.diameter >= room:
        raise GeometryError(
            f'joint "{joint.name}": "{name[0]}", {plug.diameter * 1e3:.4g} mm across, does not go into "{name[1]}", '
            f"{room * 1e3:.4g} mm across; write the inner segment first in between",
            part=joint.name,
        )
    if host.bore and plug.diameter > host.bore + CLOSE:
        raise GeometryError(
            f'joint "{joint.name}": "{name[0]}", {plug.diameter * 1e3:.4g} mm across, is larger than the bore of '
            f'"{name[1]}", {host.bore * 1e3:.4g} mm; correct one of the two',
            part=joint.name,
        )
    depth = joint.depth or 0.0
    most = min(plug.heights["end"], _through(host))
    if depth > most + CLOSE:
        raise GeometryError(
            f'joint "{joint.name}": depth {depth * 1e3:.4g} mm is more than plug and host allow, {most * 1e3:.4g} mm',
            part=joint.name,
        )
    return pi * plug.diameter * depth, depth


def _through(host: Shape) -> float:
    """Length of a hole right through a host along a plug's axis [m]."""
    return host.heights[_DEFAULT_FACE[host.kind]]


def _segment(
    i: int, s: schema.Segment, metal: Metal, shape: Shape, joints: list[Joint | None], shaped: list[Shape]
) -> Segment:
    """Mass and exposed surface of a segment, less its holes and what its joints cover."""
    if shape.volume is None:
        assert s.shape == "lump"
        volume = s.mass / metal.density.value
        return Segment(s.name, metal, s.surface, shape, volume, s.mass, s.exposed_area)
    volume, exposed = shape.volume, shape.surface
    for joint in joints:
        if joint is None or i not in joint.segments:
            continue
        cut, covered = _cut_and_covered(i, joint, shape, shaped)
        volume, exposed = volume - cut, exposed - covered
    if volume <= 0.0 or exposed <= 0.0:
        raise GeometryError(
            f'the joints of "{s.name}" take more than all of its {"metal" if volume <= 0.0 else "surface"}; '
            "check sizes, depths and areas",
            part=s.name,
        )
    bore = _bore(i, shape, joints, shaped) if shape.bore else (0.0, 0.0)
    mass = volume * metal.density.value
    return Segment(s.name, metal, s.surface, shape, volume, mass, exposed, *bore, _place(s))


def _place(s: schema.Segment) -> Place | None:
    if s.shape == "lump" or s.at is None:
        return None
    along = None if s.shape in ("boss", "tube", "ring") else s.along
    return Place(s.at, s.axis, along or ("y" if s.axis == "x" else "x"))


def _bore(i: int, shape: Shape, joints: list[Joint | None], shaped: list[Shape]) -> tuple[float, float]:
    """Exposed wall of a segment's own bore, and what is open of its two ends [m2]."""
    wall, open_ends = pi * shape.bore * shape.heights["end"], 2
    for joint in joints:
        if joint is None or i not in joint.segments:
            continue
        other = shaped[joint.segments[1 - joint.segments.index(i)]]
        if joint.fit == "plug" and i == joint.segments[1]:
            wall -= pi * shape.bore * joint.depth
            open_ends -= 1 + (joint.depth >= shape.heights["end"] - CLOSE)
        elif joint.fit != "plug" and other.bore == 0.0:
            open_ends -= 1
    return max(wall, 0.0), max(open_ends, 0) * 0.25 * pi * shape.bore**2


def _cut_and_covered(i: int, joint: Joint, shape: Shape, shaped: list[Shape]) -> tuple[float, float]:
    """Volume that a joint takes from a segment, and surface of it that no longer sees the furnace."""
    if joint.fit != "plug" or "lump" in (shaped[n].kind for n in joint.segments):
        return 0.0, joint.area  # the mass of a lump is given, and the hole for it or in it is not known
    plug = shaped[joint.segments[0]]
    host = shaped[joint.segments[1]]
    round_area = 0.25 * pi * (plug.diameter**2 - plug.bore**2)
    through = joint.depth >= _through(host) - CLOSE
    if i == joint.segments[0]:
        return 0.0, joint.area + (0.0 if through or host.bore else round_area)
    if host.bore:
        return 0.0, pi * host.bore * joint.depth
    hole = 0.25 * pi * plug.diameter**2
    return hole * joint.depth, hole * (2.0 if through else 1.0)
