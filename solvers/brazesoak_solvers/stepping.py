"""Marching in time, step by step or many at once: conservative steps with error control."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from . import linear
from .arrays import FloatArray, IntArray, Signals
from .errors import ConvergenceError, ProblemError
from .kernels import march as k
from .kernels.implicit import evaluate
from .kernels.properties import initial_state
from .probes import Probe, ProbeArrays, pack_probes
from .problem import Problem
from .signals import new_signals
from .step import Options, Step, Switch
from .watching import Watch
from .work import make_work, own_arrays, renew_exchange

WORK_AT_ONCE = 100_000
"""Cells times steps in one compiled call, some 0.1 s; between calls progress is told, and the user can stop it."""


class MarchArrays(NamedTuple):
    """State of a march, as the kernels see it.

    H0, rate0, H1, rate1, T : float64[n_cell]   the last step: enthalpy and its rate at both ends, T at its end [K]
    slope, sight : float64[n_cell]  dH/dt guessed for the next step [W/m3]; scratch
    slack : float64[n_cell]         allowed error of each cell, in tolerances
    where : int64[n_cell]           interval of each cell's material
    states : int64[n_contact]       state of each contact during the last step
    breaks : float64                breakpoints after the start [s]
    grey : float64[n_patch]         emissivities that the exchange between patches belongs to
    now, inner, outer : Signals     the outside at the start, at the inner point and at the end of a step
    given, wanted : float64[3]      times of these: those that Python filled them for, and those that are wanted [s]
    real, whole : float64, int64    see `kernels.march`
    """

    H0: FloatArray
    rate0: FloatArray
    H1: FloatArray
    rate1: FloatArray
    T: FloatArray
    slope: FloatArray
    sight: FloatArray
    slack: FloatArray
    where: IntArray
    states: IntArray
    breaks: FloatArray
    grey: FloatArray
    now: Signals
    inner: Signals
    outer: Signals
    given: FloatArray
    wanted: FloatArray
    real: FloatArray
    whole: IntArray


class SwitchArrays(NamedTuple):
    """Switches as the kernels see them: probes, thresholds [K], 1 or -1, contacts and their new states; the state
    that each waits for (-1: it acts once, in any), which wait now, and which act at the end of the last step."""

    Q: ProbeArrays
    level: FloatArray
    sign: FloatArray
    contact: IntArray
    state: IntArray
    after: IntArray
    pending: IntArray
    acts: IntArray


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
    return March(problem, options, switches, start).steps(end)


class March:
    """A march that can be gone on with.

    Parameters
    ----------
    start : float       time of the problem's initial temperatures [s]
    slack : float64[n_cell] or None     allowed error of each cell, in tolerances; 1 where none is given
    """

    def __init__(
        self,
        problem: Problem,
        options: Options | None = None,
        switches: Sequence[Switch] = (),
        start: float = 0.0,
        slack: FloatArray | None = None,
    ) -> None:
        if slack is not None and (slack.shape != (problem.n_cell,) or not np.all(slack > 0.0)):
            raise ProblemError("the slack must be one positive number a cell")
        self.problem = problem
        P = self._own = own_arrays(problem)
        W, Z = make_work(P, problem.initial)
        K = self._state = _state(problem, options or Options(), start, slack)
        X = self._switches = _pack_switches(problem, switches, _of_controllers(problem), K.states)
        initial_state(P.m, P.mat, problem.initial, K.H0, K.where)
        # Once with all arrays by themselves: the linear solver is laid out by the conductances at the start.
        signals = problem.signals(start)
        K.real[k.Q0] = evaluate(P, K.states, K.H0, K.where, K.T, W, *signals)
        if W.stuck[0] > 0.0:
            K.whole[k.FLOWS] = k.RESTART  # what does not settle is told by the first call
        K.rate0[:] = W.F / P.V
        self._arrays = P, linear.choose(problem, W.Gf.copy()), W, Z, K, X
        self._unwatched = Watch(problem, ())

    @property
    def time(self) -> float:
        """How far it has come [s]."""
        return float(self._state.real[k.TIME])

    def set_state(self, contact: int, state: int) -> None:
        """Put a contact into another of its states from here on."""
        self._state.states[contact] = state
        self._state.whole[k.FLOWS] = k.RESTART

    def loosen(self, tolerance: float) -> None:
        """Allow another error of any temperature in a step from here on [K].

        Raises
        ------
        ProblemError        it is not positive and finite
        """
        self._state.real[k.TOLERANCE] = Options(tolerance=tolerance).tolerance

    def switch_off(self) -> None:
        """Take the power from every controller; programs and integrals stand still from here on."""
        self._own.c.row["cell"] = -1
        self._state.whole[k.FLOWS] = k.RESTART

    def steps(self, end: float) -> Iterator[Step]:
        """Step by step to `end` [s]."""
        while self._call(self._unwatched, False, end, 1, False) == k.PAUSED:
            yield self.last()

    def run(
        self,
        end: float,
        watch: Watch,
        tell: Callable[[], None] | None = None,
        passed: Callable[[Step], None] | None = None,
    ) -> bool:
        """Many steps at once, to `end` [s] or until the goals of `watch` are met; whether they are.

        Parameters
        ----------
        tell : () -> None           called now and then
        passed : Step -> None       called with every step in which the watch found a passing

        Raises
        ------
        ConvergenceError    a step failed however short
        """
        most = max(1, WORK_AT_ONCE // self.problem.n_cell)
        while True:
            known = watch.n_passing
            why = self._call(watch, True, end, most, passed is not None)
            if passed is not None and watch.n_passing > known:
                passed(self.last())
            if tell is not None:
                tell()
            if why != k.PAUSED:
                return bool(why == k.MET)

    def _call(self, watch: Watch, watched: bool, end: float, most: int, stop: bool) -> int:
        """Call the kernel, and do for it what it cannot."""
        while True:
            why = int(k.march(*self._arrays, watch.packed, watch.arrays, watched, float(end), most, stop))
            if why == k.FULL:
                watch.grow()
            elif why == k.RENEW:
                renew_exchange(self.problem, self._own, self._state.grey)
            elif why == k.ASK:
                self._ask()
            elif why == k.FAILED:
                r = self._state.real
                raise ConvergenceError(
                    time=self.time, step=float(r[k.FAILED_STEP]), cell=int(self._state.whole[k.AT]),
                    residual=float(r[k.RESIDUAL]),
                )  # fmt: skip
            else:
                return why

    def _ask(self) -> None:
        """Ask the signals that are functions."""
        K = self._state
        for slot, signals in enumerate((K.now, K.inner, K.outer)):
            if K.wanted[slot] != K.given[slot]:
                for array, found in zip(signals, self.problem.signals(float(K.wanted[slot])), strict=True):
                    array[:] = found
                K.given[slot] = K.wanted[slot]

    def last(self) -> Step:
        """The last step."""
        K = self._state
        r, w = K.real, K.whole
        return Step(
            self.problem, float(r[k.START]), float(r[k.TIME]), float(r[k.HEAT]),
            K.H0.copy(), K.H1.copy(), K.rate0.copy(), K.rate1.copy(), K.T.copy(), K.where.copy(), K.states.copy(),
            tuple(np.flatnonzero(self._switches.acts).tolist()), float(r[k.ERROR]), int(w[k.NEWTON]), int(w[k.LINEAR]),
        )  # fmt: skip


def _state(problem: Problem, options: Options, start: float, slack: FloatArray | None) -> MarchArrays:
    """State of a march that has not begun."""
    o, n, n_patch = options, problem.n_cell, problem.arrays.x.W.shape[0]
    asked = int(len(problem.asked) > 0)
    real, whole = np.zeros(k.N_REAL), np.zeros(k.N_WHOLE, np.int64)
    real[[k.START, k.TIME, k.DT]] = start, start, o.fixed or o.first
    real[[k.TOLERANCE, k.FIRST, k.LARGEST, k.SMALLEST, k.FIXED]] = (
        o.tolerance, o.first, o.largest, o.smallest, o.fixed or 0.0,
    )  # fmt: skip
    third = o.fixed is None if o.third_order is None else o.third_order
    whole[[k.LOOK, k.ASKS, k.THIRD]] = 1, asked, int(third)
    H0, rate0, H1, rate1, T, slope, sight = np.zeros((7, n))
    now, inner, outer = (new_signals(problem.arrays.s, problem.asked, n) for _ in range(3))
    return MarchArrays(
        H0, rate0, H1, rate1, T, slope, sight, np.ones(n) if slack is None else slack, np.zeros(n, np.int64),
        _states_at(problem),
        problem.breakpoints[problem.breakpoints > start], np.full(n_patch, np.inf), now, inner, outer,
        np.full(3, np.nan), np.zeros(3), real, whole,
    )  # fmt: skip


def _states_at(problem: Problem) -> IntArray:
    """State of every contact and controller where a march begins; the piece of a program follows from its time."""
    states = problem.contact_states.copy()
    for c in problem.changes:
        if c.level <= problem.initial[c.cell]:
            states[c.place] = c.state
    return states


def _of_controllers(problem: Problem) -> list[Switch]:
    """Switches of the controllers' states: the corners of programs that are still to come, and the relays."""
    ahead = [c for c in problem.changes if c.level > problem.initial[c.cell]]
    found = [Switch(Probe((c.cell,)), c.level, c.place, c.state) for c in ahead]
    for number, row in enumerate(problem.arrays.c.row):
        if row.relay >= 0:
            deviation = Probe((number,), "deviation")
            found.append(Switch(deviation, row.hysteresis, int(row.relay), 0, upwards=True, after=1))
            found.append(Switch(deviation, -row.hysteresis, int(row.relay), 1, upwards=False, after=0))
    return found


def _pack_switches(
    problem: Problem, switches: Sequence[Switch], own: Sequence[Switch], states: IntArray
) -> SwitchArrays:
    """Lay out switches, of which each must name a contact and states of it that there are, and the controllers' own."""
    ptr = problem.arrays.u.contact_ptr
    for s in switches:
        for state in (s.state, s.state if s.after is None else s.after):
            if not 0 <= s.contact < ptr.size - 1 or not 0 <= state < ptr[s.contact + 1] - ptr[s.contact]:
                raise ProblemError(f"a switch names contact {s.contact} in state {state}, which was not added")
    switches = [*switches, *own]
    after = np.array([-1 if s.after is None else s.after for s in switches], np.int64)
    at = np.array([states[s.contact] for s in switches], np.int64)
    return SwitchArrays(
        pack_probes(problem, [s.probe for s in switches]),
        np.array([s.threshold for s in switches], float),
        np.array([1.0 if s.upwards else -1.0 for s in switches]),
        np.array([s.contact for s in switches], np.int64),
        np.array([s.state for s in switches], np.int64),
        after,
        np.where((after < 0) | (after == at), 1, 0),
        np.zeros(len(switches), np.int64),
    )
