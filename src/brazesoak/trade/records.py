"""What the library holds, in SI: kelvin, metre, second, kilogram, watt. Every datum has its source.

Confidence is one of `CONFIDENCES`: ``published`` was read in the source, a reprint of it or public code
citing the clause; ``memory`` was recalled or extrapolated and is to be confirmed there; ``practice`` is
common practice without source; ``derived`` was computed from stated inputs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

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


@dataclass(frozen=True, slots=True)
class Caution:
    """A safety caution; `short`: in one line, hazard and what to do."""

    hazard: str
    short: str
    text: str
    source: str
    confidence: str
