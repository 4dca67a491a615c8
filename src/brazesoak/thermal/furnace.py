"""The furnace program as a curve of wanted temperature, and the furnace as the load sees it. SI throughout."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .control import Controller, proportional

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stage:
    """Go to a temperature [K] at a rate [K/s] (None: as fast as can be), then hold [s]."""

    to: float
    rate: float | None
    hold: float


@dataclass(frozen=True, slots=True)
class Profile:
    """Wanted temperature against time, linear between corners; the last one is held.

    time, temperature : float64[n]      corners [s], [K]; two at one time make a jump
    """

    time: FloatArray
    temperature: FloatArray

    def at(self, t: float | FloatArray) -> FloatArray:
        """Wanted temperature at a time or many [K]; at a jump the new one."""
        i = np.searchsorted(self.time, t, side="right")
        low, high = np.maximum(i - 1, 0), np.minimum(i, self.time.size - 1)
        begin, span = self.time[low], self.time[high] - self.time[low]
        share = np.divide(t - begin, span, out=np.zeros(np.shape(t)), where=span > 0.0)
        return np.asarray(self.temperature[low] + (self.temperature[high] - self.temperature[low]) * share)

    def passes(self, level: float) -> float:
        """When it first comes to `level` [s]; where it never does, its last corner."""
        time, temperature = self.time, self.temperature
        for i in range(time.size):
            if temperature[i] >= level:
                if i == 0 or time[i] == time[i - 1]:
                    return float(time[i])
                share = (level - temperature[i - 1]) / (temperature[i] - temperature[i - 1])
                return float(time[i - 1] + share * (time[i] - time[i - 1]))
        return float(time[-1])

    @property
    def set_point(self) -> float:
        """The temperature that is held in the end [K]."""
        return float(self.temperature[-1])


def profile(start: float, stages: tuple[Stage, ...], hot: bool) -> Profile:
    """The curve of a program that begins at `start` [K]; loaded hot, the furnace stands at the set-point at once."""
    if hot:
        return Profile(np.array([0.0]), np.array([stages[-1].to]))
    time, temperature = [0.0], [start]
    for stage in stages:
        ramp = 0.0 if stage.rate is None else abs(stage.to - temperature[-1]) / stage.rate
        time.append(time[-1] + ramp)
        temperature.append(stage.to)
        if stage.hold > 0.0:
            time.append(time[-1] + stage.hold)
            temperature.append(stage.to)
    return Profile(np.array(time), np.array(temperature))


Curve = tuple[FloatArray, FloatArray]


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """A layer of a furnace's lining.

    thickness [m];  capacity, conductivity : (float64[n] [K], float64[n])   rho cp [J/(m3 K)] and k [W/(m K)]
    """

    thickness: float
    capacity: Curve
    conductivity: Curve


EDGE, CORNER = 0.54, 0.15
"""Shape factors of an edge, per length, and of a corner, per thickness: I. Langmuir, E. Q. Adams and G. S. Meikle,
Trans. Am. Electrochem. Soc. 24 (1913) 53 (recalled); also Incropera and DeWitt, table 4.1 (recalled)."""


@dataclass(frozen=True, slots=True, eq=False)
class Lining:
    """What surrounds a cubic chamber, from the inside out.

    inside : float          edge of the cube inside the lining [m]
    layers : (Layer, ...)   from the hot face outwards
    outer_film : float      convection and radiation from the case to the room [W/(m2 K)]
    case_heat_capacity : float      of the sheet and frame around it [J/K]
    """

    inside: float
    layers: tuple[Layer, ...]
    outer_film: float
    case_heat_capacity: float

    @property
    def thickness(self) -> float:
        """Of all layers [m]."""
        return sum(layer.thickness for layer in self.layers)

    @property
    def hot_face(self) -> float:
        """Area of the hot face [m2]."""
        return 6.0 * self.inside**2

    @property
    def case_area(self) -> float:
        """Area of the case [m2]."""
        return 6.0 * (self.inside + 2.0 * self.thickness) ** 2

    def path(self, depth: FloatArray) -> FloatArray:
        """Thickness over area of what lies above `depth` from the hot face [1/m]: the reciprocal shape factor of six
        walls, twelve edges and eight corners."""
        walls, edges, corners = self.hot_face, 12.0 * EDGE * self.inside, 8.0 * CORNER
        return np.asarray(depth / (walls + edges * depth + corners * depth**2))

    def tube(self, depth: FloatArray) -> FloatArray:
        """Area that the heat crosses at `depth` from the hot face [m2]: `path` is the integral of dx over it."""
        walls, edges, corners = self.hot_face, 12.0 * EDGE * self.inside, 8.0 * CORNER
        return np.asarray((walls + edges * depth + corners * depth**2) ** 2 / (walls - corners * depth**2))


@dataclass(frozen=True, slots=True)
class Piece:
    """A thing of one temperature in the chamber: the elements, a baffle.

    heat_capacity [J/K];  area : surface that sees the hot face and the air [m2];  emissivity
    """

    name: str
    heat_capacity: float
    area: float
    emissivity: float


@dataclass(frozen=True, slots=True)
class Shelf:
    """The shelf that the load stands on or above: thickness [m], area of one face [m2], rho cp, k, emissivity."""

    thickness: float
    area: float
    capacity: float
    conductivity: float
    emissivity: float


@dataclass(frozen=True, slots=True, eq=False)
class Interior:
    """A chamber in bodies: what the lump of elements, air and wall is where a furnace tells of each.

    elements : Piece            the power enters there
    pieces : (Piece, ...)       hearth, baffle
    air_heat_capacity : float   [J/K]
    air_leak : float            heat that the air exchanged through vent and door carries off [W/K]
    """

    lining: Lining
    elements: Piece
    pieces: tuple[Piece, ...]
    air_heat_capacity: float
    air_leak: float
    shelf: Shelf | None = None

    @property
    def area(self) -> float:
        """Of everything inside that sees the hot face [m2]."""
        shelf = 0.0 if self.shelf is None else 2.0 * self.shelf.area
        return self.elements.area + shelf + sum(p.area for p in self.pieces)


@dataclass(frozen=True, slots=True)
class Chamber:
    """A furnace with mass and limited power.

    power [W], heat_capacity [J/K], loss_conductance [W/K] to the room, wall_area [m2], wall_emissivity,
    sensor_time_constant [s], control_band [K]: full power below the wanted temperature by this much

    With an interior, heat_capacity is not used, and loss_conductance is that of door gap, terminals and bridges, which
    the hot face loses; without one, both are of the whole furnace as one lump.
    """

    power: float
    heat_capacity: float
    loss_conductance: float
    wall_area: float
    wall_emissivity: float
    sensor_time_constant: float
    control_band: float
    interior: Interior | None = None
    control: Controller | None = None

    @property
    def controller(self) -> Controller:
        """How it follows its program: in proportion, by a sensor at the walls, unless told otherwise."""
        return self.control or proportional(self.control_band, self.sensor_time_constant)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the load sees.

    Attributes
    ----------
    profile : Profile
    film : float            convection [W/(m2 K)]
    chamber : Chamber or None   None: walls and gas follow the profile exactly, black and large
    clock_band : float      the hold clock starts when the sensor is within this of the set-point [K]
    room : float            [K]
    offset : float          true temperature less what the sensor shows [K]
    """

    profile: Profile
    film: float
    chamber: Chamber | None
    clock_band: float
    room: float
    offset: float = 0.0

    @property
    def loaded_hot(self) -> bool:
        """Whether the furnace stands at its set-point at the start: its program is one temperature only."""
        return self.profile.time.size == 1
