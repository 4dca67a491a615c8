"""The bridge, second half: march a model through its heat and say when every place passed every temperature."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers import ConvergenceError, Options, Probe, Problem, ProblemError, Step, Switch, Watch, steps

from .discretise import FILLED, SOLID, Discrete, discretise
from .errors import NotConvergedError, SimulationError, TargetNotReachedError
from .model import ThermalModel

FloatArray = NDArray[np.float64]

TOLERANCE = 0.1
"""Allowed error of any temperature in one step [K]; the error of the melt times is measured, see `refine`."""
FINENESS = 2
"""Fineness of a section's grid, see `discretise`."""
HORIZON = 48 * 3600.0
"""A joint that is not at its target so long after the program's last corner never will be [s]."""
COARSER = 8.0
"""The coarse run's tolerance: with half the cells each way, both errors are then about four times as large."""
Finish = Callable[[float, float], float]
"""(clock start, last passing of a target) -> end of the hold [s]."""
Progress = Callable[[str, float], None]
"""Called with what is being done and how much of it is done, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Passed:
    """When a joint's coldest point first passed each temperature [s]."""

    solidus: float | None
    liquidus: float | None
    target: float | None


@dataclass(frozen=True, slots=True)
class Field:
    """Temperature of every cell of a section [K], float64[nx, ny], at one time [s]."""

    temperature: FloatArray
    time: float


@dataclass(frozen=True, slots=True)
class Simulation:
    """One heat, computed.

    Attributes
    ----------
    time : float64[n_time]                          [s]
    coldest, hottest : float64[n_body, n_time]      [K]
    joint : float64[n_joint, n_time]                coldest point of each joint [K]
    sensor, program : float64[n_time]               what the furnace shows and what it was asked for [K]
    joints : (Passed, ...);  bodies : ((solidus, liquidus), ...)   passings [s]
    clock_start, hold_end : float                   [s]
    joints_solid, safe_to_open : float or None      on cooling [s]
    load_heat, chamber_heat, loss_heat, heater_heat : float    to the end of the hold [J]
    balance_error : float                           relative to the heat exchanged
    """

    time: FloatArray
    coldest: FloatArray
    hottest: FloatArray
    joint: FloatArray
    sensor: FloatArray
    program: FloatArray
    joints: tuple[Passed, ...]
    bodies: tuple[tuple[float | None, float | None], ...]
    clock_start: float
    hold_end: float
    joints_solid: float | None
    safe_to_open: float | None
    load_heat: float
    chamber_heat: float
    loss_heat: float
    heater_heat: float
    balance_error: float
    n_cell: int
    n_step: int
    field: Field | None
    discrete: Discrete

    @property
    def last_target(self) -> float:
        """When the slowest joint passed its target [s]."""
        return max(p.target for p in self.joints if p.target is not None)


def simulate(
    model: ThermalModel,
    fidelity: str,
    finish: Finish,
    *,
    open_below: float | None = None,
    fineness: int = FINENESS,
    tolerance: float = TOLERANCE,
    every: float = np.inf,
    progress: Progress | None = None,
) -> Simulation:
    """Heat until every joint has passed its target, hold as `finish` says, and cool where the furnace is real.

    Parameters
    ----------
    fidelity : ``network`` or ``section``
    open_below : float or None      cool until everything is below this [K]; None: do not cool
    fineness, tolerance             of grid and time step
    every : float                   keep readings at least so often [s], for smooth curves

    Raises
    ------
    TargetNotReachedError       a joint never comes to its target
    NotConvergedError           the solver gave up
    """
    heat = _Heat(model, fidelity, fineness, tolerance, every, progress or (lambda what, share: None))
    return heat.run(finish, open_below)


class _Heat:
    """The march of one heat: three phases over one set of probes."""

    def __init__(
        self, model: ThermalModel, fidelity: str, fineness: int, tolerance: float, every: float, progress: Progress
    ) -> None:
        self.model, self.fidelity, self.fineness, self.every = model, fidelity, fineness, every
        self.options = Options(tolerance=tolerance)
        self.progress = progress
        try:
            self.discrete = discretise(model, fidelity, fineness)
        except ProblemError as error:
            raise SimulationError(
                f"the parts cannot be laid out for the solver: {error}. Look for a value in the job or in your own data "
                "that is far from any real one; if there is none, report this together with the job file."
            ) from error
        d = self.discrete
        furnace = (Probe((d.chamber,)), Probe((d.sensor,))) if d.chamber is not None and d.sensor is not None else ()
        warm = tuple(Probe(p.index, "warm side", "greatest") for p in d.joints)
        self.probes = (*d.joints, *d.coldest, *d.hottest, *warm, *furnace)
        self.n_joint, self.n_body = len(d.joints), len(d.coldest)
        self.horizon = HORIZON + float(model.surroundings.profile.time[-1])
        self.watches: list[Watch] = []
        self.field: Field | None = None

    def run(self, finish: Finish, open_below: float | None) -> Simulation:
        d, model = self.discrete, self.model
        switches = [
            Switch(probe, contact.liquidus, number, FILLED)
            for probe, contact, number in zip(d.joints, model.contacts, d.contacts, strict=True)
        ]
        T, time, states = self._heat_up(d.problem, switches)
        end = finish(self._clock_start(), self._last_target())
        if end > time:
            T, time = self._march(_resumed(d.problem, T, states), time, end)
        heats = self._heats(T)
        balance = self._balance()
        hold_end = time
        solid = safe = None
        if open_below is not None and d.chamber is not None:
            solid, safe = self._cool(T, states, time, open_below)
        return self._result(hold_end, solid, safe, heats, balance)

    def _heat_up(self, problem: Problem, switches: Sequence[Switch]) -> tuple[FloatArray, float, NDArray[np.int64]]:
        """March until every joint has passed its target and the clock has started."""
        watch = self._new_watch(problem, self._rising())
        step: Step | None = None
        reached = problem.initial
        for step in self._guarded(steps(problem, self.horizon, self.options, switches)):
            watch.see(step)
            self._keep_field(step, watch)
            self._report(watch)
            if self._all_passed() and self._clock_started():
                # Every target lies above its liquidus: all joints are filled.
                states = step.states.copy()
                states[list(self.discrete.contacts)] = FILLED
                return step.T, step.end, states
        assert step is not None
        reached = watch.reading[-1]
        raise self._not_reached(reached)

    def _march(self, problem: Problem, start: float, end: float) -> tuple[FloatArray, float]:
        watch = self._new_watch(problem, ())
        T = problem.initial
        for step in self._guarded(steps(problem, end, self.options, start=start)):
            watch.see(step)
            T = step.T
        return T, end

    def _cool(
        self, T: FloatArray, states: NDArray[np.int64], start: float, open_below: float
    ) -> tuple[float | None, float | None]:
        """March with the heater off until everything is below `open_below`."""
        off = discretise(self.model, self.fidelity, self.fineness, heating=False)
        warm = self.n_joint + 2 * self.n_body  # a joint is solid when the last of it is
        falling = [(warm + j, c.solidus) for j, c in enumerate(self.model.contacts)]
        all_below = min(open_below, *(c.solidus for c in self.model.contacts))
        hottest = [(self.n_joint + self.n_body + i, open_below) for i in range(self.n_body)]
        watch = self._new_watch(_resumed(off.problem, T, states), [*falling, *hottest])
        freezing = [
            Switch(self.probes[warm + j], c.solidus, off.contacts[j], SOLID, upwards=False)
            for j, c in enumerate(self.model.contacts)
        ]
        for step in self._guarded(steps(watch.problem, start + HORIZON, self.options, freezing, start)):
            watch.see(step)
            if max(watch.reading[-1][self.n_joint + self.n_body : self.n_joint + 2 * self.n_body]) < all_below:
                break
        down = [p for p in watch.passings if not p.upwards]
        solid = [p.time for p in down if p.probe >= warm]
        safe = [p.time for p in down if p.probe < warm]
        hot = sum(watch.reading[0][i] >= open_below for i, _ in hottest)
        return (
            max(solid) if len(solid) >= self.n_joint else None,
            max([start, *safe]) if len(safe) >= hot else None,
        )

    def _new_watch(self, problem: Problem, thresholds: Sequence[tuple[int, float]]) -> Watch:
        watch = Watch(problem, self.probes, thresholds, self.every)
        self.watches.append(watch)
        return watch

    def _rising(self) -> list[tuple[int, float]]:
        """Temperatures to be passed on the way up, by probe."""
        joints = [(j, t) for j, c in enumerate(self.model.contacts) for t in (c.solidus, c.liquidus, c.target)]
        bodies = [(self.n_joint + i, t) for i in range(self.n_body) for t in _highest_melting(self.model, i)]
        return [
            *joints,
            *bodies,
            *([(len(self.probes) - 1, self._clock_at())] if self.discrete.sensor is not None else []),
        ]

    def _clock_at(self) -> float:
        """True temperature of the sensor at which the hold clock starts [K]."""
        s = self.model.surroundings
        return s.profile.set_point + s.offset - s.clock_band

    def _clock_start(self) -> float:
        s = self.model.surroundings
        if self.discrete.sensor is None:
            return _profile_passes(s.profile.time, s.profile.temperature, s.profile.set_point - s.clock_band)
        first = self.watches[0].first(len(self.probes) - 1, self._clock_at())
        return 0.0 if first is None else first

    def _clock_started(self) -> bool:
        if self.discrete.sensor is None:
            return True
        return self.watches[0].reading[-1][-1] >= self._clock_at() - 1e-9

    def _all_passed(self) -> bool:
        return all(self._passed(j).target is not None for j in range(self.n_joint))

    def _first(self, probe: int, level: float) -> float | None:
        """When a probe first stood at `level` [s]: at once, if it began there."""
        watch = self.watches[0]
        return 0.0 if watch.reading[0][probe] >= level else watch.first(probe, level)

    def _passed(self, j: int) -> Passed:
        first, c = self._first, self.model.contacts[j]
        return Passed(first(j, c.solidus), first(j, c.liquidus), first(j, c.target))

    def _last_target(self) -> float:
        return max(t for j in range(self.n_joint) if (t := self._passed(j).target) is not None)

    def _keep_field(self, step: Step, watch: Watch) -> None:
        """Keep the field at the latest passing of a target: in the end that of the ruling joint."""
        grid = self.discrete.grid
        if grid is None:
            return
        for p in watch.passings:
            is_target = p.probe < self.n_joint and p.threshold == self.model.contacts[p.probe].target
            if is_target and step.start < p.time <= step.end:
                T = step.temperature(p.time)
                self.field = Field(np.where(grid.number >= 0, T[np.maximum(grid.number, 0)], np.nan), p.time)

    def _report(self, watch: Watch) -> None:
        start = self.model.start
        share = min((watch.reading[-1][j] - start) / (c.target - start) for j, c in enumerate(self.model.contacts))
        self.progress("heating", min(max(share, 0.0), 1.0))

    def _guarded(self, march: Iterator[Step]) -> Iterator[Step]:
        """Translate the core's failure into the user's terms."""
        try:
            yield from march
        except ConvergenceError as error:
            place = next(
                (b.name for b, c in zip(self.model.bodies, self.discrete.cells, strict=True) if error.cell in c),
                "the furnace",
            )
            raise NotConvergedError(
                f'the solver gave up {error.time / 60.0:.1f} min into the program, in "{place}": '
                f"a step of {error.step:.2g} s is still {error.residual:.2g} K off. "
                'Expected a step to settle to a thousandth of a kelvin; try fidelity = "network", or look for '
                "a value in the job that is far from any real one.",
                time=error.time,
                place=place,
                residual=error.residual,
            ) from error

    def _not_reached(self, reading: FloatArray) -> TargetNotReachedError:
        slowest = max(range(self.n_joint), key=lambda j: self.model.contacts[j].target - reading[j])
        contact = self.model.contacts[slowest]
        if not all(self._passed(j).target is not None for j in range(self.n_joint)):
            chamber = self.model.surroundings.chamber
            power = "" if chamber is None else ", use a furnace of more power"
            return TargetNotReachedError(
                f'joint "{contact.name}" comes to {reading[slowest] - 273.15:.0f} degC and no further, after '
                f"{self.horizon / 3600.0:.0f} h; its target is {contact.target - 273.15:.0f} degC. Expected a program "
                f"that reaches it; raise the set-point, ask for less superheat{power}, or use a lower-melting filler.",
                part=contact.name,
                reached=float(reading[slowest]),
                target=contact.target,
            )
        shown, wanted = reading[-1] - self.model.surroundings.offset, self._clock_at() - self.model.surroundings.offset
        return TargetNotReachedError(
            f"the furnace's own sensor stays at {shown - 273.15:.0f} degC, after {self.horizon / 3600.0:.0f} h; the hold "
            f"is counted from {wanted - 273.15:.0f} degC on. Expected a furnace that comes to its set-point; lower the "
            "set-point, or use a furnace of more power or less loss.",
            part="furnace",
            reached=float(shown),
            target=float(wanted),
        )

    def _heats(self, T: FloatArray) -> tuple[float, float, float, float]:
        """Heat in load and chamber, lost and given, so far [J]."""
        d, s = self.discrete, self.model.surroundings
        load = sum(w.energy_gain(np.concatenate(d.cells)) for w in self.watches)
        if s.chamber is None or d.chamber is None:
            return load, 0.0, 0.0, 0.0
        own = np.array([d.chamber, d.sensor])
        chamber = sum(w.energy_gain(own) for w in self.watches)
        given = sum(w.heat for w in self.watches)
        lost = sum(
            s.chamber.loss_conductance * float(np.trapezoid(np.array(w.reading)[:, -2] - s.room, w.time))
            for w in self.watches
        )
        return load, chamber, lost, given + lost

    def _balance(self) -> float:
        heat, taken = sum(w.heat for w in self.watches), sum(w.taken_up for w in self.watches)
        exchanged = sum(w.exchanged for w in self.watches)
        return abs(heat - taken) / exchanged if exchanged > 0.0 else 0.0

    def _result(
        self,
        hold_end: float,
        solid: float | None,
        safe: float | None,
        heats: tuple[float, float, float, float],
        balance: float,
    ) -> Simulation:
        time = np.concatenate([w.time for w in self.watches])
        reading = np.concatenate([np.array(w.reading) for w in self.watches]).T
        s, n = self.model.surroundings, self.n_joint
        asked = np.array([s.profile.at(t) if t <= hold_end else s.room for t in time])
        sensor = reading[-1] - s.offset if self.discrete.sensor is not None else asked
        first = self._first
        bodies = tuple(
            (first(n + i, low), first(n + i, high))
            for i in range(self.n_body)
            for low, high in [_highest_melting(self.model, i)]
        )
        return Simulation(
            time,
            reading[n : n + self.n_body],
            reading[n + self.n_body : n + 2 * self.n_body],
            reading[:n],
            sensor,
            asked,
            tuple(self._passed(j) for j in range(n)),
            bodies,
            self._clock_start(),
            hold_end,
            solid,
            safe,
            *heats,
            balance,
            self.discrete.n_cell,
            sum(w.steps for w in self.watches),
            self.field,
            self.discrete,
        )


def _resumed(problem: Problem, T: FloatArray, states: NDArray[np.int64]) -> Problem:
    """The same problem from here on."""
    return replace(problem, initial=T, contact_states=states)


def _highest_melting(model: ThermalModel, body: int) -> tuple[float, float]:
    """Solidus and liquidus of the highest-melting filler joined to a body [K]."""
    joined = [c for c in model.contacts if body in c.bodies]
    highest = max(joined, key=lambda c: c.liquidus)
    return highest.solidus, highest.liquidus


def _profile_passes(time: FloatArray, temperature: FloatArray, level: float) -> float:
    """When a program first comes to `level` [s]."""
    for i in range(time.size):
        if temperature[i] >= level:
            if i == 0 or time[i] == time[i - 1]:
                return float(time[i])
            share = (level - temperature[i - 1]) / (temperature[i] - temperature[i - 1])
            return float(time[i - 1] + share * (time[i] - time[i - 1]))
    return float(time[-1])


def refine(
    model: ThermalModel, fidelity: str, fine: Simulation, finish: Finish, fineness: int = FINENESS
) -> tuple[float, ...]:
    """Numerical error of the time at which each joint passes its target [s].

    From a second run with half the cells each way and a larger tolerance, whose errors of grid and time step
    are both about four times those of `fine` (second order): a third of the difference. Richardson's rule,
    P. J. Roache, J. Fluids Eng. 116 (1994) 405-413 (recalled).
    """
    coarse = simulate(model, fidelity, finish, fineness=max(fineness // 2, 1), tolerance=TOLERANCE * COARSER)
    pairs = zip(fine.joints, coarse.joints, strict=True)
    return tuple(abs((f.target or 0.0) - (c.target or 0.0)) / 3.0 for f, c in pairs)
