"""How a furnace's heaters follow its program, and what they go by. SI throughout."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Controller:
    """A furnace's controller.

    Attributes
    ----------
    mode : ``proportional`` with the power that holds the furnace besides, and a slow integral; ``on-off``; ``pid``
    band : float                    full power below the program by this much [K]; not of on-off
    integral_time, derivative_time : float      not of on-off [s]; 0: no derivative
    hysteresis : float              of on-off: on below the program by this much, off above it [K]
    holdback : float or None        the program waits while it is ahead of the display by more [K]; None: it never waits
    place : ``wall``, ``load``      where the furnace's own sensor sits: at the walls, or beside the load
    body : int or None              body of the load that holds the sensor instead
    lag : float                     time constant of the sensor [s]
    """

    mode: Literal["proportional", "on-off", "pid"]
    band: float
    integral_time: float
    derivative_time: float
    hysteresis: float
    holdback: float | None
    place: Literal["wall", "load"]
    body: int | None
    lag: float


FOLLOWING = 300.0
"""Integral time of a proportional controller [s], in which it doubles its answer to a deviation that stays: what a
lining takes up beyond its steady loss changes in some minutes. Common practice, no source."""


def proportional(band: float, lag: float) -> Controller:
    """A controller with the holding power that goes by a sensor at the walls and never waits: unless told otherwise."""
    return Controller("proportional", band, FOLLOWING, 0.0, 1.0, None, "wall", None, lag)
