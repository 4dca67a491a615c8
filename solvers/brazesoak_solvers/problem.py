"""A heat-conduction problem, checked and laid out as flat arrays. `Graph` makes one."""

from __future__ import annotations

from dataclasses import dataclass

from .arrays import Arrays, FloatArray, IntArray, Signals
from .controllers import Change
from .signals import Asked, signals_of


@dataclass(frozen=True, slots=True)
class Problem:
    """A checked problem.

    Attributes
    ----------
    arrays : Arrays                 for the kernels
    initial : float64[n_cell]       initial temperature [K]
    breakpoints : float64[n]        times at which a signal has a kink or a jump [s]
    contact_states : int64[n]       state of each contact at the start, and then of what is discrete in controllers
    view_factors : float64[n_patch, n_patch + 1] or None    of patches, the walls last, as of `exchange.through_walls`
    asked : (Asked, ...)            signals that are functions; all others are tables of `arrays`
    changes : (Change, ...)         corners of the programs of controllers
    """

    arrays: Arrays
    initial: FloatArray
    breakpoints: FloatArray
    contact_states: IntArray
    view_factors: FloatArray | None = None
    asked: tuple[Asked, ...] = ()
    changes: tuple[Change, ...] = ()

    def signals(self, time: float) -> Signals:
        """What the outside does at a time [s]."""
        return signals_of(self.arrays.s, self.asked, self.n_cell, time)

    @property
    def n_cell(self) -> int:
        """Number of cells."""
        return int(self.arrays.V.size)

    @property
    def capacity(self) -> FloatArray:
        """Least heat capacity of each cell [J/K]; 1 where a cell is the memory of a sensor or controller."""
        P = self.arrays
        found: FloatArray = P.V * P.m.least[P.mat]
        return found

    def cell_of(self, sensor: int) -> int:
        """The cell that holds the reading of a sensor of the graph."""
        return self.arrays.n_heat - 1 - sensor

    def clock_of(self, controller: int) -> int | None:
        """The cell that holds the time [s] of a controller's program; None of one that has a constant target."""
        cell = int(self.arrays.c.row["program"][controller])
        return None if cell < 0 else cell
