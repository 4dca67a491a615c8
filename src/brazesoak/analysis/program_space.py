"""The programs among which the shortest is sought: two ramps, where and how long to even out between, the set-point.

A program is a point of the unit cube; every value is rounded to what a controller takes, so that what is found is what
is set.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..programs import Leg, Program
from .hold import MINUTE
from .settings import BELOW_SOLIDUS, SET_POINT_BAND, targets_at
from .trial import FASTEST_IDEAL, Trial

SLOWEST, FASTEST = 2.0 / 60.0, 60.0 / 60.0
"""Ramps tried [K/s]; the fastest is full power in a furnace of limited power. Chosen here, no source."""
LOWEST = 300.0 + ZERO_CELSIUS
"""Nobody evens out below this [K]. Chosen here, no source."""
UNDER_SOLIDUS = 20.0
"""Nor closer to the lowest solidus of the fillers [K]. Chosen here, no source."""
LONGEST = 90 * MINUTE
"""Nor for longer [s]."""
RAMP_STEP, TEMPERATURE_STEP = 0.1 / 60.0, 1.0
"""What a controller takes [K/s], [K]."""
COARSE_RAMP_STEP, COARSE_FROM = 1.0 / 60.0, 10.0 / 60.0
"""Quick ramps are told, and so tried, in whole kelvins a minute [K/s]."""
LEAST_TO_SPARE = 0.5
"""The coldest furnace reckoned with must come so far above every target [K]."""


@dataclass(frozen=True, slots=True)
class Space:
    """Ranges of ramp [K/s], temperature to even out at, its hold [s] and set-point [K]."""

    ramps: tuple[float, float]
    full_power: bool
    evening: tuple[float, float]
    longest: float
    set_points: tuple[float, float]

    def program(self, u: Sequence[float]) -> Program:
        """The program at a point of the unit cube: first ramp, temperature and hold, second ramp, set-point."""
        a, b, c, d, e = (min(max(float(x), 0.0), 1.0) for x in u)
        top = _whole(_between(self.set_points, e))
        even = Leg(_whole(_between(self.evening, b)), self._ramp(a), MINUTE * round(self.longest * c / MINUTE))
        last = Leg(top, self._ramp(d), 0.0)
        return Program((last,) if even.hold == 0.0 and even.rate == last.rate else (even, last))

    def point(self, program: Program) -> list[float]:
        """The point of the unit cube nearest to a program of one or two legs."""
        first, last = program.legs[0], program.legs[-1]
        single = len(program.legs) == 1
        to = self.evening[1] if single else first.to
        hold = 0.0 if single else first.hold
        found = [
            self._share(first.rate), _where(self.evening, to), hold / self.longest, self._share(last.rate),
            _where(self.set_points, program.set_point),
        ]  # fmt: skip
        return [min(max(x, 0.0), 1.0) for x in found]

    def _ramp(self, share: float) -> float | None:
        low, high = self.ramps
        exact = exp(log(low) + share * (log(high) - log(low)))
        step = COARSE_RAMP_STEP if exact >= COARSE_FROM - 0.5 * RAMP_STEP else RAMP_STEP
        rate = step * round(exact / step)
        return None if self.full_power and rate > high - 0.5 * step else min(rate, high)

    def _share(self, rate: float | None) -> float:
        low, high = self.ramps
        return 1.0 if rate is None else log(rate / low) / log(high / low)


def space_of(trial: Trial) -> Space:
    """The programs that a job allows; an empty range of set-points (high below low) where none can work."""
    prepared = trial.prepared
    s, joints = prepared.settings, prepared.assembly.joints
    off = s.surroundings.offset  # of what is true from what is keyed in
    liquidus = max(j.filler.liquidus for j in joints)
    solidus = min(x.metal.solidus.value for x in prepared.assembly.segments)
    top = min(liquidus + SET_POINT_BAND[1], solidus - BELOW_SOLIDUS) - off
    arrives = _arrives(trial, liquidus)
    low = max(min(liquidus + SET_POINT_BAND[0] - off, top), arrives)
    highest = min(j.filler.solidus for j in joints) - UNDER_SOLIDUS - off
    real = s.surroundings.chamber is not None
    return Space(
        (SLOWEST, FASTEST if real else FASTEST_IDEAL), real, (min(max(LOWEST, s.start), highest), highest), LONGEST,
        (low, top),
    )  # fmt: skip


def _arrives(trial: Trial, liquidus: float) -> float:
    """The lowest set-point at which even the coldest furnace reckoned with comes above every target [K]."""
    s = trial.prepared.settings
    off = s.surroundings.offset
    for above in np.arange(1.0, 400.0):
        set_point = liquidus + float(above) - off
        targets = targets_at(trial.prepared.assembly, s.superheat, set_point + off)
        if set_point + trial.worst_offset >= max(targets) + LEAST_TO_SPARE:
            return set_point
    return liquidus + 400.0 - off


def _whole(T: float) -> float:
    """To whole degrees Celsius [K]."""
    return TEMPERATURE_STEP * round((T - ZERO_CELSIUS) / TEMPERATURE_STEP) + ZERO_CELSIUS


def _between(ends: tuple[float, float], share: float) -> float:
    return ends[0] + share * (ends[1] - ends[0])


def _where(ends: tuple[float, float], value: float) -> float:
    return (value - ends[0]) / (ends[1] - ends[0]) if ends[1] > ends[0] else 0.0
