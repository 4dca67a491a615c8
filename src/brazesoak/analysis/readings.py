"""What a thermocouple on the load reads, and from each reading how long the slowest joint still takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from brazesoak_solvers.constants import ZERO_CELSIUS

from ..answer import FloatArray

if TYPE_CHECKING:
    from ..bridge.simulate import Simulation

Key = tuple[int, str, int | None]
"""Body, kind and joint of a place, see `bridge.spots.Spot`."""
STEP = 5.0
"""Readings are tried at whole multiples of this [degC]: a display is read no finer."""
BELOW_SOLIDUS = 100.0
"""The lowest reading tried lies so far below the lowest solidus [K]."""
READ_EVERY = 30.0
"""Readings are kept at least so often in a sampled heat [s]: linear between them is right to some hundredths of 1 K."""


def levels(lowest_solidus: float, set_point: float) -> FloatArray:
    """Readings that are tried [K]: float64[n]."""
    low, high = ((T - ZERO_CELSIUS) / STEP for T in (lowest_solidus - BELOW_SOLIDUS, set_point))
    return np.arange(np.ceil(low), np.floor(high) + 1.0) * STEP + ZERO_CELSIUS


def bead(time: FloatArray, T: FloatArray, time_constant: float) -> FloatArray:
    """What a thermocouple of one time constant [s] shows of histories T, float64[..., n_time].

    y' = (T - y) / tau, solved exactly where T is linear between its times. Source: Incropera and DeWitt, section 5.1
    (recalled); in a ramp it ends up ramp times tau behind.
    """
    T = np.asarray(T, float)
    if time_constant <= 0.0 or time.size < 2:
        return T.copy()
    dt = np.diff(time)
    left = np.exp(-dt / time_constant)
    behind = np.diff(T) * np.divide(time_constant, dt, out=np.zeros_like(dt), where=dt > 0.0)
    given = np.where(dt > 0.0, T[..., 1:] - behind + left * (behind - T[..., :-1]), 0.0)
    shown = np.empty((time.size, *T.shape[:-1]))
    shown[0] = last = T[..., 0]
    for n, (share, more) in enumerate(zip(left.tolist(), np.moveaxis(given, -1, 0), strict=True), 1):
        shown[n] = last = share * last + more
    return np.moveaxis(shown, 0, -1)


def passings(time: FloatArray, shown: FloatArray, at: FloatArray) -> FloatArray:
    """When a reading first comes to each level [s], NaN where it does not: float64[n_level]."""
    so_far = np.maximum.accumulate(shown)
    found = np.interp(at, so_far, time)
    return np.where(at > so_far[-1], np.nan, found)


def since(run: Simulation, at: FloatArray, time_constant: float) -> dict[Key, FloatArray]:
    """From each reading at each place until the slowest joint is at its target [s]; NaN where it is not read."""
    shown = bead(run.time, run.spots, time_constant)
    spots = run.discrete.spots
    return {s.key: run.last_target - passings(run.time, y, at) for s, y in zip(spots, shown, strict=True)}
