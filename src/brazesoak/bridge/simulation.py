"""One heat as computed: what was read at which time, and when every place passed every temperature. SI."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .cells import FloatArray, Grid
from .discretise import Discrete

Finish = Callable[[float, float], float]
"""(clock start, last passing of a target) -> end of the hold [s]."""
Progress = Callable[[str, float], None]
"""Called with what is being done and how much of it is done, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Passed:
    """When a joint's coldest point first passed each temperature [s]."""

    solidus: float | None
    liquidus: float | None
    target: float | None


@dataclass(frozen=True, slots=True)
class Field:
    """Temperature of every cell of a plane through the load [K], float64[nx, ny], at one time [s]."""

    grid: Grid
    temperature: FloatArray
    time: float


@dataclass(frozen=True, slots=True)
class Simulation:
    """One heat, computed.

    Attributes
    ----------
    time : float64[n_time]                          [s]
    coldest, hottest : float64[n_body, n_time]      [K]
    joint, warm : float64[n_joint, n_time]          coldest and hottest point of each joint [K]
    spots : float64[n_spot, n_time]                 places for a thermocouple, as in `Discrete.spots` [K]
    sensor, program : float64[n_time]               what the furnace shows and what it was asked for [K]
    joints : (Passed, ...);  bodies : ((solidus, liquidus), ...)   passings [s]
    clock_start, hold_end : float                   [s]
    joints_solid, safe_to_open, safe_to_handle : float or None      on cooling [s]
    cooling_rates : (float or None, ...)    of each body, from 700 to 500 degC [K/s]
    door_heat : float               lost while the door of a hot furnace stood open, part of loss_heat [J]
    load_heat, chamber_heat, shelf_heat, lining_heat, loss_heat, heater_heat : float    to the end of the hold [J]
    waited : float                                  how long the program waited for the furnace [s]
    balance_error : float                           relative to the heat exchanged
    """

    time: FloatArray
    coldest: FloatArray
    hottest: FloatArray
    joint: FloatArray
    warm: FloatArray
    spots: FloatArray
    sensor: FloatArray
    program: FloatArray
    joints: tuple[Passed, ...]
    bodies: tuple[tuple[float | None, float | None], ...]
    clock_start: float
    hold_end: float
    joints_solid: float | None
    safe_to_open: float | None
    safe_to_handle: float | None
    cooling_rates: tuple[float | None, ...]
    load_heat: float
    chamber_heat: float
    shelf_heat: float
    lining_heat: float
    loss_heat: float
    heater_heat: float
    door_heat: float
    balance_error: float
    n_cell: int
    n_step: int
    field: Field | None
    discrete: Discrete
    waited: float = 0.0

    @property
    def overshoot(self) -> float:
        """How far the display goes past the highest temperature it was asked for, to the end of the hold [K]."""
        heating = self.time <= self.hold_end
        return max(float(np.max(self.sensor[heating]) - np.max(self.program[heating])), 0.0)

    @property
    def last_target(self) -> float:
        """When the slowest joint passed its target [s]."""
        return max(p.target for p in self.joints if p.target is not None)
