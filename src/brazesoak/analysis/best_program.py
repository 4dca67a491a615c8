"""The shortest program of a job under all limits: sought on the coarse grid, planned in full, with its trade-offs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

from ..answer import Plan
from ..bridge.simulate import Progress, simulate
from ..errors import SimulationError
from ..programs import Broken, Found, Impossible, Leg, Outcome, Program, Tried
from .hold import MINUTE
from .percentiles import SEED
from .plan import compute
from .prepared import told_with_its_line
from .program_search import Search, front, nearest_of, preference
from .program_space import Space, space_of
from .sampling import COARSE_TOLERANCE
from .set_points import NOT_SURE
from .telling import tell
from .trial import Trial, own_planned

if TYPE_CHECKING:
    from ..jobfile.read import ReadJob
    from ..trade.library import Library

HEATS = 300
"""Tried at most."""
FEWEST = 60
ENOUGH_CELLS = 200
"""Of the coarse grid; with more cells fewer heats are tried, so that the whole stays within a minute on one core."""
TRIES = 4
"""Programs planned in full until one keeps within the limits there as well."""
ON_FRONT = 6
"""Points of a front that are told."""
ROUNDING = 0.02
"""Points of a front that differ by less, as a share, are told as one. Our own choice."""
BEST = "shortest"


def best_program(
    read: ReadJob, library: Library, fidelity: str | None = None, progress: Progress | None = None, heats: int = HEATS
) -> Found:
    """The shortest program, by the fidelity of the job unless another is asked for.

    Parameters
    ----------
    heats : int     tried at most, on a coarse grid of `ENOUGH_CELLS` or less

    Raises
    ------
    InputError, DataError, SimulationError      the user's own program cannot be planned
    """
    report = progress or (lambda what, share: None)
    with told_with_its_line(read):
        plan, trial, own = own_planned(read, library, fidelity, report)
        space = space_of(trial)
        low, high = space.set_points
        if low > high:
            return _found(plan, own, None, (), (_no_set_point(space),), space, trial)
        search = _searched(trial, space, heats, report)
        tried = search.tried
        coarse = search.beside(own.program)
        best, refused = _planned(read, library, trial, tried, report)
        impossible = () if best else impossible_limits(tried) or tuple(Impossible(b, False) for b in refused)
        found = replace(_found(plan, own, best, tried, impossible, space, trial), own_coarse=coarse)
        hot = _loaded_hot(trial, best[0].program.set_point if best else high)
        if best or not hot.works:
            return replace(found, hot=hot)
        try:
            hot, hot_plan = _in_full(read, library, trial, hot, report)
        except SimulationError as error:
            return replace(found, hot=replace(hot, outcome=None, refused=str(error)))
        return replace(found, hot=hot, hot_plan=hot_plan if hot.works else None)


def _loaded_hot(trial: Trial, set_point: float) -> Tried:
    """The load put into the hot furnace. It is no candidate: its total begins when the door closes, and what it costs
    to heat the empty furnace depends on whether it is hot already."""
    program = Program((Leg(set_point, None, 0.0),), hot=True)
    try:
        return trial.tried("loaded hot", program)
    except SimulationError as error:
        return Tried("loaded hot", program, None, str(error))


def _searched(trial: Trial, space: Space, heats: int, report: Progress) -> Search:
    model = trial.prepared.model(trial.prepared.inputs)
    run = simulate(model, trial.fidelity, lambda clock, last: last, fineness=1, tolerance=COARSE_TOLERANCE)
    most = max(int(heats * min(1.0, ENOUGH_CELLS / run.n_cell)), min(heats, FEWEST))
    search = Search(trial, space, most, lambda n: report("programs", n / most))
    if not trial.own.hot and space.set_points[0] <= trial.own.set_point <= space.set_points[1]:
        search.heat(trial.own)  # a candidate, so that the best is never longer than what the user has
    search.shortest()
    if any(t.works for t in search.tried):
        search.fronts()
    else:
        search.explain()
    return search


def _planned(
    read: ReadJob, library: Library, trial: Trial, tried: Sequence[Tried], report: Progress
) -> tuple[tuple[Tried, Plan] | None, list[Broken]]:
    """The shortest that keeps within the limits when it is planned in full, too; None where none of a few does, and
    what the last one breaks."""
    waiting, broken = sorted((t for t in tried if t.works), key=preference), list[Broken]()
    for _ in range(TRIES):
        if not waiting:
            break
        found = waiting.pop(0)
        planned, plan = _in_full(read, library, trial, replace(found, name=BEST), report)
        if planned.works:
            return (planned, plan), []
        broken = list(planned.outcome.broken) if planned.outcome else []
        waiting = [t for t in waiting if is_safer(t, found, broken)]
    return None, broken


def _in_full(read: ReadJob, library: Library, trial: Trial, tried: Tried, report: Progress) -> tuple[Tried, Plan]:
    """A program as its plan has it, with all that it breaks."""
    prepared = trial.with_program(tried.program)
    computed = compute(prepared, trial.fidelity, False, report)
    plan = tell(read, prepared, computed, library)
    allowance = computed.sampled.recommended(prepared.settings.confidence)
    outcome = trial.outcome(prepared, computed.main.simulation, allowance)
    return replace(tried, outcome=replace(outcome, broken=(*outcome.broken, *_broken_by_plan(plan)))), plan


def _broken_by_plan(plan: Plan) -> list[Broken]:
    """What only the whole plan shows: heats that never arrive."""
    unsure = [w for w in plan.warnings if w.code in NOT_SURE]
    return [Broken("arrival", w.message, 1.0, False, w.action) for w in unsure]


MEASURES: dict[str, Callable[[Outcome], float]] = {
    "difference": lambda o: o.difference,
    "flux": lambda o: o.flux,
    "zinc": lambda o: max(j.molten for j in o.joints),
    "liquation": lambda o: max(j.between for j in o.joints),
    "sensitisation": lambda o: o.sensitising,
}
"""What a heat must have less of to break a limit by less [s] or [K]: of the joint or segment where it is most."""


def is_safer(t: Tried, failed: Tried, broken: Sequence[Broken]) -> bool:
    """Whether a program keeps further from what another broke, by as much as it broke it."""
    one, other = t.outcome, failed.outcome
    if one is None or other is None:
        return False
    for b in broken:
        if b.name in MEASURES and MEASURES[b.name](one) > MEASURES[b.name](other) - b.over:
            return False
        if b.name == "arrival" and t.program.set_point <= failed.program.set_point:
            return False
        if b.name in ("solidus", "scale") and t.program.set_point >= failed.program.set_point:
            return False
    return True


def impossible_limits(tried: Sequence[Tried]) -> tuple[Impossible, ...]:
    """Which limits stand in the way: those that every program breaks, else those that the nearest breaks."""
    heats = [t.outcome for t in tried if t.outcome is not None]
    least: dict[str, list[Broken]] = {}
    for o in heats:
        worst: dict[str, Broken] = {}
        for b in o.broken:
            if b.name not in worst or b.over > worst[b.name].over:
                worst[b.name] = b
        for name, b in worst.items():
            least.setdefault(name, []).append(b)
    always = {name for name, found in least.items() if len(found) == len(heats)}
    nearest = nearest_of(tried)
    names = always or {b.name for b in (nearest.outcome.broken if nearest and nearest.outcome else ())}
    return tuple(Impossible(min(least[n], key=lambda b: b.over), n in always) for n in least if n in names)


def _no_set_point(space: Space) -> Impossible:
    low, high = space.set_points
    reason = (
        "to be sure that every joint comes to its target the set-point must be higher than a metal of the load, or the "
        "trade's band above the liquidus, allows"
    )
    remedy = "a survey of the furnace (its own uniformity in the job), a lower-melting filler or less superheat"
    return Impossible(Broken("arrival", reason, low - high, False, remedy), True)


def _found(
    plan: Plan,
    own: Tried,
    best: tuple[Tried, Plan] | None,
    tried: tuple[Tried, ...],
    impossible: tuple[Impossible, ...],
    space: Space,
    trial: Trial,
) -> Found:
    nearest = None if best else nearest_of(tried)
    chosen = next((t for t in tried if best and t.program == best[0].program), None)
    by_difference, by_flux = (
        _thinned(worth_telling(front(tried, MEASURES[name]), MEASURES[name], step, chosen))
        for name, step in (("difference", 1.0), ("flux", MINUTE))
    )
    return Found(
        plan, own, best[0] if best else None, best[1] if best else None, nearest, impossible, by_difference, by_flux,
        tried, space.set_points, trial.prepared.settings.limits.difference, SEED, chosen=chosen,
    )  # fmt: skip


def worth_telling(
    points: Sequence[Tried], value: Callable[[Outcome], float], step: float, chosen: Tried | None = None
) -> tuple[Tried, ...]:
    """Of a front by rising total time and falling value the points that differ by more than rounding.

    It begins with the program chosen, which may be a little longer than another of the same minute for being simpler.
    Each point then is lower than the one before by `step`, and by `ROUNDING`; of points that are as long to a minute,
    and to `ROUNDING`, the lowest stands for all.
    """
    found = [chosen] if chosen else []
    fixed, since = len(found), inf
    lowest = value(chosen.outcome) if chosen and chosen.outcome else inf
    shortest = preference(chosen)[0] if chosen else 0.0
    for t in points:
        o = t.outcome
        if o is None or preference(t)[0] < shortest or value(o) > lowest - max(step, ROUNDING * value(o)):
            continue
        if len(found) > fixed and o.total < since + max(MINUTE, ROUNDING * since):
            found[-1] = t
        else:
            found.append(t)
            since = o.total
        lowest = value(o)
    return tuple(found)


def _thinned(points: tuple[Tried, ...]) -> tuple[Tried, ...]:
    """First, last and some between, evenly by number."""
    if len(points) <= ON_FRONT:
        return points
    return tuple(points[round(i * (len(points) - 1) / (ON_FRONT - 1))] for i in range(ON_FRONT))
