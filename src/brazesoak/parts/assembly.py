"""From a job and the trade data: segments with mass and exposed surface, joints with contact area. SI."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING, ParamSpec, TypeVar

from ..errors import Fault, GeometryError, UnknownNameError
from . import shapes
from .bores import bores
from .contacts import CLOSE, check_faces, contact, through
from .shapes import Shape

if TYPE_CHECKING:
    from ..jobfile import schema
    from ..jobfile.read import ReadJob
    from ..trade.library import Library
    from ..trade.records import Filler, Flux, Metal

T = TypeVar("T")
P = ParamSpec("P")


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

    fit : ``flat``, ``crossed`` or ``plug``
    faces : joined face of each segment, empty for a lump; of a plug none, and that of its host where it goes in
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
    return _Assembling(read, library).assembly()


class _Assembling:
    """Gathers every fault on the way, so that all are told at once."""

    def __init__(self, read: ReadJob, library: Library) -> None:
        self.read, self.job, self.library = read, read.job, library
        self.faults: list[Fault] = []
        self.shaped = [_shape(s) for s in self.job.segments]
        self.index = {s.name: i for i, s in enumerate(self.job.segments)}

    def assembly(self) -> Assembly:
        """The assembly, or the error with every fault."""
        self.attempt(("furnace", "name"), self.library.furnace, self.job.furnace.name)
        metals = [
            self.attempt(("segment", i, "metal"), self.library.metal, s.metal) for i, s in enumerate(self.job.segments)
        ]
        joints = [j for n, joint in enumerate(self.job.joints) if (j := self.joint(n, joint))]
        open_bores = bores(self.shaped, joints)
        segments = []
        for i, (s, metal) in enumerate(zip(self.job.segments, metals, strict=True)):
            if metal and (found := self.attempt(("segment", i), self.segment, i, s, metal, joints, open_bores[i])):
                segments.append(found)
        if self.faults:
            # A name in [brazing] is looked up for every joint; it is one fault all the same.
            raise self.read.error(*dict.fromkeys(self.faults))
        return Assembly(tuple(segments), tuple(joints))

    def attempt(
        self, location: tuple[str | int, ...], make: Callable[P, T], *args: P.args, **keys: P.kwargs
    ) -> T | None:
        """What `make` returns, or None and a fault at `location`."""
        try:
            return make(*args, **keys)
        except (UnknownNameError, GeometryError) as error:
            self.faults.append(self.read.fault(location, str(error)))
            return None

    def joint(self, n: int, joint: schema.Joint) -> Joint | None:
        """A joint of the job, or None where it is at fault."""
        brazing = self.job.brazing
        filler = self.attempt(_where(joint, n, "filler"), self.library.filler, _given(joint.filler, brazing.filler))
        flux = self.attempt(_where(joint, n, "flux"), self.library.flux, _given(joint.flux, brazing.flux))
        pair = (self.index[joint.between[0]], self.index[joint.between[1]])
        gap = _given(joint.gap, brazing.gap)
        one, other = (self.shaped[i] for i in pair)
        entry = _entry(self.job.segments[pair[0]], self.job.segments[pair[1]], other) if joint.fit == "plug" else None
        found = self.attempt(("joint", n), contact, joint, gap, one, other, entry)
        return Joint(joint.name, pair, joint.fit, *found, gap, filler, flux) if filler and flux and found else None

    def segment(
        self, i: int, s: schema.Segment, metal: Metal, joints: list[Joint], bore: tuple[float, float]
    ) -> Segment:
        """Mass and exposed surface of a segment, less its holes and what its joints cover."""
        shape = self.shaped[i]
        if shape.volume is None:
            assert s.shape == "lump"
            volume = s.mass / metal.density.value
            return Segment(s.name, metal, s.surface, shape, volume, s.mass, s.exposed_area)
        place = _place(s)
        if place is None:  # where the segments have places, what touches what is found from them, see `placement`
            check_faces(i, s.name, shape, joints, self.shaped)
        taken = [_cut_and_covered(i, j, shape, self.shaped) for j in joints if i in j.segments]
        volume = shape.volume - sum(cut for cut, _ in taken)
        exposed = shape.surface - sum(covered for _, covered in taken)
        if volume <= 0.0 or (exposed <= 0.0 and place is None):
            raise GeometryError(
                f'the joints of "{s.name}" take more than all of its {"metal" if volume <= 0.0 else "surface"}; '
                "check sizes, depths and areas",
                part=s.name,
            )
        mass = volume * metal.density.value
        return Segment(s.name, metal, s.surface, shape, volume, mass, exposed, *bore, place)


def _given(own: T | None, common: T | None) -> T:
    """What the joint says, or else all joints; the job file is checked for one of the two."""
    value = common if own is None else own
    assert value is not None
    return value


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


def _entry(plug: schema.Segment, host: schema.Segment, shape: Shape) -> str | None:
    """Face of a rectangular host at which a plug goes in, by the places of both; None where they do not say."""
    own, other = _place(plug), _place(host)
    if own is None or other is None or shape.is_round:
        return None
    length_by_width, length_by_height, end = shape.faces
    return {other.axis: length_by_width, other.along: end}.get(own.axis, length_by_height)


def _place(s: schema.Segment) -> Place | None:
    if s.shape == "lump" or s.at is None:
        return None
    along = s.along if s.shape == "plate" or s.shape == "bar" else None
    return Place(s.at, s.axis, along or ("y" if s.axis == "x" else "x"))


def _cut_and_covered(i: int, joint: Joint, shape: Shape, shaped: list[Shape]) -> tuple[float, float]:
    """Volume that a joint takes from a segment, and surface of it that no longer sees the furnace."""
    if joint.fit != "plug" or "lump" in (shaped[n].kind for n in joint.segments):
        return 0.0, joint.area  # the mass of a lump is given, and the hole for it or in it is not known
    plug = shaped[joint.segments[0]]
    host = shaped[joint.segments[1]]
    round_area = 0.25 * pi * (plug.diameter**2 - plug.bore**2)
    is_through = joint.depth >= through(host, joint) - CLOSE
    if i == joint.segments[0]:
        return 0.0, joint.area + (0.0 if is_through or host.bore else round_area)
    if host.bore:
        return 0.0, pi * host.bore * joint.depth
    hole = 0.25 * pi * plug.diameter**2
    return hole * joint.depth, hole * (2.0 if is_through else 1.0)
