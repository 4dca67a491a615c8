"""How to march, what switches on the way, and what one step of a march is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .arrays import FloatArray, IntArray
from .errors import ProblemError
from .kernels.properties import temperatures
from .probes import Probe
from .problem import Problem


@dataclass(frozen=True, slots=True)
class Options:
    """How to march.

    tolerance : float       allowed error of any temperature in one step, as estimated before it is taken out [K]
    first : float           first step, also after a switch [s]
    largest : float         largest step [s]
    smallest : float        a step that must be shorter than this has failed [s]
    fixed : float or None   march with this step instead, without error control [s]; the tolerance then only bounds
        what Newton's method leaves, a fiftieth of it in each stage; after a jump, steps with a
        Fourier number above about 5 may overshoot once, by a fifth of the jump at most
    third_order : bool or None  take the estimated error of each step out of it; None: where the error is controlled.
        Fixed steps without it keep within bounds up to a Fourier number of 1
    """

    tolerance: float = 0.05
    first: float = 0.1
    largest: float = np.inf
    smallest: float = 1e-7
    fixed: float | None = None
    third_order: bool | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be marched with."""
        values = (self.tolerance, self.first, self.largest, self.smallest, 1.0 if self.fixed is None else self.fixed)
        if not all(v > 0.0 for v in values) or self.tolerance == np.inf:
            raise ProblemError("tolerance and steps must be positive, and the tolerance finite")


@dataclass(frozen=True, slots=True)
class Switch:
    """A contact that takes `state` when a probe passes `threshold` [K], upwards or downwards.

    Each acts once, or, with `after`, whenever its contact is in that state and the probe has passed. A joint that melts
    and freezes is three of them: dry to filled, filled to solid, solid to filled; none leads back to dry.
    """

    probe: Probe
    threshold: float
    contact: int
    state: int
    upwards: bool = True
    after: int | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One accepted step, with the temperature at any time inside it.

    start, end : float                  [s]
    heat : float                        heat that entered from outside during the step [J]
    H0, H1, rate0, rate1 : float64[n_cell]   enthalpy [J/m3] and its rate [W/m3] at both ends
    T : float64[n_cell]                 temperature at the end [K]
    where : int64[n_cell]               interval of each cell's material at the end, from which to search
    states : int64[n_contact]           state of each contact during the step
    switched : (int, ...)               switches that act at the end, by their place among those given
    error : float                       estimated error of temperature [K]
    newton, linear : int                iterations
    """

    problem: Problem
    start: float
    end: float
    heat: float
    H0: FloatArray
    H1: FloatArray
    rate0: FloatArray
    rate1: FloatArray
    T: FloatArray
    where: IntArray
    states: IntArray
    switched: tuple[int, ...]
    error: float
    newton: int
    linear: int

    def temperature(self, time: float) -> FloatArray:
        """Temperature of every cell [K] at a time inside the step: cubic in enthalpy."""
        h = self.end - self.start
        s = min(max((time - self.start) / h, 0.0), 1.0)
        H = (
            (1.0 + 2.0 * s) * (1.0 - s) ** 2 * self.H0
            + s * (1.0 - s) ** 2 * h * self.rate0
            + s * s * (3.0 - 2.0 * s) * self.H1
            + s * s * (s - 1.0) * h * self.rate1
        )
        P = self.problem.arrays
        T = np.empty_like(H)
        temperatures(P.m, P.mat, H, self.where, T)
        return T
