"""What the library holds, in SI: kelvin, metre, second, kilogram, watt. Every datum has its source.

Confidence is one of `CONFIDENCES`: ``published`` was read in the source, a reprint of it or public code
citing the clause; ``memory`` was recalled or extrapolated and is to be confirmed there; ``practice`` is
common practice without source; ``derived`` was computed from stated inputs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from .properties import Table

__all__ = [
    "CONFIDENCES",
    "FILLER_FAMILIES",
    "METAL_FAMILIES",
    "SURFACES",
    "Caution",
    "Datum",
    "Filler",
    "Flux",
    "Furnace",
    "Metal",
    "Spread",
    "Table",
]

CONFIDENCES = ("published", "memory", "practice", "derived")
SURFACES = ("bright", "oxidised", "fluxed")
METAL_FAMILIES = (
    "carbon steel",
    "alloy steel",
    "tool steel",
    "austenitic stainless",
    "ferritic stainless",
    "martensitic stainless",
    "cast iron",
    "brass",
    "aluminium bronze",
    "bronze",
    "copper",
    "cupronickel",
    "nickel",
    "nickel alloy",
    "carbide",
    "titanium",
)
FILLER_FAMILIES = ("silver", "silver-cadmium", "copper-phosphorus", "brass", "copper")


@dataclass(frozen=True, slots=True)
class Datum:
    """One number in SI with its source."""

    value: float
    source: str
    confidence: str
    low: float | None = None
    high: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Spread:
    """A number that is only known between `low` and `high`; `use` is the one to compute with."""

    low: float
    use: float
    high: float
    source: str
    confidence: str
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Metal:
    """A base metal.

    Attributes
    ----------
    designations : (str, ...)       of standards; each finds this metal
    near : (str, ...)               designations of close relatives; suggested, never taken silently
    family : one of `METAL_FAMILIES`
    density : Datum                 [kg/m3]
    specific_heat : Table           [J/(kg K)], with the heat of any transformation in it
    thermal_conductivity : Table    [W/(m K)]
    expansion : Table               mean from 20 degC [1/K]
    solidus, liquidus : Datum       [K]
    emissivity : {surface: Spread}  total, for each of `SURFACES`
    emissivity_in_air : Table or None   of a surface that goes in bright and scales while it is heated in air
    air_flux_brazing : bool         may be brazed in air with flux
    hardenable : bool               hardens, or loses its hardness, at brazing temperatures
    alternatives : str              other values found, and why not taken
    """

    id: str
    name: str
    designations: tuple[str, ...]
    near: tuple[str, ...]
    family: str
    density: Datum
    specific_heat: Table
    thermal_conductivity: Table
    expansion: Table
    solidus: Datum
    liquidus: Datum
    emissivity: Mapping[str, Spread]
    emissivity_in_air: Table | None
    transformation: str
    cautions: tuple[str, ...]
    air_flux_brazing: bool
    zinc_bearing: bool
    lead_bearing: bool
    hardenable: bool
    alternatives: str
    path: Path


@dataclass(frozen=True, slots=True)
class Filler:
    """A filler metal.

    Attributes
    ----------
    aws, iso : str                  designations in AWS A5.8 and ISO 17672, empty where there is none
    family : one of `FILLER_FAMILIES`
    composition : {element: mass %}
    solidus, liquidus, braze_low, braze_high : float    [K]; brazing range by the standard
    density [kg/m3], heat_of_fusion [J/kg]
    source, confidence : of the melting and brazing ranges
    """

    id: str
    aws: str
    iso: str
    family: str
    composition: Mapping[str, float]
    solidus: float
    liquidus: float
    braze_low: float
    braze_high: float
    density: float
    density_source: str
    density_confidence: str
    heat_of_fusion: float
    heat_of_fusion_source: str
    heat_of_fusion_confidence: str
    cadmium: bool
    phosphorus: bool
    source: str
    confidence: str
    note: str
    path: Path

    @property
    def name(self) -> str:
        """The usual designation: AWS, or ISO where AWS has none, or the id."""
        return self.aws or self.iso or self.id

    @property
    def designations(self) -> tuple[str, ...]:
        """The designations there are."""
        return tuple(d for d in (self.aws, self.iso) if d)

    @property
    def melting_width(self) -> float:
        """From solidus to liquidus [K]."""
        return self.liquidus - self.solidus


@dataclass(frozen=True, slots=True)
class Flux:
    """A brazing flux class.

    Attributes
    ----------
    name : str                      class, for example ``FB3-C``
    active_low, active_high : float     [K]
    suited_families : (str, ...)    of `METAL_FAMILIES`; empty: the source does not say
    furnace_use : bool              False: made for the torch only
    clock_from : float              count its time above this [K]
    warn_after, stop_after : float or None      [s]; None: nobody gives a figure
    """

    id: str
    name: str
    standard: str
    form: str
    active_low: float
    active_high: float
    constituents: str
    suited_text: str
    suited_families: tuple[str, ...]
    furnace_use: bool
    residue: str
    life_test_required: str
    working_life_note: str
    clock_from: float
    warn_after: float | None
    stop_after: float | None
    clock_source: str
    source: str
    confidence: str
    note: str
    path: Path

    @property
    def designations(self) -> tuple[str, ...]:
        """The class name."""
        return (self.name,)


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


@dataclass(frozen=True, slots=True)
class Caution:
    """A safety caution."""

    hazard: str
    text: str
    source: str
    confidence: str
