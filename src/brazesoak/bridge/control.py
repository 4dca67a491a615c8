"""The controller of a furnace, and the sensor that it goes by, in the graph of the core."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brazesoak_solvers import Graph

from ..thermal.furnace import Chamber, Surroundings
from .cells import IntArray


def add_sensor(graph: Graph, c: Chamber, walls: int, load: Sequence[IntArray], shares: Sequence[float]) -> int:
    """Add what the furnace's display reads; returns the sensor.

    walls : int             cell of the field of radiation, or of the chamber that is one lump
    load : (int64[n], ...)  cells of each body;  shares : (float, ...)  surface of each that a sensor beside it sees
    """
    control = c.controller
    if control.body is not None:
        cells = load[control.body]
        return graph.sensor(cells, graph.volume(cells), control.lag)
    if control.place == "wall" or sum(shares) <= 0.0:
        return graph.sensor(walls, 1.0, control.lag)
    # Half of what a sensor beside the load sees is the load: common practice, no source.
    volumes = [graph.volume(cells) for cells in load]
    weights = [0.5 * a / sum(shares) * v / v.sum() for v, a in zip(volumes, shares, strict=True)]
    return graph.sensor(np.concatenate([[walls], *load]), np.concatenate([[0.5], *weights]), control.lag)


def add_control(graph: Graph, s: Surroundings, heater: int, sensor: int, holding: float) -> None:
    """Let the program be followed: heat the cell `heater` by what `sensor` reads.

    holding : float     power that holds the furnace at its set-point [W]
    """
    c = s.chamber
    assert c is not None
    control = c.controller
    target = (s.profile.time, s.profile.temperature + s.offset)
    holdback = np.inf if control.holdback is None else control.holdback
    if control.mode == "on-off":
        graph.relay(heater, sensor, maximum=c.power, target=target, hysteresis=control.hysteresis, holdback=holdback)
        return
    graph.controller(
        heater, sensor, gain=c.power / control.band, maximum=c.power, target=target,
        integral_time=control.integral_time, derivative_time=control.derivative_time,
        feed=0.0 if control.mode == "pid" else _feed(s, holding), holdback=holdback,
    )  # fmt: skip


def _feed(s: Surroundings, holding: float) -> tuple[list[float], list[float]]:
    """Power in proportion to the wanted temperature above the room's, so that no deviation is left at the end."""
    top = max(float(s.profile.temperature.max()), s.room + 1.0)
    at_top = holding * (top - s.room) / max(s.profile.set_point - s.room, 1.0)
    return [s.room + s.offset, top + s.offset], [0.0, at_top]
