"""Furnaces of the library and the bodies of their chambers, in SI; sources and confidence as in `records`."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from .properties import Table
from .records import Datum, Spread


@dataclass(frozen=True, slots=True, eq=False)
class Refractory:
    """What linings and shelves are made of: density [kg/m3], conductivity [W/(m K)], specific_heat [J/(kg K)].

    use : ``lining`` or ``shelf``
    service_limit : Datum       [K]
    """

    id: str
    name: str
    use: str
    service_limit: Datum
    density: Datum
    conductivity: Table
    specific_heat: Table
    notes: str
    path: Path

    @property
    def designations(self) -> tuple[str, ...]:
        """None beside its name."""
        return ()


@dataclass(frozen=True, slots=True, eq=False)
class LiningLayer:
    """A layer of a furnace's lining: thickness [m], conductivity [W/(m K)], specific heat [J/(kg K)], density."""

    name: str
    thickness: float
    density: float
    conductivity: Table
    specific_heat: Table
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class HeatingElements:
    """Resistance wire: surface_load [W/m2] at full power, wire_diameter [m], density [kg/m3], specific_heat [J/(kg K)].

    radiating_share : float     of the wire's surface that sees the chamber, the rest is turned to groove and coil
    """

    surface_load: float
    wire_diameter: float
    radiating_share: float
    density: float
    specific_heat: float
    emissivity: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class ChamberPiece:
    """A thing that stands in a chamber: mass [kg], specific_heat [J/(kg K)], area that sees the walls [m2]."""

    name: str
    mass: float
    specific_heat: float
    area: float
    emissivity: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class FurnaceShelf:
    """The shelf of a furnace, free on both faces: thickness [m], area of one face [m2], density [kg/m3], specific_heat
    [J/(kg K)], conductivity [W/(m K)], emissivity."""

    name: str
    thickness: float
    area: float
    density: float
    specific_heat: float
    conductivity: float
    emissivity: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True, eq=False)
class FurnaceInterior:
    """The bodies of a chamber furnace.

    inside [m]: edge of the cube;  outer_film [W/(m2 K)];  openings_conductance [W/K]: door gap, terminals, bridges;
    air_leak [W/K]: carried off by the air that vent and door let through;  case_mass [kg], case_specific_heat
    [J/(kg K)]: sheet and frame;  layers: from the hot face outwards
    """

    inside: float
    outer_film: float
    openings_conductance: float
    air_leak: float
    case_mass: float
    case_specific_heat: float
    layers: tuple[LiningLayer, ...]
    elements: HeatingElements
    pieces: tuple[ChamberPiece, ...]
    shelf: FurnaceShelf | None
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Furnace:
    """A furnace.

    Attributes
    ----------
    kind : ``ideal`` follows the program exactly; ``chamber`` has mass, losses and limited power
    film : Spread                   convection to the load [W/(m2 K)]
    wall_emissivity : Spread
    power [W], chamber_heat_capacity [J/K], loss_conductance [W/K], wall_area [m2], volume [m3]
                                    of a chamber, None for an ideal furnace
    sensor_time_constant : float    [s]
    clock_band : float              the hold is counted when the sensor is this close to the set-point [K]
    control_band : float            full power below the program by this much [K]
    pid_band [K], integral_time [s], derivative_time [s], hysteresis [K]
                                    of its controller, None where the file does not say
    uniformity : Spread             true temperature less set-point anywhere in the working space [K]
    default_ramp : float or None    [K/s]
    interior : FurnaceInterior or None  its bodies, used in place of chamber_heat_capacity and loss_conductance
    derivation : ((name, text), ...)    what a chamber's figures were computed from
    """

    id: str
    name: str
    kind: Literal["ideal", "chamber"]
    film: Spread
    wall_emissivity: Spread
    power: float | None
    chamber_heat_capacity: float | None
    loss_conductance: float | None
    wall_area: float | None
    volume: float | None
    sensor_time_constant: float
    clock_band: float
    control_band: float
    pid_band: float | None
    integral_time: float | None
    derivative_time: float | None
    hysteresis: float | None
    uniformity: Spread
    default_ramp: float | None
    control_source: str
    interior: FurnaceInterior | None
    derivation: tuple[tuple[str, str], ...]
    source: str
    confidence: str
    notes: str
    path: Path

    @property
    def designations(self) -> tuple[str, ...]:
        """None: furnaces here have no standard designation."""
        return ()
