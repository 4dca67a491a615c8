"""What is told of furnace programs tried on one job: plain values in SI, made by `analysis.strategies` and
`analysis.best_program`, shown by `report.programs_text`, `report.programs_json` and `plots.programs`."""

from __future__ import annotations

from dataclasses import dataclass

from .answer import FloatArray, Plan

OWN = "your own"
"""Name of the program that the job file has."""


@dataclass(frozen=True, slots=True)
class Leg:
    """Go to a temperature [K] at a rate [K/s] (None: as fast as the furnace can), then hold [s]; the hold at the
    set-point, which the last leg ends at, is told apart."""

    to: float
    rate: float | None
    hold: float


@dataclass(frozen=True, slots=True)
class Program:
    """What the controller is set to before the hold at the set-point. `hot`: loaded at the set-point, no ramps."""

    legs: tuple[Leg, ...]
    hot: bool = False

    @property
    def set_point(self) -> float:
        """The temperature of the last hold [K]."""
        return self.legs[-1].to


@dataclass(frozen=True, slots=True)
class Broken:
    """A limit that a heat breaks.

    name : ``flux``, ``zinc``, ``solidus``, ``scale``, ``sensitisation``, ``liquation``, ``difference`` or ``arrival``
    over : float    by how much: a time [s] if `is_time`, else a temperature difference [K]
    """

    name: str
    reason: str
    over: float
    is_time: bool
    remedy: str


@dataclass(frozen=True, slots=True)
class JointHeat:
    """Of one joint [s]: from solidus to liquidus at its coldest point, and to the end of the hold how long its flux
    works and how long it is all liquid."""

    name: str
    between: float
    flux: float
    molten: float


@dataclass(frozen=True, slots=True)
class Curves:
    """Temperatures against time to the end of the hold, float64[n_time] [s], [K]."""

    time: FloatArray
    shown: FloatArray
    """By the furnace."""
    coldest: FloatArray
    """Coldest point of all joints."""
    hottest: FloatArray
    """Hottest place of the load."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a program. Times from the start of the program [s], temperature differences [K], heat [J]."""

    total: float
    """To the end of the hold."""
    sure: float
    """As `total`, the hold not rounded up to a whole minute."""
    hold: float
    clock_start: float
    joints: tuple[JointHeat, ...]
    melting_spread: float
    """From the first joint that is liquid to the last."""
    within: float | None
    """Largest difference inside one segment; None: each has one temperature."""
    across: float
    """Largest difference between places of two segments."""
    sensitising: float
    """Plain austenitic steel in its sensitising range, cooling included, the segment where it is longest [s]; 0 without
    such steel."""
    heater: float | None
    """Given by the heater; None: an ideal furnace."""
    load: float
    """Taken up by the load."""
    broken: tuple[Broken, ...]
    curves: Curves
    takes: tuple[float | None, ...] = ()
    """Each ramp as the display shows it, see `analysis.following` [s]; empty: loaded hot, or not told."""
    rests: tuple[float | None, ...] = ()
    """From then until the program goes on [s]."""
    before: float | None = None
    """Loaded hot: the empty furnace at full power to the set-point [s], not in `total`; None: cold, ideal, or never."""
    before_heat: float | None = None
    """Given meanwhile by the heater, not in `heater` [J]."""

    @property
    def difference(self) -> float:
        """Largest difference between any two places [K]."""
        return max(self.within or 0.0, self.across)

    @property
    def flux(self) -> float:
        """Of the joint whose flux works longest [s]."""
        return max(j.flux for j in self.joints)


@dataclass(frozen=True, slots=True)
class Tried:
    """A program with its name, and what came of it; None: `refused` says why."""

    name: str
    program: Program
    outcome: Outcome | None
    refused: str = ""

    @property
    def works(self) -> bool:
        """Whether it arrives and breaks no limit."""
        return self.outcome is not None and not self.outcome.broken


@dataclass(frozen=True, slots=True)
class Compared:
    """The job under several programs. `plan`: of the user's own."""

    plan: Plan
    tried: tuple[Tried, ...]

    @property
    def shortest(self) -> Tried | None:
        """The quickest that breaks no limit."""
        return min((t for t in self.tried if t.works), key=_total, default=None)


def _total(tried: Tried) -> float:
    return tried.outcome.total if tried.outcome else float("inf")


@dataclass(frozen=True, slots=True)
class Impossible:
    """A limit that no program tried keeps. `least`: what breaks it by least."""

    least: Broken
    alone: bool
    """Whether every program tried breaks it; else it can be kept, but not together with the others."""


@dataclass(frozen=True, slots=True)
class Found:
    """The shortest program within all limits, and what it was chosen from.

    plan : Plan             of the user's own program
    own, best               best : None: there is none
    best_plan : Plan or None    of `best`, at the job's own fidelity
    hot : Tried or None     the load put into the furnace at the set-point of `best`, which the search leaves out: how
                            long the empty furnace takes to get there is not in its total
    hot_plan : Plan or None of `hot`, at the job's own fidelity: where there is no best, and it keeps every limit
    chosen, own_coarse : Tried or None  `best` and `own` on the coarse grid, as the fronts have all programs
    nearest : Tried or None where there is no best: what breaks the limits by least; None: no program arrives
    impossible : (Impossible, ...)  where there is no best
    by_difference, by_flux  trade-off fronts: no other program tried is both shorter and more even, or spares more flux
    tried : (Tried, ...)    all, in the order they were tried
    set_points : (float, float)     range searched [K]
    most_difference : float or None that the user allows within the load [K]
    seed : int              of the samples; the search itself takes no random numbers
    """

    plan: Plan
    own: Tried
    best: Tried | None
    best_plan: Plan | None
    nearest: Tried | None
    impossible: tuple[Impossible, ...]
    by_difference: tuple[Tried, ...]
    by_flux: tuple[Tried, ...]
    tried: tuple[Tried, ...]
    set_points: tuple[float, float]
    most_difference: float | None
    seed: int
    hot: Tried | None = None
    hot_plan: Plan | None = None
    chosen: Tried | None = None
    own_coarse: Tried | None = None

    @property
    def answer(self) -> Tried | None:
        """What is to be set: the best or, where there is none, the load put into the hot furnace if that works."""
        return self.best or (self.hot if self.hot_plan else None)

    @property
    def answer_plan(self) -> Plan | None:
        """The plan of `answer`."""
        return self.best_plan or self.hot_plan
