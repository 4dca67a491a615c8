"""The march of one heat: until every joint is at its target, through the hold, and down again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from brazesoak_solvers import ConvergenceError, Goal, March, Options, Probe, Step, Watch, pack_probes

from ..errors import TargetNotReachedError
from ..thermal.model import ThermalModel
from .cells import FloatArray
from .cooling import HANDLE, LONGEST, LOOSE, Cooled, cooled, levels, moved, on_the_bench
from .discretise import SOLID, Discrete, discretise
from .door import AJAR, OPEN, SHUT
from .melting import switches, warm_sides
from .simulation import Field, Finish, Passed, Progress, Simulation
from .slack import slack
from .unfinished import not_converged, not_reached

HORIZON = 48 * 3600.0
"""A joint that is not at its target so long after the program's last corner never will be [s]."""


class Heat:
    """The march of one heat: three phases over one set of probes.

    The probes are, in this order: coldest point of each joint, coldest and hottest of each body, hottest point of each
    joint, the places for a thermocouple, and of a real furnace the time of its program, where it has its own,
    and its sensor.
    """

    def __init__(
        self, model: ThermalModel, fidelity: str, fineness: int, tolerance: float, every: float, progress: Progress
    ) -> None:
        self.model, self.every, self.progress = model, every, progress
        self.fidelity, self.fineness, self.options = fidelity, fineness, Options(tolerance=tolerance)
        self.discrete = d = discretise(model, fidelity, fineness)
        probes = _probes(d)
        self.probes = pack_probes(d.problem, probes)
        self.n_joint, self.n_body, self.n_probe = len(d.joints), len(d.coldest), len(probes)
        self.march = March(d.problem, self.options, switches(model, d), slack=slack(model, d))
        self.horizon = HORIZON + float(model.surroundings.profile.time[-1])
        self.watches: list[Watch] = []
        self.outside: list[Watch] = []
        self.door_heat = 0.0
        self.rising = Watch(d.problem, ())
        self.field: Field | None = None

    def run(self, finish: Finish, open_below: float | None) -> Simulation:
        """Heat, hold, and cool where that is asked for."""
        self._load()
        self._heat_up()
        end = finish(self._clock_start(), self._last_target())
        if end > self.march.time:
            self._march(end, self._watch())
        hold_end = self.march.time
        heats, balance = self._heats(), self._balance()
        found = Cooled()
        if open_below is not None and self.discrete.sensor is not None:
            found = self._cool(open_below)
        return self._result(hold_end, found, heats, balance)

    def _heat_up(self) -> None:
        """March until every joint has passed its target and the clock has started."""
        goals = [Goal(j, c.target) for j, c in enumerate(self.model.contacts)]
        if self.discrete.sensor is not None:
            goals.append(Goal(self.n_probe - 1, self._clock_at() - 1e-9))
        self.rising = watch = self._watch(self._rising(), goals)
        if not self._march(self.horizon, watch):
            raise self._not_reached()

    def _load(self) -> None:
        """Put the load into a hot furnace, whose door stands open meanwhile."""
        m, f = self.model, self.discrete.furnace
        if m.door_open <= 0.0 or not m.surroundings.loaded_hot or not f.door:
            return
        watch = self._watch()
        self._set_door(OPEN)
        self._march(m.door_open, watch)
        self._set_door(SHUT)
        self.door_heat = self._gain(f.cells["room"])

    def _set_door(self, state: int) -> None:
        for contact in self.discrete.furnace.door:
            self.march.set_state(contact, state)

    def _cool(self, open_below: float) -> Cooled:
        """March with the heater off and the door shut until everything is below `open_below` and every joint solid,
        then as the model says until the load can be handled."""
        contacts, n, m = self.model.contacts, self.n_joint, self.n_body
        hottest = range(n + m, n + 2 * m)
        below = min(open_below, *(c.solidus for c in contacts))
        down = levels(self.model, open_below)
        solid = min(c.solidus for c in contacts)
        self.march.switch_off()
        freezing = self._watch(down, [Goal(i, solid, upwards=False) for i in hottest], True)
        self._march(self.march.time + HORIZON, freezing)
        self.options = replace(self.options, tolerance=LOOSE * self.options.tolerance)
        self.march.loosen(self.options.tolerance)
        shut = self._watch(down, [Goal(i, below, upwards=False) for i in hottest], True)
        self._march(self.march.time + HORIZON, shut)
        goals = [Goal(i, HANDLE, upwards=False) for i in hottest]
        end = self.march.time + LONGEST
        if self.model.cooling == "still air":
            last = self._bench(end, down, goals)
        else:
            if self.model.cooling == "ajar":
                self._set_door(AJAR)
            last = self._watch(down, goals, True)
            self._march(end, last)
        return cooled(self.model, (freezing, shut, last), open_below)

    def _bench(self, end: float, down: Sequence[tuple[int, float]], goals: Sequence[Goal]) -> Watch:
        """Take the load out of the furnace as it is, and march on in the still air of the room."""
        out = discretise(on_the_bench(self.model), self.fidelity, self.fineness, heater="off")
        T = moved(self.march.last().T, self.discrete, out)
        states = out.problem.contact_states.copy()
        states[list(out.contacts)] = SOLID
        problem = replace(out.problem, initial=T[: out.problem.n_cell], contact_states=states)
        watch = Watch(problem, pack_probes(problem, _probes(out)), down, self.every, goals, True)
        self.outside.append(watch)
        self._guarded(March(problem, self.options, (), self.march.time), end, watch)
        return watch

    def _watch(
        self, thresholds: Sequence[tuple[int, float]] = (), goals: Sequence[Goal] = (), at_once: bool = False
    ) -> Watch:
        watch = Watch(self.discrete.problem, self.probes, thresholds, self.every, goals, at_once)
        self.watches.append(watch)
        return watch

    def _march(self, end: float, watch: Watch) -> bool:
        """March on, and translate the core's failure into the user's terms, keeping what there is."""
        return self._guarded(self.march, end, watch)

    def _guarded(self, march: March, end: float, watch: Watch) -> bool:
        heating = watch is self.rising
        tell = self._report if heating else None
        keep = self._keep_field if heating and self.discrete.planes else None
        try:
            return march.run(end, watch, tell, keep)
        except ConvergenceError as error:
            raise not_converged(error, self.model, self.discrete, self._histories()) from error

    def _rising(self) -> list[tuple[int, float]]:
        """Temperatures to be passed on the way up, by probe."""
        joints = [(j, t) for j, c in enumerate(self.model.contacts) for t in (c.solidus, c.liquidus, c.target)]
        bodies = [(self.n_joint + i, t) for i in range(self.n_body) for t in _highest_melting(self.model, i)]
        return [
            *joints,
            *bodies,
            *([(self.n_probe - 1, self._clock_at())] if self.discrete.sensor is not None else []),
        ]

    def _clock_at(self) -> float:
        """True temperature of the sensor at which the hold clock starts [K]."""
        s = self.model.surroundings
        return s.profile.set_point + s.offset - s.clock_band

    def _clock_start(self) -> float:
        s = self.model.surroundings
        if self.discrete.sensor is None:
            return s.profile.passes(s.profile.set_point - s.clock_band)
        first = self.rising.first(self.n_probe - 1, self._clock_at())
        return 0.0 if first is None else first

    def _first(self, probe: int, level: float) -> float | None:
        """When a probe first stood at `level` [s]: at once, if it began there."""
        watch = self.rising
        return 0.0 if watch.reading[0][probe] >= level else watch.first(probe, level)

    def _passed(self, j: int) -> Passed:
        first, c = self._first, self.model.contacts[j]
        return Passed(first(j, c.solidus), first(j, c.liquidus), first(j, c.target))

    def _last_target(self) -> float:
        return max(t for j in range(self.n_joint) if (t := self._passed(j).target) is not None)

    def _keep_field(self, step: Step) -> None:
        """Keep the field at the latest passing of a target: in the end that of the ruling joint."""
        for p in self.rising.passings:
            is_target = p.probe < self.n_joint and p.threshold == self.model.contacts[p.probe].target
            if is_target and step.start < p.time <= step.end:
                T, grid = step.temperature(p.time), self.discrete.planes[p.probe]
                shown = np.where(grid.number >= 0, T[np.maximum(grid.number, 0)], np.nan)
                self.field = Field(grid, shown, p.time)

    def _report(self) -> None:
        start, reading = self.model.start, self.rising.reading[-1]
        share = min((reading[j] - start) / (c.target - start) for j, c in enumerate(self.model.contacts))
        self.progress("heating", min(max(share, 0.0), 1.0))

    def _histories(self) -> dict[str, list[float]]:
        """What was read so far, by name."""
        n, names = self.n_joint, [b.name for b in self.model.bodies]
        reading = np.array([r for w in self.watches for r in w.reading]).reshape(-1, self.n_probe).T
        found = {"time": [t for w in self.watches for t in w.time]}
        found |= {f'coldest of joint "{c.name}"': reading[j].tolist() for j, c in enumerate(self.model.contacts)}
        found |= {f'coldest of "{name}"': reading[n + i].tolist() for i, name in enumerate(names)}
        found |= {f'hottest of "{name}"': reading[n + self.n_body + i].tolist() for i, name in enumerate(names)}
        if self.discrete.sensor is not None:
            found["furnace display"] = (reading[-1] - self.model.surroundings.offset).tolist()
        return found

    def _not_reached(self) -> TargetNotReachedError:
        reading, s = self.rising.reading[-1], self.model.surroundings
        missing = [j for j in range(self.n_joint) if self._passed(j).target is None]
        sensor = None if self.discrete.sensor is None else float(reading[-1]) - s.offset
        return not_reached(self.model, reading[: self.n_joint], missing, sensor, self.horizon)

    def _heats(self) -> tuple[float, float, float, float, float, float]:
        """Heat in load, chamber, shelf and lining, lost and given, so far [J].

        What the heaters gave is all that entered from outside; what the furnace lost is what the room took up.
        """
        gain, cells = self._gain, self.discrete.furnace.cells
        load = gain(np.concatenate(self.discrete.cells))
        shelf, lining, lost = (gain(cells.get(name)) for name in ("shelf", "lining", "room"))
        chamber = sum(gain(c) for name, c in cells.items() if name not in ("shelf", "lining", "room"))
        return load, chamber, shelf, lining, lost, sum(w.heat for w in self.watches)

    def _gain(self, cells: NDArray[np.int64] | None) -> float:
        """Heat that some cells took up so far [J]."""
        return 0.0 if cells is None else sum(w.energy_gain(cells) for w in self.watches)

    def _balance(self) -> float:
        heat, taken = sum(w.heat for w in self.watches), sum(w.taken_up for w in self.watches)
        exchanged = sum(w.exchanged for w in self.watches)
        return abs(heat - taken) / exchanged if exchanged > 0.0 else 0.0

    def _read(self) -> tuple[FloatArray, FloatArray]:
        """Every time and reading; once the load is out on the bench, the furnace's own are left at the room's."""
        watches, room = [*self.watches, *self.outside], self.model.surroundings.room
        rows = [np.array(w.reading).reshape(len(w.time), -1) for w in watches]
        full = [np.pad(r, ((0, 0), (0, self.n_probe - r.shape[1])), constant_values=room) for r in rows]
        return np.concatenate([w.time for w in watches]), np.concatenate(full).T

    def _result(
        self,
        hold_end: float,
        found: Cooled,
        heats: tuple[float, float, float, float, float, float],
        balance: float,
    ) -> Simulation:
        time, reading = self._read()
        s, n = self.model.surroundings, self.n_joint
        clock = time if self.discrete.clock is None else reading[-2]
        asked = np.where(time <= hold_end, s.profile.at(clock), s.room)
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
            reading[n + 2 * self.n_body : 2 * (n + self.n_body)],
            reading[2 * (n + self.n_body) :][: len(self.discrete.spots)],
            sensor,
            asked,
            tuple(self._passed(j) for j in range(n)),
            bodies,
            self._clock_start(),
            hold_end,
            found.joints_solid,
            found.safe_to_open,
            found.safe_to_handle,
            found.rates,
            *heats,
            self.door_heat,
            balance,
            self.discrete.n_cell,
            sum(w.steps for w in (*self.watches, *self.outside)),
            self.field,
            self.discrete,
            float(np.max((time - clock)[time <= hold_end])),
        )


def _probes(d: Discrete) -> tuple[Probe, ...]:
    """What is read of a heat, in the order that `Heat` tells."""
    furnace = tuple(Probe((n,)) for n in (d.clock, d.sensor) if n is not None)
    spots = tuple(Probe((s.cell,)) for s in d.spots)
    return (*d.joints, *d.coldest, *d.hottest, *warm_sides(d), *spots, *furnace)


def _highest_melting(model: ThermalModel, body: int) -> tuple[float, float]:
    """Solidus and liquidus of the highest-melting filler joined to a body [K]."""
    joined = [c for c in model.contacts if body in c.bodies]
    highest = max(joined, key=lambda c: c.liquidus)
    return highest.solidus, highest.liquidus
