"""Set-point against hold: the same job planned at several set-points, each held against its ceilings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..answer import Plan, told_once
from ..errors import InputError, SimulationError, TargetNotReachedError
from .assumptions import PRACTICE, celsius
from .ceilings import SCALE_SOURCE, SENSITISING
from .hold import MINUTE
from .liquation import slowly_melting
from .plan import make_plan
from .prepared import prepare
from .settings import BELOW_SOLIDUS, SET_POINT_BAND

if TYPE_CHECKING:
    from ..bridge.simulate import Progress
    from ..jobfile.read import ReadJob
    from ..trade.library import Library
    from .prepared import Prepared

ABOVE_LIQUIDUS = range(30, 121, 10)
"""Set-points tried, above the highest liquidus [K]."""
NOT_SURE = ("may-never-reach", "confidence-not-reached")
"""Warnings with which a set-point is not recommended."""
NEVER = "too cool"
"""Name of the limit of a set-point at which a joint may never come to its target."""


@dataclass(frozen=True, slots=True)
class Point:
    """One set-point [K] and what came of it; `plan` is None where it was refused.

    limits : ((name, reason), ...)      that it breaks
    remedies : (str, ...)               what would lift those that are no limit on the hold
    """

    set_point: float
    plan: Plan | None
    limits: tuple[tuple[str, str], ...]
    remedies: tuple[str, ...] = ()

    @property
    def why(self) -> str:
        """The limits in words; empty where there is none."""
        return "; ".join(f"{name}: {reason}" for name, reason in self.limits)

    @property
    def held(self) -> Plan | None:
        """The plan, where its hold is enough in as many heats as asked; what depends on the hold is told of this."""
        chances = self.plan.chances if self.plan else None
        return None if chances is not None and chances.recommended.hold is None else self.plan

    @property
    def scale(self) -> float | None:
        """Thickest scale on a segment [m]; None: none scales as iron does."""
        values = [s.scale for s in self.held.segments] if self.held else []
        return max((v for v in values if v is not None), default=None)

    @property
    def sensitising_time(self) -> float | None:
        """Longest that plain austenitic steel is in its sensitising range [s]; None: there is none."""
        values = [s.sensitising_time for s in self.held.segments] if self.held else []
        return max((v for v in values if v is not None), default=None)

    @property
    def works(self) -> bool:
        """Whether the hold is under every ceiling, and enough in as many heats as asked."""
        return self.plan is not None and not self.limits


@dataclass(frozen=True, slots=True)
class SetPoints:
    """The map: points by rising set-point, the trade's band [K], and the shortest heat in the band under all limits."""

    points: tuple[Point, ...]
    band: tuple[float, float]
    best: Point | None
    reason: str
    """Why that one, or why none; a sentence or two."""
    most_scale: float
    """Allowed [m]."""
    notes: tuple[str, ...]
    """Where limits and laws come from."""


def map_set_points(
    read: ReadJob, library: Library, fidelity: str | None = None, progress: Progress | None = None
) -> SetPoints:
    """Plan the job at each set-point, with the fidelity of the job unless another is asked for.

    A network would be quicker, but its holds may be half of those that the plan gives: nobody is to read them here.

    Raises
    ------
    InputError, DataError       a job that works at no set-point
    """
    report = progress or (lambda what, share: None)
    prepared = prepare(read, library)
    liquidus = max(j.filler.liquidus for j in prepared.assembly.joints)
    off = prepared.settings.surroundings.offset  # set-points are as the display shows them
    points = []
    for n, above in enumerate(ABOVE_LIQUIDUS):
        report("set-points", n / len(ABOVE_LIQUIDUS))
        points.append(_point(read, library, prepared, liquidus + above - off, fidelity))
    low, high = (liquidus + above - off for above in SET_POINT_BAND)
    inside = [p for p in points if low - 1e-6 <= p.set_point <= high + 1e-6]
    best, reason = recommend(inside)
    return SetPoints(tuple(points), (low, high), best, reason, prepared.settings.limits.scale, _notes(points))


def recommend(inside: Sequence[Point]) -> tuple[Point | None, str]:
    """The shortest heat among the set-points of the trade's band that works, and the reason in a sentence or two.

    Of two equally long heats (to a minute) the cooler one: less scale, less zinc lost.
    """
    working = [(p, p.plan) for p in inside if p.works and p.plan]
    if not working:
        messages = dict.fromkeys(message for p in inside for message in _why_not(p))
        return None, " ".join(["No set-point in the trade's band works.", *messages])
    shortest = min(plan.hold_end for _, plan in working)
    best, plan = next(one for one in working if one[1].hold_end <= shortest + MINUTE)
    reason = "the shortest heat in the trade's band under all limits"
    coolest, hottest = working[0], working[-1]
    for other, (point, its) in (("cooler", coolest), ("hotter", hottest)):
        longer = (its.hold_end - plan.hold_end) / MINUTE
        if point is not best:
            at = f"{other}, at {celsius(point.set_point)},"
            reason += f"; {at} it takes {longer:.0f} min longer" if longer >= 0.5 else f"; {at} it takes as long"
    barred = [p for p in inside if p.set_point > best.set_point and not p.works]
    if barred:
        reason += f"; from {celsius(barred[0].set_point)} upwards {barred[0].limits[0][1]}"
    return best, f"{reason[0].upper()}{reason[1:]}."


def _why_not(p: Point) -> list[str]:
    """Why a set-point does not work and what would help: of the hold, then of itself."""
    window = p.plan.window if p.plan else None
    by_hold = {c.name for c in window.violated} if window else set()
    told = [f"{window.message} {window.remedy}"] if window and by_hold else []
    rest = "; ".join(f"{name}: {reason}" for name, reason in p.limits if name not in by_hold)
    help_ = f" What would help: {'; or '.join(p.remedies)}." if p.remedies else ""
    return [*told, *([f"{celsius(p.set_point)}: {rest}.{help_}"] if rest else [])]


def _point(read: ReadJob, library: Library, prepared: Prepared, set_point: float, fidelity: str | None) -> Point:
    program = read.job.program.model_copy(update={"set_point": set_point})
    tried = replace(read, job=read.job.model_copy(update={"program": program}))
    lowest = min(s.metal.solidus.value for s in prepared.assembly.segments)
    if set_point + prepared.settings.surroundings.offset > lowest - BELOW_SOLIDUS + 1e-6:
        return Point(set_point, None, (("solidus", f"less than {BELOW_SOLIDUS:.0f} K below a solidus"),))
    try:
        plan = make_plan(tried, library, fidelity=fidelity)
    except TargetNotReachedError as error:
        return Point(set_point, None, ((NEVER, str(error)),))
    except (InputError, SimulationError) as error:
        return Point(set_point, None, (("refused", str(error)),))
    unsure = [(NEVER, "too close to the liquidus, some heats never get there")] if _may_fail(plan) else []
    melting = slowly_melting(prepared.assembly, [j.time_between_solidus_and_liquidus for j in plan.joints])
    broken = [(c.name, c.reason) for c in (plan.window.violated if plan.window else ())]
    broken += [(b.name, b.reason) for b in melting]
    limits = [
        (name, reason)
        for name in dict.fromkeys(name for name, _ in broken)
        for reason in told_once(reason for other, reason in broken if other == name)
    ]
    return Point(set_point, plan, (*unsure, *limits), tuple(dict.fromkeys(b.remedy for b in melting)))


def _may_fail(plan: Plan) -> bool:
    """Whether a joint never comes to its target in some heat that must be reckoned with."""
    return any(w.code in NOT_SURE for w in plan.warnings)


def _notes(points: Sequence[Point]) -> tuple[str, ...]:
    """Sources of what the map shows, as far as it shows it."""
    notes = [f"Band of {SET_POINT_BAND[0]:.0f} to {SET_POINT_BAND[1]:.0f} K above the liquidus: {PRACTICE}."]
    if any(p.scale is not None for p in points):
        notes.append(f"Scale on bare steel, cooling included where it was computed: {SCALE_SOURCE}.")
    if any(p.sensitising_time is not None for p in points):
        low, high = (celsius(T) for T in SENSITISING)
        notes.append(f"Sensitising: between {low} and {high}, cooling included where it was computed.")
    notes.append(f"Limits: {PRACTICE}; [limits] of the job takes your own.")
    if any(p.plan and not p.held for p in points):
        notes.append(
            "Where too many heats never come to their target no hold is enough in as many heats as asked: what depends "
            "on the hold is not told."
        )
    joints = [j for p in points if p.plan for j in p.plan.joints]
    unknown = dict.fromkeys(j.flux for j in joints if j.flux_life is None)
    if unknown:
        notes.append(
            f"No life of {', '.join(unknown)} is published or known here: its minutes are shown, and no limit. Try it "
            "on scrap for that long, and set flux under [limits] of the job."
        )
    return tuple(notes)
