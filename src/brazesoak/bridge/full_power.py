"""A furnace at full power until its display shows a temperature, empty or with a load: how quick it is. SI."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from brazesoak_solvers import Goal, Graph, March, Options, Probe, Problem, Switch, Watch

from ..thermal.furnace import Profile, Surroundings
from ..thermal.model import ThermalModel
from .cells import FloatArray
from .chamber import add_furnace, follow_program, initial
from .discretise import discretise
from .melting import switches

LONGEST = 24 * 3600.0
"""A furnace that is not hot by then never will be [s]."""


@dataclass(frozen=True, slots=True)
class FullPower:
    """A heat with the heaters full on: time to the temperature [s], None if it never comes to it, and heat given [J].

    time_axis, sensor : float64[n]      [s], [K]
    """

    time: float | None
    heat: float
    time_axis: FloatArray
    sensor: FloatArray


def empty_heat(s: Surroundings, to: float) -> FullPower:
    """Heat an empty furnace from the room's temperature until its sensor at the walls shows `to` [K]."""
    s, power = _cold(s)
    graph = Graph()
    f = add_furnace(graph, s, s.room, 0.0)
    sensor = follow_program(graph, f, s, heating=False)
    assert f.heated is not None
    graph.source([f.heated], power)
    problem = graph.problem(initial(f))
    return _heat(problem, problem.cell_of(sensor), power, to)


def loaded_heat(model: ThermalModel, to: float) -> FullPower:
    """The same with a load in the furnace, both from the room's temperature, the load as a network."""
    s, power = _cold(model.surroundings)
    d = discretise(replace(model, surroundings=s, start=s.room), "network", heater="full")
    assert d.sensor is not None
    return _heat(d.problem, d.sensor, power, to, switches(model, d))


def _cold(s: Surroundings) -> tuple[Surroundings, float]:
    """The furnace as it stands in a cold room, with the sensor at its walls, and its power [W]."""
    assert s.chamber is not None
    cold = Profile(np.array([0.0, 1.0]), np.array([s.room, s.profile.set_point]))
    return replace(s, profile=cold, chamber=replace(s.chamber, control=None), offset=0.0), s.chamber.power


def _heat(problem: Problem, sensor: int, power: float, to: float, when: Sequence[Switch] = ()) -> FullPower:
    watch = Watch(problem, (Probe((sensor,)),), [(0, to)], goals=[Goal(0, to)])
    March(problem, Options(tolerance=0.1), when).run(LONGEST, watch)
    time = watch.first(0, to)
    return FullPower(time, power * (LONGEST if time is None else time), watch.time, watch.reading[:, 0])
