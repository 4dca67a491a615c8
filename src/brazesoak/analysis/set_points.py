"""Set-point against hold: the same job planned at several set-points, each held against its ceilings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..answer import Plan, Window
from ..errors import InputError, SimulationError
from .plan import make_plan
from .prepared import prepare
from .settings import BELOW_SOLIDUS, SET_POINT_BAND

if TYPE_CHECKING:
    from ..bridge.simulate import Progress
    from ..jobfile.read import ReadJob
    from ..parts.assembly import Assembly
    from ..trade.library import Library

ABOVE_LIQUIDUS = range(30, 121, 10)
"""Set-points tried, above the highest liquidus [K]."""
NOT_SURE = ("may-never-reach", "confidence-not-reached")
"""Warnings with which a set-point is not recommended."""


@dataclass(frozen=True, slots=True)
class Point:
    """One set-point [K] and what came of it; `plan` is None where it was refused, and `why` says so."""

    set_point: float
    plan: Plan | None
    why: str

    @property
    def window(self) -> Window | None:
        """When the hold may end."""
        return self.plan.window if self.plan else None

    @property
    def scale(self) -> float | None:
        """Thickest scale on a steel segment at the end of the hold [m]; None: no steel."""
        segments = self.plan.segments if self.plan else ()
        return max((s.scale for s in segments if s.scale is not None), default=None)

    @property
    def works(self) -> bool:
        """Whether the hold is under every ceiling, and enough in as many heats as asked."""
        return self.plan is not None and not self.why


@dataclass(frozen=True, slots=True)
class SetPoints:
    """The map: points by rising set-point, the trade's band [K], and the shortest heat in the band under all limits."""

    points: tuple[Point, ...]
    band: tuple[float, float]
    best: Point | None


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
    assembly = prepare(read, library).assembly
    liquidus = max(j.filler.liquidus for j in assembly.joints)
    points = []
    for n, above in enumerate(ABOVE_LIQUIDUS):
        report("set-points", n / len(ABOVE_LIQUIDUS))
        points.append(_point(read, library, assembly, liquidus + above, fidelity))
    low, high = (liquidus + above for above in SET_POINT_BAND)
    working = [p for p in points if p.works and low - 1e-6 <= p.set_point <= high + 1e-6]
    best = min(working, key=lambda p: p.plan.hold_end if p.plan else 0.0, default=None)
    return SetPoints(tuple(points), (low, high), best)


def _point(read: ReadJob, library: Library, assembly: Assembly, set_point: float, fidelity: str | None) -> Point:
    program = read.job.program.model_copy(update={"set_point": set_point})
    tried = replace(read, job=read.job.model_copy(update={"program": program}))
    lowest = min(s.metal.solidus.value for s in assembly.segments)
    if set_point > lowest - BELOW_SOLIDUS + 1e-6:
        return Point(set_point, None, f"less than {BELOW_SOLIDUS:.0f} K below a solidus")
    try:
        plan = make_plan(tried, library, fidelity=fidelity)
    except (InputError, SimulationError) as error:
        return Point(set_point, None, str(error))
    broken = plan.window.violated if plan.window else ()
    unsure = ["too close to the liquidus: some heats never get there"] if _may_fail(plan) else []
    return Point(set_point, plan, "; ".join(dict.fromkeys([*unsure, *(f"{c.name}: {c.reason}" for c in broken)])))


def _may_fail(plan: Plan) -> bool:
    """Whether a joint never comes to its target in some heat that must be reckoned with."""
    return any(w.code in NOT_SURE for w in plan.warnings)
