"""The search for the shortest program under all limits, and for the fronts of what it costs to be more even.

COBYQA (a derivative-free trust-region method; T. M. Ragonneau, Z. Zhang, 2022; in scipy) from the best of some programs
like those of the trade, limits as an exact penalty. Chosen by measurement (bearing pedestal, network, at most 60 K of
difference, best total in minutes, 2026-11-25): COBYQA from three starts 82.1 with 120 heats; Nelder-Mead likewise 83.1
with 159; Powell 84.1 with 102, outside the limit; differential evolution 84.0 and 84.0 with 270; followed by COBYQA
83.3 and 83.7 with 160; DIRECT 83.2 with 238, outside the limit. It takes no random numbers: the same job gives the same
program.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product
from math import ceil

import numpy as np

from ..errors import SimulationError
from ..programs import Leg, Outcome, Program, Tried
from .many import divided, side_by_side
from .program_space import Space
from .sampling import COARSE_TOLERANCE
from .strategies import strategies
from .trial import Trial

NEVER_ARRIVES = "never arrives"
NEVER = 1e5
"""Cost of a program that does not arrive [min]."""
PER_MINUTE, PER_KELVIN = 4.0, 2.0
"""Cost of a limit broken, in minutes of total time: for each minute, and for each kelvin."""
FIRST_RADIUS, LAST_RADIUS = 0.2, 0.005
"""Of COBYQA's trust region, in the unit cube."""
START_SHARES, AGAIN_SHARE = (0.3, 0.4, 0.5), 0.62
"""Of all heats, spent by the end of each start, and of a second search from the best of them."""
HOLDS = 0.0, 15 * 60.0, 35 * 60.0
"""To even out, of the programs tried first [s]."""
EVEN_LEVELS = 0.8, 0.6, 0.45
"""Shares of the shortest program's temperature difference at which the shortest is sought again, for the front."""
FLUX_LEVELS = 0.9, 0.8, 0.7
"""Likewise of its flux time."""
Goal = Callable[[Outcome], float]
Cost = Callable[[Outcome | None, Goal], float]


@dataclass(frozen=True, slots=True)
class _Quest:
    """What is to be made small, from which point of the unit cube (None: the best known), with so many heats."""

    goal: Goal
    start: Sequence[float] | None
    heats: int


class Search:
    """Programs tried by the job's own fidelity on its coarse grid, each once.

    most : int      heats that may be spent; on_heat is called after each with the number spent
    """

    def __init__(self, trial: Trial, space: Space, most: int, on_heat: Callable[[int], None]) -> None:
        self.trial, self.space, self.most, self.on_heat = trial, space, most, on_heat
        self.heats: dict[Program, Outcome | None] = {}
        self.stopped = False

    @property
    def tried(self) -> tuple[Tried, ...]:
        """Everything tried, in order."""
        return tuple(Tried("tried", p, o, "" if o else NEVER_ARRIVES) for p, o in self.heats.items())

    def heat(self, program: Program) -> Outcome | None:
        """What comes of a program; None where it does not arrive."""
        if program not in self.heats:
            self._keep(program, self._tried(program))
        return self.heats[program]

    def beside(self, program: Program) -> Tried:
        """What comes of a program that is no candidate, on the same grid."""
        found = self.heats[program] if program in self.heats else self._tried(program)
        return Tried("tried", program, found, "" if found else NEVER_ARRIVES)

    def ahead(self, programs: Sequence[Program]) -> None:
        """Try these, on every core."""
        new = [p for p in dict.fromkeys(programs) if p not in self.heats]
        for program, found in zip(new, divided(self._tried, new), strict=True):
            self._keep(program, found)

    def _tried(self, program: Program) -> Outcome | None:
        try:
            return self.trial.heat(program, 1, COARSE_TOLERANCE, smooth=True)
        except SimulationError:
            return None

    def _keep(self, program: Program, found: Outcome | None) -> None:
        self.heats[program] = found
        self.on_heat(len(self.heats))

    def shortest(self) -> None:
        """Seek the shortest from each start, and again from the best; what was found is among `tried`."""
        quests, spent = [], len(self.heats)
        for start, share in zip(self.starts(), START_SHARES, strict=False):
            spent, before = max(int(self.most * share), len(self.heats)), max(spent, len(self.heats))
            quests.append(_Quest(_total, self.space.point(start), spent - before))
        self._side_by_side([[quest] for quest in quests])
        arrived = [t for t in self.tried if t.outcome is not None]
        if arrived:
            self._minimise(_total, self.space.point(_least(arrived, _total).program), int(self.most * AGAIN_SHARE))

    def fronts(self) -> None:
        """Seek the shortest again under lower differences and shorter flux times than the best has."""
        best = shortest_of(self.tried)
        if best is None or best.outcome is None:
            return
        share = (self.most - len(self.heats)) // (len(EVEN_LEVELS) + len(FLUX_LEVELS))
        even, brief = (
            [_Quest(_bounded(value, price, level * had), None, share) for level in levels]
            for value, price, had, levels in (
                (_difference, PER_KELVIN, best.outcome.difference, EVEN_LEVELS),
                (_flux_minutes, PER_MINUTE, best.outcome.flux / 60.0, FLUX_LEVELS),
            )
        )
        self._side_by_side([even, brief])

    def _side_by_side(self, ways: Sequence[Sequence[_Quest]]) -> None:
        """Go several ways at the same time, each quest after quest from what was known here and is found on it.

        What comes of each depends on no other, so that it is the same however many cores there are.
        """
        known = len(self.heats)
        searches = [Search(self.trial, self.space, self.most, lambda n: None) for _ in ways]
        for search in searches:
            search.heats = dict(self.heats)

        def tell() -> None:
            self.on_heat(known + sum(len(search.heats) - known for search in searches))

        def stop() -> None:
            for search in searches:
                search.stopped = True

        side_by_side([partial(search.go, way) for search, way in zip(searches, ways, strict=True)], tell, stop)
        for search in searches:
            for program, found in search.heats.items():
                if program not in self.heats:
                    self._keep(program, found)

    def go(self, way: Sequence[_Quest]) -> None:
        """Seek quest after quest, each from where it says or from what serves it best of all that keeps the limits."""
        for quest in way:
            start = quest.start
            if start is None:
                start = self.space.point(_least((t for t in self.tried if t.works), quest.goal).program)
            self._minimise(quest.goal, start, len(self.heats) + quest.heats)

    def explain(self) -> None:
        """Where no program keeps the limits: seek by how little each that the nearest breaks can be broken, alone."""
        nearest = nearest_of(self.tried)
        names = list(dict.fromkeys(b.name for b in nearest.outcome.broken)) if nearest and nearest.outcome else []
        for n, name in enumerate(names):
            price = partial(_price_of, name=name)
            start = _least((t for t in self.tried if t.outcome), price, _alone)
            until = int(self.most * (AGAIN_SHARE + (1.0 - AGAIN_SHARE) * (n + 1) / len(names)))
            self._minimise(price, self.space.point(start.program), until, _alone)

    def starts(self) -> list[Program]:
        """Of a few programs like those of the trade the best with each first ramp, the best of all first: a local
        search alone would stay in the valley where it begins."""
        gentle = strategies(self.trial)["even out, then quickly"].legs[0]
        quick = None if gentle.rate is None else 2.0 * gentle.rate
        low, high = self.space.set_points
        by_ramp = [
            [
                self.space.program(self.space.point(Program((Leg(to, rate, hold), Leg(top, None, 0.0)))))
                for to, hold, top in product((gentle.to, self.space.evening[1]), HOLDS, (0.5 * (low + high), high))
            ]
            for rate in dict.fromkeys((gentle.rate, quick, None))
        ]
        self.ahead([program for programs in by_ramp for program in programs])
        best = [min(programs, key=lambda p: _cost(self.heat(p), _total)) for programs in by_ramp]
        return sorted(best, key=lambda p: _cost(self.heat(p), _total))

    def _minimise(self, goal: Goal, start: Sequence[float], until: int, cost_of: Cost | None = None) -> None:
        """Seek from a point of the unit cube until so many heats have been spent in all."""
        from scipy.optimize import minimize

        spare = until - len(self.heats)
        if spare <= 0:
            return

        def cost(u: Sequence[float]) -> float:
            # A point that rounds to a program tried before costs no heat, so it is the heats that are counted.
            if len(self.heats) >= until or self.stopped:
                raise _SpentError
            return (cost_of or _cost)(self.heat(self.space.program(u)), goal)

        options = {"maxfev": 3 * spare, "initial_tr_radius": FIRST_RADIUS, "final_tr_radius": LAST_RADIUS}
        try:
            minimize(cost, np.asarray(start), method="COBYQA", bounds=[(0.0, 1.0)] * 5, options=options)
        except _SpentError:
            return


class _SpentError(Exception):
    """No heat is left."""


def shortest_of(tried: Sequence[Tried]) -> Tried | None:
    """The shortest that breaks no limit."""
    return min((t for t in tried if t.works), key=preference, default=None)


def preference(t: Tried) -> tuple[float, int, float]:
    """The shorter to the minute, then the simpler, then the more even."""
    return (ceil(t.outcome.total / 60.0), len(t.program.legs), t.outcome.difference) if t.outcome else (np.inf, 0, 0.0)


def front(tried: Sequence[Tried], value: Goal) -> tuple[Tried, ...]:
    """Those within the limits than which no other is both shorter and lower in `value`, by rising total time."""
    found: list[Tried] = []
    lowest = np.inf
    for t in sorted((t for t in tried if t.works), key=lambda t: _key(t, value)):
        if t.outcome is not None and value(t.outcome) < lowest - 1e-9:
            found.append(t)
            lowest = value(t.outcome)
    return tuple(found)


def _least(tried: Iterable[Tried], goal: Goal, cost_of: Cost | None = None) -> Tried:
    return min(tried, key=lambda t: (cost_of or _cost)(t.outcome, goal))


def _key(t: Tried, value: Goal) -> tuple[float, float]:
    return (t.outcome.total, value(t.outcome)) if t.outcome else (np.inf, np.inf)


def _cost(outcome: Outcome | None, goal: Goal) -> float:
    """What is made small [min]: the goal and every limit broken."""
    if outcome is None:
        return NEVER
    # In their order: a set of texts has another one in every process, and the sum would round otherwise.
    return goal(outcome) + sum(_price_of(outcome, name) for name in dict.fromkeys(b.name for b in outcome.broken))


def _price_of(outcome: Outcome, name: str) -> float:
    """What a limit costs where it is broken by most [min]; 0 where it is kept."""
    broken = [b for b in outcome.broken if b.name == name]
    return max((PER_MINUTE * b.over / 60.0 if b.is_time else PER_KELVIN * b.over for b in broken), default=0.0)


def _alone(outcome: Outcome | None, goal: Goal) -> float:
    """The goal without any limit."""
    return NEVER if outcome is None else goal(outcome)


def nearest_of(tried: Sequence[Tried]) -> Tried | None:
    """What breaks the limits by least."""
    return min((t for t in tried if t.outcome), key=lambda t: violation(t.outcome), default=None)


def violation(outcome: Outcome | None) -> float:
    """How far a heat is outside the limits, in minutes of total time."""
    return _cost(outcome, lambda _: 0.0)


def _total(o: Outcome) -> float:
    return o.sure / 60.0


def _difference(o: Outcome) -> float:
    return o.difference


def _flux_minutes(o: Outcome) -> float:
    return o.flux / 60.0


def _bounded(value: Goal, price: float, most: float) -> Goal:
    return lambda o: _total(o) + price * max(value(o) - most, 0.0)
