"""The heat itself: program, histories, cooling, energy."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .arrays import FloatArray


@dataclass(frozen=True, slots=True)
class FidelityRow:
    """One fidelity of the same job, for the table side by side."""

    fidelity: str
    cells: int
    hold_time_nominal: float
    ruling_joint: str
    passes_target: dict[str, float | None]
    """By joint name [s]."""
    energy_balance_error: float
    time_error: float
    """[s]"""
    wall_time: float
    """Spent computing [s]."""


@dataclass(frozen=True, slots=True)
class ProgramStep:
    """One line of the furnace program to be set, in order."""

    action: str
    """``ramp``, ``hold`` or ``off``."""
    temperature: float | None
    """[K]"""
    rate: float | None
    """[K/s]; None: as fast as the furnace can."""
    duration: float | None
    """[s]"""
    note: str = ""
    takes: float | None = None
    """Of a ramp: from its begin until the display comes within the clock's band of its end, as computed [s]; None: not
    told, or not in this heat."""


@dataclass(frozen=True, slots=True)
class Histories:
    """Temperatures against time, for figures and files. All temperatures in kelvin."""

    time: FloatArray
    """float64[n_time] [s]"""
    program: FloatArray
    """float64[n_time]: what the program asks for (the set-point during the hold)."""
    sensor: FloatArray
    """float64[n_time]: what the furnace's own sensor shows."""
    segment_coldest: FloatArray
    """float64[n_segment, n_time]"""
    segment_hottest: FloatArray
    """float64[n_segment, n_time]"""
    joint_coldest: FloatArray
    """float64[n_joint, n_time]"""


@dataclass(frozen=True, slots=True)
class Section:
    """A temperature field of a 2-D section at one time, for a picture. None for a network."""

    kind: str
    """``axisymmetric`` (x is the radius, y the axis) or ``plane`` or ``stack`` (one cell wide)."""
    x_edges: FloatArray
    """float64[nx + 1] [m]"""
    y_edges: FloatArray
    """float64[ny + 1] [m]"""
    segment: NDArray[np.int64]
    """int64[nx, ny]: index of the segment, -1 where there is none."""
    temperature: FloatArray
    """float64[nx, ny] [K], NaN where there is no segment."""
    time: float
    """[s]"""


@dataclass(frozen=True, slots=True)
class Cooling:
    """The way down after the hold."""

    how: str
    """Once everything is below the opening temperature: door ``shut``, ``ajar``, or load in ``still air``."""
    safe_to_handle: float | None
    """Everything below 60 degC, with gloves [s]; None: not within four days."""
    rates: tuple[tuple[str, float | None], ...]
    """By segment, from 700 degC (or where it began) to 500 degC [K/s]; None: it was below."""
    may_quench: bool
    quench: str
    """Why, or why not, one sentence."""


@dataclass(frozen=True, slots=True)
class Energy:
    """Where the heat went, from the start to the end of the recommended hold [J]."""

    load: float
    """Taken up by the segments."""
    chamber: float
    """Taken up by the furnace's own mass inside its lining, or in all where it is one lump; 0 for an ideal furnace."""
    lining: float
    """Taken up by the lining in layers; 0 for an ideal furnace and for one that is one lump."""
    losses: float
    """Lost to the room; 0 for an ideal furnace."""
    heater: float | None
    """Given by the heater; None for an ideal furnace, whose surroundings are prescribed."""
    cost: float | None = None
    """Of what the heater gives, in the money of the job; None without a price or a heater."""
    shelf: float = 0.0
    """Taken up by the shelf below the load; 0 where there is none."""
    door: float = 0.0
    """Of the losses, while the door of a hot furnace stood open."""
