"""Controllers of a problem: what they heat and sense, the program they follow, and the memory that they have.

The memory (integral, filtered measurement, program time) is cells without heat that stand behind all others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

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
class Controller:
    """A controller as given.

    cell, sensed : int          what it heats and what it senses
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
    """Controllers laid out.

    arrays : ControlArrays
    memory : [float]        initial value of every cell of memory
    states : [int]          initial discrete states
    changes : [Change]      corners of the programs
    """

    arrays: ControlArrays
    memory: list[float] = field(default_factory=list)
    states: list[int] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)

    @property
    def border(self) -> IntArray:
        """Cells that belong to the border, -1 among them."""
        row = self.arrays.row
        return np.concatenate([row[n] for n in ("cell", "sensed", "integral", "filtered", "program")])


def lay_out(controllers: Sequence[Controller], start: FloatArray, n_contact: int) -> Layout:
    """Lay out controllers on a problem of `start.size` cells at these temperatures, with `n_contact` contacts."""
    n_cell = start.size
    tables = [_table(c.target) for c in controllers]
    first = np.concatenate([[0], np.cumsum([t.size for t, _ in tables])]).astype(np.int64)
    t, v = (np.concatenate([np.zeros(0), *(table[i] for table in tables)]) for i in (0, 1))
    slope = np.concatenate([np.zeros(0), *(_slopes(*table) for table in tables)])
    row = np.zeros(len(controllers), ROW).view(np.recarray)
    found = Layout(ControlArrays(row, t, v, slope))
    memory, states = found.memory, found.states
    for c, r, begin, (time, value) in zip(controllers, row, first, tables, strict=False):
        r.cell, r.sensed, r.maximum, r.feed, r.gain, r.first = c.cell, c.sensed, c.maximum, c.feed, c.gain, begin
        r.integral_time, r.derivative_time, r.band = c.integral_time, c.derivative_time, c.holdback
        r.integral = r.filtered = r.program = r.piece = r.relay = -1
        if np.isfinite(c.integral_time):
            r.integral = n_cell + len(memory)
            memory.append(0.0)
        if c.derivative_time > 0.0:
            r.filtered = n_cell + len(memory)
            memory.append(float(start[c.sensed]))
        piece = int(np.flatnonzero(time <= 0.0)[-1])
        if time.size > 1:
            r.program, r.piece = n_cell + len(memory), n_contact + len(states)
            memory.append(0.0)
            states.append(piece)
            corners = {float(x): i for i, x in enumerate(time) if x > 0.0}  # of equal times the last
            found.changes += [Change(int(r.program), x, int(r.piece), i) for x, i in corners.items()]
        if c.hysteresis is not None:
            r.relay, r.hysteresis = n_contact + len(states), c.hysteresis
            states.append(int(start[c.sensed] < value[piece]))
    return found


def _table(target: Target) -> tuple[FloatArray, FloatArray]:
    """Corners of a program, from time 0 on."""
    t, v = read_table(target, "target", absolute=True)
    return (np.insert(t, 0, 0.0), np.insert(v, 0, v[0])) if t[0] > 0.0 else (t, v)


def _slopes(t: FloatArray, v: FloatArray) -> FloatArray:
    """Slope after each corner [K/s]; none after the last, nor within a jump."""
    rise, run = np.diff(v), np.diff(t)
    return np.append(np.divide(rise, run, out=np.zeros_like(rise), where=run > 0.0), 0.0)
