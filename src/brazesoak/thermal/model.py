"""The thermal model of a job in SI: bodies, contacts, surroundings. Knows no units, no files and no grid."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .furnace import Surroundings
from .joints import Gas, dry_conductance, filled_conductance
from .layout import Layout
from .neighbours import Neighbours
from .support import Support

if TYPE_CHECKING:
    from ..bridge.placement import Placement
    from ..parts.assembly import Assembly, Segment
    from ..trade.records import Spread

FloatArray = NDArray[np.float64]
Curve = tuple[FloatArray, FloatArray]


@dataclass(frozen=True, slots=True)
class Body:
    """A segment as the heat sees it.

    capacity, conductivity : (float64[n] [K], float64[n])   rho cp [J/(m3 K)] and k [W/(m K)]
    emissivity : Curve      against surface temperature [K]
    volume [m3], exposed_area [m2], thickest_section [m]
    """

    name: str
    capacity: Curve
    conductivity: Curve
    emissivity: Curve
    volume: float
    exposed_area: float
    thickest_section: float


@dataclass(frozen=True, slots=True)
class Contact:
    """A joint between two bodies as the heat sees it.

    bodies : (int, int);  area [m2];  dry, filled : Curve of conductance [W/(m2 K)]
    solidus, liquidus, target : float [K]
    """

    name: str
    bodies: tuple[int, int]
    area: float
    dry: Curve
    filled: Curve
    solidus: float
    liquidus: float
    target: float


@dataclass(frozen=True, slots=True)
class ThermalModel:
    """Everything that decides the temperatures of a heat.

    start : float       temperature of the load, and of a furnace loaded cold [K]
    layout : Layout or None     a section that represents the assembly, where there is one
    placement : Placement or None   where its parts lie in space, where that is known
    shade : bool        a solid's parts radiate to each other and shade each other
    support : Support or None   the shelf below it; None: every face sees the furnace
    neighbours : Neighbours or None     copies of it in the same heat; None: it is alone
    door_open : float   the door of a hot furnace stands open so long while the load goes in [s]
    cooling : ``shut``, ``ajar`` or ``still air``   once it may be opened
    """

    bodies: tuple[Body, ...]
    contacts: tuple[Contact, ...]
    surroundings: Surroundings
    start: float
    layout: Layout | None
    placement: Placement | None = None
    shade: bool = True
    support: Support | None = None
    door_open: float = 0.0
    cooling: str = "shut"
    neighbours: Neighbours | None = None

    @property
    def copies(self) -> int:
        """How many of the load are in the heat."""
        return 1 if self.neighbours is None else self.neighbours.copies

    @property
    def seen_area(self) -> float:
        """Surface of all copies that sees the furnace [m2]."""
        hidden = 0.0 if self.neighbours is None else self.neighbours.hidden
        return self.copies * (sum(b.exposed_area for b in self.bodies) - hidden)


@dataclass(frozen=True, slots=True)
class Inputs:
    """The uncertain inputs of a model, at their use values unless said otherwise.

    film : float                        convection [W/(m2 K)]
    emissivity : ((str, float), ...)    where each group of like surfaces lies between low (-1), use (0), high (1)
    gap_factor : float                  wider or narrower gaps
    capacity_factor : float             heavier or lighter parts, more or less heat for each kelvin
    offset : float                      true furnace temperature less what its sensor shows [K]
    conductivity_factor : float         of every metal alike
    """

    film: float
    emissivity: tuple[tuple[str, float], ...] = ()
    gap_factor: float = 1.0
    capacity_factor: float = 1.0
    offset: float = 0.0
    conductivity_factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Targets:
    """Target of each joint [K]."""

    temperatures: tuple[float, ...]


def thermal_model(
    assembly: Assembly,
    targets: Targets,
    surroundings: Surroundings,
    inputs: Inputs,
    start: float,
    gas: Gas,
    layout: Layout | None,
    placement: Placement | None = None,
    support: Support | None = None,
) -> ThermalModel:
    """The thermal model of an assembly with the uncertain inputs as given. `start` is the load's temperature [K]."""
    where = dict(inputs.emissivity)
    bodies = tuple(_body(s, where.get(surface_group(s), 0.0), inputs) for s in assembly.segments)
    contacts = []
    for joint, target in zip(assembly.joints, targets.temperatures, strict=True):
        gap = joint.gap * inputs.gap_factor
        at_heat = [float(np.interp(joint.filler.liquidus, *bodies[i].emissivity)) for i in joint.segments]
        dry = dry_conductance(gap, gas, at_heat[0], at_heat[1], joint.flux.active_low)
        filler = joint.filler
        contacts.append(
            Contact(
                joint.name, joint.segments, joint.area, dry, filled_conductance(gap),
                filler.solidus, filler.liquidus, target,
            )
        )  # fmt: skip
    outside = replace(surroundings, film=inputs.film, offset=surroundings.offset + inputs.offset)
    return ThermalModel(bodies, tuple(contacts), outside, start, layout, placement, support=support)


def _body(segment: Segment, where: float, inputs: Inputs) -> Body:
    metal = segment.metal
    T, cp = metal.specific_heat.nodes()
    Tk, k = metal.thermal_conductivity.nodes()
    emissivity = emissivity_curve(segment, where)
    exposed = segment.exposed_area - segment.bore_area
    if segment.bore_area > 0.0:
        at_heat = float(np.interp(_AT_HEAT, *emissivity))
        exposed += _cavity(segment.bore_area, segment.bore_opening, segment.shape.bore, at_heat)
    return Body(
        segment.name,
        (T, cp * metal.density.value * inputs.capacity_factor),
        (Tk, k * inputs.conductivity_factor),
        emissivity,
        segment.volume,
        exposed,
        segment.shape.thickest_section,
    )


_AT_HEAT = 900.0
"""Temperature at which a bore's emissivity is taken [K]: where most of the time is spent."""


def _cavity(wall: float, opening: float, diameter: float, emissivity: float) -> float:
    """Area of open surface [m2] that takes up as much as a bore does through its ends.

    A grey cavity of one temperature seen through its opening; what enters at one end and leaves at the other is
    lost to it. Never more than the wall itself. Source: Incropera and DeWitt, section 13.3, the two-surface
    enclosure with a black opening, and table 13.2, coaxial parallel discs (recalled).
    """
    if opening <= 0.0:
        return 0.0
    S = 2.0 + (2.0 * wall / (np.pi * diameter**2)) ** 2  # 2 + (length over radius) squared
    seen = opening * (1.0 - 0.5 * (S - float(np.sqrt(S * S - 4.0))))
    return 1.0 / (emissivity / seen + (1.0 - emissivity) / wall)


def surface_group(segment: Segment) -> str:
    """Segments of one metal and one surface condition are uncertain together."""
    surface = segment.surface if isinstance(segment.surface, str) else f"emissivity {segment.surface:g}"
    name = segment.metal.name
    # A word loses its capital within a sentence; a symbol such as Ni-Cr-Fe keeps it.
    return f"{surface} {name if _SYMBOL.match(name) else name[:1].lower() + name[1:]}"


_SYMBOL = re.compile(r"[A-Z][a-z]?(?![a-z])")


def emissivity_curve(segment: Segment, where: float) -> Curve:
    """Emissivity against temperature [K], between its low (-1), use (0) and high (1) values.

    A bright steel darkens as it heats in air where the data say so: its spread then goes from that of the
    bright to that of the oxidised surface.
    """
    metal, surface = segment.metal, segment.surface
    if not isinstance(surface, str):
        return _CONSTANT, np.full(2, surface)
    spread = metal.emissivity[surface]
    if surface != "bright" or metal.emissivity_in_air is None:
        return _CONSTANT, np.full(2, _between(spread, where))
    T, use = metal.emissivity_in_air.nodes()
    dark = metal.emissivity["oxidised"]
    share = (use - use.min()) / max(use.max() - use.min(), 1e-12)
    ratio = (1.0 - share) * _between(spread, where) / spread.use + share * _between(dark, where) / dark.use
    return T, np.clip(use * ratio, 0.02, 1.0)


_CONSTANT = np.array([250.0, 1500.0])


def _between(spread: Spread, where: float) -> float:
    end = spread.high if where > 0.0 else spread.low
    return spread.use + abs(where) * (end - spread.use)
