"""The controller of a furnace in the graph of the core."""

from __future__ import annotations

from brazesoak_solvers import Graph

from ..thermal.furnace import Surroundings

INTEGRAL_TIME = 300.0
"""In which the controller doubles its answer to a deviation that stays [s]: what a lining takes up beyond its steady
loss changes in some minutes. Common practice, no source."""


def add_control(graph: Graph, s: Surroundings, heater: int, sensor: int, holding: float) -> None:
    """Let the program be followed: heat the cell `heater` by what the cell `sensor` shows.

    holding : float     power that holds the furnace at its set-point [W]; given in proportion on the way there
    """
    c = s.chamber
    assert c is not None
    top = max(float(s.profile.temperature.max()), s.room + 1.0)
    at_top = holding * (top - s.room) / max(s.profile.set_point - s.room, 1.0)
    graph.controller(
        heater, sensor, gain=c.power / c.control_band, maximum=c.power, integral_time=INTEGRAL_TIME,
        target=(s.profile.time, s.profile.temperature + s.offset),
        feed=([s.room + s.offset, top + s.offset], [0.0, at_top]),
    )  # fmt: skip
