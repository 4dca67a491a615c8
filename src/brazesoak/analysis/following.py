"""How long a furnace really takes: over each ramp, and to get hot before a load is put in. Kelvin, seconds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from ..bridge.full_power import FullPower, empty_heat

if TYPE_CHECKING:
    from ..answer import FloatArray
    from .settings import Settings


def ramp_times(
    time: FloatArray, asked: FloatArray, shown: FloatArray, levels: Sequence[float], band: float
) -> tuple[float | None, ...]:
    """From when the program leaves one level until the display comes within `band` of the next; None: not in this heat.

    time, asked, shown : float64[n_time]    [s], what the program asks for and the display shows [K]
    levels : (float, ...)                   that the ramps go to, rising [K]
    """
    found, begun = list[float | None](), float(time[0])
    for level in levels:
        there = np.flatnonzero((time >= begun) & (shown >= level - band))
        found.append(float(time[there[0]]) - begun if there.size else None)
        left = np.flatnonzero(asked <= level + 1e-6)  # the last of them is where the next ramp begins
        begun = float(time[left[-1]]) if left.size else begun
    return tuple(found)


def heating_empty(s: Settings) -> FullPower | None:
    """The empty furnace at full power from the room's temperature to the set-point; None: it has no heat of its own."""
    return None if s.surroundings.chamber is None else empty_heat(s.surroundings, s.true_set_point)
