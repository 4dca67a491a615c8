"""The outside against time: constants, tables, and functions that are asked for every time anew.

Tables (piecewise linear) are what kernels can read by themselves: a march then needs Python only now and then.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from .arrays import FloatArray, IntArray, SignalArrays, Signals
from .errors import ProblemError
from .kernels.signals import signals_at
from .packing import pointer

Table = tuple[ArrayLike, ArrayLike]
Signal = float | Table | Callable[[float], float]
"""A constant, or times [s] and values between which it is linear (it holds its ends, and two equal times make a jump),
or a function of time, which makes a march slower."""
Name = Literal["ambient", "source"]


@dataclass(frozen=True, slots=True)
class Asked:
    """A signal that is a function: which, where in the array of that name, and the function."""

    name: Name
    where: int | IntArray
    function: Callable[[float], ArrayLike]


def add_asked(asked: Sequence[Asked], time: float, signals: Signals) -> None:
    """Complete signals that were filled from the tables with what the functions give at a time."""
    for one in asked:
        if one.name == "source":
            np.add.at(signals.source, one.where, one.function(time))
        else:
            getattr(signals, one.name)[one.where] = one.function(time)


def signals_of(tables: SignalArrays, asked: Sequence[Asked], n_cell: int, time: float) -> Signals:
    """Every signal of a problem at a time [s]."""
    signals = new_signals(tables, asked, n_cell)
    signals_at(tables, time, signals)
    add_asked(asked, time, signals)
    return signals


def new_signals(tables: SignalArrays, asked: Sequence[Asked], n_cell: int) -> Signals:
    """Arrays for the signals of a problem; none for sources where there are none."""
    sources = tables.source_cell.size > 0 or any(one.name == "source" for one in asked)
    return Signals(np.zeros(tables.ambient.size), np.zeros(n_cell if sources else 0))


@dataclass
class SignalBook:
    """Gathers the signals of a graph."""

    asked: list[Asked] = field(default_factory=list)
    _tables: list[tuple[FloatArray, FloatArray]] = field(default_factory=list)
    _ambients: list[int] = field(default_factory=list)
    _sources: list[tuple[IntArray, FloatArray, int]] = field(default_factory=list)

    def add_ambient(self, temperature: Signal) -> None:
        """Add a prescribed temperature [K].

        Raises
        ------
        ProblemError    values that are not finite, times that decrease, a temperature that is not absolute
        """
        if callable(temperature):
            self.asked.append(Asked("ambient", len(self._ambients), temperature))
            temperature = 1.0
        self._ambients.append(self._add(read_table(temperature, "ambient", absolute=True)))

    def add_source(self, cells: IntArray, power: ArrayLike | Table | Callable[[float], ArrayLike]) -> None:
        """Add a source: a table, which holds for each cell, a function, or one value or one for each cell [W]."""
        if callable(power):
            self.asked.append(Asked("source", cells, power))
        elif isinstance(power, tuple):
            self._sources.append((cells, np.ones(cells.size), self._add(read_table(power, "source"))))
        else:
            share = np.broadcast_to(np.asarray(power, float), cells.shape)
            if not np.all(np.isfinite(share)):
                raise ProblemError("source: must be finite")
            self._sources.append((cells, share, self._add(read_table(1.0, "source"))))

    def breakpoints(self) -> FloatArray:
        """Times at which a table has a kink or a jump [s]."""
        return np.unique(np.concatenate([np.zeros(0), *(t for t, _ in self._tables if t.size > 1)]))

    def arrays(self) -> SignalArrays:
        """Lay out for the kernels."""
        none, no = np.zeros(0), np.zeros(0, np.int64)
        return SignalArrays(
            pointer([t.size for t, _ in self._tables]),
            np.concatenate([none, *(t for t, _ in self._tables)]),
            np.concatenate([none, *(v for _, v in self._tables)]),
            np.array(self._ambients, np.int64),
            np.concatenate([no, *(cells for cells, _, _ in self._sources)]),
            np.concatenate([no, *(np.full(cells.size, table, np.int64) for cells, _, table in self._sources)]),
            np.concatenate([none, *(share for _, share, _ in self._sources)]),
        )

    def _add(self, table: tuple[FloatArray, FloatArray]) -> int:
        self._tables.append(table)
        return len(self._tables) - 1


def read_table(signal: float | Table, name: str, absolute: bool = False) -> tuple[FloatArray, FloatArray]:
    """Times and values of a constant or a table; `absolute` for temperatures, which must be positive.

    Raises
    ------
    ProblemError    values that are not finite, times that decrease, a temperature that is not absolute
    """
    if isinstance(signal, tuple):
        t, v = (np.atleast_1d(np.asarray(x, float)) for x in signal)
    else:
        t, v = np.zeros(1), np.array([float(signal)])
    if t.shape != v.shape or t.ndim != 1 or t.size == 0 or np.any(np.diff(t) < 0.0):
        raise ProblemError(f"{name}: needs as many values as times, and times that do not decrease")
    if not (np.all(np.isfinite(t)) and np.all(np.isfinite(v))):
        raise ProblemError(f"{name}: times and values must be finite")
    if absolute and np.any(v <= 0.0):
        raise ProblemError(f"{name}: temperatures are absolute and must be positive")
    return t, v
