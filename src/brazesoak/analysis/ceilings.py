"""The hold between its floor and its ceilings, as a rule on temperature histories. Kelvin, seconds, metres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brazesoak_solvers.constants import GAS_CONSTANT, ZERO_CELSIUS

from ..answer import FloatArray

SCALE_CONSTANT, SCALE_ENERGY = 6.1e-4, 169_452.0
"""Parabolic constant of scale on iron in air [m2/s] and activation energy [J/mol], for the square of the thickness.
Source: Paidassi 1958, 700 to 1250 degC, from memory, to be confirmed; below 700 degC extrapolated."""
SENSITISING = 500.0 + ZERO_CELSIUS, 800.0 + ZERO_CELSIUS
"""Where plain austenitic stainless steel loses chromium at its grain boundaries [K]. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Ceiling:
    """A limit on the end of the hold."""

    name: str
    latest: float
    """Latest end of the hold, from the start of the program [s]."""
    reason: str
    remedy: str
    """What would lift it."""


@dataclass(frozen=True, slots=True)
class Window:
    """When the hold may end: not before `earliest`, not after any ceiling."""

    earliest: float | None
    """[s] from the start; None: a joint never comes to its target."""
    ceilings: tuple[Ceiling, ...]

    @property
    def violated(self) -> tuple[Ceiling, ...]:
        """The ceilings that lie below the floor; all of them when there is no floor."""
        return tuple(c for c in self.ceilings if self.earliest is None or c.latest < self.earliest)

    @property
    def works(self) -> bool:
        """Whether some hold is long enough and short enough."""
        return self.earliest is not None and not self.violated

    @property
    def message(self) -> str:
        """What is the matter and what would work, in a sentence or two."""
        if self.earliest is None:
            return (
                "No hold works at this set-point: a joint never reaches its target; set it hotter, or use a "
                "lower-melting filler."
            )
        if not self.violated:
            return "A hold works at this set-point."
        reasons = "; ".join(f"{c.name}: {c.reason}" for c in self.violated)
        remedies = "; ".join(dict.fromkeys(c.remedy for c in self.violated))
        return f"No hold works at this set-point ({reasons}). What would: {remedies}."


def floor(time: FloatArray, coldest: FloatArray, targets: Sequence[float], wanted: float) -> float | None:
    """When the slowest joint has been at its target for the `wanted` time [s]; None if one never comes there.

    Parameters
    ----------
    time : float64[n_time]              rising [s]
    coldest : float64[n_joint, n_time]  coldest point of each joint [K]
    """
    passed = [passing(time, T, target) for T, target in zip(coldest, targets, strict=True)]
    found = [t for t in passed if t is not None]
    return max(found) + wanted if len(found) == len(passed) else None


def passing(time: FloatArray, T: FloatArray, level: float) -> float | None:
    """First time at or above a level [s], linear between samples; None if it is never reached."""
    at = np.flatnonzero(level <= T)
    if not at.size:
        return None
    n = int(at[0])
    if n == 0:
        return float(time[0])
    share = (level - T[n - 1]) / (T[n] - T[n - 1])
    return float(time[n - 1] + share * (time[n] - time[n - 1]))


def time_between(time: FloatArray, T: FloatArray, low: float, high: float) -> float:
    """Time spent from `low` to `high` [s], linear between samples."""
    total = 0.0
    for dt, a, b in zip(np.diff(time), T[:-1], T[1:], strict=True):
        bottom, top = min(a, b), max(a, b)
        if top == bottom:
            total += float(dt) if low <= a <= high else 0.0
        else:
            total += float(dt) * max(min(top, high) - max(bottom, low), 0.0) / float(top - bottom)
    return total


def scale_thickness(time: FloatArray, T: FloatArray) -> float:
    """Scale on bare steel in air [m]: the square of the thickness grows at k(T), by the trapezoidal rule.

    The samples must be close enough for k to be nearly straight between them (5 K: 0.02 %).
    """
    k = SCALE_CONSTANT * np.exp(-SCALE_ENERGY / (GAS_CONSTANT * T))
    return float(np.sqrt(np.trapezoid(k, time)))


def flux_ceiling(time: FloatArray, hottest: FloatArray, counted_from: float, life: float) -> Ceiling | None:
    """The flux of a joint is spent `life` seconds after its hottest point [K] passes `counted_from`; None: never."""
    began = passing(time, hottest, counted_from)
    return None if began is None else flux_spent(began, life)


def flux_spent(began: float, life: float, joint: str = "") -> Ceiling:
    """The flux, of a joint or of any, is spent `life` seconds after it `began` to work."""
    reason = f"the flux{f' of {joint}' if joint else ''} is spent after {life / 60.0:.0f} min"
    return Ceiling("flux", began + life, reason, "another flux, a faster ramp or a darker surface")


def solidus_ceiling(time: FloatArray, hottest: FloatArray, solidus: float, margin: float) -> Ceiling | None:
    """A segment may not come closer to its solidus than `margin` [K]; None if it never does."""
    reached = passing(time, hottest, solidus - margin)
    if reached is None:
        return None
    return Ceiling("solidus", reached, f"a segment comes within {margin:.0f} K of melting",
                   "a lower set-point or a lower-melting filler")  # fmt: skip
