"""Marching in time: a generator of conservative steps with error control. Observers watch what it yields."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from . import linear
from .arrays import FloatArray, IntArray
from .errors import ConvergenceError, ProblemError
from .kernels import passings
from .kernels.bundles import bundle_march
from .kernels.implicit import evaluate
from .kernels.probes import probe_values
from .kernels.properties import initial_state, temperatures
from .kernels.trbdf2 import GAMMA, begin
from .kernels.trbdf2 import step as trbdf2_step
from .probes import Probe, pack_probes
from .problem import Problem
from .work import make_work, own_arrays, renew_exchange

GREY_CHANGE = 1e-3
"""Change of a patch's emissivity at which the exchange between patches is computed anew."""


@dataclass(frozen=True, slots=True)
class Options:
    """How to march.

    tolerance : float       allowed error of any temperature in one step [K]
    first : float           first step, also after a switch [s]
    largest : float         largest step [s]
    smallest : float        a step that must be shorter than this has failed [s]
    fixed : float or None   march with this step instead, without error control [s]; the tolerance then only bounds
        what Newton's method leaves, a hundredth of it in each stage; after a jump, steps with a
        Fourier number above about 5 may overshoot once, by a fifth of the jump at most
    """

    tolerance: float = 0.05
    first: float = 0.1
    largest: float = np.inf
    smallest: float = 1e-7
    fixed: float | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be marched with."""
        values = (self.tolerance, self.first, self.largest, self.smallest, 1.0 if self.fixed is None else self.fixed)
        if not all(v > 0.0 for v in values):
            raise ProblemError("tolerance and steps must be positive")


@dataclass(frozen=True, slots=True)
class Switch:
    """A contact that takes `state` when a probe passes `threshold` [K], upwards or downwards; each acts once."""

    probe: Probe
    threshold: float
    contact: int
    state: int
    upwards: bool = True


@dataclass(frozen=True, slots=True)
class Step:
    """One accepted step, with the temperature at any time inside it.

    start, end : float                  [s]
    heat : float                        heat that entered from outside during the step [J]
    energy_before, energy_after : float heat content above the materials' first temperatures [J]
    H0, H1, rate0, rate1 : float64[n_cell]   enthalpy [J/m3] and its rate [W/m3] at both ends
    T : float64[n_cell]                 temperature at the end [K]
    where : int64[n_cell]               interval of each cell's material at the end, from which to search
    states : int64[n_contact]           state of each contact during the step
    switched : (int, ...)               switches that act at the end, by their place among those still pending
    error : float                       estimated error of temperature [K]
    newton, linear : int                iterations
    """

    problem: Problem
    start: float
    end: float
    heat: float
    energy_before: float
    energy_after: float
    H0: FloatArray
    H1: FloatArray
    rate0: FloatArray
    rate1: FloatArray
    T: FloatArray
    where: IntArray
    states: IntArray
    switched: tuple[int, ...]
    error: float
    newton: int
    linear: int

    def temperature(self, time: float) -> FloatArray:
        """Temperature of every cell [K] at a time inside the step: cubic in enthalpy, second-order accurate."""
        h = self.end - self.start
        s = min(max((time - self.start) / h, 0.0), 1.0)
        H = (
            (1.0 + 2.0 * s) * (1.0 - s) ** 2 * self.H0
            + s * (1.0 - s) ** 2 * h * self.rate0
            + s * s * (3.0 - 2.0 * s) * self.H1
            + s * s * (s - 1.0) * h * self.rate1
        )
        P = self.problem.arrays
        T = np.empty_like(H)
        temperatures(P.m, P.mat, H, self.where, T)
        return T


def steps(
    problem: Problem,
    end: float,
    options: Options | None = None,
    switches: Sequence[Switch] = (),
    start: float = 0.0,
) -> Iterator[Step]:
    """March from `start` to `end` [s]; stop by leaving the loop.

    Steps end at every breakpoint of the signals and at every switch, which is found on the interpolated
    temperatures and then stepped to exactly, so that no step straddles a change.

    Raises
    ------
    ConvergenceError    a step failed however short
    """
    return _March(problem, options or Options(), switches, start).run(end)


class _March:
    """State of a march between two steps."""

    def __init__(self, problem: Problem, options: Options, switches: Sequence[Switch], start: float) -> None:
        self.problem, self.options, self.time = problem, options, start
        self.arrays = P = own_arrays(problem)
        n = problem.n_cell
        self.work, scratch = make_work(P, problem.initial)
        self.H, self.where = np.empty(n), np.zeros(n, np.int64)
        self.T = problem.initial.copy()
        initial_state(P.m, P.mat, self.T, self.H, self.where)
        self.states = _states_at(problem)
        _check_switches(problem, switches)
        self._await([*switches, *_corners(problem)])
        self.jumps = frozenset(float(t) for t in problem.breakpoints)
        self.grey = np.full(self.work.grey.size, np.inf)
        # Once with all arrays by themselves: the linear solver is laid out by the conductances at the start.
        self.Q = evaluate(P, self.states, self.H, self.where, self.T, self.work, *problem.signals(start))
        self.F = self.work.F.copy()
        self.bundle = bundle_march(P, linear.choose(problem, self.work.Gf.copy()), self.work, scratch)
        self._follow_emissivity()
        self.slope = np.zeros(n)
        self.dt = options.fixed or options.first
        self.last_error = 1.0

    def _await(self, switches: Sequence[Switch]) -> None:
        """Watch for these switches from now on."""
        self.pending = list(switches)
        self.watch = pack_probes(self.problem, [s.probe for s in switches])
        self.level = np.array([s.threshold for s in switches], float)
        self.sign = np.array([1.0 if s.upwards else -1.0 for s in switches])

    def _evaluate(self) -> tuple[FloatArray, float]:
        signals = self.problem.signals(self.time)
        Q = begin(self.bundle, self.states, self.H, self.where, self.T, signals)
        return self.work.F.copy(), Q

    def _follow_emissivity(self) -> None:
        """Renew the exchange between patches when their emissivity has moved with temperature."""
        if self.problem.view_factors is None or np.max(np.abs(self.work.grey - self.grey)) < GREY_CHANGE:
            return
        self.grey = self.work.grey.copy()
        renew_exchange(self.problem, self.arrays, self.grey)
        self.F, self.Q = self._evaluate()

    def run(self, end: float) -> Iterator[Step]:
        breaks = [t for t in self.problem.breakpoints if t > self.time]
        while self.time < end - 1e-12 * max(end, 1.0):
            while breaks and breaks[0] <= self.time * (1.0 + 1e-14):
                breaks.pop(0)
                self._restart(self.options.fixed or self.options.first)
            stop = min(end, breaks[0]) if breaks else end
            step = self._to_switch(self._advance(stop))
            self._accept(step)
            yield step

    def _advance(self, stop: float) -> Step:
        """One accepted step that does not pass `stop`."""
        o = self.options
        while True:
            left = stop - self.time
            dt = min(o.fixed or min(self.dt, o.largest), left)
            if o.fixed is None and 0.5 * left < dt < left:
                dt = 0.5 * left  # two even steps rather than a sliver at the end
            step, worst, at = self._try(dt)
            if step is None:
                self.dt = 0.25 * dt
                if self.dt < o.smallest or o.fixed is not None:
                    raise ConvergenceError(time=self.time, step=dt, cell=at, residual=worst)
                continue
            if o.fixed is not None:
                return step
            ratio = step.error / o.tolerance
            if ratio <= 1.0:
                # Proportional-integral control: damps the alternation of long and short steps.
                grow = 0.9 * max(ratio, 1e-4) ** (-0.7 / 3.0) * self.last_error ** (0.4 / 3.0)
                self.dt = dt * min(max(grow, 0.3), 5.0)
                self.last_error = max(ratio, 1e-4)
                return step
            self.dt = dt * max(0.9 * ratio ** (-1.0 / 3.0), 0.1)
            if self.dt < o.smallest:
                raise ConvergenceError(time=self.time, step=dt, cell=at, residual=step.error)

    def _try(self, dt: float) -> tuple[Step | None, float, int]:
        P = self.arrays
        end = self.time + dt
        # A step that ends at a jump belongs to what was before it; `_restart` takes up what is after.
        last = np.nextafter(end, -np.inf) if end in self.jumps else end
        inner, outer = self.problem.signals(self.time + GAMMA * dt), self.problem.signals(last)
        H1, F1, T1 = np.empty_like(self.H), np.empty_like(self.H), np.empty_like(self.H)
        ok, error, heat, self._Q_end, newton, lin, worst, at = trbdf2_step(
            self.bundle, self.states, self.H, self.F, self.Q, dt, self.slope, inner, outer,
            H1, F1, self.where, T1, self.options.tolerance,
        )  # fmt: skip
        if not ok or not np.isfinite(error):
            return None, worst, at
        dt, error, n = float(dt), float(error), P.n_heat
        before, after = float(P.V[:n] @ self.H[:n]), float(P.V[:n] @ H1[:n])
        step = Step(
            self.problem, self.time, self.time + dt, heat, before, after, self.H, H1, self.F / P.V, F1 / P.V,
            T1, self.where.copy(), self.states, (), error, newton, lin,
        )  # fmt: skip
        return step, worst, at

    def _to_switch(self, step: Step) -> Step:
        """The step itself, or one that ends where the first pending switch is passed."""
        if not self.pending:
            return step
        passed = (self._beyond(step.T) >= 0.0).nonzero()[0]
        if passed.size == 0:
            return step
        first = float(np.min(passing_times(step, self.watch, passed, self.level[passed], self.sign[passed])))
        if first < step.end:
            again, worst, at = self._try(max(first - self.time, self.options.smallest))
            if again is None:  # that step does not settle, though a longer one did: go there in shorter ones
                if self.options.fixed is not None or first - self.time <= self.options.smallest:
                    raise ConvergenceError(time=self.time, step=first - self.time, cell=at, residual=worst)
                self.dt = 0.25 * (first - self.time)
                return self._to_switch(self._advance(first))
            step = again
        # Everything within the root's own accuracy switches now; the rest waits for the next step.
        now = np.flatnonzero(self._beyond(step.T) >= -1e-6)
        return replace(step, switched=tuple(int(i) for i in now))

    def _beyond(self, T: FloatArray) -> FloatArray:
        """How far each pending switch is beyond its threshold [K], negative before it."""
        values = np.empty(len(self.pending))
        probe_values(self.watch, self.states, T, values)
        return np.asarray(self.sign * (values - self.level))

    def _accept(self, step: Step) -> None:
        P, h = self.arrays, step.end - step.start
        self.slope = (step.H1 - step.H0) / h
        self.time, self.H, self.T, self.F, self.Q = step.end, step.H1, step.T, step.rate1 * P.V, self._Q_end
        if step.switched:
            self.states = self.states.copy()
            for i in step.switched:
                self.states[self.pending[i].contact] = self.pending[i].state
            self._await([s for i, s in enumerate(self.pending) if i not in step.switched])
            self._restart(self.options.fixed or self.options.first)
        self._follow_emissivity()

    def _restart(self, dt: float) -> None:
        """Begin anew after a kink or a jump: flows as they are now, a cautious step, no guess from the past."""
        self.F, self.Q = self._evaluate()
        self.slope = np.zeros_like(self.H)
        self.dt = min(dt, self.dt) if self.options.fixed is None else dt
        self.last_error = 1.0


def _states_at(problem: Problem) -> IntArray:
    """State of every contact and controller where a march begins; the piece of a program follows from its time."""
    states = problem.contact_states.copy()
    for c in problem.changes:
        if c.level <= problem.initial[c.cell]:
            states[c.place] = c.state
    return states


def _corners(problem: Problem) -> list[Switch]:
    """The corners of programs that are still to come, as switches of the controllers' states."""
    ahead = [c for c in problem.changes if c.level > problem.initial[c.cell]]
    return [Switch(Probe((c.cell,)), c.level, c.place, c.state) for c in ahead]


def _check_switches(problem: Problem, switches: Sequence[Switch]) -> None:
    """A switch must name a contact and a state of it that there are."""
    ptr = problem.arrays.u.contact_ptr
    for s in switches:
        if not 0 <= s.contact < ptr.size - 1 or not 0 <= s.state < ptr[s.contact + 1] - ptr[s.contact]:
            raise ProblemError(f"a switch names contact {s.contact} in state {s.state}, which was not added")


def passing_times(step: Step, probes: Any, which: IntArray, level: FloatArray, sign: FloatArray) -> FloatArray:
    """When each probe of `which`, below its level (above it, with sign -1) at the start of a step, reaches it [s].

    The start where it is there already, the end where it does not come to it.
    """
    time = np.empty(which.size)
    passings.passing_times(
        probes, step.states, step.H0, step.rate0, step.H1, step.rate1, step.where,
        step.start, step.end, which, level, sign, np.empty_like(step.T), time,
    )  # fmt: skip
    return time
