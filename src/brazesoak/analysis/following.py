"""How long a furnace really takes: over each ramp, and to get hot before a load is put in. Kelvin, seconds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ..bridge.full_power import FullPower, empty_heat

if TYPE_CHECKING:
    from ..answer import FloatArray
    from .settings import Settings


@dataclass(frozen=True, slots=True)
class Ramp:
    """A ramp as the display shows it [s]; None: the display does not come to its end in this heat.

    takes : float or None   from when the program leaves the level before
    rests : float or None   from then until the program goes on; None, too, of the last
    """

    takes: float | None
    rests: float | None


def ramp_times(
    time: FloatArray, asked: FloatArray, shown: FloatArray, levels: Sequence[float], band: float
) -> tuple[Ramp, ...]:
    """Each ramp of a program, over when the display comes within `band` of the level that it goes to [K].

    time, asked, shown : float64[n_time]    [s], what the program asks for and the display shows [K]
    levels : (float, ...)                   that the ramps go to, rising [K]
    """
    found, begun = list[Ramp](), float(time[0])
    for n, level in enumerate(levels):
        there = np.flatnonzero((time >= begun) & (shown >= level - band))
        beyond = np.flatnonzero(asked > level + 1e-6)
        on = float(time[max(beyond[0] - 1, 0)]) if beyond.size else begun
        come = float(time[there[0]]) if there.size else None
        rests = None if come is None or n == len(levels) - 1 else max(on - come, 0.0)
        found.append(Ramp(None if come is None else come - begun, rests))
        begun = on
    return tuple(found)


def heating_empty(s: Settings) -> FullPower | None:
    """The empty furnace at full power from the room's temperature to the set-point; None: it has no heat of its own."""
    return None if s.surroundings.chamber is None else empty_heat(s.surroundings, s.true_set_point)
