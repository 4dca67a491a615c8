"""Each limit on the end of a hold, from one temperature history. Kelvin, seconds, metres."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brazesoak_solvers.constants import GAS_CONSTANT, ZERO_CELSIUS

from ..answer import Ceiling, FloatArray
from .assumptions import PRACTICE, celsius, in_time

SCALE_CONSTANT, SCALE_ENERGY = 6.1e-4, 169_452.0
"""Parabolic constant of scale on iron in air [m2/s] and activation energy [J/mol], for the square of the thickness.
Source: Paidassi 1958, 700 to 1250 degC, from memory, to be confirmed; below 700 degC extrapolated. See
`SCALE_UNCERTAINTY`."""
SCALE_UNCERTAINTY = 2.0
"""The thickness may be so many times more or less. Measured: 401 um on a steel tube after 15 min at 1000 degC with
5 K/min up and down (Materials 18 (2025) 2463, conclusions read); this law gives 1.1 times as much. Another recalled
constant, 0.37 exp(-138 kJ/mol / RT) g2/(cm4 s) of oxygen (Kofstad 1966), gives 1.3 times as much at 700 degC; alloyed
steel scales less."""
SCALE_SOURCE = (
    "parabolic law of iron in air (Paidassi 1958, from memory; within 12 % of 401 um measured at 1000 degC, Materials "
    f"18 (2025) 2463; extrapolated below 700 degC), good to a factor of {SCALE_UNCERTAINTY:.0f}"
)
SENSITISING = 425.0 + ZERO_CELSIUS, 815.0 + ZERO_CELSIUS
"""Where plain austenitic stainless steel loses chromium at its grain boundaries [K]. Source: range read in an ASTM
abstract and a brazing article, see the data of stainless 304."""


def floor(passed: Sequence[float | None], wanted: float) -> float | None:
    """When the slowest joint has been at its target for the `wanted` time [s]; None if one never comes there.

    passed : (float or None, ...)   when the coldest point of each joint passes its target [s], see `passing`
    """
    found = [t for t in passed if t is not None]
    return max(found) + wanted if found and len(found) == len(passed) else None


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


def spent_between(time: FloatArray, T: FloatArray, low: float, high: float) -> FloatArray:
    """Time spent from `low` to `high` until each sample, T linear between them: float64[n_time] [s]."""
    bottom, top = np.minimum(T[:-1], T[1:]), np.maximum(T[:-1], T[1:])
    rise = top - bottom
    inside = np.maximum(np.minimum(top, high) - np.maximum(bottom, low), 0.0)
    level = ((low <= bottom) & (top <= high)).astype(float)  # of a stretch without rise
    share = np.where(rise > 0.0, inside / np.where(rise > 0.0, rise, 1.0), level)
    return np.concatenate(([0.0], np.cumsum(np.diff(time) * share)))


def time_between(time: FloatArray, T: FloatArray, low: float, high: float) -> float:
    """Time spent from `low` to `high` [s], linear between samples."""
    return float(spent_between(time, T, low, high)[-1])


def scale_squared(time: FloatArray, T: FloatArray) -> FloatArray:
    """Square of the thickness of scale on bare steel in air at each sample: float64[n_time] [m2].

    It grows at k(T), by the trapezoidal rule: the samples must be close enough for k to be nearly straight between
    them (5 K: 0.02 %).
    """
    k = SCALE_CONSTANT * np.exp(-SCALE_ENERGY / (GAS_CONSTANT * T))
    return np.concatenate(([0.0], np.cumsum(0.5 * (k[:-1] + k[1:]) * np.diff(time))))


def scale_thickness(time: FloatArray, T: FloatArray) -> float:
    """Scale on bare steel in air at the last sample [m], see `scale_squared`."""
    return float(np.sqrt(scale_squared(time, T)[-1]))


def flux_ceiling(
    time: FloatArray, hottest: FloatArray, counted_from: float, life: float, joint: str, source: str
) -> Ceiling | None:
    """The flux of a joint is spent `life` seconds after its hottest point passes `counted_from`; None: never there."""
    began = passing(time, hottest, counted_from)
    if began is None:
        return None
    return Ceiling(
        "flux",
        began + life,
        f'the flux of "{joint}" is spent {in_time(life)} after {celsius(counted_from)}',
        "a flux with a longer life, a hotter set-point, which shortens the hold, a faster ramp or darker surfaces",
        source,
    )


def solidus_ceiling(
    time: FloatArray, hottest: FloatArray, solidus: float, margin: float, segment: str
) -> Ceiling | None:
    """A segment may not come closer to its solidus than `margin` [K]; None if it never does."""
    reached = passing(time, hottest, solidus - margin)
    if reached is None:
        return None
    return Ceiling(
        "solidus",
        reached,
        f'the metal of "{segment}" comes within {margin:.0f} K of melting',
        "a lower set-point or a lower-melting filler",
        PRACTICE,
    )


def zinc_ceiling(time: FloatArray, coldest: FloatArray, liquidus: float, most: float, joint: str) -> Ceiling | None:
    """Brass at a joint loses zinc when the filler has been liquid for longer than `most` [s]."""
    molten = passing(time, coldest, liquidus)
    if molten is None:
        return None
    return Ceiling(
        "zinc",
        molten + most,
        f'the brass at "{joint}" loses zinc {in_time(most)} after the filler is liquid',
        "a hotter set-point, which shortens the hold, or parts evened out below the solidus first",
        PRACTICE,
    )


def scale_ceiling(time: FloatArray, hottest: FloatArray, end: float, most: float, segment: str) -> Ceiling | None:
    """Scale on bare steel may not grow thicker than `most` [m], cooling included; None if it does not.

    end : float     of the hold [s]; what comes after it in the history is the cooling
    """
    latest = _latest(time, scale_squared(time, hottest), end, most * most)
    if latest is None:
        return None
    return Ceiling(
        "scale",
        latest,
        f'the scale on "{segment}" grows beyond {most * 1e3:.2g} mm',
        "flux or stop-off on the bare steel, a faster ramp, or a hotter set-point, which shortens the hold",
        SCALE_SOURCE,
    )


def sensitising_ceiling(time: FloatArray, hottest: FloatArray, end: float, most: float, segment: str) -> Ceiling | None:
    """Plain austenitic steel may not be in its sensitising range for longer than `most` [s], cooling included."""
    latest = _latest(time, spent_between(time, hottest, *SENSITISING), end, most)
    if latest is None:
        return None
    low, high = (celsius(T) for T in SENSITISING)
    return Ceiling(
        "sensitisation",
        latest,
        f'the steel of "{segment}" is between {low} and {high} for more than {in_time(most)}',
        "a low-carbon or stabilised grade (304L, 316L, 321, 347), darker surfaces or a faster ramp",
        "range: the data of stainless 304; minutes: the job file",
    )


def _latest(time: FloatArray, sum_: FloatArray, end: float, most: float) -> float | None:
    """When a rising sum leaves just what the cooling after `end` adds until it is `most`; None: it is never so much."""
    cooling = float(sum_[-1] - np.interp(end, time, sum_))
    return passing(time, sum_, max(most - cooling, 0.0)) if sum_[-1] >= most else None
