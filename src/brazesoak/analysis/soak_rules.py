"""The trade's soak rules worked out on a job, beside the computed hold, each with why the two differ."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from ..answer import Plan, SegmentAnswer
from ..rules_of_thumb import RuleOfThumb, RulesBeside
from .checks.parts import THIN
from .hold import MINUTE
from .rules import ALIKE, rule_of_thumb, too_long

if TYPE_CHECKING:
    from ..trade.reference import Row

INCH, HOUR = 0.0254, 3600.0
HEAT_AND_SOAK = ((1, 0.75, 0.5), (2, 1.25, 0.5), (3, 1.75, 0.75), (4, 2.25, 1.0), (5, 2.75, 1.0), (8, 3.5, 1.5))
"""Up to so many inches: heat-up and soak [h]. NAVEDTRA 14250 Steelworker, Table 2-2 (numbers recalled)."""


@dataclass(frozen=True, slots=True)
class _Rule:
    """row : name of its row in the trade data;  time : (low, high) [s] of the thickest section [m]."""

    row: str
    name: str
    formula: str
    counted: str
    time: Callable[[float], tuple[float, float] | None]
    reason: str = ""


def hour_per_inch(thickness: float) -> tuple[float, float]:
    """One hour for each inch [s]."""
    return _both(HOUR * thickness / INCH)


def minutes_per_millimetre(thickness: float) -> tuple[float, float]:
    """One to two minutes for each millimetre, in an air furnace [s]."""
    return 1e3 * thickness * MINUTE, 2e3 * thickness * MINUTE


def hardening(thickness: float) -> tuple[float, float]:
    """Twenty minutes and half a minute for each millimetre [s]."""
    return _both((20.0 + 0.5e3 * thickness) * MINUTE)


def hour_and_hour_per_inch(thickness: float) -> tuple[float, float]:
    """60 min and 60 min for each inch: read by part (low) and for each begun inch (high) [s]."""
    inches = thickness / INCH
    return HOUR * (1.0 + inches), HOUR * (1.0 + ceil(inches - 1e-9))


def stress_relief(thickness: float) -> tuple[float, float]:
    """One hour an inch to 2 in, 15 min at least; beyond, 2 h and 15 min an inch [s]."""
    inches = thickness / INCH
    return _both(HOUR * (max(0.25, inches) if inches <= 2.0 else 2.0 + 0.25 * (inches - 2.0)))


def heat_and_soak(thickness: float) -> tuple[float, float] | None:
    """Heat-up and soak of the table together [s]; None beyond its end."""
    inches = thickness / INCH - 1e-9
    return next((_both(HOUR * (heat + soak)) for up_to, heat, soak in HEAT_AND_SOAK if inches <= up_to), None)


def _both(time: float) -> tuple[float, float]:
    return time, time


_BY_THICKNESS = (
    _Rule("one hour per inch of thickest section", "one hour per inch", "1 h for 25.4 mm", "set-point", hour_per_inch),
    _Rule(
        "gas or salt: 1..2 min per mm in air furnace, 0.3..0.5 in salt",
        "minutes per millimetre",
        "1 to 2 min for each mm, in an air furnace",
        "set-point",
        minutes_per_millimetre,
    ),
    _Rule(
        "European shop rule for hardening soak",
        "hardening soak",
        "20 min and 0.5 min for each mm",
        "set-point",
        hardening,
    ),
    _Rule(
        "clause of the form 60 min plus 60 min per inch or part of it",
        "hour and hour per inch",
        "60 min and 60 min an inch, read by part or for each begun inch",
        "set-point",
        hour_and_hour_per_inch,
    ),
    _Rule(
        "post-weld stress relief",
        "post-weld stress relief",
        "1 h an inch to 2 in, 15 min at least; beyond, 2 h and 15 min an inch",
        "part at temperature",
        stress_relief,
        "it gives stress time to creep away in a part that is hot already, while a molten filler fills a gap in "
        "seconds (common practice, no source)",
    ),
    _Rule(
        "steel soak before hardening, by thickness",
        "hardening table",
        "heat-up and soak by thickness, from a table",
        "start",
        heat_and_soak,
        "it does part heating from soaking, but was made to harden steel and knows neither your ramp nor brightness "
        "nor surface",
    ),
)


def rules_beside(plan: Plan, soak_rules: tuple[Row, ...]) -> RulesBeside:
    """Every rule beside the plan; `soak_rules`: rows of the trade data, for source and confidence."""
    rows = {str(row["rule"]): row for row in soak_rules}
    mass = rows["one hour per kilogram after set point"]
    kilogram = rule_of_thumb(plan.total_mass)
    first = RuleOfThumb(
        "one hour per kilogram", "1 h for each kg of the load", kilogram, kilogram, "set-point", plan.hold_time,
        _compared((kilogram, kilogram), plan.hold_time), plan.rule_sentence,
        str(mass["source"]), str(mass["confidence"]),
    )  # fmt: skip
    thickest = max(plan.segments, key=lambda s: s.thickest_section)
    return RulesBeside(plan, (first, *(_beside(r, rows[r.row], plan, thickest) for r in _BY_THICKNESS)))


def _beside(rule: _Rule, row: Row, plan: Plan, thickest: SegmentAnswer) -> RuleOfThumb:
    given = rule.time(thickest.thickest_section)
    low, high = given or (None, None)
    computed = {"set-point": plan.hold_time, "start": plan.hold_end}.get(rule.counted, plan.minutes_at_target)
    reason, verdict = rule.reason or _thickness_alone(plan, thickest), "no answer"
    if given is None:
        reason = f"its table ends before {thickest.thickest_section * 1e3:.0f} mm"
    else:
        verdict = _compared(given, computed)
    source, confidence = str(row["source"]), str(row["confidence"])
    return RuleOfThumb(rule.name, rule.formula, low, high, rule.counted, computed, verdict, reason, source, confidence)


def _compared(given: tuple[float, float], computed: float) -> str:
    """How both ends of what a rule gives compare with what is computed [s]."""
    low, high = given
    least, most = too_long(low, computed), too_long(high, computed)
    if least:
        return least if least == most else f"{least.removesuffix(_common_end(least, most))} to {most}"
    enough = (1.0 - ALIKE) * computed
    if high < enough:
        shares = dict.fromkeys(f"{time / computed:.0%}" for time in given)
        return f"too short: {' to '.join(shares)}"
    begin = "about right" if low >= enough else f"too short, {low / computed:.0%},"
    if most:
        return f"{begin} to {most}"
    return "about right, by chance" if low >= enough else f"{begin} to about right"


def _common_end(one: str, other: str) -> str:
    """What two verdicts both end with."""
    return next((end for end in (" times too long", " too long") if one.endswith(end) and other.endswith(end)), "")


def _thickness_alone(plan: Plan, s: SegmentAnswer) -> str:
    """Why a rule by thickness cannot be right, for this load."""
    warming = ""
    if plan.clock_start > plan.hold_time:
        warming = f"the load warms with the furnace for {plan.clock_start / 60.0:.0f} min before the clock starts, and "
    inside = "follows its surface" if s.biot <= THIN else "lags only a part of the way"
    return (
        f'{warming}the rule knows only the {s.thickest_section * 1e3:.0f} mm of "{s.name}", whose inside {inside} '
        f"(Biot number {s.biot:.2f}); time goes into the surface, by mass, area and brightness"
    )
