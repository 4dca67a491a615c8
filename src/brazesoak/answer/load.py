"""Segments and joints: when they were hot enough, how they fit at heat, and how to stand them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SegmentAnswer:
    """One segment: what it is and when it was hot enough."""

    name: str
    metal: str
    """Name and designations of the metal."""
    surface: str
    mass: float
    """[kg]"""
    exposed_area: float
    """Surface that sees the furnace [m2]."""
    thickest_section: float
    """[m]"""
    biot: float
    """Biot number at the set-point: film and radiation coefficient times half thickness over conductivity."""
    passes_solidus: float | None
    """Its coldest place passes the solidus of the highest-melting filler joined to it [s]."""
    passes_liquidus: float | None
    peak: float
    """Hottest temperature anywhere in it [K]."""
    solidus_margin: float
    """Solidus of the metal less `peak` [K]."""
    scale: float | None = None
    """At its hottest place, cooling included where the furnace is real: what the limit is compared with [m]; None: a
    metal or surface that does not scale as iron does."""
    mass_on_grid: float | None = None
    """What the grid itself has of `mass`, to which it is then scaled [kg]; None: no grid."""
    exposed_area_on_grid: float | None = None
    """What the grid itself has of `exposed_area` [m2]; it is kept where parts shade each other, else scaled."""
    sensitising_time: float | None = None
    """In the range where plain austenitic steel sensitises, cooling included [s]; None: another metal."""


@dataclass(frozen=True, slots=True)
class JointAnswer:
    """One joint: what is in it and when its coldest point passed each temperature."""

    name: str
    segments: tuple[str, str]
    filler: str
    flux: str
    area: float
    """[m2]"""
    gap: float
    """As given, cold [m]."""
    solidus: float
    liquidus: float
    target: float
    """Liquidus plus the wanted superheat, as used [K]."""
    passes_solidus: float | None
    passes_liquidus: float | None
    passes_target: float | None
    time_above_target: float
    """Until the end of the recommended hold [s]."""
    time_between_solidus_and_liquidus: float | None
    flux_time: float
    """From when its hottest point passes the temperature from which the flux is counted to the end of the recommended
    hold [s]."""
    time_error: float
    """Numerical error of `passes_target`: time step and grid [s]."""
    flux_life: float | None = None
    """For how long the flux is trusted [s]; None: nobody gives a figure."""
    flux_active: float | None = None
    """From here on the flux is molten and fills the gap [K]; None: not told."""
    area_on_grid: float | None = None
    """What the grid itself has of `area`, to which it is then scaled [m2]; None: no grid."""


@dataclass(frozen=True, slots=True)
class JointAtHeat:
    """One joint at its brazing temperature, all parts alike and free to expand."""

    name: str
    is_plug: bool
    """A plug in a hole; any other joint keeps its gap, since its parts lie on each other."""
    temperature: float
    """The joint's target [K]."""
    gap: float | None
    """[m]; zero or less: closed; None: a plug whose diameter is not known."""
    clearance: tuple[float, float]
    """Least and greatest gap at brazing temperature for the filler [m]."""
    depth: float
    """Of a plug [m], else 0."""
    rise: tuple[float, float, float] | None
    """Height that filler climbs where the joint stands upright, low, use and high [m]; None: no open gap is known."""
    gap_volume: float
    """Of the wider of the cold and the hot gap [m3]."""
    fillet_volume: float
    """Of the fillets along its edges [m3]."""
    filler_volume: float
    """For gap and fillets, with the allowance for loss [m3]."""
    filler_mass: float
    """[kg]"""
    wires: tuple[tuple[float, float], ...]
    """(diameter, length) of wire that holds it [m]."""
    foil: tuple[float, float]
    """Thickness [m] and area [m2] of foil that holds it."""
    cooling_strain: float
    """Shrinkage of the first segment less that of the second, from the filler's solidus to 20 degC."""
    source: str
    """Of the expansion of both metals."""


@dataclass(frozen=True, slots=True)
class Posture:
    """The assembly with one axis of the job upright, and how its joints lie then."""

    axis: str
    """``x``, ``y`` or ``z``, upright."""
    words: str
    joints: tuple[str, ...]
    """Joints that can be brazed so: flat, or their filler climbs high enough."""
    flat: tuple[str, ...]
    climbs: tuple[tuple[str, float], ...]
    """Joints that stand, and their height, which the filler climbs by the low value of its rise [m]."""
    too_high: tuple[tuple[str, float], ...]
    """Joints that stand, and their height, which the filler does not surely climb [m]."""


@dataclass(frozen=True, slots=True)
class Orientation:
    """How to stand the assembly in the furnace, and in how many heats."""

    reason: str
    heats: tuple[Posture, ...]
    """In order; each with the joints that are brazed in it. Empty: the places of the parts are not known."""
    tried: tuple[Posture, ...]
    margin: float
    """Wanted from the first solidus down to a second filler's liquidus [K]."""
    lower: tuple[str, ...]
    """Fillers for the second heat that melt low enough, best first; empty: not needed, or none."""
    higher: tuple[str, ...]
    """Fillers for the first heat that melt high enough, best first; empty: not needed, or none."""
    remelts: bool = False
    """Whether the second heat melts the joints of the first, with the fillers of the job."""
