"""Sensors and controllers of a problem: what they sense and heat, the program they follow, their memory.

The memory (reading of a sensor, integral, filtered measurement, program time) is cells without heat that stand behind
all others, those of the sensors first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from .arrays import ControlArrays, FloatArray, IntArray
from .errors import ProblemError
from .signals import Table, read_table

Target = float | Table
"""A constant [K], or times [s] of a program and temperatures [K]; two equal times make a jump; the last one holds."""

ROW = np.dtype(
    [
        *((name, np.int64) for name in ("cell", "sensed", "integral", "filtered", "program", "first", "piece")),
        *((name, np.int64) for name in ("feed", "relay")),
        *((name, np.float64) for name in ("gain", "maximum", "integral_time", "derivative_time", "band", "hysteresis")),
    ]
)
"""One controller as the kernels see it; -1 for a cell, a state or a curve that it does not have."""


@dataclass(frozen=True, slots=True)
class Sensor:
    """What reads the mean of some cells, late, and takes no heat from them.

    cells : int64[n];  share : float64[n]       they sum to 1
    lag : float         time constant [s]
    """

    cells: IntArray
    share: FloatArray
    lag: float

    @staticmethod
    def of(cells: ArrayLike, weights: ArrayLike, lag: float) -> Sensor:
        """A sensor of cells that count by `weights`."""
        where = np.atleast_1d(np.asarray(cells, np.int64))
        weight = np.broadcast_to(np.asarray(weights, float), where.shape)
        if where.size == 0 or not (np.all(weight >= 0.0) and np.sum(weight) > 0.0):
            raise ProblemError("a sensor needs cells, and weights that are not negative and not all zero")
        if not 0.0 < lag < np.inf:
            raise ProblemError("a sensor needs a positive time constant")
        return Sensor(where, weight / np.sum(weight), lag)


@dataclass(frozen=True, slots=True)
class Controller:
    """A controller as given.

    cell, sensed : int          cell that it heats; cell that it senses, or a sensor: -1 the first, -2 the second
    maximum : float             [W]
    target : Target
    holdback : float            the program waits while the target is so far above what is sensed [K]
    gain : float                [W/K]; not of a relay
    integral_time, derivative_time : float      [s]; infinite and 0 for none
    feed : int                  curve of the power given at no deviation against the target
    hysteresis : float or None  a relay: on below the target by this much, off above it by this much [K]
    """

    cell: int
    sensed: int
    maximum: float
    target: Target
    holdback: float
    gain: float = 0.0
    integral_time: float = np.inf
    derivative_time: float = 0.0
    feed: int = -1
    hysteresis: float | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot control."""
        if not (self.maximum > 0.0 and self.holdback > 0.0 and self.integral_time > 0.0):
            raise ProblemError("a controller needs a positive maximum power, integral time and holdback")
        if self.derivative_time < 0.0:
            raise ProblemError("the derivative time of a controller must not be negative")
        if self.hysteresis is None and not self.gain > 0.0:
            raise ProblemError("a controller needs a positive gain")
        if self.hysteresis is not None and not self.hysteresis > 0.0:
            raise ProblemError("a relay needs a positive hysteresis")


@dataclass(frozen=True, slots=True)
class Change:
    """A state of a controller that changes when a cell passes a level upwards: cell, level, place and new state."""

    cell: int
    level: float
    place: int
    state: int


@dataclass
class Layout:
    """Sensors and controllers laid out.

    n_heat : int            cells before the memory
    arrays : ControlArrays
    memory : [float]        initial value of every cell of memory
    states : [int]          initial discrete states
    changes : [Change]      corners of the programs
    """

    n_heat: int
    arrays: ControlArrays
    memory: list[float] = field(default_factory=list)
    states: list[int] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)

    @property
    def border(self) -> IntArray:
        """Cells that belong to the border, -1 among them."""
        row, n_heat = self.arrays.row, self.n_heat
        sensors = np.arange(n_heat, n_heat + self.arrays.lag.size)
        return np.concatenate([sensors, *(row[n] for n in ("cell", "sensed", "integral", "filtered", "program"))])


def lay_out(sensors: Sequence[Sensor], controllers: Sequence[Controller], start: FloatArray, n_contact: int) -> Layout:
    """Lay out what senses and controls a problem of `start.size` cells at these temperatures, with so many contacts."""
    n_cell = start.size
    reading = [float(s.share @ start[s.cells]) for s in sensors]
    shown = np.concatenate([start, reading])
    tables = [_table(c.target) for c in controllers]
    first = np.concatenate([[0], np.cumsum([t.size for t, _ in tables])]).astype(np.int64)
    t, v = (np.concatenate([np.zeros(0), *(table[i] for table in tables)]) for i in (0, 1))
    slope = np.concatenate([np.zeros(0), *(_slopes(*table) for table in tables)])
    row = np.zeros(len(controllers), ROW).view(np.recarray)
    ptr = np.concatenate([[0], np.cumsum([s.cells.size for s in sensors])]).astype(np.int64)
    place = np.concatenate([np.zeros(0, np.int64), *(s.cells for s in sensors)])
    share = np.concatenate([np.zeros(0), *(s.share for s in sensors)])
    lag = np.array([s.lag for s in sensors], float)
    found = Layout(n_cell, ControlArrays(row, t, v, slope, ptr, place, share, lag), reading)
    memory, states = found.memory, found.states
    for c, r, begin, (time, value) in zip(controllers, row, first, tables, strict=False):
        r.cell, r.maximum, r.feed, r.gain, r.first = c.cell, c.maximum, c.feed, c.gain, begin
        r.sensed = c.sensed if c.sensed >= 0 else n_cell - 1 - c.sensed
        r.integral_time, r.derivative_time, r.band = c.integral_time, c.derivative_time, c.holdback
        r.integral = r.filtered = r.program = r.piece = r.relay = -1
        if np.isfinite(c.integral_time):
            r.integral = n_cell + len(memory)
            memory.append(0.0)
        if c.derivative_time > 0.0:
            r.filtered = n_cell + len(memory)
            memory.append(float(shown[r.sensed]))
        piece = int(np.flatnonzero(time <= 0.0)[-1])
        if time.size > 1:
            r.program, r.piece = n_cell + len(memory), n_contact + len(states)
            memory.append(0.0)
            states.append(piece)
            corners = {float(x): i for i, x in enumerate(time) if x > 0.0}  # of equal times the last
            found.changes += [Change(int(r.program), x, int(r.piece), i) for x, i in corners.items()]
        if c.hysteresis is not None:
            r.relay, r.hysteresis = n_contact + len(states), c.hysteresis
            states.append(int(shown[r.sensed] < value[piece]))
    return found


def _table(target: Target) -> tuple[FloatArray, FloatArray]:
    """Corners of a program, from time 0 on."""
    t, v = read_table(target, "target", absolute=True)
    return (np.insert(t, 0, 0.0), np.insert(v, 0, v[0])) if t[0] > 0.0 else (t, v)


def _slopes(t: FloatArray, v: FloatArray) -> FloatArray:
    """Slope after each corner [K/s]; none after the last, nor within a jump."""
    rise, run = np.diff(v), np.diff(t)
    return np.append(np.divide(rise, run, out=np.zeros_like(rise), where=run > 0.0), 0.0)
