"""The rule for the hold, as arithmetic on instants: it knows nothing of how they were found. Times in seconds."""

from __future__ import annotations

from math import ceil

MINUTE = 60.0
LEAST_BELOW_SET_POINT = 20.0
"""A target closer to the set-point than this takes for ever to reach [K]. Common practice, no source."""


def target_temperature(liquidus: float, superheat: float, set_point: float) -> float:
    """What the coldest point of a joint must reach [K]: liquidus plus superheat, not above set-point less 20 K.

    Never below the liquidus itself. Common practice, no source; the superheat is the user's.
    """
    return max(min(liquidus + superheat, set_point - LEAST_BELOW_SET_POINT), liquidus)


def nominal_hold(clock_start: float, last_target: float, wanted: float) -> float:
    """From the clock's start until the slowest joint has had the `wanted` time above its target."""
    return max(needed_hold(clock_start, last_target, wanted), 0.0)


def needed_hold(clock_start: float, last_target: float, wanted: float) -> float:
    """As `nominal_hold`, but below 0 where the time is over before the clock starts."""
    return last_target + wanted - clock_start


def recommended_hold(nominal: float, allowance: float) -> float:
    """Needed hold plus what the inputs may cost, up to a whole minute; never less than the nominal hold."""
    return MINUTE * max(ceil((nominal + max(allowance, 0.0)) / MINUTE - 1e-9), 0)


def time_above(passed: float | None, end: float) -> float:
    """From passing a temperature to the end of the hold; nothing if it was never passed."""
    return 0.0 if passed is None else max(end - passed, 0.0)
